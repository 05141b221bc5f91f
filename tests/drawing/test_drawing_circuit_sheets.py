"""The tracks and the sheets of circuits say everything about a machine, in type that can be read."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections import Counter
from functools import cache

import pytest

from harness.drawing.tracks.sheets import circuit_sheets, circuits_svg, svg_of, tracks_pages, tracks_svg
from harness.model.design import Design

from . import reading, tracing
from .conftest import machine
from .factories import Builder, medium

BOTH = (tracks_svg, circuits_svg)


@cache
def tracks_of(name: str) -> str:
    return tracks_svg(machine(name))


@cache
def alone_of(name: str) -> str:
    return circuits_svg(machine(name))


def _said(element: ET.Element) -> str:
    return " ".join(reading.said(text) for text in element.iter(f"{reading.SVG}text"))


def _group(svg: str, name: str, value: str) -> str:
    """Everything written in the groups that stand for one thing."""
    return " | ".join(
        _said(each) for each in reading.groups(svg, name) if each.attrib[f"data-{name}"] == value
    )


def _sheets(svg: str, circuit: str) -> list[ET.Element]:
    """The sheets of one circuit, known by their title blocks."""
    return [sheet for sheet in tracing.sheets(svg) if f"Circuit: {circuit}. " in _said(sheet)]


def test_every_circuit_has_its_sheet_with_its_modes(name: str) -> None:
    design = machine(name)
    for circuit in design.circuits:
        modes = ", ".join(circuit.modes) or "no mode"
        works = "every mode" if len(circuit.modes) == len(design.modes) else modes
        sheets = _sheets(alone_of(name), circuit.name)
        assert sheets
        for sheet in sheets:
            assert f"Works in {works}." in _said(sheet).replace("in:", "in")


def test_a_circuit_has_all_its_wires_and_those_of_others_in_brackets(name: str) -> None:
    design = machine(name)
    owner = {wire.number: wire.circuit for wire in design.wires}
    for circuit in design.circuits:
        groups = [
            group
            for sheet in _sheets(alone_of(name), circuit.name)
            for group in sheet.iter(f"{reading.SVG}g")
            if "data-wire" in group.attrib
        ]
        shown = Counter(group.attrib["data-wire"] for group in groups)
        assert set(shown.values()) == {1}
        assert set(circuit.wires) <= set(shown)
        for group in groups:
            number = group.attrib["data-wire"]
            written = reading.said(next(iter(group.iter(f"{reading.SVG}text"))))
            assert written == (number if owner[number] == circuit.name else f"({number})")


def test_every_ground_says_which_metal_it_is_on(name: str) -> None:
    words = {part.name: _group(tracks_of(name), "rail", str(part.body)) for part in machine(name).parts}
    for part in machine(name).parts:
        if part.role == "ground" and any(use.wires for use in part.terminals):
            assert str(part.body) in words[part.name]


def test_title_block(name: str) -> None:
    info = machine(name).machine
    for svg in (tracks_of(name), alone_of(name)):
        for sheet in tracing.sheets(svg):
            words = _said(sheet).split()
            for said in (info.name, f"{info.voltage_v:g} V", info.chassis_post, info.digest, "CAUTION"):
                assert all(any(word in each for each in words) for word in said.split())


def test_pages_hold_the_same_as_the_tall_sheet_and_every_text_lies_inside(name: str) -> None:
    for make, whole in ((tracks_pages, tracks_of(name)), (circuit_sheets, alone_of(name))):
        pages = make(machine(name), stacked=False)
        wide, high = pages.form.width_mm, pages.form.height_mm
        assert reading.page(whole) == (wide, high * len(pages.markup))
        together: Counter[str] = Counter()
        for markup in pages.markup:
            boxes = reading.texts(svg_of(machine(name), type(pages)(pages.form, [markup], "", "")))
            together.update(box.text for box in boxes)
            for box in boxes:
                assert 8 <= box.left <= box.right <= wide - 8, box.text  # the frame stands 8 mm in
                assert 8 <= box.top <= box.low <= high - 8, box.text
        assert together == Counter(box.text for box in reading.texts(whole))


def test_type_is_not_too_small_to_read(name: str) -> None:
    for svg in (tracks_of(name), alone_of(name)):
        sizes = [float(text.attrib["font-size"]) for text in reading.root(svg).iter(f"{reading.SVG}text")]
        assert min(sizes) >= 1.4


def test_sizes_on_paper_are_in_millimetres(name: str) -> None:
    for svg in (tracks_of(name), alone_of(name)):
        root, (wide, high) = reading.root(svg), reading.page(svg)
        assert (root.attrib["width"], root.attrib["height"]) == (f"{wide:g}mm", f"{high:g}mm")


@pytest.fixture(scope="module")
def design() -> Design:
    """The machine made by hand."""
    return medium().build()


@pytest.mark.parametrize("make", BOTH)
def test_assumed_values_are_marked_and_measured_ones_are_not(make: object, design: Design) -> None:
    svg = make(design)  # type: ignore[operator]
    assert "~4.6 A" in _group(svg, "part", "horn")
    assert "~" not in _group(svg, "part", "left head lamp")


def test_the_mark_of_what_is_assumed_is_explained(design: Design) -> None:
    assert "~ before a value" in " ".join(box.text for box in reading.texts(tracks_svg(design)))


@pytest.mark.parametrize("make", BOTH)
def test_a_kept_wire_is_broken_up_and_every_wire_has_a_dark_edge(make: object, design: Design) -> None:
    groups = reading.groups(make(design), "wire")  # type: ignore[operator]
    dashed = set()
    for group in groups:
        edge, base, *_ = group.findall(f"{reading.SVG}polyline")
        assert edge.attrib["stroke"] == "#1b1b1b"
        assert float(edge.attrib["stroke-width"]) > float(base.attrib["stroke-width"])
        if edge.get("stroke-dasharray"):
            dashed.add(group.attrib["data-wire"])
    assert dashed == {"1"}


@pytest.mark.parametrize("make", BOTH)
def test_peak_currents_are_told_with_their_time(make: object, design: Design) -> None:
    assert "at first 36 A for 0.5 s" in _group(make(design), "part", "stop solenoid")  # type: ignore[operator]


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
    (coil,), (contact,) = _sheets(svg, "Coil side"), _sheets(svg, "Lamp side")
    assert "contact: Lamp side" in _said(coil)
    assert "coil: Coil side" in _said(contact)


def test_a_true_circle_loses_no_wire() -> None:
    b = Builder()
    for name in ("A", "B"):
        b.part(name, "switch", "dash")
    b.circuit("Round", "A 1/2 > B 1/2", "B 1/2 > A 1/2")
    for make in BOTH:
        assert {each.attrib["data-wire"] for each in reading.groups(make(b.build()), "wire")} == {"1", "2"}


def test_a_part_on_no_wire_is_named() -> None:
    b = medium()
    b.part("spare lamp", "lamp", "dash")
    assert "spare lamp dash on no wire" in _group(tracks_svg(b.build()), "index", "spare lamp")


def test_a_machine_without_wires_can_be_drawn() -> None:
    for make in BOTH:
        assert reading.groups(make(Builder("Bare machine").build()), "wire") == []


def test_a_circuit_too_long_for_its_paper_goes_on() -> None:
    b = Builder()
    b.part("battery", "battery", "box")
    for number in range(40):
        b.part(f"switch {number}", "switch", "dash")
    b.circuit("Chain", "battery + > " + " > ".join(f"switch {number} 1/2" for number in range(40)))
    for make in BOTH:
        svg = make(b.build())
        assert len(reading.groups(svg, "wire")) == 40
        assert list(reading.overlapping_texts(svg)) == []
