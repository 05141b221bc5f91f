"""Nothing is lost or counted twice between wires, lists, buying, workbook and drawings, whatever the machine.

Each count is taken anew from the wires, runs and parts of the design, never from the list it is held against.
"""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import cache
from math import isclose
from typing import TypeVar

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings

from harness.book.workbook import workbook_bytes
from harness.drawing.loom import loom_svg
from harness.drawing.tracks.sheets import tracks_svg
from harness.lists.cutlist import cut_list
from harness.lists.hookup import hook_up
from harness.model.buying import Purchase
from harness.model.design import Design, Point, Wire, WireEnd
from harness.pipeline import design as design_of
from harness.survey import read
from tests.drawing import reading
from tests.properties.machines import surveys
from tests.samples import made as samples

SAMPLES = ("pump", "orchard", "roller", "grader")
CALM = settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow])
FEW = settings(max_examples=6, suppress_health_check=[HealthCheck.too_slow])
FITTED = ("wire seal", "sealing plug")  # in the group of terminals, but on no wire's metal


@cache
def sample(name: str) -> Design:
    return samples.design(name)


def any_design(text: str) -> Design:
    return design_of(read("any.yaml", text=text))


def new_wires(design: Design) -> list[Wire]:
    return [wire for wire in (*design.wires, *design.spares) if not wire.kept]


def new_ends(design: Design) -> Iterator[tuple[Wire, Point, WireEnd]]:
    for wire in new_wires(design):
        yield wire, wire.from_, wire.from_end
        yield wire, wire.to, wire.to_end


def blamed(design: Design) -> set[str]:
    return {finding.subject for finding in design.findings}


# ------------------------------------------------------------------------------------------- the checks


def check_ends(design: Design) -> None:
    """Each end is crimped once, or capped once; ends in one barrel have one end that brings it."""
    barrels: defaultdict[tuple[str, str], list[bool]] = defaultdict(list)
    for wire, point, end in new_ends(design):
        crimped = sum(step.split()[0] == "crimp" for step in end.threading)
        capped = end.threading.count("cut flush")
        named = wire.number in blamed(design)
        assert crimped + capped == 1 or (crimped + capped == 0 and named), (wire.number, point, end)
        assert not (point.kind == "splice" and end.terminal), (wire.number, "a terminal inside a splice")
        if crimped and point.kind == "part":
            barrels[point.part, point.terminal].append(bool(end.terminal))
    assert all(any(brought) for brought in barrels.values())
    for splice in design.splices:
        joined = {wire.number for wire in new_wires(design)} & set(splice.wires)
        assert splice.fitting or not joined or {splice.name, *splice.wires} & blamed(design)


def check_terminals(design: Design) -> None:
    """What is crimped is what is bought, one for one."""
    bought = sum(
        line.quantity
        for line in design.materials
        if line.group in ("terminals", "splices") and not line.item.startswith(FITTED)
    )
    new = {wire.number for wire in new_wires(design)}
    own = sum(bool(end.terminal) for _, _, end in new_ends(design))
    assert bought == own + sum(bool(splice.fitting and new & set(splice.wires)) for splice in design.splices)


def check_holes(design: Design) -> None:
    """Each hole that something passes has a grommet or other lining, or a finding says why not."""
    grommets = [run for run in design.runs if run.grommet]
    for run in design.runs:
        if run.hole_mm is not None and (run.wires or run.spares):
            lined = run.grommet or any(trim.over == "hole" for trim in run.trims)
            assert lined or run.name in blamed(design), run.name
        assert run.hole_mm is not None or not run.grommet
    lines = [line for line in design.materials if line.group == "grommets"]
    counted = sum(line.quantity for line in lines if line.unit == "each")  # edge trim is sold by the metre
    assert counted == len(grommets)


def check_cutting(design: Design) -> None:
    """Every piece comes off one roll, whole and once; what is cut and left is what is bought."""
    wanted: defaultdict[str, list[tuple[str, float]]] = defaultdict(list)
    for wire in new_wires(design):
        wanted["wire"].append((wire.number, wire.length_m))
    for wire, _, end in new_ends(design):
        if end.shrink:
            wanted["heat-shrink"].append((wire.number, end.shrink_mm / 1000))
    new = {wire.number for wire in new_wires(design)}
    for splice in design.splices:
        if splice.shrink and new & set(splice.wires):
            wanted["heat-shrink"].append((splice.name, splice.shrink_mm / 1000))
    for run in design.runs:
        if run.stretch is not None:
            wanted["heat-shrink"].append((run.name, run.stretch.cut_mm / 1000))
    for group, pieces in wanted.items():
        lines = [line for line in design.buying if line.group == group and not line.note]
        cut = [(piece.name, piece.length_m) for line in lines for each in line.cuts for piece in each.pieces]
        too_long = sum(line.need for line in design.buying if line.group == group and line.note)
        if not too_long:
            assert Counter(cut) == Counter(pieces), group
        assert isclose(sum(m for _, m in pieces), sum(m for _, m in cut) + too_long, abs_tol=1e-6)
        for line in lines:
            taken = sum(piece.length_m for each in line.cuts for piece in each.pieces)
            assert isclose(line.need, taken, abs_tol=1e-6)
            for each in line.cuts:
                used = sum(piece.length_m for piece in each.pieces)
                assert used + each.left_m <= each.length_m + 1e-6
                assert used + each.left_m >= each.length_m - 1e-4 * len(each.pieces) - 1e-6  # in 0.1 mm marks
            assert isclose(line.bought, sum(lot.amount * lot.count for lot in line.lots), abs_tol=1e-6)
            assert isclose(line.bought, sum(each.length_m for each in line.cuts), abs_tol=1e-6)


def check_places_of_use(design: Design) -> None:
    """No material without a place it is used, and every such place is one of the machine."""
    known = {wire.number for wire in new_wires(design)} | {run.name for run in design.runs}
    known |= {part.name for part in design.parts} | {splice.name for splice in design.splices}
    known |= {coupler.name for coupler in design.couplers} | {fuse.name for fuse in design.fuses}
    for line in design.materials:
        assert line.used_on, line.item
        assert line.quantity > 0
        assert set(line.used_on) <= known, (line.item, set(line.used_on) - known)
        assert line.with_waste >= line.quantity - 1e-9


def check_lists(design: Design) -> None:
    """Cut list, hook-up, pin lists and ties say the same of every wire and run."""
    new = [wire.number for wire in new_wires(design)]
    assert sorted(line.number for spool in cut_list(design) for line in spool.lines) == sorted(new)
    landed = Counter(
        each.number for part in hook_up(design) for terminal in part.terminals for each in terminal.landings
    )
    assert landed == {wire.number: 2 for wire in design.wires}
    ends = {
        (point.part, point.terminal): wire.number
        for wire in design.wires
        for point in (wire.from_, wire.to)
        if point.kind == "part"
    }
    for coupler in design.couplers:
        for way in coupler.ways:
            for half, number in (("A", way.wire_a), ("B", way.wire_b)):
                assert number == ends.get((coupler.name, f"{way.way}{half}"), ""), (coupler.name, way.way)
    for group, count in (
        ("ties", sum(run.ties for run in design.runs if run.tie)),
        ("clamps", sum(run.clamps for run in design.runs if run.clamp)),
        ("labels", sum(bool(end.label) for _, _, end in new_ends(design))),
    ):
        lines = [line for line in design.materials if line.group == group]
        counted = sum(line.quantity for line in lines if not line.item.endswith("for clamps"))  # their bolts
        assert counted == count, group


def check_workbook(design: Design) -> None:
    """The sheets hold every wire, run, piece and material with its count."""
    book = openpyxl.load_workbook(io.BytesIO(workbook_bytes(design)), read_only=True)

    def column(sheet: str, title: str) -> list[object]:
        first, *rows = book[sheet].iter_rows(values_only=True)
        return [row[first.index(title)] for row in rows]

    assert column("Wires", "Wire") == [wire.number for wire in design.wires]
    assert [name for name in column("Runs", "Run") if name] == [run.name for run in design.runs]
    numbers = {wire.number for wire in new_wires(design)}
    ticked = [
        name
        for name, tick in zip(column("Cut list", "Wire"), column("Cut list", "Cut"), strict=True)
        if tick == "☐"
    ]
    assert Counter(ticked) == Counter(numbers)
    wanted = [line.quantity for line in design.materials]
    found = [each for each in column("Materials", "Needed") if isinstance(each, int | float)]
    assert len(found) == len(wanted)
    assert all(isclose(a, b, rel_tol=1e-3, abs_tol=1e-3) for a, b in zip(found, wanted, strict=True))
    inside = dict(zip(column("Runs", "Run"), column("Runs", "Wires in it"), strict=True))
    for run in design.runs:
        listed = [name for name in str(inside[run.name] or "").split(", ") if name]
        assert listed == [*run.wires, *run.spares]


def check_drawings(design: Design) -> None:
    """Every wire is drawn once among the tracks and stands in its runs; each hole and spare is told."""
    tracks, loom = tracks_svg(design), loom_svg(design)
    drawn = Counter(each.attrib["data-wire"] for each in reading.groups(tracks, "wire"))
    assert drawn == Counter(wire.number for wire in design.wires)
    inside: defaultdict[str, set[str]] = defaultdict(set)
    for wire in design.wires:
        for name in wire.runs:
            inside[name].add(wire.number)
    groups: defaultdict[str, list[ET.Element]] = defaultdict(list)  # as drawn, and its row where it has one
    for each in reading.groups(loom, "run"):
        groups[each.attrib["data-run"]].append(each)
    for run in design.runs:
        (drawn_run,) = (each for each in groups[run.name] if "data-drawn" in each.attrib)
        assert set(drawn_run.attrib["data-wires"].split()) == inside[run.name]
        words = " ".join(
            "".join(each.itertext())
            for group in groups[run.name]
            for each in group.iter(f"{reading.SVG}text")
        )
        lined = f"hole ø{run.hole_mm:g}" if run.hole_mm is not None else ""
        assert lined in words
        trimmed = any(trim.over == "hole" for trim in run.trims)
        assert ("edge trim" in words) == trimmed
        assert ("grommet" in words) == (run.hole_mm is not None and not trimmed)
        assert ("no grommet" in words) == (run.hole_mm is not None and not trimmed and not run.grommet)
        if run.spares:
            assert f"{len(run.spares)} spare" in words
    ends = Counter(each.attrib["data-spare"] for each in reading.groups(loom, "spare"))
    assert ends == {wire.number: 2 for wire in design.spares}


LISTS = (check_ends, check_terminals, check_holes, check_cutting, check_places_of_use, check_lists)


@pytest.mark.parametrize("name", SAMPLES)
@pytest.mark.parametrize("check", (*LISTS, check_workbook, check_drawings), ids=lambda each: each.__name__)
def test_samples(name: str, check: Callable[[Design], None]) -> None:
    check(sample(name))


@given(surveys())
@CALM
def test_lists_of_any_machine(text: str) -> None:
    design = any_design(text)
    for check in LISTS:
        check(design)


@given(surveys())
@FEW
def test_workbook_and_drawings_of_any_machine(text: str) -> None:
    design = any_design(text)
    check_workbook(design)
    check_drawings(design)


# --------------------------------------------------------------------------- each check can fail

T = TypeVar("T")


def first(items: Sequence[T], wanted: Callable[[T], object], change: Callable[[T], T]) -> list[T]:
    """The items with the first that is wanted changed; there must be one."""
    at = next(index for index, each in enumerate(items) if wanted(each))
    return [change(each) if index == at else each for index, each in enumerate(items)]


def _end_forgotten(design: Design) -> Design:
    def bare(wire: Wire) -> Wire:
        return replace(wire, from_end=replace(wire.from_end, threading=[]))

    calm = replace(design, findings=[])
    return replace(calm, wires=first(calm.wires, lambda wire: not wire.kept, bare))


def _terminal_not_bought(design: Design) -> Design:
    lines = design.materials
    return replace(design, materials=[line for line in lines if line.group != "terminals"])


def _bare_hole(design: Design) -> Design:
    runs = first(design.runs, lambda run: run.grommet, lambda run: replace(run, grommet=""))
    return replace(design, runs=runs)


def _piece_not_cut(design: Design) -> Design:
    def less(line: Purchase) -> Purchase:
        return replace(line, cuts=first(line.cuts, lambda _: True, lambda cut: replace(cut, pieces=[])))

    return replace(design, buying=first(design.buying, lambda line: line.group == "wire", less))


def _used_nowhere(design: Design) -> Design:
    return replace(
        design, materials=first(design.materials, lambda _: True, lambda line: replace(line, used_on=[]))
    )


def _tie_more(design: Design) -> Design:
    runs = first(design.runs, lambda run: run.ties, lambda run: replace(run, ties=run.ties + 1))
    return replace(design, runs=runs)


def _run_forgets_a_wire(design: Design) -> Design:
    runs = first(design.runs, lambda run: run.wires, lambda run: replace(run, wires=run.wires[1:]))
    return replace(design, runs=runs)


@pytest.mark.parametrize(
    ("check", "damage"),
    [
        (check_ends, _end_forgotten),
        (check_terminals, _terminal_not_bought),
        (check_holes, _bare_hole),
        (check_cutting, _piece_not_cut),
        (check_places_of_use, _used_nowhere),
        (check_lists, _tie_more),
        (check_drawings, _run_forgets_a_wire),
    ],
)
def test_a_damaged_design_is_found_out(
    check: Callable[[Design], None], damage: Callable[[Design], Design]
) -> None:
    with pytest.raises(AssertionError):
        check(damage(sample("roller")))
