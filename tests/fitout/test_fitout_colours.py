"""Wire colours: what each wire is for, and its code in each scheme."""

from __future__ import annotations

from dataclasses import replace

import pytest

from harness.fitout.colours import wire_colours, wire_functions
from harness.fitout.nets import feeds, nets
from harness.kinds import kinds
from harness.model.machine import Machine
from harness.tables import load
from tests.fitout.small_loom import (
    COIL,
    alternator,
    battery,
    fuse,
    ground_point,
    key,
    lamp,
    link,
    machine,
    part,
    relay,
    starter,
    switch,
)
from tests.published.recorder import Cells, published

PARTS = [
    battery(), fuse("F1"), fuse("F2"), fuse("F3"), key(), starter(), alternator(), ground_point(),
    switch("lamp switch"), lamp("head lamp"), lamp("charge lamp", "warning lamp"), relay("horn relay"),
    switch("horn button"), lamp("horn", "horn"),
]  # fmt: skip
HOPS = {
    "Battery: battery feed": ["battery + > starter 30", "engine > battery -", "battery + > F1 1"],
    "Charging: charge": ["alternator B+ > starter 30"],
    "Head lamps: head lamps": [
        "F1 2 > lamp switch 1", "lamp switch 2 > head lamp +", "head lamp - > frame",
    ],
    "Key: ignition feed": ["F1 2 > key 30", "key 15 > F2 1"],
    "Cranking: start": ["F1 2 > key 30", "key 50 > starter 50"],
    "Charge lamp: charge": ["F2 2 > charge lamp +", "charge lamp - > alternator D+"],
    "Horn: horn": [
        "F1 2 > F3 1", "F3 2 > S1", "S1 > horn relay 30", "S1 > horn relay 86",
        "horn relay 85 > horn button 1", "horn button 2 > frame", "horn relay 87 > horn +", "horn - > frame",
    ],
}  # fmt: skip


def by_hop(made: Machine, found: dict[int, str]) -> dict[str, str]:
    return {f"{each.a} > {each.b}": found[each.index] for each in made.wires}


def colours(made: Machine) -> dict[str, str]:
    return by_hop(made, wire_colours(made))


def test_each_wire_is_coloured_by_what_it_does() -> None:
    made = machine(PARTS, HOPS)
    assert by_hop(made, wire_functions(made)) == {
        "battery + > starter 30": "battery feed",
        "engine > battery -": "ground",
        "battery + > F1 1": "battery feed",
        "alternator B+ > starter 30": "battery feed",
        "F1 2 > lamp switch 1": "battery feed",  # the same point also feeds further fuses
        "lamp switch 2 > head lamp +": "head lamps",
        "head lamp - > frame": "ground",
        "F1 2 > key 30": "battery feed",
        "key 15 > F2 1": "ignition feed",
        "key 50 > starter 50": "start",
        "F2 2 > charge lamp +": "fused ignition feed",
        "charge lamp - > alternator D+": "charge",
        "F1 2 > F3 1": "battery feed",
        "F3 2 > S1": "fused feed",
        "S1 > horn relay 30": "fused feed",
        "S1 > horn relay 86": "fused feed",
        "horn relay 85 > horn button 1": "horn",
        "horn button 2 > frame": "ground",
        "horn relay 87 > horn +": "horn",
        "horn - > frame": "ground",
    }


def test_a_fused_wire_straight_to_a_load_has_the_loads_function() -> None:
    made = machine(PARTS, {"Socket: socket": ["battery + > F1 1", "F1 2 > horn +", "horn - > frame"]})
    assert by_hop(made, wire_functions(made))["F1 2 > horn +"] == "socket"


def test_what_an_ignition_relay_switches_is_an_ignition_feed() -> None:
    made = machine(PARTS, {
        "Key: ignition feed": [
            "battery + > F1 1", "F1 2 > key 30", "key 15 > horn relay 86", "horn relay 85 > frame",
            "battery + > F3 1", "F3 2 > horn relay 30", "horn relay 87 > F2 1", "F2 2 > lamp switch 1",
        ],
    })  # fmt: skip
    found = by_hop(made, wire_functions(made))
    assert found["F3 2 > horn relay 30"] == "fused feed"
    assert found["horn relay 87 > F2 1"] == "ignition feed"
    assert found["F2 2 > lamp switch 1"] == "fused ignition feed"


@published("ABYC E-11 as tabulated by suppliers", "boat colours", "read-from-secondary")
def test_trade_habits_of_the_scheme(cells: Cells) -> None:
    found = colours(machine(PARTS, HOPS))
    cells.kept("positive", found["battery + > starter 30"], "RD")
    cells.kept("negative", found["head lamp - > frame"], "BK")
    cells.kept("ignition", found["key 15 > F2 1"], "VT")
    cells.kept("start switch to solenoid", found["key 50 > starter 50"], "YE/RD")


@published("BS AU 7a as copied by owners' clubs", "letters by what a wire is for", "read-from-secondary")
def test_bs_au_7a_letters(cells: Cells) -> None:
    found = colours(machine(PARTS, HOPS, colours="BS AU 7a"))
    cells.kept("main battery feed", found["battery + > F1 1"], "N")
    cells.kept("ignition", found["key 15 > F2 1"], "W")
    cells.kept("earth", found["horn - > frame"], "B")
    cells.kept("main beam", found["lamp switch 2 > head lamp +"], "U/W")
    cells.kept("fused through the key", found["F2 2 > charge lamp +"], "G")
    cells.kept("fused not through the key", found["F3 2 > S1"], "P")
    cells.kept("start switch to solenoid", found["key 50 > starter 50"], "W/R")


def test_numbered_wires_are_all_black() -> None:
    assert set(colours(machine(PARTS, HOPS, colours="numbered")).values()) == {"BK"}


def test_ground_follows_the_chassis_post() -> None:
    hops = {
        "Battery: battery feed": ["battery - > F1 1", "frame > battery +"],
        "Head lamps: head lamps": [
            "F1 2 > lamp switch 1", "lamp switch 2 > head lamp +", "head lamp - > frame",
        ],
    }  # fmt: skip
    found = colours(machine(PARTS, hops, chassis_post="positive"))
    assert found["battery - > F1 1"] == "RD"
    assert found["frame > battery +"] == "BK"
    assert found["head lamp - > frame"] == "BK"
    assert found["lamp switch 2 > head lamp +"] == "BU/WH"


def test_the_link_between_two_batteries_in_series_is_no_ground() -> None:
    made = machine([battery("front"), battery("rear"), fuse("F1")], {
        "Battery: battery feed": ["front + > rear -", "engine > front -", "rear + > F1 1"],
    })  # fmt: skip
    found = colours(made)
    assert found == {"front + > rear -": "RD", "engine > front -": "BK", "rear + > F1 1": "RD"}


def test_a_ground_stud_grounds_what_lands_on_it() -> None:
    stud = part("return stud", "bus stud", "stud", {"stud": "stud M8"})
    made = machine([*PARTS, stud], {
        "Horn: horn": [
            "battery + > F1 1", "F1 2 > horn +", "horn - > return stud stud", "return stud stud > frame",
        ],
    })  # fmt: skip
    assert colours(made)["horn - > return stud stud"] == "BK"


def test_a_reversing_relay_does_not_turn_live_wires_black() -> None:
    """Both contacts meet at terminal 30: one live, one ground. Neither side may leak into the other."""
    reverser = part(
        "reverser", "changeover relay", "relay", dict.fromkeys(("30", "87", "87a", "86", "85"), "blade 6.3"),
        [link("30", "87", "contact"), link("30", "87a", "contact")],
    )  # fmt: skip
    made = machine([*PARTS, reverser], {
        "Motor: pump": [
            "battery + > F1 1", "F1 2 > reverser 87", "reverser 87a > frame", "reverser 30 > horn +",
        ],
    })  # fmt: skip
    joined = nets(made)
    assert joined.ground.isdisjoint(feeds(made, joined))
    found = colours(made)
    assert found["F1 2 > reverser 87"] == "RD/WH"
    assert found["reverser 87a > frame"] == "BK"
    assert found["reverser 30 > horn +"] == "WH/VT"


def test_the_main_feed_stays_red_through_an_ammeter() -> None:
    meter = part("ammeter", "ammeter", "gauge", {"+": "stud M5", "-": "stud M5"}, [link("+", "-", "contact")])
    made = machine([*PARTS, meter], {"Main: battery feed": [
        "battery + > F1 1", "F1 2 > ammeter +", "ammeter - > F2 1", "F2 2 > lamp switch 1",
    ]})  # fmt: skip
    assert list(colours(made).values()) == ["RD", "RD", "RD", "RD/WH"]


def test_a_dynamo_field_is_no_feed() -> None:
    """The regulator sits between output and field: what it hands the field has the charge colour."""
    dynamo = part("dynamo", "dynamo", "source", {"D+": "stud M6", "DF": "stud M5"},
                  [link("D+", "case", "source"), link("DF", "case", "bus")], body="engine")  # fmt: skip
    regulator = part(
        "regulator", "regulator", "relay", dict.fromkeys(("D+", "B+", "DF", "31"), "screw M5"),
        [link("D+", "B+", "contact"), link("D+", "DF", "contact"), link("D+", "31", "load", COIL)],
    )  # fmt: skip
    made = machine([*PARTS, dynamo, regulator], {"Charging: charge": [
        "dynamo D+ > regulator D+", "regulator DF > dynamo DF", "regulator B+ > battery +",
        "regulator 31 > frame",
    ]})  # fmt: skip
    assert list(by_hop(made, wire_functions(made)).values()) == [
        "battery feed", "charge", "battery feed", "ground",
    ]  # fmt: skip


def test_what_the_survey_says_comes_first() -> None:
    made = machine(PARTS, HOPS)
    circuits = tuple(
        replace(each, colour="GN/BK") if each.name == "Head lamps" else each for each in made.circuits
    )
    wires = tuple(replace(each, colour="PK") if str(each.b) == "F3 1" else each for each in made.wires)
    found = colours(replace(made, circuits=circuits, wires=wires))
    assert found["F1 2 > F3 1"] == "PK"
    assert found["lamp switch 2 > head lamp +"] == "GN/BK"
    assert found["head lamp - > frame"] == "BK"  # its ground stays ground
    assert found["F1 2 > lamp switch 1"] == "RD"  # shared with other circuits


def test_the_colour_of_a_lone_circuit_leaves_its_ground_black() -> None:
    made = machine(PARTS, {"Horn: horn": ["F1 2 > horn +", "horn - > frame"]})
    circuits = (replace(made.circuits[0], colour="PK"),)
    assert list(wire_colours(replace(made, circuits=circuits)).values()) == ["PK", "BK"]


def test_battery_cable_is_red_or_black() -> None:
    made = machine(PARTS, {"Heater: preheat": ["battery + > F1 1", "F1 2 > horn +", "horn - > frame"]})
    thick = wire_colours(made, {0: 21.0, 1: 21.0, 2: 21.0})
    assert list(thick.values()) == ["RD", "RD", "BK"]
    assert wire_colours(made, {0: 5.0, 1: 5.0, 2: 5.0})[1] == "OG"


def test_a_circuit_with_several_kinds_of_load_is_told_apart_wire_by_wire() -> None:
    """Its function comes from the first load; a wire that serves another kind alone has its colour."""
    oil = part("oil switch", "pressure switch", "switch", {"1": "blade 6.3"}, [link("1", "case", "contact")],
               body="engine")  # fmt: skip
    parts = [*PARTS, oil, lamp("fuel valve", "stop solenoid"), lamp("oil lamp", "warning lamp")]
    made = machine(parts, {"Running: stop": [
        "battery + > F1 1", "F1 2 > key 30", "key 15 > S1", "S1 > fuel valve +", "S1 > oil lamp +",
        "fuel valve - > frame", "oil lamp - > oil switch 1", "S1 > lamp switch 1", "lamp switch 2 > horn +",
        "horn - > frame",
    ]})  # fmt: skip
    found = by_hop(made, wire_functions(made))
    assert found["key 15 > S1"] == found["S1 > fuel valve +"] == "ignition feed"
    assert found["oil lamp - > oil switch 1"] == "warning lamp"
    assert found["lamp switch 2 > horn +"] == "horn"


def test_a_function_no_load_of_the_circuit_has_is_kept() -> None:
    """Only the survey can have said so: it goes for every wire of the circuit."""
    hops = ["F1 2 > lamp switch 1", "lamp switch 2 > horn +", "horn - > frame"]
    made = machine(PARTS, {"Beacon: beacon": hops})
    assert by_hop(made, wire_functions(made))["lamp switch 2 > horn +"] == "beacon"


def test_kinds_have_the_function_their_kind_gives_a_circuit() -> None:
    named = {kind: row["function"] for row in load("colour_functions").rows
             for kind in row["kinds"].split("; ") if kind}  # fmt: skip
    assert named == {name: kinds()[name].function for name in named}
    working = {name for name, kind in kinds().items() if kind.role in ("load", "gauge", "sender")}
    assert working - set(named) == {"lamp", "solenoid", "motor", "ammeter"}  # words that do not tell what for


def test_an_unknown_function_gets_the_fallback() -> None:
    made = machine(PARTS, {"Odd: no such row": ["F1 2 > horn +", "horn - > frame"]})
    assert wire_functions(made)[0] == "electronics"


@pytest.mark.parametrize("prefix", ["", "bs_"])
def test_every_colour_can_be_painted(prefix: str) -> None:
    painted = {row["code"] for row in load("colour_paint").rows}
    for row in load("colour_functions").rows:
        assert row[f"{prefix}base"] in painted
        assert row[f"{prefix}tracer"] == "" or row[f"{prefix}tracer"] in painted


def test_functions_can_be_told_apart() -> None:
    codes = [(row["base"], row["tracer"]) for row in load("colour_functions").rows]
    assert len(set(codes)) == len(codes)
    # green and yellow together is protective earth alone: IEC 60757:2021 5.1
    assert ("GN", "YE") not in codes
    assert ("YE", "GN") not in codes


def test_bs_letters_marked_read_are_in_the_standards_table() -> None:
    """A row of ours that claims to be read carries letters of a row that was read."""
    rows = load("bs_au7a_colours").rows
    read = {(row["base"], row["tracer"]) for row in rows if row["certainty"] == "read"}
    for row in load("colour_functions").rows:
        if row["bs_certainty"] == "read":
            assert (row["bs_base"], row["bs_tracer"]) in read, row["function"]
