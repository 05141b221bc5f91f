"""Binds the shop book: which chapters it has, in which order."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from importlib.resources import files

from harness.book.marks import marks_of
from harness.book.shop import bench, front, sheets
from harness.book.shop.blocks import Block, Book, Chapter, Readings, Steps, Terms, Warning_, Words
from harness.book.shop.letter import on_letter
from harness.book.shop.plates import plates
from harness.book.shop.symptoms import fault_finding
from harness.book.text import one_line
from harness.commissioning.plan import sheets_of
from harness.commissioning.steps import first_power
from harness.model.design import Design


def _drawings(drawings: Mapping[str, str]) -> Chapter:
    words = Words(
        "Tap a wire to light up its whole way and see its line of the cut list; tap a part for its hook-up. "
        "The lists hold the same for keyboard and screen reader.",
        screen=True,
    )
    return Chapter("drawings", "Drawings", (words, *plates(drawings)))


def _tests(design: Design) -> Chapter:
    blocks: list[Block] = [
        Warning_(
            (
                "Meter leads in a live machine slip: cover what is near, one hand where you can, no "
                "rings. A short from "
                "the live side to the frame welds.",
                "Never measure current across a battery or a load: the ammeter goes in the way of the "
                "current.",
            )
        ),
        Words(
            "Write what the meter shows. A reading outside its band is marked: find out why before the "
            "next step. "
            "Drops are worked out for hot copper, so a cold machine shows less."
        ),
        *(Readings(one.title, one.rows, one.note) for one in sheets_of(design)),
    ]
    return Chapter("tests", "Test sheet", tuple(blocks))


def _power(design: Design) -> Chapter:
    words = Words(
        "In this order, every step ticked before the next. Common practice in the trade; the machine "
        "maker's own "
        "procedure comes first where there is one."
    )
    return Chapter("power", "First power", (words, Steps(first_power(design))))


def _glossary() -> Chapter:
    data = tomllib.loads(files(__package__).joinpath("glossary.toml").read_text(encoding="utf-8"))
    return Chapter("glossary", "Glossary", (Terms(tuple({**data["terms"], **data["marks"]}.items())),))


def book_of(design: Design, drawings: Mapping[str, str]) -> Book:
    """Return the shop book of a design; ``drawings`` are its SVG files by name."""
    marks = marks_of(design)
    chapters = [
        front.cautions(design), front.findings(design), front.machine(design), _drawings(drawings),
        bench.cuts(design), sheets.branches(design), bench.hooks(design), sheets.couplers(design),
        sheets.runs(design), sheets.fuses(design, marks), sheets.grounds(design), _power(design),
        _tests(design), fault_finding(design), sheets.supply(design), sheets.stores(design, marks),
        sheets.sources(marks), _glossary(),
    ]  # fmt: skip
    info = design.machine
    return Book(
        machine=one_line(info.name),
        system=front.post_words(design),
        digest=info.digest + (f", revision {one_line(info.revision)}" if info.revision else ""),
        file=one_line(info.file),
        program=design.program,
        letter=on_letter(info.sizes),
        chapters=tuple(chapter for chapter in chapters if chapter is not None),
    )
