"""The loom drawing shows every run with its figures and every place with what ends there."""

from __future__ import annotations

import math

import pytest

from harness.drawing import bundles
from harness.drawing.loom import loom_svg
from harness.drawing.loom_plan import chosen

from . import reading
from .conftest import loom_of, machine
from .factories import Builder, medium


def _written(svg: str, name: str, value: str) -> str:
    found = [each for each in reading.groups(svg, name) if each.attrib[f"data-{name}"] == value]
    return " ".join(reading.said(text) for each in found for text in each.iter(f"{reading.SVG}text"))


def test_every_run_has_its_length_and_bundle(name: str) -> None:
    for run in machine(name).runs:
        words = _written(loom_of(name), "run", run.name)
        assert f"{run.length_m:.2f} m" in words
        if run.wires:
            assert f"ø{run.bundle_mm:.1f} mm, {len(run.wires)} wire" in words
        else:
            assert "no wire" in words


def _drawn(svg: str) -> dict[str, str]:
    """Run -> how it is drawn; a run drawn twice fails."""
    found = [each for each in reading.groups(svg, "run") if "data-drawn" in each.attrib]
    names = [each.attrib["data-run"] for each in found]
    assert len(names) == len(set(names))
    return {each.attrib["data-run"]: each.attrib["data-drawn"] for each in found}


def test_every_run_is_drawn_once_from_place_to_place(name: str) -> None:
    svg = loom_of(name)
    assert sorted(_drawn(svg)) == sorted(run.name for run in machine(name).runs)
    for run in machine(name).runs:
        assert [each for each in reading.stretches(svg, "run") if each.owner == run.name]


def test_runs_are_as_long_as_they_were_measured_by_the_scale_of_their_sheet(name: str) -> None:
    """From place to place, by the coordinates alone; what is not to scale is said so, and underlined."""
    svg = loom_of(name)
    drawn = _drawn(svg)
    measured = {run.name: run.length_m for run in machine(name).runs}
    scales: dict[str, float] = {}
    for sheet in reading.groups(svg, "sheet"):
        words = [reading.said(text) for text in sheet.iter(f"{reading.SVG}text")]
        scale = next((int(text.removeprefix("Scale 1:")) for text in words if text.startswith("Scale 1:")), 0)
        for group in sheet.iter(f"{reading.SVG}g"):
            if "data-drawn" in group.attrib:
                scales[group.attrib["data-run"]] = scale
    exact = 0
    for run, how in drawn.items():
        pieces = [each for each in reading.stretches(svg, "run") if each.owner == run]
        spots = [(each.x1, each.y1) for each in pieces] + [(each.x2, each.y2) for each in pieces]
        long_mm = max(math.dist(one, other) for one in spots for other in spots)
        asked_mm = 1000 * measured[run] / scales[run]
        if how == "to scale":
            exact += 1
            assert long_mm == pytest.approx(asked_mm, abs=0.1), run
        else:
            assert long_mm != pytest.approx(asked_mm, abs=0.1), run
    assert exact >= 0.6 * len(drawn)


def test_holes_grommets_and_hinges_are_said(name: str) -> None:
    for run in machine(name).runs:
        words = _written(loom_of(name), "run", run.name)
        assert ("moves" in words) == run.moves
        if run.hole_mm is None:
            assert "hole" not in words
        else:
            assert f"hole ø{run.hole_mm:g}" in words
            assert ("no grommet" in words) == (run.grommet == "")


def test_every_place_stands_there_with_its_parts(name: str) -> None:
    design = machine(name)
    assert set(design.places) <= {
        each.attrib["data-place"] for each in reading.groups(loom_of(name), "place")
    }
    for part in design.parts:
        words = _written(loom_of(name), "part", part.name)
        assert part.name in words
        assert words in _written(loom_of(name), "place", part.place)


def test_every_wire_lands_at_its_terminals(name: str) -> None:
    """With its size and colour, and what is crimped on its end."""
    design = machine(name)
    wires = {wire.number: wire for wire in design.wires}
    for part in design.parts:
        words = _plain(_written(loom_of(name), "part", part.name))
        for use in part.terminals:
            for number in use.wires:
                wire = wires[number]
                assert _plain(f"{number} {wire.size} {wire.colour}") in words, (part.name, use.terminal)
            if use.wires and (use.terminal != "stud" or len(part.terminals) > 1):
                assert _plain(use.terminal) in words


def _plain(words: str) -> str:
    """Without blanks: a long word may be broken over two lines."""
    return "".join(words.split())


def test_every_splice_is_marked_with_its_wires(name: str) -> None:
    wires = {wire.number: wire for wire in machine(name).wires}
    for splice in machine(name).splices:
        words = _plain(_written(loom_of(name), "splice", splice.name))
        assert _plain(f"splice {splice.name}") in words
        for number in splice.wires:
            assert _plain(f"{number} {wires[number].size} {wires[number].colour}") in words


def test_no_text_covers_another(name: str) -> None:
    assert list(reading.overlapping_texts(loom_of(name))) == []


def test_no_run_goes_through_a_text(name: str) -> None:
    assert list(reading.struck_texts(loom_of(name), "run")) == []


def test_no_run_lies_on_another(name: str) -> None:
    assert list(reading.lying_on(loom_of(name), "run", near_mm=1.0)) == []


def test_sheets_hold_everything(name: str) -> None:
    wide, high = reading.page(loom_of(name))
    count = len(reading.groups(loom_of(name), "sheet"))
    tall = high / count
    assert (wide, tall) in {(297, 210), (420, 297), (279.4, 215.9), (431.8, 279.4)}  # ISO 216, ANSI Y14.1
    for box in reading.texts(loom_of(name)):
        assert 8 <= box.left <= box.right <= wide - 8, box.text
        top = box.top % tall
        assert 8 <= top <= top + box.low - box.top <= tall - 8, box.text
    for each in reading.stretches(loom_of(name), "run"):
        assert all(8 <= x <= wide - 8 for x in (each.x1, each.x2))
        assert all(8 <= y % tall <= tall - 8 for y in (each.y1, each.y2))


@pytest.mark.parametrize("paper", ["A4", "A3", "Letter", "Tabloid"])
def test_it_is_drawn_on_the_paper_that_is_asked_for(paper: str) -> None:
    svg = loom_svg(machine("pump"), paper)
    size = {"A4": (297, 210), "A3": (420, 297), "Letter": (279.4, 215.9), "Tabloid": (431.8, 279.4)}[paper]
    wide, high = reading.page(svg)
    count = len(reading.groups(svg, "sheet"))
    assert (wide, high / count) == (pytest.approx(size[0]), pytest.approx(size[1]))
    assert list(reading.overlapping_texts(svg)) == []
    assert reading.page(loom_svg(machine("pump"), paper, 1)) == (wide, pytest.approx(high / count))


def test_type_is_not_too_small_to_read(name: str) -> None:
    root = reading.root(loom_of(name))
    assert min(float(text.attrib["font-size"]) for text in root.iter(f"{reading.SVG}text")) >= 1.5


def test_says_its_scale_and_shows_it_on_a_bar(name: str) -> None:
    words = [box.text for box in reading.texts(loom_of(name))]
    assert any(text.startswith("Scale 1:") for text in words)
    assert any("not to scale" in text for text in words)


def _run_thickness(bundle_mm: float) -> float:
    b = Builder()
    b.part("battery", "battery", "box")
    b.part("lamp", "lamp", "dash")
    b.circuit("Lamp", "battery + > lamp +")
    b.run("box", "dash", bundle_mm=bundle_mm)
    (group,) = reading.groups(loom_svg(b.build()), "run")
    return float(group.findall(f"{reading.SVG}polyline")[0].attrib["stroke-width"])


def test_thicker_bundles_are_thicker_lines() -> None:
    assert _run_thickness(10) < _run_thickness(20) < _run_thickness(30)
    assert _run_thickness(0.5) > 0.5
    assert _run_thickness(500) < 6


@pytest.mark.parametrize(
    ("covering", "style"),
    [
        ("split corrugated tube, 1/2 in, nylon", "corrugated"),
        ("expandable braided sleeve, 3/8 in", "braid"),
        ("harness tape, 19 mm", "tape"), ("", "bare"), ("hose, 12 mm", "other"),
    ],
)  # fmt: skip
def test_coverings_differ_by_line_style(covering: str, style: str) -> None:
    b = medium()
    b.run("dash", "roof", covering=covering)
    assert bundles.style(b.runs[-1]) == style


def test_the_figures_that_the_lists_tell_in_full_are_left_out() -> None:
    long = "split corrugated tube, 1/2 in (12.7 mm inside), polyethylene or nylon, slit"
    assert bundles.short(long) == "split corrugated tube, 1/2 in"
    assert bundles.short("tape") == "tape"
    assert bundles.short("") == ""


def test_a_name_given_to_a_run_is_shown() -> None:
    b = medium()
    b.run("dash", "roof", name="left post")
    assert "left post" in _written(loom_svg(b.build()), "run", "left post")


def test_looms_that_do_not_hang_together_and_places_off_the_loom_are_all_drawn() -> None:
    b = Builder()
    for place in ("a", "b", "c", "d", "alone"):
        b.part(f"lamp {place}", "lamp", place)
    b.run("a", "b")
    b.run("c", "d")
    svg = loom_svg(b.build())
    assert {each.attrib["data-place"] for each in reading.groups(svg, "place")} == {
        "a",
        "b",
        "c",
        "d",
        "alone",
    }


def test_a_loom_with_two_ways_round_keeps_both() -> None:
    b = Builder()
    for start, end in (("a", "b"), ("b", "c"), ("c", "d"), ("d", "a"), ("a", "c")):
        b.run(start, end)
    svg = loom_svg(b.build())
    assert len(reading.groups(svg, "run")) == 5
    assert list(reading.overlapping_texts(svg)) == []


def test_a_machine_without_places_is_an_empty_sheet() -> None:
    assert reading.groups(loom_svg(Builder("Bare machine").build()), "place") == []


def test_a_name_stands_nearest_to_its_own_place(name: str) -> None:
    """So that nobody reads it as that of the next; a name without room is left to the letter."""
    design = machine(name)
    found = chosen(design)
    for shown in (each for sheet in found.sheets for each in sheet.shown):
        spots = {node: shown.spot(node) for node in shown.figure.spots}
        for node, (_, _, put) in shown.names.items():
            left, top, right, low = put.box
            off = {
                each: math.hypot(max(left - x, 0.0, x - right), max(top - y, 0.0, y - low))
                for each, (x, y) in spots.items()
            }
            assert min(off, key=lambda each: off[each]) == node
