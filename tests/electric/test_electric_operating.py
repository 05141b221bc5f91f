"""The operating point: laws by hand, balance of currents and power, collapse, dimming."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harness.electric.laws import Draw, Giver
from harness.electric.network import Branch
from harness.electric.operating import Model, OperatingPoint, operating_point


def bench(draws: list[Draw], givers: list[Giver], *more: Branch) -> OperatingPoint:
    """Loads and sources on a shared feed of 0.1 ohm: source "post", loads at "load", chassis "0"."""
    branches = (Branch("post", "load", 0.1), *more)
    keys = tuple(range(len(branches)))
    return operating_point(Model("bench", "0", branches, keys, tuple(givers), tuple(draws)))


STIFF = Giver("battery", "post", "0", 12.0, 1e-6, None, False)


@st.composite
def machines(draw: st.DrawFn) -> Model:
    """A feed tree from the post out and a return tree from the chassis, loads of every law between them."""
    count = draw(st.integers(2, 6))
    ohms = st.floats(0.002, 0.05)
    outs: list[Hashable] = [f"out {at}" for at in range(count)]
    homes: list[Hashable] = [f"home {at}" for at in range(count)]
    branches = [
        Branch(side[draw(st.integers(0, at - 1))], side[at], draw(ohms))
        for side in (outs, homes)
        for at in range(1, count)
    ]
    laws = draw(st.lists(st.sampled_from(["lamp", "resistance", "power", "current"]), min_size=1, max_size=6))
    at = st.integers(0, count - 1)
    draws = [
        Draw(f"load {number}", outs[draw(at)], homes[draw(at)], law, draw(st.floats(0.1, 8)), 12.0)
        for number, law in enumerate(laws)
    ]
    running = draw(st.booleans())
    takes = draw(st.floats(0.05, 0.6)) if running else None  # 18 A and up per 100 Ah, down to 2 A
    givers = [Giver("battery", outs[0], homes[0], 12.4, draw(st.floats(0.005, 0.03)), None, running, takes)]
    if running:
        spot = draw(at)
        givers.append(Giver("alternator", outs[spot], homes[spot], 13.8, 1e-3, draw(st.floats(1, 40)), True))
    return Model("drawn", homes[0], tuple(branches), tuple(range(len(branches))), tuple(givers), tuple(draws))


def sums_at_nodes(model: Model, point: OperatingPoint) -> dict[Hashable, float]:
    into: dict[Hashable, float] = defaultdict(float)
    for key, branch in zip(model.keys, model.branches, strict=True):
        into[branch.a] -= point.edge_a[key]
        into[branch.b] += point.edge_a[key]
    for draw in model.draws:
        into[draw.a] -= point.draw_a[draw.name]
        into[draw.b] += point.draw_a[draw.name]
    for giver in model.givers:
        into[giver.a] += point.giver_a[giver.name]
        into[giver.b] -= point.giver_a[giver.name]
    return into


@settings(max_examples=40, deadline=None)
@given(machines())
def test_currents_sum_to_zero_and_power_balances(model: Model) -> None:
    point = operating_point(model)
    assert point.settled
    assert all(abs(rest) < 1e-4 for rest in sums_at_nodes(model, point).values())
    lost = sum(
        point.edge_a[key] ** 2 * branch.ohm for key, branch in zip(model.keys, model.branches, strict=True)
    )
    taken = sum(point.draw_a[name] * point.draw_v[name] for name in point.draw_a)
    given_w = sum(
        point.giver_a[each.name] * (point.volts[each.a] - point.volts[each.b]) for each in model.givers
    )
    assert given_w == pytest.approx(lost + taken, rel=1e-4, abs=1e-3)


def test_a_filament_takes_eight_percent_more_at_the_volts_of_charging() -> None:
    """Trade figure (memory): about 8 % more current at 13.8 V than at 12 V."""
    assert Draw("lamp", 0, 1, "lamp", 4.6, 12.0).amps(13.8) / 4.6 == pytest.approx(1.08, abs=0.002)


def test_constant_power_takes_the_upper_root() -> None:
    """12 V behind 0.1 ohm, 60 W: V^2 - 12 V + 6 = 0, so V = 6 + sqrt(30) = 11.4772 V."""
    point = bench([Draw("radio", "load", "0", "power", 5.0, 12.0)], [STIFF])
    assert point.draw_v["radio"] == pytest.approx(11.4772, abs=1e-3)
    assert point.settled and not point.collapsed


def test_a_heater_is_a_resistance() -> None:
    """12 V behind 0.1 ohm and 12 V / 10 A = 1.2 ohm: 12 / 1.3 = 9.2308 A."""
    point = bench([Draw("heater", "load", "0", "resistance", 10.0, 12.0)], [STIFF])
    assert point.draw_a["heater"] == pytest.approx(9.2308, abs=1e-3)


def test_power_that_the_feed_cannot_carry_collapses_by_name() -> None:
    """Through 0.1 ohm 12 V can give 12^2 / 0.4 = 360 W at most; 480 W are asked."""
    point = bench([Draw("module", "load", "0", "power", 40.0, 12.0)], [STIFF])
    assert point.collapsed == ("module",)


def test_just_below_that_it_holds() -> None:
    """320 W: V = 6 + sqrt(36 - 32) = 8 V, above half of 12 V."""
    point = bench([Draw("module", "load", "0", "power", 320 / 12, 12.0)], [STIFF])
    assert point.settled and not point.collapsed
    assert point.draw_v["module"] == pytest.approx(8.0, abs=1e-3)


def test_a_motor_beyond_the_feed_collapses() -> None:
    """150 A through 0.1 ohm would take 15 of 12 V."""
    assert bench([Draw("winch", "load", "0", "current", 150.0, 12.0)], [STIFF]).collapsed == ("winch",)


def test_a_lamp_dims_when_another_comes_on_at_the_shared_feed() -> None:
    first = Draw("left", "load", "0", "lamp", 4.6, 12.0)
    alone = bench([first], [STIFF])
    both = bench([first, Draw("right", "load", "0", "lamp", 4.6, 12.0)], [STIFF])
    assert both.draw_v["left"] < alone.draw_v["left"] - 0.3
    assert both.draw_a["left"] < alone.draw_a["left"]


def test_beyond_its_limit_the_alternator_lets_the_battery_help() -> None:
    """30 A asked, 20 A from the alternator: the battery gives 10 A, at 12.4 - 10 x 0.01 = 12.3 V."""
    battery = Giver("battery", "post", "0", 12.4, 0.01, None, True)
    alternator = Giver("alternator", "post", "0", 13.8, 1e-3, 20.0, True)
    point = bench([Draw("pump", "load", "0", "current", 30.0, 12.0)], [battery, alternator])
    assert point.giver_a["alternator"] == pytest.approx(20.0)
    assert point.giver_a["battery"] == pytest.approx(10.0, abs=1e-6)
    assert point.volts["post"] == pytest.approx(12.3, abs=1e-6)


def test_within_its_limit_the_alternator_carries_everything() -> None:
    """10 A at 13.8 V behind 1 mohm: 13.79 V; the battery takes a leak."""
    battery = Giver("battery", "post", "0", 12.4, 0.01, None, True)
    alternator = Giver("alternator", "post", "0", 13.8, 1e-3, 20.0, True)
    point = bench([Draw("pump", "load", "0", "current", 10.0, 12.0)], [battery, alternator])
    assert point.volts["post"] == pytest.approx(13.79, abs=1e-4)
    assert -0.01 < point.giver_a["battery"] < 0


def test_a_battery_being_charged_pulls_the_volts_down_to_what_the_alternator_can_give() -> None:
    """12.4 V behind 0.1 ohm taking charge, 20 A from the alternator, 15 A drawn: 5 A x 0.1 ohm = 12.9 V."""
    battery = Giver("battery", "post", "0", 12.4, 0.005, None, True, 0.1)
    alternator = Giver("alternator", "post", "0", 13.8, 1e-3, 20.0, True)
    point = bench([Draw("pump", "load", "0", "current", 15.0, 12.0)], [battery, alternator])
    assert point.giver_a["battery"] == pytest.approx(-5.0, abs=1e-4)
    assert point.volts["post"] == pytest.approx(12.9, abs=1e-4)


def test_with_ample_output_it_takes_what_its_own_resistance_lets_in() -> None:
    """(13.8 - 12.4) V over 0.1 ohm and the regulator's 1 mohm: 13.86 A, and 100 A could be had."""
    battery = Giver("battery", "post", "0", 12.4, 0.005, None, True, 0.1)
    alternator = Giver("alternator", "post", "0", 13.8, 1e-3, 100.0, True)
    point = bench([Draw("lamp", "load", "0", "current", 1e-9, 12.0)], [battery, alternator])
    assert point.giver_a["battery"] == pytest.approx(-1.4 / 0.101, abs=1e-4)


def test_at_a_standstill_of_its_dynamo_the_battery_feeds_everything() -> None:
    """No output at idle: 5 A from 6.2 V behind 10 mohm leave 6.15 V."""
    battery = Giver("battery", "post", "0", 6.2, 0.01, None, True, 0.1)
    dynamo = Giver("dynamo", "post", "0", 6.9, 1e-3, 0.0, True)
    point = bench([Draw("coil", "load", "0", "current", 5.0, 6.0)], [battery, dynamo])
    assert point.giver_a == pytest.approx({"battery": 5.0, "dynamo": 0.0}, abs=1e-6)
    assert point.volts["post"] == pytest.approx(6.15, abs=1e-6)


@pytest.mark.parametrize("off_v", [-1e-11, 0.0, 1e-11])
def test_a_source_with_nothing_on_it_is_on_one_piece_whichever_way_its_volts_round(off_v: float) -> None:
    """With no current a source stands at its own volts (Ohm's law); a solve rounds them."""
    converter = Giver("converter", "+", "0", 13.8, 0.05, 7.0, True)
    assert converter.state(13.8 + off_v) == "holds"
    assert converter.state(13.9) == "idle"
