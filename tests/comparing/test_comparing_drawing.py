"""The marked drawing: every change numbered once, marks where the wires are, no text over another."""

from __future__ import annotations

import json
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner

from harness.cli import main
from harness.comparing.differences import compare
from harness.comparing.marks import marks
from harness.drawing import metrics
from harness.drawing.change_marks import Mark, Marks, Row, marked_sheets, marked_svg
from harness.drawing.sheet import MARGIN_MM

from .test_comparing import SURVEY, edited, made

SVG = "{http://www.w3.org/2000/svg}"
NEW_CIRCUIT = (
    ("chassis post: negative", "chassis post: negative, revision: B"),
    ("35 W", "75 W"),
    ("  horn: {is: horn, at: middle, current: 4 A}\n", ""),
    ("  button: {is: push button, at: box}\n", "  beacon: {is: beacon, at: middle, power: 21 W}\n"),
    ("F5 > button > horn > frame", "F5 > beacon > frame"),
    ("  F5: {is", "  F6: {is: fuse, at: box}\n  side lamp: {is: lamp, at: left, power: 5 W}\n  F5: {is"),
    ("  Return:", '  Side lamp: {paths: ["battery + > F6 > side lamp > frame"]}\n  Return:'),
)


def both() -> tuple[Marks, str]:
    old, new = made(), edited(*NEW_CIRCUIT)
    found = marks(compare(old, new), new)
    return found, marked_svg(old, new, found)


def test_every_changed_wire_and_fuse_bears_the_number_of_its_line() -> None:
    found, svg = both()
    assert [row.mark.number for row in found.rows] == list(range(1, len(found.rows) + 1))
    drawn = set(map(int, re.findall(r'data-change="(\d+)"', svg)))
    on_wires = {mark.number for mark in (*found.new.values(), *found.old.values(), *found.fuses.values())}
    assert drawn == on_wires
    acts = {mark.act for mark in (*found.new.values(), *found.old.values())}
    assert acts == {"added", "changed", "removed"}
    root = ElementTree.fromstring(svg)
    for group in root.iter(f"{SVG}g"):
        number, wire = group.get("data-change"), group.get("data-wire")
        inner = group.find(f"{SVG}g[@data-change]") if wire else None
        if inner is not None and wire is not None:
            mark = found.new.get(wire) or found.old.get(wire)
            known = {each.number for each in (found.new.get(wire), found.old.get(wire)) if each}
            assert mark is not None and int(inner.get("data-change", "0")) in known
            assert number is None


def test_title_blocks_name_both_revisions() -> None:
    _, svg = both()
    words = " ".join("".join(each.itertext()) for each in ElementTree.fromstring(svg).iter(f"{SVG}text"))
    assert "revision B" in words and f"digest {made().machine.digest}" in words


def _texts(markup: str) -> list[tuple[float, float, float, float, str]]:
    root = ElementTree.fromstring(f'<svg xmlns="http://www.w3.org/2000/svg">{markup}</svg>')
    found = []
    for each in root.iter(f"{SVG}text"):
        text, size, x, y = each.text or "", float(each.get("font-size", 0)), float(each.get("x", 0)), 0.0
        y = float(each.get("y", 0))
        wide = metrics.width(text, size, bold=each.get("font-weight") == "bold")
        x -= {"middle": wide / 2, "end": wide}.get(each.get("text-anchor", ""), 0.0)
        found.append((x, y - metrics.ASCENT * size, x + wide, y, text))
    return found


def test_no_text_lies_over_another_and_none_leaves_the_sheet() -> None:
    old, new = made(), edited(*NEW_CIRCUIT)
    long = [Row(Mark("changed", 900 + at), f"{at} " + "W" * 300 + " words " * (at % 40)) for at in range(60)]
    for rows in (None, long):
        found = marks(compare(old, new), new)
        form, sheets = marked_sheets(old, new, found if rows is None else Marks({}, {}, rows, {}))
        assert len(sheets) > 1
        for sheet in sheets:
            boxes = _texts(sheet)
            for at, (left, top, right, low, text) in enumerate(boxes):
                assert left >= MARGIN_MM - 0.1 and right <= form.width_mm - MARGIN_MM + 0.1, text
                assert low <= form.height_mm - MARGIN_MM, text
                for other in boxes[at + 1 :]:
                    apart = right <= other[0] or other[2] <= left or low <= other[1] or other[3] <= top
                    assert apart, (text, other[4])


def test_nothing_of_a_long_list_is_lost() -> None:
    rows = [Row(Mark("added", at + 1), f"line{at} " + "word " * (at * 3)) for at in range(80)]
    _, sheets = marked_sheets(made(), made(), Marks({}, {}, rows, {}))
    words = " ".join(text for sheet in sheets for *_, text in _texts(sheet)).split()
    assert words.count("word") == sum(at * 3 for at in range(80))
    assert all(f"line{at}" in words for at in range(80))


def test_as_files(tmp_path: Path) -> None:
    old, new = tmp_path / "old.yaml", tmp_path / "new.yaml"
    old.write_text(SURVEY, encoding="utf-8")
    new.write_text(SURVEY.replace("35 W", "75 W"), encoding="utf-8")

    def run(*words: str | Path, code: int = 0) -> str:
        result = CliRunner().invoke(main, ["compare", *map(str, words)])
        assert result.exit_code == code, result.output
        return result.output

    svg, html = tmp_path / "changes.svg", tmp_path / "changes.html"
    run(old, new, "-o", svg)
    json.loads(run(old, new, "-o", html, "--json"))
    ElementTree.fromstring(svg.read_text(encoding="utf-8"))
    text = html.read_text(encoding="utf-8")
    assert "<svg" in text and "left lamp went from 35 W to 75 W" in text and "<script" not in text
    before = svg.read_bytes()
    run(old, new, "-o", svg)
    assert svg.read_bytes() == before
    run(old, new, "-o", tmp_path / "changes.doc", code=2)
    run(old, new, "-o", "/proc/nowhere/changes.svg", code=3)
    svg.unlink()
    run(old, old, "-o", svg)
    assert not svg.exists()  # nothing differs, nothing to draw


@pytest.mark.parametrize("name", ["<b>&amp;", "]]>", 'say "12 V"', "W" * 60])
def test_hostile_words_do_no_harm(name: str) -> None:
    rows = [Row(Mark("changed", 1), f"{name} \u202e\x07 {name}")]
    svg = marked_svg(made(), made(), Marks({}, {}, rows, {}))
    ElementTree.fromstring(svg)
    assert not set(svg) & set("\u202e\x07")
