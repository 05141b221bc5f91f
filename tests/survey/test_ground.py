"""Zones, runs, places, bodies, modes and the machine's own choices."""

from __future__ import annotations

import pytest

from tests.survey.texts import TROLLEY, changed, machine, problems, spots

RUN = "  - {from: battery box, to: dash, length: 1.2 m, zone: frame}\n"


def test_a_run_with_everything() -> None:
    entry = (
        "  - {from: battery box, to: dash, length: 2 ft 3 in, zone: frame, hole: 32 mm, plate: 1/8 in,"
        " hinge: yes, near: [exhaust, edge], covering: braid, name: left rail}\n"
    )
    run = machine(changed((RUN, entry))).runs[0]
    assert (run.name, run.start, run.end) == ("left rail", "battery box", "dash")
    assert (run.length_m, run.hole_mm, run.plate_mm) == (pytest.approx(0.6858), 32.0, 3.175)
    assert (run.grommet, run.moves, run.near, run.covering) == (True, True, ("exhaust", "edge"), "braid")


def test_how_a_run_is_held_and_shrunk_over() -> None:
    entry = RUN.replace("zone", "clamps every: 0.4 m, ties every: 8 in, shrink: thin, edge: 0.3 m, zone")
    made = machine(changed((RUN, entry), ("  voltage", "  clamps every: 1 ft\n  voltage")))
    run = made.runs[0]
    assert (run.clamps_every_m, run.ties_every_m) == (0.4, pytest.approx(0.2032))
    assert (run.shrink, run.edge_m, run.near) == ("thin", 0.3, ("edge",))
    assert (made.clamps_every_m, made.ties_every_m) == (pytest.approx(0.3048), None)
    shaken = machine(changed(("frame: {ambient: 45 °C}", "frame: {ambient: 45 °C, shakes: yes}")))
    assert shaken.zones["frame"].shakes
    silent = machine(TROLLEY)
    assert (silent.runs[0].shrink, silent.runs[0].clamps_every_m, silent.clamps_every_m) == ("", None, None)
    assert not silent.zones["frame"].shakes


def test_a_bare_run() -> None:
    run = machine(TROLLEY).runs[0]
    assert (run.name, run.hole_mm, run.grommet, run.moves, run.near, run.covering) == (
        "battery box - dash", None, False, False, (), None,
    )  # fmt: skip
    bare = machine(changed(("zone: frame}", "zone: frame, hole: 20 mm, grommet: no}"))).runs[0]
    assert (bare.hole_mm, bare.grommet) == (20.0, False)


def test_zone_of_a_place_is_the_hottest_that_touches_it_unless_it_has_its_own() -> None:
    zones = "  engine: {ambient: 85 °C}\n  cab: {}\n"
    more = f"{zones}runs:\n  - {{from: dash, to: block, length: 1 m, zone: engine}}\n"
    text = changed(
        ("runs:\n", more),
        ("parts:\n", "parts:\n  lamp: {is: lamp, at: block, on: frame}\n"),
    )
    assert machine(text).place_zones == {"dash": "engine", "block": "engine", "battery box": "frame"}
    own = machine(text.replace("parts:\n", "places: {dash: {zone: cab}}\nparts:\n"))
    assert own.place_zones["dash"] == "cab"
    zone = own.zones["cab"]
    assert (zone.ambient_c, zone.assumed, zone.wet, zone.closed) == (50.0, True, False, False)
    assert "zone cab: ambient 50 °C" in own.assumed
    assert not own.zones["engine"].assumed


def test_second_way_between_two_places_needs_a_name() -> None:
    twice = RUN + "  - {from: dash, to: battery box, length: 3 m, zone: frame}\n"
    assert "stands twice" in problems(changed((RUN, twice)))[0].what
    named = twice.replace("3 m, zone: frame", "3 m, zone: frame, name: right rail")
    assert [run.name for run in machine(changed((RUN, named))).runs] == ["battery box - dash", "right rail"]


@pytest.mark.parametrize(
    ("entry", "column", "what"),
    [
        # columns of "  - {...}": the first key at 6
        ("{from: dash, to: dash, length: 1 m, zone: frame}", 22, "leads from 'dash' back to itself"),
        ("{from: dash, to: front, length: 1 m, zone: frame, plate: 2 mm}", 12, "says 'plate' but no 'hole'"),
        ("{from: dash, to: front, length: 1 m, zone: engine}", 48, "there is no zone 'engine'"),
        ("{from: dash, to: front, length: 0 m, zone: frame}", 37, "is zero"),
        ("{from: dash, to: front, zone: frame}", 5, "run 2 does not say 'length'"),
        ("{from: dash, length: 1 m, zone: frame}", 5, "run 2 does not say 'to'"),
        ("{from: dash, to: front, length: 1 m}", 5, "run 2 does not say 'zone'"),
        (
            "{from: dash, to: front, length: 1 m, zone: frame, near: hoses}",
            61,
            "'hoses' is not one of the words",
        ),
        (
            "{from: dash, to: front, length: 1 m, zone: frame, hinge: maybe}",
            62,
            "'maybe' is not one of the words",
        ),
        ("{from: dash, to: front, length: 1 m, zone: frame, hole: 5 m}", 61, "'5 m' is more than 0.3 m"),
        ("{from: dash, to: frönt, length: 1 m, zone: frame}", 22, "nothing sits at 'frönt'"),
    ],
)
def test_wrong_run(entry: str, column: int, what: str) -> None:
    lamp = "  lamp: {is: lamp, at: front, on: frame}\n" if "front" in entry else ""
    text = changed((RUN, f"{RUN}  - {entry}\n"), ("  ground:", f"{lamp}  ground:"))
    found = problems(text)
    assert [(each.where.line, each.where.column) for each in found] == [(9, column)]
    assert what in found[0].what


def test_run_to_a_place_kept_for_later() -> None:
    text = changed((RUN, RUN + "  - {from: dash, to: roof, length: 1 m, zone: frame}\n"))
    assert spots(text) == [(9, 22)]
    assert machine(text.replace("parts:\n", "places: {roof: }\nparts:\n")).place_zones["roof"] == "frame"


def test_unreachable_part_is_blamed_once_however_many_wires_go_there() -> None:
    text = changed(
        (RUN, RUN + "  - {from: tank, to: tank top, length: 1 m, zone: frame}\n"),
        ("pump, at: dash", "pump, at: tank"),
        ("  ground:", "  lamp: {is: lamp, at: tank top, on: frame}\n  ground:"),
        ("      - frame > battery -", "      - pump switch > lamp\n      - frame > battery -"),
    )
    assert spots(text) == [(14, 33)]


def test_unreachable_through_a_joint() -> None:
    text = changed(
        (RUN, RUN + "  - {from: tank, to: tank top, length: 1 m, zone: frame}\n"),
        (
            "  ground:",
            "  lamp: {is: lamp, at: tank top, on: frame}\n"
            "  tank lamp: {is: lamp, at: tank, on: frame}\n"
            "  ground:",
        ),
        ("> pump switch > pump > frame", "> pump switch > (pump, lamp, tank lamp)"),
    )
    assert len(problems(text)) == 1
    assert "no runs lead from 'tank top' to" in problems(text)[0].what


def test_bodies_are_those_parts_sit_on_unless_they_are_listed() -> None:
    assert list(machine(TROLLEY).bodies) == ["frame"]
    listed = machine(changed(("parts:\n", "bodies: {frame: {}, cab: }\nparts:\n")))
    assert list(listed.bodies) == ["frame", "cab"]
    wrong = problems(changed(("parts:\n", "bodies: {fraem: {}}\nparts:\n")))
    assert any(each.what == "there is no body 'frame'" and "'fraem'" in each.fix for each in wrong)


def test_modes_default_and_own() -> None:
    assert [(mode.name, mode.engine) for mode in machine(TROLLEY).modes] == [
        ("parked", "stopped"), ("cranking", "cranking"), ("running", "running"), ("night work", "running"),
    ]  # fmt: skip
    own = machine(
        changed(("circuits:", "modes: {asleep: {engine: stopped}, awake: {engine: running}}\ncircuits:"))
    )
    assert own.circuits[0].modes == ("asleep", "awake")


def test_a_running_mode_may_idle_and_no_other() -> None:
    modes = "modes: {awake: {engine: running}, waiting: {engine: running, speed: idle}}\ncircuits:"
    assert [mode.speed for mode in machine(changed(("circuits:", modes))).modes] == ["rated", "idle"]
    asleep = changed(("circuits:", "modes: {asleep: {engine: stopped, speed: idle}}\ncircuits:"))
    (wrong,) = problems(asleep)
    assert wrong.what == "mode 'asleep' says a speed, and its engine is stopped"
    assert (wrong.where.line, wrong.where.column) == (15, 35)
    fast = changed(("circuits:", "modes: {awake: {engine: running, speed: idel}}\ncircuits:"))
    assert "did you mean 'idle'?" in problems(fast)[0].fix


def test_the_coldest_start_is_the_surveys_or_assumed() -> None:
    assert machine(TROLLEY).coldest_c == -10.0
    assert "coldest start at -10 °C" in machine(TROLLEY).assumed
    cold = machine(changed(("voltage: 12 V", "voltage: 12 V\n  coldest: 5 °F")))
    assert cold.coldest_c == pytest.approx(-15.0)  # (5 - 32) / 1.8
    assert not any("coldest" in text for text in cold.assumed)
    (wrong,) = problems(changed(("voltage: 12 V", "voltage: 12 V\n  coldest: 10 V")))
    assert wrong.what == "'10 V' is a voltage where a coldest start belongs" and "°C" in wrong.fix


@pytest.mark.parametrize(
    ("line", "modes"),
    [
        ("works in: night work", ("night work",)),
        ("works in: [night work, running]", ("running", "night work")),
    ],
)
def test_works_in(line: str, modes: tuple[str, ...]) -> None:
    assert machine(changed(("    paths:", f"    {line}\n    paths:"))).circuits[0].modes == modes


def test_circuit_facts() -> None:
    text = changed(("    paths:", "    drop: 3 %\n    function: valve\n    colour: blue/white\n    paths:"))
    circuit = machine(text).circuits[0]
    assert (circuit.allowance_v, circuit.function, circuit.colour) == (pytest.approx(0.36), "valve", "BU/WH")
    plain = machine(TROLLEY).circuits[0]
    assert (plain.allowance_v, plain.function, plain.colour) == (None, "pump", None)


def test_function_of_a_circuit_is_that_of_its_first_load() -> None:
    straps = machine(changed(("circuits:", "circuits:\n  Strap: {paths: [frame > battery -]}")))
    assert [circuit.function for circuit in straps.circuits] == ["ground", "pump"]
    feed = machine(changed(("circuits:", "circuits:\n  Feed: {paths: [battery + > F1]}")))
    assert feed.circuits[0].function == "battery feed"


def test_choices_of_the_machine() -> None:
    found = machine(TROLLEY)
    assert (found.cable, found.sizes, found.rules, found.slack, found.waste) == (
        "GXL",
        "AWG",
        "sae",
        0.05,
        0.12,
    )
    assert (found.colours, found.numbering) == ("by function", "by point")
    assert "cable GXL" in found.assumed
    metric = machine(changed(("  voltage: 12 V\n", "  voltage: 12 V\n  cable: class C\n  slack: 8 %\n")))
    assert (metric.cable, metric.sizes, metric.rules, metric.slack) == ("class C", "mm2", "iso", 0.08)
    assert not any("cable" in text or "slack" in text for text in metric.assumed)
    iso = machine(changed(("  voltage: 12 V\n", "  voltage: 12 V\n  rules: iso\n")))
    assert (iso.cable, iso.sizes) == ("class B", "mm2")


@pytest.mark.parametrize(
    ("line", "column", "what"),
    [
        ("cable: GXX", 10, "'GXX' is not one of the words"),
        ("sizes: inches", 10, "'inches' is not one of the words"),
        ("slack: 500 %", 10, "more than 100 %"),
        ("slack: 5 m", 10, "is a length where a share belongs"),
        ("colours: by mood", 12, "'by mood' is not one of the words"),
        ("make: yes", 3, "'machine' has no key 'make'"),
    ],
)
def test_wrong_choice(line: str, column: int, what: str) -> None:
    found = problems(changed(("  voltage: 12 V\n", f"  voltage: 12 V\n  {line}\n")))
    assert [(each.where.line, each.where.column) for each in found] == [(4, column)]
    assert what in found[0].what


def test_sizes_and_rules_that_do_not_go_together() -> None:
    text = changed(("  voltage: 12 V\n", "  voltage: 12 V\n  sizes: AWG\n  rules: iso\n"))
    assert spots(text) == [(5, 10)]
    assert "know no sizes in AWG" in problems(text)[0].what


@pytest.mark.parametrize("section", ["machine", "parts", "circuits"])
def test_missing_section(section: str) -> None:
    lines = TROLLEY.splitlines(keepends=True)
    start = lines.index(f"{section}:\n")
    end = next((n for n in range(start + 1, len(lines)) if not lines[n].startswith(" ")), len(lines))
    found = problems("".join(lines[:start] + lines[end:]))
    assert any(f"section '{section}' is missing" in each.what for each in found)


@pytest.mark.parametrize("section", ["parts", "circuits"])
def test_empty_section(section: str) -> None:
    lines = TROLLEY.splitlines(keepends=True)
    start = lines.index(f"{section}:\n")
    end = next((n for n in range(start + 1, len(lines)) if not lines[n].startswith(" ")), len(lines))
    found = problems("".join([*lines[:start], f"{section}: {{}}\n", *lines[end:]]))
    assert any(f"section '{section}' is empty" in each.what for each in found)


def test_whether_it_drives_off_is_the_surveys_word_or_left_to_its_parts() -> None:
    assert machine(TROLLEY).self_propelled is None
    towed = machine(changed(("voltage: 12 V", "voltage: 12 V\n  self-propelled: no")))
    assert towed.self_propelled is False
    (wrong,) = problems(changed(("voltage: 12 V", "voltage: 12 V\n  self-propelled: towed")))
    assert "'towed' is not one of the words" in wrong.what and "yes, no" in wrong.fix


def test_altitude_is_the_surveys_or_sea_level() -> None:
    assert machine(TROLLEY).altitude_m == 0.0
    high = machine(changed(("voltage: 12 V", "voltage: 12 V\n  altitude: 5000 ft")))
    assert high.altitude_m == pytest.approx(1524.0)
    (wrong,) = problems(changed(("voltage: 12 V", "voltage: 12 V\n  altitude: 9000 m")))
    assert wrong.what == "altitude '9000 m' is more than 6000 m, which no machine has"
    (wrong,) = problems(changed(("voltage: 12 V", "voltage: 12 V\n  altitude: high")))
    assert "altitude" in wrong.what and "1500 m" in wrong.fix


def test_the_sun_stands_on_a_zone_or_does_not() -> None:
    zone = ("frame: {ambient: 45 °C}", "frame: {ambient: 45 °C, sun: yes}")
    assert not machine(TROLLEY).zones["frame"].sun
    assert machine(changed(zone)).zones["frame"].sun
    (wrong,) = problems(changed((zone[0], "frame: {ambient: 45 °C, sun: often}")))
    assert "'often'" in wrong.what and "yes" in wrong.fix
