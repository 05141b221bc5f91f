"""The fault network: parallel feeds and batteries, returns, converters, against a plain solve."""

from __future__ import annotations

import numpy as np
import pytest

from harness.electric.faults import Study
from harness.electric.graph import Node
from harness.electric.network import Branch, Network
from harness.electric.ruleset import rule_set
from harness.electric.selectivity import fuse_curves
from harness.electric.shorts import Shorts
from harness.electric.sizing import Sizing, size_machine
from harness.loom.routing import route
from harness.model.machine import Machine
from harness.pipeline import design
from harness.survey import read
from tests.benchmarks.machines import survey
from tests.published.recorder import beside

TWO_WAYS = """
machine: {name: bench, voltage: 12 V, chassis post: negative, cable: GXL, sizes: AWG, slack: 0 %}
zones: {cool: {ambient: 25 °C}}
runs:
  - {from: box, to: post, length: 5 m, zone: cool}
parts:
  battery: {is: battery, at: box, capacity: 70 Ah, cranking: 540 A}
  F1: {is: fuse, at: box, rating: 10 A}
  F2: {is: fuse, at: box, rating: 10 A}
  stud: {is: terminal stud, at: post}
  lamp: {is: work lamp, at: post, power: 55 W}
  box ground: {is: ground point, at: box, on: frame}
  post ground: {is: ground point, at: post, on: frame}
circuits:
  Ground: {paths: [frame > battery -]}
  Lamp: {paths: [battery + > F1 > stud > lamp > frame, battery + > F2 > stud]}
wires:
  F1 > stud: {size: 14 AWG}
  F2 > stud: {size: 14 AWG}
"""


ONE_WAY = TWO_WAYS.replace(", battery + > F2 > stud]", "]").replace("  F2 > stud: {size: 14 AWG}\n", "")


def _sized(text: str) -> tuple[Machine, Sizing]:
    machine = read("bench.yaml", text=text)
    return machine, size_machine(machine, route(machine), rule_set(machine.rules, machine.cable))


def _plain_ohm(shorts: Shorts, a: Node, b: Node) -> float:
    """Resistance between two points of the whole network by a dense solve, nothing stripped."""
    nodes = sorted({end for branch in shorts.branches.values() for end in (branch.a, branch.b)}, key=str)
    at = {node: index for index, node in enumerate(nodes)}
    matrix = np.zeros((len(nodes), len(nodes)))
    for branch in shorts.branches.values():
        i, j, siemens = at[branch.a], at[branch.b], 1 / branch.ohm
        matrix[[i, j], [i, j]] += siemens
        matrix[[i, j], [j, i]] -= siemens
    put = np.zeros(len(nodes))
    put[at[a]] += 1
    put[at[b]] -= 1
    volts = np.linalg.lstsq(matrix, put, rcond=None)[0]
    return float(volts[at[a]] - volts[at[b]])


@beside("numpy", "shorts at every live point, by a dense solve")
@pytest.mark.parametrize("extreme", ["least", "most"])
def test_every_live_point_against_a_plain_solve_of_the_whole_network(extreme: str) -> None:
    shorts = Shorts(*_sized(TWO_WAYS), extreme)  # type: ignore[arg-type]
    frame = Node("body", "frame")
    checked = 0
    for node in sorted(shorts.sides.live):
        found = shorts.at(node, "post")
        assert found is not None
        assert found.ohm == pytest.approx(_plain_ohm(shorts, node, frame), rel=1e-6)
        assert found.current_a == pytest.approx(found.volts_v / found.ohm)
        checked += 1
    assert checked > 6


def test_two_like_feeds_share_a_fault_evenly() -> None:
    """Two like fuses and wires side by side: half the current through each, in half their resistance."""
    found = design(read("bench.yaml", text=TWO_WAYS))
    last = next(each for each in found.wires if each.from_.part == "stud")
    fault = next(each for each in found.faults if each.wire == last.number)
    assert fault.shares == {"F1": pytest.approx(0.5, abs=1e-6), "F2": pytest.approx(0.5, abs=1e-6)}
    alone = design(read("bench.yaml", text=ONE_WAY))
    last = next(each for each in alone.wires if each.from_.part == "stud")
    single = next(each for each in alone.faults if each.wire == last.number)
    assert single.shares == {}
    assert 0.5 < fault.path_ohm / single.path_ohm < 0.75  # battery and the last wire are not halved


def test_a_fault_on_one_of_two_feeds_is_fed_from_behind_too() -> None:
    """At the near end of the stud both fuses feed it; the farther fuse by the longer way sees the less."""
    text = TWO_WAYS.replace("F2 > stud: {size: 14 AWG}", "F2 > stud: {size: 14 AWG, length: 20 m}")
    found = design(read("bench.yaml", text=text))
    last = next(each for each in found.wires if each.from_.part == "stud")
    shares = next(each for each in found.faults if each.wire == last.number).shares
    assert shares["F1"] > 0.6 > 0.4 > shares["F2"]
    assert sum(shares.values()) == pytest.approx(1.0)
    # By the current divider with the copper alone, 5 m against 20 m: 80 % and 20 %; fuses and joints even it.
    assert shares["F1"] < 0.8


def test_two_batteries_side_by_side_give_nearly_twice_the_current() -> None:
    """SAE J537: (12.6 - 7.2) V / 540 A = 10 mohm at -18 °C, 40 % of that warm (the trade's chart): 12.6 V
    over 4 mohm = 3150 A right at the posts; a second battery adds as much again, less its cables."""
    paths = "paths: [frame > battery -]"
    two = TWO_WAYS.replace(
        "  F1:", "  second: {is: battery, at: box, capacity: 70 Ah, cranking: 540 A}\n  F1:", 1
    ).replace(paths, "paths: [frame > battery -, battery - > second -, second + > battery +]")
    two += "  second + > battery +: {size: 4/0 AWG}\n  battery - > second -: {size: 4/0 AWG}\n"
    amps = []
    for text in (TWO_WAYS, two):
        found = Shorts(*_sized(text), "most").at(Node("terminal", "battery", "+"), "box")
        assert found is not None
        amps.append(found.current_a)
    assert amps[0] == pytest.approx(3150)
    assert 1.8 < amps[1] / amps[0] < 2.0


def test_two_strings_by_hand() -> None:
    """Basic Electrical Engineering, example 2.17: 12 V 2 ohm and 10 V 1 ohm on 10 ohm make 10.000 V; with the
    10 ohm taken away the Thevenin source is (12/2 + 10/1)/(1/2 + 1) = 10.667 V behind 0.667 ohm: 16 A."""
    net = Network([Branch("+", "-", 2.0, 12.0), Branch("+", "-", 1.0, 10.0)], "-")
    ((_, column),) = net.columns(["+"])
    volts = net.volts({})["+"]
    assert volts / column[net.index("+")] == pytest.approx(16.0)
    assert net.volts({("+", "-"): 1.0})["+"] == pytest.approx(10.0)  # the example's own load, 1 A


CONVERTER = """
machine: {name: bench, voltage: 24 V, chassis post: negative, cable: GXL, sizes: AWG, slack: 0 %}
zones: {cool: {ambient: 25 °C}}
runs:
  - {from: box, to: cab, length: 2 m, zone: cool}
parts:
  battery: {is: battery, at: box, capacity: 100 Ah}
  F1: {is: fuse, at: box}
  converter: {is: converter, at: cab, rated: 12 V, current: 5 A}
  F2: {is: fuse, at: cab}
  radio: {is: radio, at: cab, rated: 12 V, current: 6 A}
  box ground: {is: ground point, at: box, on: frame}
  cab ground: {is: ground point, at: cab, on: frame}
circuits:
  Ground: {paths: [frame > battery -]}
  Feed: {paths: [battery + > F1 > converter 24/- > frame]}
  Radio: {drop: 0.6 V, paths: [converter + > F2 > radio > frame]}
"""


def test_a_converter_gives_its_limit_and_not_a_batterys_thousands() -> None:
    """5 A at 24 V is 10 A at 12 V; it gives 80 % of that at least and 150 % at most (common practice)."""
    found = design(read("bench.yaml", text=CONVERTER))
    behind = [wire.number for wire in found.wires if wire.to.part in ("F2", "radio")]
    faults = [each for each in found.faults if each.wire in behind]
    assert len(faults) == 2
    for fault in faults:
        assert (fault.current_a, fault.most_a) == (pytest.approx(8.0), pytest.approx(15.0))
        assert fault.limited
    last = next(each for each in faults if each.fuse)
    assert last.cleared is False  # 8 A never opens a 10 A fuse
    assert last.stands  # which harms no wire that carries 18 A and more
    assert not any(each.rule == "short not cleared" for each in found.findings)
    feed = next(each for each in found.faults if each.fuse == "F1")
    assert feed.current_a > 100
    assert not feed.limited


def test_a_change_over_contact_to_the_chassis_is_no_short() -> None:
    """A relay that grounds its outlet at rest, 30 to 87a, counts as closed on the live side only."""
    text = TWO_WAYS.replace(
        "  lamp: {is", "  relay: {is: changeover relay, at: post, coil: 0.1 A}\n  lamp: {is"
    ).replace("battery + > F2 > stud]", "battery + > F2 > relay 87/30 > stud, relay 87a > frame]")
    text = text.replace("  F2 > stud: {size: 14 AWG}\n", "")
    shorts = Shorts(*_sized(text), "least")
    found = shorts.at(Node("terminal", "stud", "stud"), "post")
    assert found is not None
    assert found.volts_v == pytest.approx(12.2, abs=0.01)


def test_a_fuse_in_series_with_the_whole_machine_strips_to_a_small_core() -> None:
    """Work grows with the loom: what hangs by one way is not in the part that is factorised.

    A cab on two straps is a mesh: cab, frame and four studs. What has no mesh adds nothing.
    """
    sizes = {}
    for wires in (60, 160, 240):
        machine, sizing = _sized(survey(wires))
        shorts = Shorts(machine, sizing, "least")
        cabs = sum(body.startswith("cab") for body in machine.bodies)
        sizes[wires] = (
            len({end for branch in shorts.core.branches for end in (branch.a, branch.b)}) - 5 * cabs
        )
        assert len(shorts.sides.live) > wires / 3
    assert len(set(sizes.values())) == 1 and sizes[60] <= 10


def test_curves_name_what_each_fuse_has_to_break() -> None:
    """Right behind the blade, itself bridged: well above the far end of its wire."""
    machine, sizing = _sized(ONE_WAY)
    made = design(machine)
    study = Study(machine, sizing)
    curve = next(each for each in fuse_curves(study, made.wires, made.faults) if each.fuse == "F1")
    assert curve.behind_most_a is not None
    assert curve.fault_most_a is not None
    assert curve.behind_most_a > 2 * curve.fault_most_a
    assert curve.breaks_a == 1000  # ISO 8820-3
    assert not curve.backed  # nothing before it


def test_more_current_at_most_than_at_least() -> None:
    found = design(read("bench.yaml", text=TWO_WAYS))
    assert found.faults
    assert all(each.most_a > each.current_a > 0 for each in found.faults)
