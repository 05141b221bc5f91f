"""Studs: what lies on them, what to buy, how tight; and diodes across bare coils, by polarity."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from harness.fitout.hardware import ASK, studs, suppressors, torque
from harness.model.design import Design
from harness.model.machine import Part, Terminal
from harness.pipeline import design
from harness.survey import read
from tests.fitout.small_loom import alternator, battery, ground_point, lamp, machine, part, starter, wire

SAMPLES = sorted((Path(__file__).parents[2] / "samples").glob("*.yaml"))


@pytest.mark.parametrize(
    # a drive maker's manual, "Round solderless terminals and tightening torque", p. 2-25 (read)
    ("thread", "newton_metres"),
    [("M4", 1.2), ("M5", 2.0), ("M6", 2.5), ("M8", 6.0), ("M10", 10.0), ("M12", 14.0)],
)
def test_a_stud_of_our_own_is_as_tight_as_a_ring_lug_on_a_terminal(thread: str, newton_metres: float) -> None:
    words, most_nm, source = torque(ground_point(), Terminal("stud", "stud", thread), 12.0)
    assert (words, most_nm) == (f"{newton_metres:g} Nm", newton_metres)
    assert "(read)" in source


@pytest.mark.parametrize(
    ("who", "terminal", "size", "volts_v", "least_nm", "most_nm"),
    [
        # US Army TM 5-3895-382-24 p. 233: 3.5 +/- 0.9 at 12 V, 7.75 +/- 0.25 at 24 V, D+ 1.45 to 1.95
        (alternator(), "B+", "M8", 12.0, 2.6, 4.4),
        (alternator(), "B+", "M8", 24.0, 7.5, 8.0),
        (alternator(), "D+", "M5", 12.0, 1.45, 1.95),
        # a backhoe's starter: M8 terminal nut 6, M10 terminal nut 9
        (starter(), "30", "M8", 12.0, 6.0, 6.0),
        (starter(), "30", "M10", 12.0, 9.0, 9.0),
    ],
)
def test_a_part_shows_one_figure_and_sends_to_its_maker(
    who: Part, terminal: str, size: str, volts_v: float, least_nm: float, most_nm: float
) -> None:
    words, top_nm, _ = torque(who, Terminal(terminal, "stud", size), volts_v)
    assert words.endswith(ASK)
    assert words.startswith(f"{least_nm:g} to {most_nm:g} Nm" if least_nm < most_nm else f"{most_nm:g} Nm")
    assert top_nm == most_nm


@pytest.mark.parametrize(
    ("who", "terminal"),
    [
        (lamp("lamp"), Terminal("+", "stud", "M5")),
        (starter(), Terminal("50", "stud", "M5")),
        (alternator(), Terminal("B+", "stud", "3/8")),
    ],
)
def test_what_no_source_has_is_not_made_up(who: Part, terminal: Terminal) -> None:
    volts_v = 6.0  # no row has a B+ at 6 V
    assert torque(who, terminal, volts_v) == (ASK, None, "")


def test_an_inch_stud_of_our_own_has_no_figure() -> None:
    assert torque(ground_point(), Terminal("stud", "stud", "3/8"), 12.0)[1] is None


def test_the_stack_of_a_ground_point_by_hand() -> None:
    """Bright metal, teeth that bite, thickest lug innermost, flat washer, spring washer, nut (practice)."""
    box = part("box", "module", "load", {"1": "blade 6.3", "2": "blade 6.3"}, ())
    wires = [
        wire("3", "box 1 > dash ground stud"),
        wire("1", "battery - > dash ground stud", "2 AWG", 31.6, 11.6),
        wire("2", "box 2 > dash ground stud", "10 AWG", 4.65, 4.8),
    ]
    found = {each.part: each for each in studs(machine([battery(), box, ground_point()]), wires)}
    assert list(found) == ["battery", "dash ground"]
    assert found["dash ground"].stack == [
        "bright metal", "serrated washer", "lug of 1", "lug of 2", "lug of 3", "flat washer",
        "spring washer", "nut", "paint",
    ]  # fmt: skip
    assert set(found["dash ground"].hardware.values()) == {1}
    assert len(found["dash ground"].hardware) == 5
    assert found["battery"].hardware == {}


def test_where_only_old_cable_lands_nothing_is_bought() -> None:
    kept = [wire("1", "battery - > dash ground stud", "2 AWG", 31.6, 11.6, kept=True)]
    assert [each.hardware for each in studs(machine([battery(), ground_point()]), kept)] == [{}, {}]


SURVEY = """
machine: {{name: shed, voltage: 12 V, chassis post: {post}}}
zones: {{deck: {{ambient: 40 °C}}}}
runs: [{{from: box, to: pump, length: 2 m, zone: deck}}]
parts:
  battery: {{is: battery, at: box, capacity: 70 Ah, cranking: 540 A}}
  F1: {{is: fuse, at: box}}
  switch: {{is: switch, at: box}}
  coil: {{is: stop solenoid, at: pump, on: frame, current: 1 A hold, peak: 36 A for 0.5 s{said}}}
  stud: {{is: ground point, at: box, on: frame}}
circuits:
  Ground: {{paths: [frame > battery {home}]}}
  Stop: {{paths: ["battery {live} > F1 > switch > coil"]}}
"""


def _shed(post: str, said: str) -> str:
    live, home = ("+", "-") if post == "negative" else ("-", "+")
    return SURVEY.format(post=post, said=said, live=live, home=home)


@pytest.mark.parametrize("said", ["", ", suppressed: yes"])
def test_only_a_coil_that_is_said_to_be_bare_gets_a_diode(said: str) -> None:
    assert suppressors(read("shed.yaml", text=_shed("negative", said))) == []


def test_the_band_goes_to_the_more_positive_side_whichever_post_is_on_the_chassis() -> None:
    """A diode blocks while its band (cathode) is the positive side: any circuit book."""
    found = {}
    for post in ("negative", "positive"):
        (found[post],) = suppressors(read("shed.yaml", text=_shed(post, ", suppressed: no")))
    assert found["negative"].band != "case"
    assert found["positive"].band == "case"
    assert {each.size for each in found.values()} == {"1 A, 400 V"}  # it holds with 1 A


@pytest.mark.parametrize(("post", "way", "band"), [
    ("negative", "86/85", "86"), ("negative", "85/86", "85"),
    ("positive", "86/85", "85"), ("positive", "85/86", "86"),
])  # fmt: skip
def test_the_band_goes_by_the_terminal_that_the_path_feeds(post: str, way: str, band: str) -> None:
    """A relay's coil works either way round (DIN 72552), the diode across it does not."""
    text = _shed(post, "").replace(
        "coil: {is: stop solenoid", "coil: {is: relay, at: box, suppressed: no}\n  it: {is: stop solenoid"
    )
    (found,) = suppressors(
        read("shed.yaml", text=text.replace("switch > coil", f"switch > coil {way} > frame"))
    )
    assert found.band == band


def test_the_diode_is_on_the_list_with_its_band() -> None:
    made = design(read("shed.yaml", text=_shed("positive", ", suppressed: no")))
    (line,) = [line for line in made.materials if "diode" in line.item]
    assert (line.quantity, line.used_on, line.size) == (1, ["coil"], "1 A, 400 V")
    assert "band to case" in line.item


def _counted(made: Design, item: str) -> Counter[str]:
    return Counter({line.size: int(line.quantity) for line in made.materials if line.item == item})


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_hardware_of_the_samples_is_counted_from_their_studs(sample: Path) -> None:
    made = design(read(sample))
    new = {each.number for each in made.wires if not each.kept}
    ours: Counter[str] = Counter()
    grounds: Counter[str] = Counter()
    for each in made.parts:
        for use in each.terminals:
            if each.role in ("ground", "stud") and new.intersection(use.wires):
                ours[use.size] += 1
                grounds[use.size] += each.role == "ground"
    assert _counted(made, "nut, all metal") == ours
    assert _counted(made, "spring lock washer") == ours
    assert _counted(made, "serrated lock washer") == +grounds
    landed = {
        (each.name, use.terminal): sorted(use.wires)
        for each in made.parts
        for use in each.terminals
        if use.fitting in ("stud", "screw", "post") and use.size != "clamp" and use.wires
    }
    assert {(each.part, each.terminal): sorted(each.wires) for each in made.studs} == landed
    assert all(line.used_on for line in made.materials), "everything that is bought is used somewhere"
    bases = sum(line.quantity for line in made.materials if line.item.startswith("relay base"))
    relays = [each for each in made.parts if each.role == "relay"]
    assert bases <= len(relays)
    for each in made.studs:
        assert [step for step in each.stack if step.startswith("lug of ")] == [
            f"lug of {n}" for n in each.wires
        ]
        assert each.torque and (each.torque_nm is None) == (each.source == "")
