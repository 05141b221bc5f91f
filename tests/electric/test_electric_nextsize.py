"""What the next size down is said to break does break when it is put in, and nothing else does."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from harness.model.design import Design, Wire
from harness.model.machine import Machine
from harness.pipeline import design
from harness.survey import read

SAMPLES = Path(__file__).parents[2] / "samples"


@cache
def _machine(name: str) -> Machine:
    return read(f"{name}.yaml", text=(SAMPLES / f"{name}.yaml").read_bytes())


@cache
def _designed(name: str) -> Design:
    return design(_machine(name))


def _with_thinner(name: str, at: int) -> Design:
    """The sample with every size given as it came out, but one wire a size thinner."""
    found = _designed(name)
    down = found.wires[at].next_down
    assert down is not None
    sizes = [down.size if index == at else wire.size for index, wire in enumerate(found.wires)]
    wires = tuple(replace(spec, size=size) for spec, size in zip(_machine(name).wires, sizes, strict=True))
    return design(replace(_machine(name), wires=wires))


def _broken(wire: Wire) -> set[str]:
    """Limits of a wire's own that its size does not meet."""
    return {
        limit.name
        for limit in wire.limits
        if limit.name not in ("survey", "drop")
        and (limit.least_area_mm2 is None or limit.least_area_mm2 > wire.area_mm2 + 1e-9)
    }


@pytest.mark.parametrize(
    ("name", "at"), [("pump", at) for at in range(14)] + [("orchard", at) for at in range(0, 21, 3)]
)
def test_a_thinner_wire_breaks_what_it_is_said_to(name: str, at: int) -> None:
    """The whole machine solved anew with that one wire thinner: same limits broken, same loads starved."""
    wire = _designed(name).wires[at]
    down = wire.next_down
    assert down is not None
    if not down.size:
        assert down.note
        return
    assert down.breaks or down.note
    thin = _with_thinner(name, at)
    assert thin.wires[at].size == down.size
    assert {one.limit for one in down.breaks if one.limit != "drop"} == _broken(thin.wires[at])
    on_it = {(load.load, load.link) for load in wire.loads}
    starved = [one for one in down.breaks if one.limit == "drop"]
    said = {(one.load, one.link): one.value for one in starved if "side)" not in one.text}
    sides = {(one.load, one.link) for one in starved if "side)" in one.text}
    assert set(said) | sides <= on_it
    for load in thin.loads:
        worst = max((volts.judged_v for volts in load.modes), default=0.0)
        peak = load.peak_drop_v if load.peak_allowance_v is not None else None
        over = worst > load.allowance_v + 1e-6 or (peak or 0.0) > (load.peak_allowance_v or 1e9) + 1e-6
        key = (load.part, load.link)
        if key in said:
            assert any(value == pytest.approx(said[key], rel=2e-3) for value in (worst, peak or 0.0))
        elif key in on_it - sides:
            assert not over, load.part


def test_the_slack_of_a_load_is_its_allowance_less_its_drop() -> None:
    found = _designed("pump")
    results = {(load.part, load.link): load for load in found.loads}
    steady = [(wire, load) for wire in found.wires for load in wire.loads if not (load.at_peak or load.side)]
    assert steady
    for _, load in steady:
        volts = next(one for one in results[load.load, load.link].modes if one.mode == load.mode)
        assert load.drop_v == pytest.approx(volts.judged_v, abs=1e-6)
        assert load.slack_v == pytest.approx(load.allowed_v - volts.judged_v, abs=1e-6)


def test_the_wires_on_a_load_s_way_lose_less_than_it_loses_in_all() -> None:
    found = _designed("pump")
    for key in {(load.load, load.link) for wire in found.wires for load in wire.loads}:
        on_way = [
            load
            for wire in found.wires
            for load in wire.loads
            if (load.load, load.link) == key and not (load.at_peak or load.side)
        ]
        modes = {load.mode for load in on_way}
        for mode in modes:
            same = [load for load in on_way if load.mode == mode]
            assert sum(load.here_v for load in same) <= same[0].drop_v + 1e-9
