"""The circuit drawing shows every wire, part and way, and nothing on top of anything else."""

from __future__ import annotations

from collections import Counter

import pytest

from harness.drawing.circuits import circuits_pages, circuits_svg
from harness.model.design import Design

from . import reading
from .conftest import circuits_of, machine
from .factories import Builder, medium


def _words(svg: str) -> str:
    return " ".join(box.text for box in reading.texts(svg))


def _group(svg: str, name: str, value: str) -> str:
    """Everything written in the groups that stand for one thing."""
    found = [each for each in reading.groups(svg, name) if each.attrib[f"data-{name}"] == value]
    return " | ".join(
        " ".join(reading.said(text) for text in each.iter(f"{reading.SVG}text")) for each in found
    )


def test_every_wire_has_its_number_size_and_colour(name: str) -> None:
    for wire in machine(name).wires:
        drawn = [
            [reading.said(text) for text in group.iter(f"{reading.SVG}text")]
            for group in reading.groups(circuits_of(name), "wire")
            if group.attrib["data-wire"] == wire.number
        ]
        assert drawn, wire.number
        for number, size in drawn:
            assert number.strip("()") == wire.number
            assert f"{wire.size} {wire.colour}" in size
            assert ("kept" in size) == wire.kept


def test_a_wire_stands_once_in_its_own_circuit_and_in_brackets_elsewhere(name: str) -> None:
    design = machine(name)
    for circuit in reading.groups(circuits_of(name), "circuit"):
        shown = Counter(
            group.attrib["data-wire"]
            for group in circuit.iter(f"{reading.SVG}g")
            if "data-wire" in group.attrib
        )
        title = circuit.attrib["data-circuit"]
        wanted = next(each for each in design.circuits if each.name == title)
        passed = {step.wire for path in wanted.paths for step in path if step.wire is not None}
        assert shown == Counter(dict.fromkeys({*wanted.wires, *passed}, 1))
        for group in circuit.iter(f"{reading.SVG}g"):
            if "data-wire" in group.attrib:
                wire = next(each for each in design.wires if each.number == group.attrib["data-wire"])
                written = reading.said(next(iter(group.iter(f"{reading.SVG}text"))))
                assert written == (wire.number if wire.circuit == title else f"({wire.number})")


def test_every_circuit_has_its_title_and_modes(name: str) -> None:
    design = machine(name)
    for circuit in design.circuits:
        words = _group(circuits_of(name), "circuit", circuit.name)
        assert words.startswith(circuit.name)
        if len(circuit.modes) == len(design.modes):
            assert "works in every mode" in words
        else:
            assert f"works in: {', '.join(circuit.modes)}" in words


def test_every_part_appears(name: str) -> None:
    design = machine(name)
    drawn = {each.attrib["data-part"] for each in reading.groups(circuits_of(name), "part")}
    loose = {part.name for part in design.parts if not any(use.wires for use in part.terminals)}
    assert drawn == {part.name for part in design.parts} - loose
    for part in loose:
        assert part in _words(circuits_of(name))
    for splice in design.splices:
        assert splice.name in _group(circuits_of(name), "splice", splice.name)


def test_every_terminal_with_a_wire_is_named_at_its_part(name: str) -> None:
    for part in machine(name).parts:
        words = _group(circuits_of(name), "part", part.name).split()
        for use in part.terminals:
            if use.wires and use.terminal != "stud":
                assert use.terminal in words


def test_fuses_show_their_ratings(name: str) -> None:
    for fuse in machine(name).fuses:
        if any(fuse.part == each.attrib["data-part"] for each in reading.groups(circuits_of(name), "part")):
            assert f"{fuse.rating_a:g} A" in _group(circuits_of(name), "part", fuse.part)


def test_every_ground_says_which_metal_it_is_on(name: str) -> None:
    for part in machine(name).parts:
        if part.role == "ground" and any(use.wires for use in part.terminals):
            assert str(part.body) in _group(circuits_of(name), "part", part.name)


def test_title_block(name: str) -> None:
    info = machine(name).machine
    words = _words(circuits_of(name))
    for said in (
        info.name,
        f"{info.voltage_v:g} V",
        info.chassis_post,
        info.digest,
        info.rules_title,
        "CAUTION",
    ):
        assert all(word in words for word in said.split())


def test_no_text_covers_another(name: str) -> None:
    assert list(reading.overlapping_texts(circuits_of(name))) == []


def test_no_wire_runs_through_a_text(name: str) -> None:
    assert list(reading.struck_texts(circuits_of(name), "wire")) == []


def test_no_wire_lies_on_another(name: str) -> None:
    assert list(reading.lying_on(circuits_of(name), "wire")) == []


def test_pages_hold_the_same_as_the_tall_sheet_and_every_text_lies_inside(name: str) -> None:
    pages = circuits_pages(machine(name))
    wide, high = reading.page(pages[0])
    assert reading.page(circuits_of(name)) == (wide, high * len(pages))
    assert (wide, high) in {(297, 210), (420, 297), (594, 420), (841, 594), (1189, 841)}  # ISO 216, landscape
    for page in pages:
        for box in reading.texts(page):
            assert 8 <= box.left <= box.right <= wide - 8, box.text
            assert 8 <= box.top <= box.low <= high - 8, box.text
    together = Counter(box.text for page in pages for box in reading.texts(page))
    assert together == Counter(box.text for box in reading.texts(circuits_of(name)))


def test_type_is_not_too_small_to_read(name: str) -> None:
    root = reading.root(circuits_of(name))
    assert min(float(text.attrib["font-size"]) for text in root.iter(f"{reading.SVG}text")) >= 1.5


def test_sizes_on_paper_are_in_millimetres(name: str) -> None:
    root = reading.root(circuits_of(name))
    wide, high = reading.page(circuits_of(name))
    assert (root.attrib["width"], root.attrib["height"]) == (f"{wide:g}mm", f"{high:g}mm")


@pytest.fixture(scope="module")
def design() -> Design:
    """The machine made by hand."""
    return medium().build()


@pytest.fixture(scope="module")
def svg(design: Design) -> str:
    """Its circuits."""
    return circuits_svg(design)


def test_current_flows_from_left_to_right(svg: str, design: Design) -> None:
    """Every wire of a circuit that does not turn back ends right of where it starts."""
    for wire in design.wires:
        pieces = [each for each in reading.stretches(svg, "wire") if each.owner == wire.number]
        assert pieces[0].x1 < pieces[-1].x2


def test_a_path_that_starts_in_the_middle_says_where_it_comes_from(svg: str) -> None:
    words = _group(svg, "circuit", "Horn")
    assert "from bus stud" in words
    assert "wire 6, Main feed" in words


def test_a_path_that_ends_in_the_middle_says_where_it_goes_on(svg: str) -> None:
    words = _group(svg, "circuit", "Main feed")
    assert "on to Key feed, Horn, Head lamps, Fuel gauge, Fan" in words


def test_assumed_values_are_marked_and_measured_ones_are_not(svg: str) -> None:
    assert "~4.6 A" in _group(svg, "part", "horn")
    assert "~" not in _group(svg, "part", "left head lamp")
    assert "~ before a value" in _words(svg)


def test_a_kept_wire_is_broken_up(svg: str) -> None:
    dashed = {
        group.attrib["data-wire"]
        for group in reading.groups(svg, "wire")
        if group.findall(f"{reading.SVG}polyline")[0].get("stroke-dasharray")
    }
    assert dashed == {"1"}


def test_every_wire_has_a_dark_edge_wider_than_its_colour(svg: str) -> None:
    for group in reading.groups(svg, "wire"):
        edge, base, *_ = group.findall(f"{reading.SVG}polyline")
        assert edge.attrib["stroke"] == "#1b1b1b"
        assert float(edge.attrib["stroke-width"]) > float(base.attrib["stroke-width"])


def test_peak_currents_are_told_with_their_time(svg: str) -> None:
    assert "36 A for 0.5 s at first" in _group(svg, "part", "stop solenoid")


def test_a_case_return_names_the_body(svg: str) -> None:
    assert "case on frame" in _group(svg, "part", "tail lamp")


def test_the_other_half_of_a_relay_is_pointed_to() -> None:
    b = Builder()
    for name, kind in (
        ("battery", "battery"),
        ("relay", "relay"),
        ("button", "button"),
        ("lamp", "cased lamp"),
    ):
        b.part(name, kind, "dash", "frame")
    b.part("ground", "ground", "dash", "frame")
    b.circuit("Coil side", "battery + > button 1/2 > relay 86/85 > ground")
    b.circuit("Lamp side", "battery + > relay 30/87 > lamp +")
    svg = circuits_svg(b.build())
    assert "contact: Lamp side" in _group(svg, "circuit", "Coil side")
    assert "coil: Coil side" in _group(svg, "circuit", "Lamp side")


def test_a_part_the_circuit_comes_back_to_is_drawn_twice() -> None:
    """Starter stud 30 feeds the relay that works coil 50 of the same starter."""
    b = Builder()
    for name, kind in (
        ("battery", "battery"),
        ("starter", "starter"),
        ("relay", "relay"),
        ("ground", "ground"),
    ):
        b.part(name, kind, "engine", "engine")
    b.circuit("Cranking", "battery + > starter 30", "starter 30 > relay 30/87 > starter 50")
    svg = circuits_svg(b.build())
    assert [each.attrib["data-part"] for each in reading.groups(svg, "part")].count("starter") == 2
    assert not any("this circuit" in box.text for box in reading.texts(svg))


def test_a_true_circle_is_cut_with_a_reference_on_either_side() -> None:
    b = Builder()
    for name in ("A", "B"):
        b.part(name, "switch", "dash")
    b.circuit("Round", "A 1/2 > B 1/2", "B 1/2 > A 1/2")
    svg = circuits_svg(b.build())
    words = " ".join(box.text for box in reading.texts(svg))
    assert "to A 1" in words
    assert "from B 2 wire 2, this circuit" in words
    assert {each.attrib["data-wire"] for each in reading.groups(svg, "wire")} == {"1", "2"}


def test_a_part_on_no_wire_is_named() -> None:
    b = medium()
    b.part("spare lamp", "lamp", "dash")
    assert "On the machine but on no wire: spare lamp." in _words(circuits_svg(b.build()))


def test_a_machine_without_wires_is_a_sheet_without_circuits() -> None:
    assert reading.groups(circuits_svg(Builder("Bare machine").build()), "wire") == []


def test_a_circuit_too_large_for_its_paper_takes_larger_paper() -> None:
    b = Builder()
    b.part("battery", "battery", "box")
    for number in range(40):
        b.part(f"switch {number}", "switch", "dash")
    b.circuit("Chain", "battery + > " + " > ".join(f"switch {number} 1/2" for number in range(40)))
    svg = circuits_svg(b.build())
    assert reading.page(svg)[0] > 420
    assert list(reading.overlapping_texts(svg)) == []
