"""What differs between two designs: told by what wires join, alike from both sides, nothing when equal."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from functools import cache
from itertools import permutations

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from harness.book.data import design_json
from harness.comparing.change import GROUPS, Change, Comparison
from harness.comparing.differences import compare
from harness.comparing.pairing import paired
from harness.comparing.stored import design_of_json
from harness.comparing.telling import TITLES
from harness.comparing.words import data, lines
from harness.model.design import Design
from harness.model.problem import SurveyWrong
from harness.pipeline import design
from harness.survey import read
from tests.properties.machines import surveys

SURVEY = """\
machine: {name: Trailer, voltage: 12 V, chassis post: negative, sizes: mm2}
zones: {deck: {ambient: 40 °C, wet: yes}, bay: {ambient: 85 °C}}
bodies: {frame: {}}
runs:
  - {from: box, to: middle, length: 2 m, zone: deck, hole: 22 mm}
  - {from: middle, to: left, length: 3 m, zone: deck}
  - {from: middle, to: right, length: 3 m, zone: deck}
parts:
  battery: {is: battery, at: box, capacity: 70 Ah, cranking: 540 A}
  F4: {is: fuse, at: box}
  F5: {is: fuse, at: box}
  lamp switch: {is: switch, at: box}
  left lamp: {is: work lamp, at: left, power: 35 W}
  right lamp: {is: work lamp, at: right, power: 35 W}
  horn: {is: horn, at: middle, current: 4 A}
  button: {is: push button, at: box}
  left ground: {is: ground point, at: left, on: frame}
  right ground: {is: ground point, at: right, on: frame}
  middle ground: {is: ground point, at: middle, on: frame}
  box ground: {is: ground point, at: box, on: frame}
circuits:
  Work lamps:
    paths: ["battery + > F4 > lamp switch > (left lamp, right lamp) > frame"]
  Horn:
    paths: ["battery + > F5 > button > horn > frame"]
  Return:
    paths: ["frame > battery -"]
"""
OPPOSITE = {"added": "removed", "removed": "added", "changed": "changed"}


@cache
def made(text: str = SURVEY) -> Design:
    return design(read("trailer.yaml", text=text))


def edited(*edits: tuple[str, str]) -> Design:
    text = SURVEY
    for old, new in edits:
        assert old in text
        text = text.replace(old, new)
    return made(text)


def against(*edits: tuple[str, str]) -> Comparison:
    return compare(made(), edited(*edits))


def changes(found: Comparison, group: str, what: str | None = None) -> list[Change]:
    return [each for each in found.changes if each.group == group and what in (None, each.what)]


def looked_at(found: Comparison) -> list[tuple[str, ...]]:
    """Everything told, without the words that name a thing by its new name."""
    return sorted(
        (each.group, each.act, each.old_name, each.new_name, each.what, each.was, each.now)
        for each in found.changes
    )


def mirrored(found: Comparison) -> list[tuple[str, ...]]:
    return sorted(
        (each.group, OPPOSITE[each.act], each.new_name, each.old_name, each.what, each.now, each.was)
        for each in found.changes
    )


# ------------------------------------------------------------------------------- one edit, by hand


def test_a_design_is_like_itself() -> None:
    found = compare(made(), made())
    assert found.same and not found.notes and list(lines(found)) == []


def test_larger_lamps_a_larger_fuse_and_thicker_wires_each_with_its_reason() -> None:
    found = against(("35 W", "75 W"))
    (fuse,) = changes(found, "fuses", "rating")
    assert fuse.new_name == "F4"
    # 2 x 35 W and 2 x 75 W at 12 V are 5.8 A and 12.5 A, by P = U I
    assert float(fuse.was.removesuffix(" A")) >= 5.8 and float(fuse.now.removesuffix(" A")) >= 12.5
    assert "left lamp went from 35 W to 75 W" in fuse.because
    grown = changes(found, "wires", "size")
    assert grown
    for wire in grown:
        assert wire.because
    behind = [each for each in grown if "battery" not in each.subject and "ground" not in each.subject]
    assert behind
    for each in behind:
        assert f"F4 grew from {fuse.was} to {fuse.now}" in each.because
    assert all("lamp" in each.subject or "ground" in each.subject or "F4" in each.subject or
               "splice" in each.subject for each in grown)  # fmt: skip
    draws = {each.subject: (each.was, each.now) for each in changes(found, "loads", "draws")}
    assert draws == dict.fromkeys(("left lamp", "right lamp"), ("2.92 A", "6.25 A"))


def test_other_numbers_are_other_numbers_and_nothing_else() -> None:
    old = made()
    names = {wire.number: f"{at}x" for at, wire in enumerate(old.wires)}

    def call(numbers: list[str]) -> list[str]:
        return [names.get(each, each) for each in numbers]

    new = replace(
        old,
        wires=[replace(wire, number=names[wire.number]) for wire in reversed(old.wires)],
        splices=[replace(each, wires=call(each.wires), name=f"{each.name}0") for each in old.splices],
    )
    new = replace(new, wires=[
        replace(wire, **{
            side: replace(point, part=f"{point.part}0") if point.kind == "splice" else point
            for side, point in (("from_", wire.from_), ("to", wire.to))
        }) for wire in new.wires
    ])  # fmt: skip
    found = compare(old, new)
    assert {each.group for each in found.changes} == {"numbers"}
    assert len(found.changes) == len(old.wires) + len(old.splices)
    assert {(each.was, each.now) for each in found.changes if each.what == "number"} == set(names.items())


def test_a_wire_that_ends_elsewhere_was_moved() -> None:
    found = against(("left lamp, right lamp) > frame", "left lamp > left ground, right lamp > left ground)"))
    moved = changes(found, "wires", "end")
    assert len(moved) == 1
    assert ("right ground" in moved[0].was) and ("left ground" in moved[0].now)
    assert not [each for each in changes(found, "wires") if each.act != "changed"]
    assert changes(found, "wires", "way") and changes(found, "wires", "length")


def test_a_new_circuit_and_what_it_takes() -> None:
    found = against(
        (
            "  horn: {",
            "  beacon: {is: beacon, at: middle, power: 21 W}\n  F6: {is: fuse, at: box}\n  horn: {",
        ),
        ("  Return:", '  Beacon: {paths: ["battery + > F6 > beacon > frame"]}\n  Return:'),
    )
    assert [each.subject for each in changes(found, "circuits")] == ["circuit Beacon"]
    assert {each.new_name for each in changes(found, "parts")} == {"beacon", "F6"}
    new = [each for each in changes(found, "wires") if each.act == "added"]
    assert len(new) == 3
    assert [each.new_name for each in changes(found, "fuses")] == ["F6"]
    assert any(each.unit == "m" for each in found.buy)


def test_a_part_that_is_only_called_otherwise() -> None:
    found = against(("  button: {", "  horn button: {"), ("> button >", "> horn button >"))
    (called,) = [each for each in changes(found, "numbers") if each.what == "name"]
    assert (called.was, called.now) == ("button", "horn button")
    assert not changes(found, "wires") and not changes(found, "parts")


@pytest.mark.parametrize(
    ("old", "new", "group", "subject", "what"),
    [
        ("length: 2 m", "length: 2.4 m", "runs", "run box - middle", "length"),
        ("length: 2 m, zone: deck", "length: 2 m, zone: bay", "runs", "run box - middle", "zone"),
        ("hole: 22 mm", "hole: 32 mm", "runs", "run box - middle", "hole"),
        ("voltage: 12 V", "voltage: 24 V", "machine", "the machine", "volts"),
        ("chassis post: negative", "chassis post: negative, revision: C", "machine", "the machine",
         "revision"),
        ("cranking: 540 A}", "cranking: 540 A, notes: new in May}", "parts", "battery", "notes"),
        ("horn, at: middle", "horn, at: left", "parts", "horn", "place"),
        ("is: horn", "is: solenoid", "parts", "horn", "kind"),
        ("current: 4 A", "current: 4.5 A", "loads", "horn", "draws"),
        ("F5: {is: fuse, at: box}", "F5: {is: fuse, at: box, rating: 10 A}", "fuses", "fuse F5",
         "rating given by the survey"),
        ("  Horn:\n", "  Horn:\n    colour: BN\n", "circuits", "circuit Horn", "colour"),
    ],
)  # fmt: skip
def test_one_edit_is_told_by_its_own(old: str, new: str, group: str, subject: str, what: str) -> None:
    found = against((old, new))
    assert subject in [each.subject for each in changes(found, group, what)]


def test_findings_come_and_go() -> None:
    weak = (("hole: 22 mm", "hole: 22 mm, grommet: no"),)
    came = [each for each in against(*weak).changes if each.group in ("dangers", "advice")]
    assert [each.act for each in came if "bare 22 mm hole" in each.now] == ["added"]
    gone = compare(edited(*weak), made())
    assert [each.act for each in gone.changes if "bare 22 mm hole" in each.was] == ["removed"]


def test_the_same_revision_of_two_that_differ_is_said() -> None:
    named = ("chassis post: negative", "chassis post: negative, revision: B")
    old = edited(named)
    found = compare(old, edited(named, ("35 W", "75 W")))
    assert any("revision B" in note for note in found.notes)
    other = compare(old, edited((named[0], named[1].replace("B", "C")), ("35 W", "75 W")))
    assert not other.notes


def test_written_otherwise_with_the_same_wiring() -> None:
    found = against(("bodies:", "# as it stands in the yard\nbodies:"))
    assert found.same
    assert list(lines(found)) == [
        "note: The surveys are not written alike, but the wiring they give is the same."
    ]


def test_paths_in_another_order_are_no_other_wires() -> None:
    blocks = re.split(r"(?m)^(?=  [WHR]\w[\w ]*:\n)", SURVEY.partition("circuits:\n")[2])[1:]
    assert len(blocks) == 3
    for order in permutations(blocks):
        text = SURVEY.partition("circuits:\n")[0] + "circuits:\n" + "".join(order)
        found = compare(made(), made(text))
        assert {each.group for each in found.changes} <= {"numbers"}, list(lines(found))


# --------------------------------------------------------------------------------------- any survey

EDITS = (
    (r"length: (\d+(?:\.\d+)?) m", "m", "runs", "length"),
    (r"current: (\d+(?:\.\d+)?) A", "A", "loads", "draws"),
    (r"power: (\d+(?:\.\d+)?) W", "W", "loads", "draws"),
)


@settings(max_examples=10, phases=[Phase.generate])
@given(surveys(), st.data())
def test_one_edit_of_any_survey_is_told_and_seen_alike_from_both_sides(
    text: str, dice: st.DataObject
) -> None:
    spots = [(each, match) for each in EDITS for match in re.finditer(each[0], text)]
    (_, unit, group, what), match = spots[dice.draw(st.integers(0, len(spots) - 1))]
    value = round(float(match[1]) + dice.draw(st.sampled_from((0.5, 1.0, 3.0))), 2)
    new_text = text[: match.start(1)] + f"{value:g} {unit}" + text[match.end(1) + 1 + len(unit) :]
    old, new = (design(read("any.yaml", text=each)) for each in (text, new_text))
    found = compare(old, new)
    told = changes(found, group, what)
    assert [each for each in told if float(each.now.split()[0]) > float(each.was.split()[0])]
    back = compare(new, old)
    assert looked_at(back) == mirrored(found)
    assert found.buy == back.bring_back and found.bring_back == back.buy
    assert compare(old, old).same and compare(new, new).same
    pairs = paired(old, new)
    for mine, theirs, ours in ((old, new, pairs.wires),):
        assert sorted(a for a, _ in ours if a is not None) == list(range(len(mine.wires)))
        assert sorted(b for _, b in ours if b is not None) == list(range(len(theirs.wires)))


# ------------------------------------------------------------------------------------- design.json


def test_a_design_read_back_is_the_same() -> None:
    read_back = design_of_json(design_json(made()).encode(), "design.json")
    assert compare(made(), read_back).same and compare(read_back, made()).same
    assert json.loads(design_json(read_back)) == json.loads(design_json(made()))


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "is empty"),
        (b"\xff\xfe", "is not UTF-8"),
        (b"[]", "is not a design"),
        (b'{"format": "harness design 1"}', "'program' is missing"),
        (b'{"format": "harness design 2"}', "is not a design"),
        (b"[" * 100_000, "is not JSON"),
    ],
)
def test_a_wrong_design_is_told_where(content: bytes, said: str) -> None:
    with pytest.raises(SurveyWrong) as wrong:
        design_of_json(content, "design.json")
    (problem,) = wrong.value.problems
    assert str(problem).startswith("design.json") and said in problem.what


@pytest.mark.parametrize("bad", ["NaN", "Infinity", '"two"', "null", "[2]", "1e400"])
def test_a_wrong_value_in_a_design_is_told_where(bad: str) -> None:
    text = re.sub(r'"length_m": [0-9.]+', f'"length_m": {bad}', design_json(made()), count=1)
    with pytest.raises(SurveyWrong) as wrong:
        design_of_json(text.encode(), "design.json")
    assert "wires[0].length_m" in wrong.value.problems[0].what


# ------------------------------------------------------------------------------------------- words


def test_every_group_has_a_heading_and_the_other_way_round() -> None:
    assert set(TITLES) == set(GROUPS)


def test_data_holds_every_change_with_its_words() -> None:
    found = against(("35 W", "75 W"))
    rows = data(found)
    assert rows["format"] == "harness comparison 1" and rows["same"] is False
    assert len(rows["changes"]) == len(found.changes)
    assert any("because left lamp went from 35 W to 75 W" in row["text"] for row in rows["changes"])
