"""The shop book on paper: the same chapters as the page, set by Typst; every text is data, never markup."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from importlib.resources import files
from typing import Any, Literal

from harness.book.data import plain
from harness.book.sheet import metres_and_feet
from harness.book.shop.blocks import Block, Book, Cuts, CutSpool, Grid, Readings, Steps
from harness.book.shop.book import book_of
from harness.book.shop.letter import on_letter
from harness.book.shop.words import anchors, number, unit
from harness.book.text import clean
from harness.commissioning.trial import Test
from harness.drawing.letters import drawable, missing, printable
from harness.drawing.loom import loom_svg
from harness.drawing.paint import paints
from harness.drawing.sheet import LANDSCAPE
from harness.drawing.svg import ISOLATES
from harness.drawing.tracks.sheets import circuits_svg, tracks_svg
from harness.lists.measure import CENTIMETRE, round_up
from harness.lists.tally import count_of
from harness.model.design import Design

Paper = Literal["a4", "us-letter"]
PAPERS: dict[str, Paper] = {"A4": "a4", "Letter": "us-letter"}
# PDF/UA-1, ISO 14289-1: tagged, so that a screen reader finds headings, tables and pictures
STANDARD: Literal["ua-1"] = "ua-1"
_LEAST, _MOST, _SHRINK, _SWATCH = 5.0, 60.0, 0.62, 9  # widths of columns: of the longest text, flattened


def _weights(grid: Grid) -> list[float]:
    """How wide each column of a table is beside the others."""
    found = []
    for at, head in enumerate(grid.columns):
        if head.role == "tick":
            found.append(2.6)
            continue
        if head.role == "write":
            found.append(6.0)
            continue
        texts = [line.cells[at] for line in grid.rows if not line.heading]
        word = max((len(one) for text in (head.title, *texts) for one in text.split()), default=1)
        longest = min(max((len(text) for text in texts), default=1), _MOST)
        if head.role == "colour":
            longest += _SWATCH
        found.append(round(max(longest**_SHRINK, word * 0.62, _LEAST**_SHRINK), 2))
    return found


def _spool(spool: CutSpool) -> dict[str, str]:
    """What the page writes in words about a spool."""
    total, longest = metres_and_feet(spool.spool.total_m), metres_and_feet(spool.spool.longest_m)
    return {
        "title": spool.spool.title,
        "totals": f"{count_of(len(spool.pieces), 'piece')}, {total} in all, longest {longest}",
    }


def _expect(reading: Test) -> str:
    return "" if reading.expected is None else f"{number(reading.expected)} {unit(reading.unit)}"


def _band(reading: Test) -> str:
    name = unit(reading.unit)
    if reading.low is not None and reading.high is not None:
        return f"{number(reading.low)} to {number(reading.high)} {name}"
    if reading.low is not None:
        return f"at least {number(reading.low)} {name}"
    return f"at most {number(reading.high)} {name}" if reading.high is not None else ""


def _readings(rows: list[dict[str, Any]], readings: tuple[Test, ...]) -> None:
    for row, reading in zip(rows, readings, strict=True):
        row["expect"], row["band"] = _expect(reading), _band(reading)


def _told(block: Block) -> dict[str, Any]:
    """A block as plain data, with what the page writes in words."""
    data: dict[str, Any] = plain(block)
    if isinstance(block, Grid):
        data["weights"] = _weights(block)
    elif isinstance(block, Cuts):
        for told, spool in zip(data["spools"], block.spools, strict=True):
            told.update(_spool(spool))
            for piece, one in zip(told["pieces"], spool.pieces, strict=True):
                piece["length"] = f"{round_up(one.line.length_m, step=CENTIMETRE):.2f} m"
    elif isinstance(block, Readings):
        _readings(data["rows"], block.rows)
    elif isinstance(block, Steps):
        for told, step in zip(data["steps"], block.steps, strict=True):
            _readings(told["readings"], step.readings)
    return data


def _clean(value: Any) -> Any:
    """Every text with what nobody sees, and letters that no face has, as their numbers."""
    if isinstance(value, str):
        if value.startswith("<svg"):  # clean, but for what keeps names of other scripts in their place
            return drawable(printable(value.translate(ISOLATES)))
        return printable(clean(value))
    if isinstance(value, list):
        return [_clean(one) for one in value]
    if isinstance(value, dict):
        return {printable(clean(key)): _clean(one) for key, one in value.items()}
    return value


def _data(design: Design, book: Book, paper: Paper) -> dict[str, Any]:
    wires, parts = anchors(design)
    told: dict[str, Any] = plain(replace(book, chapters=()))
    told["chapters"] = [
        {"key": chapter.key, "title": chapter.title, "blocks": [_told(block) for block in chapter.blocks]}
        for chapter in book.chapters
    ]
    lacking = missing(json.dumps(told, ensure_ascii=False))
    return {
        "book": told,
        "paper": paper,
        "lacking": [f"U+{ord(letter):04X}" for letter in lacking],
        "wires": wires,
        "parts": parts,
        "paints": {wire.colour: paints(wire.colour) for wire in design.wires if wire.colour},
    }


def _at_full_size(design: Design, drawings: Mapping[str, str], paper: Paper) -> dict[str, str]:
    """The drawings with those that come on several papers drawn for this one, so that no type shrinks.

    One that is empty is drawn too.
    """
    form = next(name for name, each in PAPERS.items() if each == paper)
    wide = f'width="{LANDSCAPE[form].width_mm:g}mm"'
    makers = {"tracks.svg": tracks_svg, "circuit-sheets.svg": circuits_svg, "loom.svg": loom_svg}
    return {
        name: makers[name](design, form) if name in makers and wide not in svg[:400] else svg
        for name, svg in drawings.items()
    }


def paper_pdf(design: Design, drawings: Mapping[str, str], *, paper: Paper | None = None) -> bytes:
    """Return the book as PDF on A4 or letter paper; None takes what is sold where its wire sizes are.

    The fonts are those that come with Typst, so that every computer makes the same bytes; letters that they
    lack are printed by their numbers, and the first page says so.
    Raises typst.TypstError where the typesetter fails.
    """
    import typst

    chosen = paper or (PAPERS["Letter"] if on_letter(design.machine.sizes) else PAPERS["A4"])
    book = book_of(design, _at_full_size(design, drawings, chosen))
    source = files(__package__).joinpath("pages", "book.typ").read_bytes()
    data = json.dumps(_clean(_data(design, book, chosen)), ensure_ascii=False, allow_nan=False)
    made: bytes = typst.compile(
        source, sys_inputs={"data": data}, ignore_system_fonts=True, pdf_standards=[STANDARD]
    )
    return made
