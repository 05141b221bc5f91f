"""Edits lead from one survey to the other, find their place when others came and went."""

from __future__ import annotations

import copy
import json
import random
import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harness.model.machine import Machine
from harness.model.problem import SurveyWrong
from harness.record.asbuilt import (
    AsBuilt,
    Change,
    changes_of,
    edits_of_copy,
    own_revision,
    survey_text,
    until,
    with_changes,
)
from harness.record.edits import BadEdit, Edit, differences, edit_of, made
from harness.record.setting import typed_edit
from harness.record.store import Record
from harness.record.trees import mended, one_line_text, tree_of_text
from harness.survey import read
from tests.docs.pages import ROOT
from tests.record.made import NOON

SURVEY = """\
# a trailer
machine: {name: Trailer, voltage: 12 V, chassis post: negative, revision: B}
zones:
  outside: {ambient: 40 °C, wet: yes}   # it rains
runs:
  - {from: box, to: tail, length: 3.2 m, zone: outside}
  - {from: tail, to: "no. 2.5", length: 1 m, zone: outside}
parts:
  battery: {is: battery, at: box, capacity: 60 Ah, cranking: 400 A}
  lamp fuse: {is: fuse, at: box}
  lamp: {is: lamp, at: tail, power: 21 W}   # the glass is cracked
  lamp no. 2: {is: lamp, at: "no. 2.5", power: 5 W}
  stud: {is: ground point, at: tail, on: frame}
circuits:
  Lamps:
    paths:
      - battery + > lamp fuse > (lamp, lamp no. 2) > frame   # one fuse for both
      - frame > battery -
"""
TREE = tree_of_text(SURVEY, "trailer.yaml")
PATHS = ("circuits", "Lamps", "paths")

keys = st.sampled_from(["a", "b", "c", "a.b", "1"])
trees = st.recursive(
    st.sampled_from(["", "x", "y", "55 W"]),
    lambda below: st.lists(below, max_size=4) | st.dictionaries(keys, below, max_size=4),
    max_leaves=12,
)
surveys = st.dictionaries(keys, trees, max_size=4)


def _same(one: Any, other: Any) -> bool:
    """Equal, and in the same order."""
    return json.dumps(one) == json.dumps(other)


@given(surveys, surveys)
@settings(max_examples=100)
def test_the_edits_lead_from_one_survey_to_the_other(one: Any, other: Any) -> None:
    before = copy.deepcopy(one)
    edits = [edit_of(json.loads(json.dumps(edit.held()))) for edit in differences(one, other)]
    after, remarks = made(one, edits)
    assert _same(after, other)
    assert remarks == []
    assert _same(one, before)
    assert (edits == []) is _same(one, other)


@given(surveys, surveys, surveys)
@settings(max_examples=60)
def test_edits_on_another_survey_are_made_or_told_and_never_fail(one: Any, other: Any, third: Any) -> None:
    after, _ = made(third, differences(one, other))
    assert isinstance(after, dict)


@pytest.mark.parametrize(
    ("words", "edit"),
    [
        ("parts.lamp.power = 10 W", Edit(("parts", "lamp", "power"), "21 W", "10 W")),
        ("parts.Lamp no. 2.power=10 W", Edit(("parts", "lamp no. 2", "power"), "5 W", "10 W")),
        ("parts.lamp.notes = new = 'x'", Edit(("parts", "lamp", "notes"), None, "new = 'x'", after="power")),
        ("parts.lamp.power =", Edit(("parts", "lamp", "power"), "21 W", None)),
        (
            "parts.horn = {is: horn, at: tail}",
            Edit(("parts", "horn"), None, {"is": "horn", "at": "tail"}, after="stud"),
        ),
        (
            "modes.parked = {engine: stopped}",
            Edit(("modes", "parked"), None, {"engine": "stopped"}, after=""),
        ),
        (
            "runs.box to tail.length = 4 m",
            Edit(
                ("runs",),
                {"from": "box", "to": "tail", "length": "3.2 m", "zone": "outside"},
                {"from": "box", "to": "tail", "length": "4 m", "zone": "outside"},
                place=1,
            ),
        ),
        (
            "runs.no. 2.5 to tail.length = 4 m",
            Edit(
                ("runs",),
                {"from": "tail", "to": "no. 2.5", "length": "1 m", "zone": "outside"},
                {"from": "tail", "to": "no. 2.5", "length": "4 m", "zone": "outside"},
                place=2,
            ),
        ),
        ("circuits.Lamps.paths.2 = frame > box", Edit(PATHS, "frame > battery -", "frame > box", place=2)),
        ("circuits.Lamps.paths.+ = a > b", Edit(PATHS, None, "a > b", place=3)),
        ("circuits.Lamps.paths.2 =", Edit(PATHS, "frame > battery -", None, place=2)),
    ],
)  # fmt: skip
def test_a_change_as_it_is_typed(words: str, edit: Edit) -> None:
    assert typed_edit(TREE, words) == edit
    after, remarks = made(TREE, [edit])
    assert remarks == []
    assert not _same(after, TREE)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("parts.lamp.power", "write it as"),
        ("= 5", "write it as"),
        ("parts.lam.power = 5 W", "did you mean 'lamp'"),
        ("parts.lamp.power = 21 W", "says 21 W already"),
        ("parts.lamp.notes =", "cannot be taken out"),
        ("parts.lamp.power.x = 5", "nothing stands below"),
        ("runs.7.length = 5 m", "number from 1 to 2"),
        ("runs.0 = x", "number from 1 to 2"),
        ("parts.horn = {is: horn", "closed"),
        ("runs.box to nowhere.length = 5 m", "number from 1 to 2"),
    ],
)
def test_a_change_that_is_typed_wrong_is_told_with_what_would_be_right(words: str, said: str) -> None:
    with pytest.raises(BadEdit, match=said):
        typed_edit(TREE, words)


def test_what_stands_below_something_new_is_said_with_it() -> None:
    """Fuzzing found it kept as a change that changes nothing."""
    for words in ("modes.night.engine = running", "spares.ties.least.most = 2"):
        with pytest.raises(BadEdit, match="say all of it at once"):
            typed_edit(TREE, words)
    after, remarks = made(TREE, [typed_edit(TREE, "modes.night = {engine: running}")])
    assert isinstance(after, dict) and after["modes"] == {"night": {"engine": "running"}} and not remarks


def test_an_edit_finds_its_item_when_others_came_before_it() -> None:
    edit = typed_edit(TREE, "runs.box to tail.length = 4 m")
    moved = copy.deepcopy(TREE)
    assert isinstance(moved, dict)
    moved["runs"].insert(0, {"from": "box", "to": "nose", "length": "1 m", "zone": "outside"})
    after, remarks = made(moved, [edit])
    assert isinstance(after, dict)
    assert [run["length"] for run in after["runs"]] == ["1 m", "4 m", "1 m"]
    assert remarks == []


def test_what_is_no_longer_as_it_was_is_told() -> None:
    other, _ = made(TREE, [typed_edit(TREE, "parts.lamp.power = 15 W")])
    after, remarks = made(other, [typed_edit(TREE, "parts.lamp.power = 10 W")])
    assert isinstance(after, dict)
    assert after["parts"]["lamp"]["power"] == "10 W"
    assert remarks == [
        "parts.lamp.power: the survey says 15 W now and said 21 W when the change was kept; "
        "the change goes first"
    ]
    gone, _ = made(TREE, [typed_edit(TREE, "parts.lamp =")])
    after, remarks = made(gone, [typed_edit(TREE, "parts.lamp.power = 10 W")])
    assert after == gone
    assert "nothing is changed there" in remarks[0]
    after, remarks = made(gone, [typed_edit(TREE, "parts.lamp.notes = x")])
    assert after == gone
    assert "nothing is changed there" in remarks[0]
    same, _ = made(TREE, [typed_edit(TREE, "parts.lamp.power = 10 W")])
    assert made(same, [typed_edit(TREE, "parts.lamp.power = 10 W")]) == (same, [])


@pytest.mark.parametrize(
    "held",
    [
        None, 5, "x", {}, {"at": [], "old": None, "new": "x"}, {"at": ["a"], "old": None, "new": None},
        {"at": [1], "old": None, "new": "x"},
        {"at": ["a"], "old": 5, "new": "x"},
        {"at": ["a"], "old": None, "new": {"b": [None]}}, {"at": ["a"], "old": None, "new": "x", "item": 0},
        {"at": ["a"], "old": None, "new": "x", "item": True},
        {"at": ["a"], "old": None, "new": "x", "after": 1},
    ],
)  # fmt: skip
def test_an_edit_that_is_none_is_told_with_its_change(held: Any, tmp_path: Any) -> None:
    with pytest.raises(BadEdit):
        edit_of(held)
    record = Record.open(tmp_path / "r")
    record.append("change", "x", {"edits": [held]}, written=NOON)
    changes, remarks = changes_of(record.entries().entries)
    assert changes == []
    assert remarks[0].startswith("change 1: cannot be made: ")


# ------------------------------------------------------------------------------------------------- as built

DAY = "2026-11-20"


def _changes(*words: str) -> list[Change]:
    found: list[Change] = []
    tree = TREE
    for number, each in enumerate(words, start=2):
        edit = typed_edit(tree, each)
        tree, _ = made(tree, [edit])
        found.append(Change(number, f"2026-11-{18 + number}", (edit,)))
    return found


def test_only_what_was_changed_is_changed_in_the_text() -> None:
    state = with_changes(TREE, _changes("parts.lamp.power = 10 W", "circuits.Lamps.paths.+ = frame > stud"))
    text, anew = survey_text(SURVEY, "trailer.yaml", state)
    assert anew == ()
    expected = (
        SURVEY.replace("revision: B", 'revision: "B.3, 2026-11-21"')
        .replace("power: 21 W", "power: 10 W")
        .replace("      - frame > battery -\n", "      - frame > battery -\n      - frame > stud\n")
    )
    assert text == expected
    assert read("trailer.yaml", text=SURVEY).revision == "B"


def test_without_changes_it_is_the_survey_letter_for_letter() -> None:
    assert survey_text(SURVEY, "trailer.yaml", with_changes(TREE, [])) == (SURVEY, ())


@pytest.mark.parametrize(
    ("own", "revision"),
    [("B", "B.7, 2026-11-20"), ("B, 2025-01-01", "B.7, 2026-11-20"), ("", "as built 7, 2026-11-20")],
)
def test_the_revision_is_the_survey_s_own_with_number_and_day_of_the_last_change(
    own: str, revision: str
) -> None:
    tree = {"machine": {"name": "x", **({"revision": own} if own else {})}}
    assert AsBuilt(tree, Change(7, DAY, ())).revision == revision
    assert own_revision(AsBuilt(tree, Change(7, DAY, ())).stamped()) == revision
    assert AsBuilt(tree, None).revision == own
    assert _same(AsBuilt(tree, None).stamped(), tree)


def test_a_state_of_the_past_by_number_or_by_day() -> None:
    changes = _changes("parts.lamp.power = 10 W", "parts.lamp.power = 15 W", "parts.lamp.power = 18 W")
    assert [one.number for one in until(changes, number=3)] == [2, 3]
    assert [one.number for one in until(changes, day="2026-11-21")] == [2, 3]
    assert until(changes, day="2025-01-01") == []
    assert until(changes) == changes


@pytest.mark.parametrize("made_of", [0, 1, 2])
def test_an_edited_copy_is_held_against_the_state_it_was_made_of(made_of: int) -> None:
    """Whoever edits last month's copy takes back nothing that was changed since."""
    changes = _changes("parts.lamp.power = 10 W", "parts.lamp no. 2.power = 8 W")
    state = with_changes(TREE, changes[:made_of])
    copied, _ = made(state.stamped(), [typed_edit(state.stamped(), "parts.battery.capacity = 70 Ah")])
    assert edits_of_copy(TREE, changes, copied) == [Edit(("parts", "battery", "capacity"), "60 Ah", "70 Ah")]


def test_a_new_revision_in_a_copy_is_one_of_the_edits() -> None:
    changes = _changes("parts.lamp.power = 10 W")
    today = with_changes(TREE, changes).stamped()
    copied, _ = made(today, [typed_edit(today, "machine.revision = C")])
    assert edits_of_copy(TREE, changes, copied) == [Edit(("machine", "revision"), "B", "C")]


def test_a_copy_of_a_sample_edited_all_over_comes_out_the_same() -> None:
    """Through edits, record and text: what is read in the end is what the copy says."""
    text = (ROOT / "samples" / "roller.yaml").read_text(encoding="utf-8")
    lamp = "  left head lamp:  {is: head lamp, at: front left, power: 55 W}"
    edited = (
        text.replace(lamp, lamp.replace("55 W", "70 W"), 1)
        .replace("length: 0.85 m", "length: 0.9 m", 1)
        .replace("cable: GXL ", "cable: TXL ", 1)
    )
    assert edited.count("70 W}") == text.count("70 W}") + 1
    tree, wanted = tree_of_text(text, "roller.yaml"), tree_of_text(edited, "roller.yaml")
    edits = edits_of_copy(tree, [], wanted)
    after, remarks = made(tree, edits)
    assert remarks == []
    assert _same(after, wanted)
    assert len(edits) == 3
    made_text, anew = survey_text(text, "roller.yaml", AsBuilt(after, None))
    assert anew == ()
    assert len(set(made_text.splitlines()) ^ set(text.splitlines())) == 2 * 3
    read("roller.yaml", text=made_text)


def _edited_at_random(tree: Any, draw: random.Random) -> Any:
    """The tree with keys taken out, added or put in another order, and items doubled, all over."""
    tree = copy.deepcopy(tree)
    for _ in range(draw.randint(1, 3)):
        holders: list[Any] = []
        waiting = list(tree.values())
        while waiting:
            here = waiting.pop()
            if isinstance(here, dict | list) and here:
                holders.append(here)
                waiting += here.values() if isinstance(here, dict) else here
        holder = draw.choice(holders)
        if isinstance(holder, list):
            holder.insert(draw.randrange(len(holder) + 1), copy.deepcopy(draw.choice(holder)))
        elif draw.random() < 0.4:
            del holder[draw.choice([*holder])]
        elif draw.random() < 0.5:
            items = [*holder.items()]
            draw.shuffle(items)
            holder.clear()
            holder.update(items)
        else:
            holder["notes"] = draw.choice(["a, b: c", "# no remark", "'", "{x", "yes"])
    return tree


def _meaning(machine: Machine) -> str:
    """All that a survey says, without where in the file it says it."""
    return re.sub(r"Where\([^)]*\)|digest='[^']*'", "", repr(machine))


def test_the_text_as_built_means_what_the_edited_tree_means() -> None:
    """Two ways to the same machine: the tree written on one line, and the text of the sample mended."""
    text = (ROOT / "samples" / "pump.yaml").read_text(encoding="utf-8")
    tree = tree_of_text(text, "pump.yaml")
    tried = 0
    for seed in range(40):
        edited = _edited_at_random(tree, random.Random(seed))
        try:
            wanted = read("pump.yaml", text=one_line_text(edited))
        except SurveyWrong:
            continue  # such a change is refused
        tried += 1
        assert _meaning(read("pump.yaml", text=mended(text, edited)[0])) == _meaning(wanted)
    assert tried >= 10
