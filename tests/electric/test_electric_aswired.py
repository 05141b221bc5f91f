"""A wire that is in the machine already stays as it is where that will do, and nothing dearer is changed."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harness.electric.aswired import as_wired, wire_name
from harness.electric.optimum import Choice, pick_sizes
from harness.electric.program import DropLimit
from harness.model.accepted import Accepted
from harness.model.design import Design
from harness.model.machine import Machine
from harness.pipeline import designed
from harness.survey import read
from tests.docs.pages import ROOT
from tests.electric.machines import SMALL
from tests.electric.test_electric_optimum import programs
from tests.published.recorder import beside


def _holding(machine: Machine, wired: dict[str, str]) -> Machine:
    return replace(machine, accepted=Accepted(wired=wired, file="c.yaml", digest="0"))


def _kept(machine: Machine) -> tuple[dict[str, str], Design]:
    """The sizes of a design by the ends of its wires, and the design."""
    cut, design = designed(machine)
    return {
        wire_name(spec.a, spec.b): f"{wire.cable} {wire.size}"
        for spec, wire in zip(cut.wires, design.wires, strict=True)
        if not wire.kept
    }, design


def _small(old: str = "", new: str = "") -> Machine:
    assert old in SMALL
    return read("bench.yaml", text=SMALL.replace(old, new) if old else SMALL)


@beside("every case", "sizes of least new wire")
@settings(max_examples=60, deadline=None)
@given(programs(), st.lists(st.integers(0, 4), min_size=5, max_size=5))
def test_no_combination_needs_less_new_wire(
    program: tuple[list[DropLimit], dict[int, list[Choice]]], there: list[int]
) -> None:
    """Against every combination: what is there costs nothing, all else its copper."""
    limits, plain = program
    choices = {
        wire: [replace(one, cost=0.0) if at == there[wire] else one for at, one in enumerate(own)]
        for wire, own in plain.items()
    }

    def meets(at: dict[int, int]) -> bool:
        return all(
            sum(amps * choices[wire][at[wire]].ohm for wire, amps in limit.share_a.items()) <= limit.left_v
            for limit in limits
        )

    every = (dict(zip(choices, one, strict=True)) for one in product(range(5), repeat=len(choices)))
    good = [sum(choices[wire][at].cost for wire, at in one.items()) for one in every if meets(one)]
    if good:
        picked = pick_sizes(limits, choices)
        assert meets(dict(picked.at))
        assert picked.cost == pytest.approx(min(good), rel=1e-6, abs=1e-12)


@pytest.mark.parametrize("name", ["pump", "orchard"])
def test_a_machine_wired_as_designed_stays_as_it_is(name: str) -> None:
    machine = read(ROOT / "samples" / f"{name}.yaml")
    wired, design = _kept(machine)
    again, held = _kept(_holding(machine, wired))
    assert again == wired
    assert all("as wired" in [limit.name for limit in wire.limits] for wire in held.wires if not wire.kept)
    assert [finding.rule for finding in held.findings] == [finding.rule for finding in design.findings]


def test_thicker_wires_stay_and_too_thin_ones_go() -> None:
    """12 AWG goes onto a 6.3 mm blade, 8 AWG does not (common practice); GXL begins at 20 (SAE J1128)."""
    wired, design = _kept(_small())
    assert set(wired.values()) - {"GXL 12 AWG", "GXL 20 AWG"}
    thick = dict.fromkeys(wired, "GXL 12 AWG")
    assert _kept(_holding(_small(), thick))[0] == thick
    unfit = _kept(_holding(_small(), dict.fromkeys(wired, "GXL 8 AWG")))[0]
    assert unfit["S1 > left lamp +"] != "GXL 8 AWG"
    thin = dict.fromkeys(wired, "GXL 20 AWG")
    after, held = _kept(_holding(_small(), thin))
    for was, now in zip(design.wires, held.wires, strict=True):
        needs = max(limit.least_area_mm2 or 0.0 for limit in was.limits if limit.name != "drop")
        assert now.area_mm2 >= needs - 1e-9
    assert not [finding for finding in held.findings if finding.severity in ("danger", "fault")]
    assert after != thin


def test_more_load_changes_only_what_must_grow() -> None:
    """55 W to 100 W at the left lamp: anew, wires are chosen together; held, none gets thinner."""
    wired, _ = _kept(_small())
    machine = _small("left lamp: {is: work lamp, at: lamp post, power: 55 W}",
                     "left lamp: {is: work lamp, at: lamp post, power: 100 W}")  # fmt: skip
    held = _kept(_holding(machine, wired))[1]
    anew = _kept(machine)[1]
    old = {wire_name(wire.from_, wire.to): wire for wire in _kept(_small())[1].wires}
    grown = [wire for wire in held.wires if wire.area_mm2 != old[wire_name(wire.from_, wire.to)].area_mm2]
    assert grown and all(wire.area_mm2 > old[wire_name(wire.from_, wire.to)].area_mm2 for wire in grown)

    def new_copper(design: Design) -> float:
        return sum(
            wire.area_mm2 * (wire.length_m + 0.2)
            for wire in design.wires
            if wire.area_mm2 != old[wire_name(wire.from_, wire.to)].area_mm2
        )

    assert new_copper(held) <= new_copper(anew) + 1e-9
    assert not [finding for finding in held.findings if finding.severity in ("danger", "fault")]


def test_lines_are_found_whatever_end_is_first_and_whatever_splices_are_called() -> None:
    machine = _small()
    names = [(str(spec.a), str(spec.b)) for spec in machine.wires]
    assert ("S1", "left lamp +") in names
    turned = {wire_name(b, a): "GXL 8 AWG" for a, b in names}
    assert as_wired(_holding(machine, turned)).sizes.keys() == {spec.index for spec in machine.wires}
    called = {wire_name(a, b).replace("S1", "S9"): "GXL 8 AWG" for a, b in names}
    found = as_wired(_holding(machine, called))
    assert found.sizes.keys() == {spec.index for spec in machine.wires} and not found.left


def test_lines_of_no_wire_and_of_another_cable_hold_nothing_and_are_told() -> None:
    found = as_wired(_holding(_small(), {"left lamp + > moon": "GXL 8 AWG", "F1 2 > switch 1": "TXL 8 AWG"}))
    assert not found.sizes
    assert found.left == ("left lamp + > moon",)
    design = designed(_holding(_small(), {"left lamp + > moon": "GXL 8 AWG"}))[1]
    assert "no wire goes left lamp + > moon any more" in design.machine.choices
