"""The language of paths: one wire a hop, one joint a branch, and what each way of naming a part means."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harness.survey import read
from harness.survey.paths import Branch, Chain, PathWrong, Ref, parse
from tests.survey.texts import changed, machine, problems, spots, steps, wires

YARD = """\
machine: {name: Yard loader, voltage: 12 V, chassis post: negative}
zones: {z: {ambient: 45 °C}}
runs:
  - {from: box, to: dash, length: 1 m, zone: z}
  - {from: dash, to: front, length: 2 m, zone: z}
parts:
  battery: {is: battery, at: box}
  stud: {is: bus stud, at: box}
  F1: {is: fuse, at: box}
  panel: {is: fuse panel, at: dash, ways: 4}
  key: {is: key switch, at: dash}
  relay: {is: relay, at: dash}
  toggle: {is: switch, at: dash}
  left lamp: {is: lamp, at: front}
  right lamp: {is: lamp, at: front}
  head lamp: {is: head lamp, at: front}
  oil lamp: {is: warning lamp, at: dash}
  oil switch: {is: oil switch, at: front, on: engine}
  alternator: {is: alternator, at: front, on: engine, output: 45 A}
  starter: {is: starter, at: front, on: engine}
  engine ground: {is: ground point, at: front, on: engine}
  frame ground: {is: ground point, at: box, on: frame}
circuits:
  C:
    paths:
      - PATH
"""


def yard(*paths: str) -> str:
    return changed(("      - PATH\n", "".join(f"      - {path}\n" for path in paths)), text=YARD)


@pytest.mark.parametrize(
    ("path", "expected"),
    [
        ("battery + > F1 > toggle > left lamp > frame",
         ["battery + > F1 1", "F1 2 > toggle 1", "toggle 2 > left lamp +", "left lamp - > frame"]),
        ("battery > F1", ["battery + > F1 1"]),  # a source is left at its live post
        ("frame > battery -", ["frame > battery -"]),
        ("engine > frame", ["engine > frame"]),
        ("key 30/50 > starter 50", ["key 50 > starter 50"]),
        ("F1 > relay 30/87 > left lamp", ["F1 2 > relay 30", "relay 87 > left lamp +"]),
        ("stud > F1", ["stud stud > F1 1"]),
        ("stud > panel F3 > left lamp", ["stud stud > panel bus", "panel F3 > left lamp +"]),
        ("panel F3 > left lamp", ["panel F3 > left lamp +"]),
        ("alternator B+ > starter 30 > F1", ["alternator B+ > starter 30", "starter 30 > F1 1"]),
        ("toggle > head lamp", ["toggle 2 > head lamp 56b"]),
        ("toggle > head lamp 56a/31 > frame", ["toggle 2 > head lamp 56a", "head lamp 31 > frame"]),
        ("F1 → left lamp > frame", ["F1 2 > left lamp +", "left lamp - > frame"]),  # made of --> by a program
        ("F1  >\tkey  30 / 15 >   left lamp", ["F1 2 > key 30", "key 15 > left lamp +"]),
        ("f1 > left lamp", None),  # names keep their capitals
        ("alternator b+ > F1", ["alternator B+ > F1 1"]),  # terminals need not
    ],
)  # fmt: skip
def test_every_arrow_is_one_wire(path: str, expected: list[str] | None) -> None:
    text = yard(f'"{path}"' if "\t" not in path else "'" + path + "'")
    if expected is None:
        assert "did you mean 'F1'?" in problems(text)[0].fix
    else:
        assert wires(machine(text)) == expected


@pytest.mark.parametrize(
    ("path", "expected"),
    [
        # a branch at the end: one wire to the joint, one to each
        ("F1 > (left lamp, right lamp)", ["F1 2 > S1", "S1 > left lamp +", "S1 > right lamp +"]),
        # then a body: each alternative has its own wire to it
        ("F1 > (left lamp, right lamp) > frame",
         ["F1 2 > S1", "S1 > left lamp +", "S1 > right lamp +",
          "left lamp - > frame", "right lamp - > frame"]),
        # then a part: they meet in a second joint
        ("F1 > (left lamp, right lamp) > frame ground",
         ["F1 2 > S1", "S1 > left lamp +", "S1 > right lamp +",
          "left lamp - > S2", "right lamp - > S2", "S2 > frame ground stud"]),
        # a branch at the start meets in a joint too
        ("(F1, panel F2) > left lamp", ["F1 2 > S1", "panel F2 > S1", "S1 > left lamp +"]),
        ("(left lamp, right lamp) > frame", ["left lamp - > frame", "right lamp - > frame"]),
        # alternatives may be chains, and end on different things
        ("key 15 > (toggle > left lamp > frame, oil lamp > oil switch)",
         ["key 15 > S1", "S1 > toggle 1", "toggle 2 > left lamp +", "left lamp - > frame",
          "S1 > oil lamp +", "oil lamp - > oil switch 1"]),
        # nested
        ("F1 > (toggle > (left lamp, right lamp), head lamp)",
         ["F1 2 > S1", "S1 > toggle 1", "toggle 2 > S2", "S2 > left lamp +", "S2 > right lamp +",
          "S1 > head lamp 56b"]),
        # two branches one after the other share one joint between them
        ("(F1, panel F2) > (left lamp, right lamp)",
         ["F1 2 > S1", "panel F2 > S1", "S1 > left lamp +", "S1 > right lamp +"]),
    ],
)  # fmt: skip
def test_branches(path: str, expected: list[str]) -> None:
    assert wires(machine(yard(path))) == expected


def test_same_hop_is_the_same_wire_in_either_direction() -> None:
    found = machine(
        yard(
            "battery + > F1 > toggle", "battery + > F1 > left lamp", "frame > battery -", "battery - > frame"
        )
    )
    assert wires(found) == ["battery + > F1 1", "F1 2 > toggle 1", "F1 2 > left lamp +", "frame > battery -"]
    assert steps(found, "C", 1) == ["battery + > F1 1", "[F1 1/2]", "F1 2 > left lamp +", "[left lamp +/-]"]


def test_same_branch_is_the_same_joint_and_a_different_one_is_not() -> None:
    same = machine(yard("F1 > (left lamp, right lamp) > frame", "F1 > (right lamp, left lamp) > engine"))
    assert [splice.name for splice in same.splices] == ["S1"]
    other = machine(yard("F1 > (left lamp, right lamp)", "F1 > (left lamp, head lamp)"))
    assert [splice.name for splice in other.splices] == ["S1", "S2"]


def test_place_of_a_joint() -> None:
    assert machine(yard("F1 > (left lamp, right lamp) > frame")).splices[0].place is None
    assert machine(yard("F1 > (left lamp, right lamp) at dash > frame")).splices[0].place == "dash"
    once = machine(yard("F1 > (left lamp, right lamp)", "F1 > (left lamp, right lamp) at dash"))
    assert [splice.place for splice in once.splices] == ["dash"]
    start = machine(yard("(F1, panel F2) at dash > left lamp"))
    assert start.splices[0].place == "dash"
    both = problems(yard("F1 > (left lamp, right lamp) at front", "F1 > (left lamp, right lamp) at dash"))
    assert "the same joint is put at 'front' in another path" in both[0].what


def test_joint_names_keep_clear_of_part_names() -> None:
    text = yard("F1 > (left lamp, right lamp)").replace("  toggle: {is: switch", "  S1: {is: switch")
    assert [splice.name for splice in machine(text).splices] == ["S2"]


def test_longest_part_name_wins() -> None:
    text = yard("F1 > key > left lamp", "F1 > key 30/15 > left lamp").replace("  toggle:", "  key 30:")
    assert wires(machine(text))[0] == "F1 2 > key 30"
    text = yard("F1 > key 30 > left lamp").replace("  toggle:", "  key 30:")
    assert wires(machine(text)) == ["F1 2 > key 30 1", "key 30 2 > left lamp +"]


def test_steps_name_the_way_through_every_part() -> None:
    found = machine(yard("panel F2 > key 30/15 > relay 86/85 > frame", "key 15 > oil lamp > oil switch"))
    assert steps(found, "C", 0) == [
        "[panel bus/F2]", "panel F2 > key 30", "[key 30/15]", "key 15 > relay 86", "[relay 86/85]",
        "relay 85 > frame",
    ]  # fmt: skip
    assert steps(found, "C", 1) == [
        "key 15 > oil lamp +", "[oil lamp +/-]", "oil lamp - > oil switch 1", "[oil switch 1/case]",
    ]  # fmt: skip


def test_a_path_that_ends_at_a_load_runs_through_it() -> None:
    found = machine(yard("battery + > starter 30", "relay 87 > starter 50"))
    assert steps(found, "C", 0) == ["battery + > starter 30", "[starter 30/case]"]
    assert steps(found, "C", 1) == ["relay 87 > starter 50", "[starter 50/case]"]


def test_a_charging_cable_that_ends_at_the_starter_does_not_crank_it() -> None:
    direct = machine(yard("battery + > starter 30", "alternator B+ > F1 > starter 30"))
    assert steps(direct, "C", 1) == ["alternator B+ > F1 1", "[F1 1/2]", "F1 2 > starter 30"]
    in_two = machine(yard("battery + > starter 30", "alternator B+ > F1", "F1 > starter 30"))
    assert steps(in_two, "C", 2) == ["[F1 1/2]", "F1 2 > starter 30"]


def test_wire_and_path_know_where_they_stand() -> None:
    found = machine(yard("F1 > toggle > (left lamp, right lamp)"))
    # "      - F1 > toggle > (left lamp, right lamp)": toggle from column 14, the branch from 23
    assert [(wire.where.line, wire.where.column) for wire in found.wires] == [
        (26, 14),
        (26, 23),
        (26, 24),
        (26, 35),
    ]
    assert (found.splices[0].where.line, found.splices[0].where.column) == (26, 23)
    path = found.circuits[0].paths[0]
    assert (path.where.line, path.where.column) == (26, 9)
    assert path.text == "F1 > toggle > (left lamp, right lamp)"


@pytest.mark.parametrize(
    ("path", "column", "what", "fix"),
    [
        # columns of "      - PATH": the path starts at column 9
        ("F1", 9, "a path needs at least two things to join", "A > B"),
        ("F1 >", 13, "the path ends where a part or body belongs", "write a name"),
        ("F1 > > toggle", 14, "'>' stands where a part or body belongs", "write a name"),
        ("F1, toggle > key", 11, "a comma stands outside parentheses", "(this, that)"),
        ("F1 > (left lamp, right lamp", 14, "this parenthesis is never closed", "close it"),
        ("F1 > left lamp)", 23, "a parenthesis closes here that was never opened", "leave it out"),
        ("F1 > (left lamp)", 14, "a branch leads to two ends at least", "leave the parentheses out"),
        ("F1 > (left lamp, )", 26, "')' stands where a part or body belongs", "write a name"),
        ("F1 (left lamp, right lamp)", 12, "'>' is missing before this", "between the two"),
        ("F1 > (left lamp, right lamp) frame", 38, "'frame' cannot follow a branch", "'at' and a place"),
        ("F1 > (left lamp, right lamp) at dsah", 41, "no run leads to a place 'dsah'", "'dash'"),
        ("(left lamp, right lamp) at dash > frame", 36, "there is no joint here", "leave out 'at'"),
        ("F1 > lft lamp", 14, "there is no part or body 'lft lamp'", "did you mean 'left lamp'?"),
        ("F1 > kye 30/15 > frame", 14, "there is no part or body 'kye 30/15'", "did you mean 'key 30/15'?"),
        ("F1 -> left lamp > frame", 9, "there is no part or body 'F1 -'", "write > alone between two names"),
        ("F1 > Key 30/15 > frame", 14, "no part or body 'Key 30/15'", "Only capitals or blanks differ"),
        (
            "F1 > left lamp + right lamp > frame", 14, "no part or body 'left lamp + right lamp'",
            "write a branch in brackets: (left lamp, right lamp)",
        ),
        ("F1 > chasis", 14, "there is no part or body 'chasis'", "a body needs a ground point"),
        ("F1 > key 31", 18, "'key' has no terminal '31'", "known are: 30, 15"),
        ("F1 > key 30/99 > frame", 21, "'key' has no terminal '99'", "known are: 30, 15, 50, 19, 15a"),
        ("F1 > key 15/50 > frame", 18, "there is no way inside 'key' from 15 to 50", "30/15, 30/50"),
        ("F1 > key 30/15/50 > frame", 18, "'30/15/50' is not a way through a part", "two terminals"),
        ("F1 > panel F5 > frame", 20, "'panel' has no terminal 'F5'", "known are: bus, F1"),
        ("F1 > alternator > frame", 14, "does not say which way it goes through 'alternator'", "D+/B-"),
        ("F1 > stud > stud", 21, "a wire from stud stud to itself", "two different ends"),
        ("battery + > frame", 21, "battery + straight to body frame is a dead short", "'battery -'"),
        ("F1 > left lamp + > frame", 28, "from left lamp + to body frame without", "left lamp +/-"),
        ("F1 > (left lamp > frame, right lamp) > toggle", 48, "already ended on a body", "a path of its own"),
    ],
)  # fmt: skip
def test_wrong_path(path: str, column: int, what: str, fix: str) -> None:
    found = problems(yard(path))
    assert [(each.where.line, each.where.column) for each in found] == [(26, column)]
    assert what in found[0].what
    assert fix in found[0].fix


def test_every_wrong_name_of_a_path_is_reported() -> None:
    assert spots(yard("F1 > tggle > (lft lamp, rght lamp) > frme")) == [
        (26, 14),
        (26, 23),
        (26, 33),
        (26, 46),
    ]


def test_facts_about_single_wires() -> None:
    section = "wires:\n  {}: {{keep: yes, size: 2/0 AWG, length: 1.9 m, colour: red, cable: SGT}}\n"
    found = machine(yard("battery + > starter 30") + section.format("battery + > starter 30"))
    wire = found.wires[0]
    assert (wire.keep, wire.size, wire.length_m, wire.colour, wire.cable) == (
        True,
        "2/0 AWG",
        1.9,
        "RD",
        "SGT",
    )
    bare = machine(yard("battery + > F1 > left lamp") + section.format("F1 > left lamp"))
    assert [wire.keep for wire in bare.wires] == [False, True]
    branch = machine(yard("F1 > (left lamp, right lamp)") + section.format("F1 > (right lamp, left lamp)"))
    assert [wire.keep for wire in branch.wires] == [True, False, False]


@pytest.mark.parametrize(
    ("section", "spot", "what"),
    [
        ("  F1 > toggle: {size: 14 AWG}\n", (28, 3), "no path has the wire 'F1 > toggle'"),
        ("  F1 > left lamp > frame: {size: 14 AWG}\n", (28, 3), "names more than one wire"),
        ("  F1 > left lamp: {keep: yes}\n", (28, 3), "a kept cable does not say its size"),
        ("  F1 > left lamp: {size: 1 mm}\n", (28, 26), "is a length where a cross-section belongs"),
        ("  F1 > lefty lamp: {size: 14 AWG}\n", (28, 8), "no part or body 'lefty lamp'"),
        (
            "  F1 > left lamp: {size: 14 AWG}\n  F1 2 > left lamp +: {colour: red}\n",
            (29, 3),
            "already has an entry",
        ),
    ],
)
def test_wrong_facts_about_wires(section: str, spot: tuple[int, int], what: str) -> None:
    found = problems(yard("F1 > left lamp") + "wires:\n" + section)
    assert [(each.where.line, each.where.column) for each in found] == [spot]
    assert what in found[0].what


@pytest.mark.parametrize(
    ("path", "hop", "at"),
    [
        ("F1 > (left lamp, right lamp)", "S1 > right lamp", 2),
        ("F1 > (left lamp, right lamp)", "S1 > left lamp +", 1),
        ("F1 > (left lamp, right lamp)", "F1 > S1", 0),
        ("F1 > (left lamp, right lamp)", "left lamp + > S1", 1),
        ("(F1, panel F2) > left lamp", "panel F2 > S1", 1),
        ("(F1, panel F2) > left lamp", "S1 > left lamp", 2),
        ("F1 > (toggle > (left lamp, right lamp), head lamp)", "S2 > right lamp", 4),
        ("F1 > (toggle > (left lamp, right lamp), head lamp)", "toggle > S2", 2),
    ],
)
def test_a_wire_past_a_joint_is_named_by_the_joint(path: str, hop: str, at: int) -> None:
    found = machine(yard(path) + f"wires:\n  {hop}: {{size: 10 AWG}}\n")
    sized = [wire.index for wire in found.wires if wire.size == "10 AWG"]
    assert [wires(found)[index] for index in sized] == [wires(found)[at]]


@pytest.mark.parametrize(
    ("hop", "spot", "what", "fix"),
    [
        ("S1 > head lamp", (28, 3), "no path has the wire 'S1 > head lamp'", "did you mean"),
        ("S2 > left lamp", (28, 3), "no path has a joint 'S2'", "S1"),
        ("F1 > S2", (28, 8), "no path has a joint 'S2'", "S1"),
        ("S1 > S1", (28, 3), "no path has the wire 'S1 > S1'", ""),
        ("S1 > lefty lamp", (28, 8), "no part or body 'lefty lamp'", "left lamp"),
        ("s1 > left lamp", (28, 3), "no part or body 's1'", ""),
    ],
)
def test_a_wire_past_a_joint_that_is_not_there(hop: str, spot: tuple[int, int], what: str, fix: str) -> None:
    found = problems(yard("F1 > (left lamp, right lamp)") + f"wires:\n  {hop}: {{size: 10 AWG}}\n")
    assert [(each.where.line, each.where.column) for each in found] == [spot]
    assert what in found[0].what
    assert fix in found[0].fix


def test_a_joint_where_no_path_branches() -> None:
    (found,) = problems(yard("F1 > left lamp") + "wires:\n  S1 > left lamp: {size: 10 AWG}\n")
    assert found.what == "no path has a joint 'S1'"
    assert found.fix == "no path branches"


NAMES = st.sampled_from(["a", "b c", "key 30/15", "é", "frame"])
TREES = st.recursive(
    NAMES,
    lambda inner: st.tuples(
        st.lists(st.lists(inner, min_size=1, max_size=3), min_size=2, max_size=3),
        st.sampled_from(["", " at here"]),
    ),
    max_leaves=8,
)


def written(item: object) -> str:
    if isinstance(item, str):
        return item
    assert isinstance(item, tuple)
    chains, place = item
    return "(" + ", ".join(" > ".join(map(written, chain)) for chain in chains) + ")" + place


def back(item: Ref | Branch) -> str:
    if isinstance(item, Ref):
        return item.text
    place = f" at {item.place.text}" if item.place else ""
    return "(" + ", ".join(whole(chain) for chain in item.chains) + ")" + place


def whole(chain: Chain) -> str:
    return " > ".join(back(item) for item in chain.items)


@given(st.lists(TREES, min_size=2, max_size=4))
def test_what_is_written_by_the_grammar_is_read_back_the_same(items: list[object]) -> None:
    text = " > ".join(map(written, items))
    if text.count("(") <= 6:
        assert whole(parse(text)) == text


@given(st.text(alphabet="ab >(),at/\n", max_size=30))
def test_any_text_is_a_path_or_says_where_it_is_not(text: str) -> None:
    try:
        parse(text)
    except PathWrong as wrong:
        assert 0 <= wrong.offset <= len(text)
        assert wrong.what and wrong.fix


@pytest.mark.parametrize("name", ["roller", "grader", "orchard", "pump"])
def test_near_names_are_sought_only_for_what_is_not_known(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every name against every other would make a survey of a thousand wires ten times as slow to read."""
    sought: list[str] = []
    monkeypatch.setattr("harness.survey.names.nearest", lambda word, known: sought.append(word))
    read(Path(__file__).parents[2] / "samples" / f"{name}.yaml")
    assert sought == []
