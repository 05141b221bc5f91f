"""The way from battery to part and back: against paths drawn by hand, ngspice and a handbook's example."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from harness.electric.graph import Node
from harness.faultfinding.patient import NOTHING
from harness.lists.lookup import NotThere, Sought, looked_up, wires_like
from harness.lists.wayto import Atlas, Spot, WayTo
from harness.model.design import Design
from harness.pipeline import bedded
from harness.survey import read
from tests.faultfinding.injection import true_volts, wards
from tests.published.recorder import beside

SAMPLES = Path(__file__).parents[2] / "samples"


@cache
def drafted(name: str) -> Design:
    return bedded(read(SAMPLES / f"{name}.yaml"))[0]


def way(atlas: Atlas, part: str, link: str = "") -> WayTo:
    return next(one for one in atlas.loads if one.part == part and (not link or one.link == link))


def test_the_way_of_a_head_lamp_is_that_of_the_survey_walked_by_hand() -> None:
    """By the paths of samples/roller.yaml: main feed, F3, relay, coupler, lamp, grounds, straps."""
    atlas = Atlas(drafted("roller"), "night work")
    found = way(atlas, "left head lamp")
    passed = [leg.stretch.key[0] for leg in found.legs if leg.stretch.kind != "wire"]
    assert passed == [
        "main fuse", "panel", "left head relay", "hinge coupler", "left head lamp", "left drum ground",
        "drum strap ground", "hinge ground", "relay plate ground",
    ]  # fmt: skip
    assert found.start == ("part", "battery", "+")
    assert found.legs[-1].at == ("part", "battery", "-")
    assert not atlas.open(found)


def test_a_contact_that_is_open_in_the_mode_is_told_and_the_way_shown() -> None:
    atlas = Atlas(drafted("roller"), "parked")
    found = way(atlas, "left head lamp")
    assert found.whole
    assert atlas.open(found) == (("left head relay", "30/87"),)


def test_the_chassis_post_of_a_positive_ground_machine_is_where_the_way_ends() -> None:
    atlas = Atlas(drafted("orchard"), "night work")
    for one in atlas.loads:
        if (one.part, one.link) in atlas.on:
            assert one.start[2] == "-"
            assert one.legs[-1].at[2] == "+"
            assert (atlas.volts(one.start) or 0) < 0  # as the meter shows it


def test_every_load_that_draws_has_a_whole_way_on_which_volts_only_fall() -> None:
    """Kirchhoff: along the current from the live post to the chassis post a meter never shows more again.

    In modes where nothing is generated, for a generator lifts what lies between it and the battery.
    """
    for name in ("pump", "orchard", "grader", "roller"):
        design = drafted(name)
        sign = 1 if design.machine.chassis_post == "negative" else -1
        for state in design.operating:
            atlas = Atlas(design, state.mode)
            for one in atlas.loads:
                if (one.part, one.link) not in atlas.on:
                    continue
                assert one.whole, (name, one.part)
                assert not atlas.open(one), (name, state.mode, one.part)
                spots: list[Spot] = [one.start, *(leg.at for leg in one.legs)]
                volts = [sign * (atlas.volts(spot) or 0.0) for spot in spots]
                assert len(set(spots)) == len(spots)
                if state.engine != "running":
                    assert volts == sorted(volts, reverse=True), (name, state.mode, one.part)


@beside("ngspice", "volts along the way to a part")
@pytest.mark.parametrize(
    ("name", "mode"), [("pump", "running"), ("roller", "night work"), ("orchard", "running")]
)
def test_ngspice_expects_the_same_volts(name: str, mode: str) -> None:
    """Loads of constant current fall off with their volts in the network for faults: 1 % is allowed for it.

    The network counts volts towards the live post; a meter on a positive-ground machine shows a minus.
    """
    sign = 1 if drafted(name).machine.chassis_post == "negative" else -1
    ward = wards(name)[mode]
    volts = true_volts(ward.patient, NOTHING)
    atlas = Atlas(drafted(name), mode)
    near_v = 0.01 * drafted(name).machine.voltage_v
    told = 0
    for one in atlas.loads:
        if (one.part, one.link) not in atlas.on:
            continue
        for leg in one.legs:
            kind, part, terminal = leg.at
            node = Node("terminal" if kind == "part" else kind, part, terminal)  # type: ignore[arg-type]
            theirs = sign * (volts[node] - volts[ward.patient.reference])
            assert atlas.volts(leg.at) == pytest.approx(theirs, abs=near_v), (one.part, leg.at)
            told += 1
    assert told >= 10


def test_one_switch_shares_with_what_hangs_on_it_and_no_more() -> None:
    """By the survey: horn relay's coil and contact both hang on splice behind F7."""
    atlas = Atlas(drafted("roller"), "running")
    assert set(atlas.sharing["panel", "bus/F7"]) == {"horn", "horn relay"}


def test_the_drop_of_a_handbook_example_is_read_along_the_way(tmp_path: Path) -> None:
    """FAA AC 43.13-1B, paragraph 11-68c example 1: 50 ft, 20 A, 28 V: by its table 11-9 No. 8 drops 0.70 V.

    Read from the circular (its sizes are MIL tin-plated, at 20 °C; GXL of SAE J1128 has up to a tenth more or
    less metal, joints come on top): 10 % and two joints of 5 mohm are allowed.
    """
    text = """
machine: {name: example, voltage: 24 V, chassis post: negative, slack: 0 %}
zones: {cold: {ambient: 20 °C}}
runs: [{from: box, to: far, length: 50 ft, zone: cold}]
parts:
  battery: {is: battery, at: box, capacity: 200 Ah, cranking: 2000 A}
  F1: {is: fuse, at: box}
  load: {is: electric pump, at: far, current: 20 A}
  ground: {is: ground point, at: far, on: frame, stud: M8}
  home: {is: ground point, at: box, on: frame, stud: M10}
circuits:
  Ground: {paths: frame > battery -}
  Load:
    works in: night work
    paths:
      - F1 > load
      - battery + > F1
      - load > frame
wires:
  F1 > load: {size: 8 AWG}
modes: {night work: {engine: stopped}}
"""
    survey = tmp_path / "example.yaml"
    survey.write_text(text, encoding="utf-8")
    design = bedded(read(survey))[0]
    atlas = Atlas(design, "night work")
    found = way(atlas, "load")
    spots: list[Spot] = [found.start, *(leg.at for leg in found.feed)]
    drop_v = (atlas.volts(spots[-2]) or 0.0) - (atlas.volts(spots[-1]) or 0.0)
    assert found.feed[-1].stretch.wire is not None
    assert found.feed[-1].stretch.wire.size == "8 AWG"
    assert drop_v == pytest.approx(0.70, rel=0.10, abs=2 * 0.005 * 20)


def test_a_found_label_is_told_by_what_is_known_of_it() -> None:
    design = drafted("roller")
    atlas = Atlas(design, "night work")
    assert "from hinge coupler 1B (hinge rear) to left head lamp 56b" in looked_up(atlas, "30B").about
    assert [wire.number for wire in wires_like(design, Sought(terminal="left head lamp 56b"))] == ["30b"]
    dash_red = wires_like(design, Sought(colour="RD", place="relay plate"))
    assert dash_red
    assert all(wire.colour.split("/")[0] == "RD" for wire in dash_red)
    with pytest.raises(NotThere, match="did you mean 'relay plate'"):
        wires_like(design, Sought(place="relay plat"))
