"""The SVG writer: everything from a survey is hostile text."""

from __future__ import annotations

import csv
from importlib.resources import files
from pathlib import Path
from xml.sax.saxutils import quoteattr

import pytest

from harness.drawing.paint import UNKNOWN, paints
from harness.drawing.svg import Canvas, _quoted, clean, document, isolate, number
from harness.drawing.tracks.sheets import circuits_svg, tracks_svg

from . import reading
from .conftest import loom_of, machine
from .machines import HOSTILE


def _texts(text: str) -> str:
    c = Canvas()
    with c.group(text, part=text):
        c.text(1, 1, text, 2)
    return document(body=c.markup(), width_mm=10, height_mm=10, title=text, about=text)


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_comes_back_unharmed(text: str) -> None:
    root = reading.root(_texts(text))
    assert [reading.said(each) for each in root.iter(f"{reading.SVG}text")] == [text]
    assert [each.attrib["data-part"] for each in root.iter(f"{reading.SVG}g")] == [text]
    assert [each.text for each in root.iter(f"{reading.SVG}title")] == [text, text]


@pytest.mark.parametrize("bad", ["\x00", "\x1b", "\u202e", "\ud800", "\ufffe", "\u2067", "\x7f"])
def test_what_xml_cannot_hold_or_turns_a_line_round_is_replaced(bad: str) -> None:
    assert clean(f"a{bad}b") == f"a[U+{ord(bad):04X}]b"
    reading.root(_texts(f"a{bad}b"))


def test_line_breaks_become_blanks() -> None:
    assert clean("two\nlines\t and\r\n more") == "two lines and more"


def test_right_to_left_names_stay_in_their_place() -> None:
    assert isolate("מנורה") == "\u2068מנורה\u2069"
    assert isolate("lamp 12") == "lamp 12"


@pytest.mark.parametrize(
    ("value", "text"),
    [(1.0, "1"), (0.125, "0.12"), (-0.001, "0"), (12.30, "12.3"), (1e6, "1000000"), (100, "100")],
)
def test_numbers_are_short_and_never_in_powers_of_ten(value: float, text: str) -> None:
    assert number(value) == text


def test_a_shifted_canvas_writes_absolute_numbers() -> None:
    c = Canvas()
    c.at(10, 20, 2).at(1, 1, 0.5).text(4, 6, "x", 3)
    (box,) = reading.texts(document(body=c.markup(), width_mm=99, height_mm=99, title="", about=""))
    assert box.left == 10 + 2 * (1 + 0.5 * 4)


def test_no_scripts_no_links_no_styles(name: str) -> None:
    for svg in (tracks_svg(machine(name)), circuits_svg(machine(name)), loom_of(name)):
        tags = {each.tag.removeprefix(reading.SVG) for each in reading.root(svg).iter()}
        assert tags <= {"svg", "g", "title", "desc", "text", "rect", "circle", "polyline", "polygon", "path"}
        names = {attribute for each in reading.root(svg).iter() for attribute in each.attrib}
        assert not {each for each in names if each.startswith("on") or "href" in each or each == "style"}


def _codes() -> list[str]:
    table = files("harness.tables").joinpath("colour_paint.csv")
    with Path(str(table)).open(encoding="utf-8", newline="") as file:
        return [row["code"] for row in csv.DictReader(file)]


@pytest.mark.parametrize("code", _codes())
def test_every_colour_code_of_the_tables_has_its_paint(code: str) -> None:
    assert UNKNOWN not in paints(code)
    assert paints(code) != paints("no such colour")


def test_base_and_tracer() -> None:
    assert paints("RD/WH") == (paints("RD")[0], paints("WH")[0])
    assert paints("RD")[1] is None
    assert paints("GNYE") == (paints("GN")[0], paints("YE")[0])
    assert paints("zz") == (UNKNOWN, None)


@pytest.mark.parametrize(
    "text", ["", "plain", 'say "a"', "it's", "a < b & c > d", "tab\tline\nback\r", "²Ω", "\"'"]
)
def test_a_value_is_quoted_as_the_library_does(text: str) -> None:
    assert _quoted(text) == quoteattr(text)
