"""Makes one drawing by itself, on the paper and the board that are asked for."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from harness.model.design import Design

_SIDES = re.compile(r"\s*(?P<first>.+?)\s*(?:x|×|by)\s*(?P<second>.+?)\s*", re.IGNORECASE)
_UNIT = re.compile(r"[^0-9.,/ ]+\s*$")


@dataclass(frozen=True, slots=True)
class Wish:
    """What a drawing is to be made for."""

    sheet: str | None  # None: what the drawing takes by itself
    board_m: tuple[float, float]
    page: int | None = None  # None: all sheets


def board_size(text: str) -> tuple[float, float]:
    """Both sides of a board [m], the longer one first: "2.4 x 1.2 m", "8 x 4 ft". Raises click.UsageError."""
    from harness.survey.units import WrongQuantity, quantity

    found = _SIDES.fullmatch(text)
    if found is None:
        raise click.UsageError(f"--board: {text!r} is not two sides; write '2.4 x 1.2 m' or '8 x 4 ft'")
    first, second = found["first"], found["second"]
    unit = _UNIT.search(second)
    if _UNIT.search(first) is None and unit is not None:
        first = f"{first} {unit.group()}"
    try:
        sides = sorted((quantity("board side", first), quantity("board side", second)))
    except WrongQuantity as error:
        raise click.UsageError(f"--board: {error}") from None
    return sides[1], sides[0]


def _board(design: Design, wish: Wish) -> bytes:
    from harness.drawing.board_sheets import board_pages
    from harness.drawing.pdf import pdf_bytes
    from harness.drawing.sheet import LANDSCAPE

    pages = board_pages(
        design,
        paper=LANDSCAPE[wish.sheet or "A4"],
        width_mm=1000 * wish.board_m[0],
        deep_mm=1000 * wish.board_m[1],
    )
    return pdf_bytes(pages, title=f"{design.machine.name}: looms at full size")


def _labels(design: Design, wish: Wish) -> bytes:
    from harness.drawing.label_sheets import label_pages
    from harness.drawing.pdf import pdf_bytes
    from harness.drawing.sheet import LANDSCAPE

    pages = label_pages(design, paper=LANDSCAPE[wish.sheet or "A4"])
    return pdf_bytes(pages, title=f"{design.machine.name}: labels")


def _cards(design: Design, wish: Wish) -> bytes:
    from harness.drawing.cards import card_pages
    from harness.drawing.pdf import pdf_bytes
    from harness.drawing.sheet import LANDSCAPE

    pages = card_pages(design, paper=LANDSCAPE[wish.sheet or "A4"])
    return pdf_bytes(pages, title=f"{design.machine.name}: fuses and couplers")


def _cab(design: Design, wish: Wish) -> bytes:
    import typst

    from harness.book.cab.sheet import cab_pdf
    from harness.book.field.paper import PAPERS
    from harness.drawing.engine import EngineFailed

    paper = wish.sheet or "A4"
    if paper not in PAPERS:
        raise click.UsageError(f"--sheet: the cab sheet is for {' or '.join(PAPERS)}")
    try:
        return cab_pdf(design, paper=paper)
    except typst.TypstError as error:
        raise EngineFailed(str(error)) from None


def _hookup(design: Design, wish: Wish) -> bytes:
    from harness.drawing.figures import figure_pages
    from harness.drawing.pdf import pdf_bytes
    from harness.drawing.sheet import LANDSCAPE

    pages = figure_pages(design, paper=LANDSCAPE[wish.sheet or "A4"])
    return pdf_bytes(pages, title=f"{design.machine.name}: hook-up")


def _circuit(design: Design, wish: Wish) -> bytes:
    from harness.drawing.tracks.sheets import tracks_svg

    return _paged(tracks_svg, design, wish)


def _circuits(design: Design, wish: Wish) -> bytes:
    from harness.drawing.tracks.sheets import circuits_svg

    return _paged(circuits_svg, design, wish)


def _paged(make: Callable[[Design, str | None, int | None], str], design: Design, wish: Wish) -> bytes:
    from harness.drawing.tracks.sheets import NoSuchPage

    try:
        return make(design, wish.sheet, wish.page).encode()
    except NoSuchPage as error:
        raise click.UsageError(f"--page: this drawing has sheets 1 to {error}") from None


def _loom(design: Design, wish: Wish) -> bytes:
    from harness.drawing.loom import loom_svg

    return _paged(loom_svg, design, wish)


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of drawing: what makes it, and the name of its file."""

    make: Callable[[Design, Wish], bytes]
    ending: str
    pages: bool  # whether one sheet can be asked for by itself


KINDS: Mapping[str, Kind] = {  # a new kind is one new line here
    "circuit": Kind(_circuit, "svg", pages=True),
    "circuits": Kind(_circuits, "svg", pages=True),
    "loom": Kind(_loom, "svg", pages=True),
    "board": Kind(_board, "pdf", pages=False),
    "labels": Kind(_labels, "pdf", pages=False),
    "cards": Kind(_cards, "pdf", pages=False),
    "cab": Kind(_cab, "pdf", pages=False),
    "hookup": Kind(_hookup, "pdf", pages=False),
}


def drawn(design: Design, kind: str, wish: Wish) -> bytes:
    """Make one drawing. Raises click.UsageError where it has no single sheets, and CannotDraw."""
    from harness.cli.build import CannotDraw
    from harness.drawing.engine import EngineFailed

    if wish.page is not None and not KINDS[kind].pages:
        raise click.UsageError(f"--page: the {kind} drawing is one file; leave the option out")
    try:
        return KINDS[kind].make(design, wish)
    except EngineFailed as error:
        raise CannotDraw(f"{kind}: {error}") from None


def default_file(survey: Path, kind: str) -> Path:
    """exports/NAME/KIND.ending, named for the survey file."""
    from harness.cli.build import default_out

    return default_out(survey) / f"{kind}.{KINDS[kind].ending}"
