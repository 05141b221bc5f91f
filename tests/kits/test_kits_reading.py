"""Kits as data: all of ours are right, figures lie within what was published, and a wrong one is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from harness.cli.startcommands import MACHINES
from harness.kits.form import Kit
from harness.kits.loads import part_a
from harness.kits.reading import read_kit
from harness.kits.shelf import built_in, contents, shelf, wrong_words
from harness.kits.sorts import sorts
from harness.model.problem import SurveyWrong
from harness.survey.units import spell

KITS, SORTS = built_in(), sorts()


def test_no_kit_of_ours_names_what_is_not_there() -> None:
    assert [problem for kit in KITS.values() for problem in wrong_words(kit, KITS)] == []
    assert all(kit.title and kit.purpose for kit in KITS.values())
    assert all(sort in SORTS for kit in KITS.values() for sort in kit.usual_on)
    assert list(SORTS) == list(MACHINES)


@pytest.mark.parametrize("kit", KITS.values(), ids=lambda kit: kit.name)
def test_every_machine_has_the_places_a_kit_asks_for(kit: Kit) -> None:
    own = {place.name for each in contents(kit) for place in each.places}
    for sort in SORTS.values():
        known = {*sort.place_bodies, *sort.instead}
        for part in (part for each in contents(kit) for part in each.parts):
            assert part.place in known | own, f"{part.name} on a {sort.name}"


def test_every_sort_of_machine_hangs_together() -> None:
    for sort in SORTS.values():
        ends = {end for run in sort.runs for end in (run.start, run.end)}
        assert ends == set(sort.place_bodies), sort.name
        assert set(sort.instead.values()) <= ends
        assert {run.zone for run in sort.runs} == set(sort.zones)
        assert set(sort.place_bodies.values()) == set(sort.bodies)


# A battery and cable maker's catalogue 2024-25 p. 140, and an actuator maker's manual p. 6 (read; the table
# typical_load_currents_12v): amperes at 12 V, least and most, for that many parts together.
@pytest.mark.parametrize(
    ("kit", "part", "key", "count", "least_a", "most_a"),
    [
        ("head lamps", "left head lamp", "power", 1, 4.5, 5.5),
        ("brake lamps", "left brake lamp", "power", 2, 3.5, 4.0),
        ("wiper and washer", "wiper motor", "current", 1, 3.0, 6.0),
        ("heater fan", "heater fan", "current", 1, 6.0, 10.0),
        ("socket", "socket", "current", 1, 10.0, 12.0),
        ("radio", "radio", "current", 1, 2.0, 5.0),
        ("starting", "starter", "coil", 1, 12.0, 20.0),
        ("stop", "stop solenoid", "peak", 1, 30.0, 50.0),
        ("spark ignition", "ignition coil", "current", 1, 1.5, 3.5),
    ],
)
def test_a_usual_load_lies_within_what_was_published(
    kit: str, part: str, key: str, count: int, least_a: float, most_a: float
) -> None:
    found = next(p for each in contents(KITS[kit]) for p in each.parts if p.name == part and key in p.figures)
    for text in found.figures[key].by_volts[12.0]:
        amps = spell("power", text).value / 12 if key == "power" else part_a(text)
        assert least_a <= count * amps <= most_a, text


def test_starters_lie_within_what_was_published() -> None:
    # the same catalogue: a starter motor takes 75 to 300 A at 12 V
    (starter,) = [part for part in KITS["starting"].content.parts if part.name == "starter"]
    assert all(75 <= part_a(text) <= 300 for text in starter.figures["current"].by_volts[12.0])


WRONG = """\
title: Dust spray
purpose: dust
needs: [key and fusses]
voltages: [12 V, 13 V]
parts:
  spray pump: {is: electric pmup, at: dash}
  spray lamp: {is: lamp, at: dash, power: 5 A, colour: red}
  spray switch: {is: switch, at: dash, rating: {24 V: 5 A}}
circuits:
  Spray:
    works in: runing
    paths: [key feed > spray swich > spray lamp > ground]
  Empty: {}
"""


def _problems(text: str, folder: Path) -> list[str]:
    (folder / "dust.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(SurveyWrong) as caught:
        shelf([folder])
    return [
        f"{each.where.line}:{each.where.column} {each.what} / {each.fix}" for each in caught.value.problems
    ]


def test_all_that_is_wrong_with_a_kit_is_told_at_its_place(tmp_path: Path) -> None:
    found = _problems(WRONG, tmp_path)
    for start, end in (
        ("1:1 kit 'dust' does not say 'for'", ""),
        ("2:1 kit 'dust' has no key 'purpose'", ""),
        ("4:18", "write one of these"),
        ("6:20 'electric pmup' is no kind of part", "did you mean 'electric pump'?"),
        ("7:43 '5 A' is a current where", ""),
        ("7:48 part 'spray lamp', a lamp, has no key 'colour'", ""),
        ("8:40 'rating' of part 'spray switch' says nothing for 12 V", ""),
        ("11:15 'runing' is no mode", "did you mean 'running'?"),
        ("13:3 circuit 'Empty' has no paths", ""),
    ):
        assert any(text.startswith(start) and text.endswith(end) for text in found), (start, found)


def test_what_a_kit_names_that_is_not_there_is_told(tmp_path: Path) -> None:
    text = "title: Dust\nfor: dust\nneeds: [key and fusses]\nparts:\n  lamp: {is: lamp, at: dash}\n"
    text += "circuits:\n  Dust:\n    paths:\n      - key feed > lmap > ground\n      - lamp 7 > ground\n"
    found = _problems(text, tmp_path)
    assert any(
        "needs a kit 'key and fusses'" in each and "did you mean 'key and fuses'?" in each for each in found
    )
    assert any(
        each.startswith("9:20") and "'lmap'" in each and "did you mean 'lamp'?" in each for each in found
    )
    assert any(each.startswith("10:9") and "no terminal '7'" in each for each in found)


def test_a_raised_figure_is_no_order(tmp_path: Path) -> None:
    """Fuzzing found it: Python takes it for a digit, and for no number."""
    text = "title: Dust\nfor: dust\norder: ²\nparts:\n  lamp: {is: lamp, at: dash}\n"
    assert any("'²' is no whole number" in each for each in _problems(text, tmp_path))


@pytest.mark.parametrize(
    "text", ["", "- a list", "title: [", "title: x\n\tfor: y", "\0", "parts: 5\ntitle: a\nfor: b"]
)
def test_a_file_that_is_no_kit_is_told(text: str, tmp_path: Path) -> None:
    assert _problems(text, tmp_path)


def test_a_kit_of_ones_own_goes_before_ours(tmp_path: Path) -> None:
    (tmp_path / "horn.yaml").write_text(
        "title: Two horns\nfor: noise\nneeds: [key and fuses]\nparts:\n  horn: {is: horn, at: front left}\n"
        "circuits:\n  Horn:\n    paths: [key feed > horn > ground]\n",
        encoding="utf-8",
    )
    found = shelf([tmp_path])["horn"]
    assert found.own and found.title == "Two horns" and not KITS["horn"].own


def test_a_kit_larger_than_any_is_refused() -> None:
    with pytest.raises(SurveyWrong, match="1 problem"):
        read_kit("# " + "x" * 300_000, "big.yaml", "big")
