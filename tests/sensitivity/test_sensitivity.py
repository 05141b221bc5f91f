"""What hangs on an assumed figure, against every figure made wrong alone and against the plain rules."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from pathlib import Path

from click.testing import CliRunner

from harness.cli import main
from harness.model.machine import Machine
from harness.model.sensitivity import Weighed
from harness.pipeline import design, judged
from harness.sensitivity import FACTORS, as_built, changed, weighed
from harness.sensitivity.effects import effects
from harness.sensitivity.figures import figures
from harness.survey import read
from tests.published.recorder import beside

PUMP = Path(__file__).parents[2] / "samples" / "pump.yaml"


@cache
def pump(*changes: tuple[str, str]) -> Machine:
    text = PUMP.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return read("pump.yaml", text=text)


@cache
def answers(*changes: tuple[str, str]) -> tuple[Weighed, ...]:
    return weighed(pump(*changes))


DOUBTS = (
    ("current: 150 A for 10 s", "current: 150 A for 10 s?"),
    ("length: 1.2 m", "length: 1.2 m?"),
    ("current: 1.2 A}", "current: 1.2 A?}"),
)


@beside("every case", "which assumed figures matter")
def test_groups_find_what_every_figure_wrong_alone_finds() -> None:
    """Brute force: no groups, every figure up and down by itself."""
    machine, base = as_built(pump(*DOUBTS))
    plain = {}
    for figure in figures(machine):
        found = []
        for way, factor in FACTORS.items():
            if figure.change is not None:
                found += effects(base, judged(figure.change(machine, factor)), way)
        plain[figure.assumption] = tuple(found)
    assert {one.assumption: one.effects for one in answers(*DOUBTS)} == plain
    assert any(plain.values())


def test_a_wire_that_is_said_to_be_too_thin_is_so_with_every_size_held() -> None:
    """Pinned to the sizes it has now, the machine with the wrong figure has a fault it had not."""
    machine = pump(*DOUBTS)
    made = design(machine)
    sizes = [wire.size for wire in made.wires]
    pinned = replace(
        machine, wires=tuple(replace(one, size=size) for one, size in zip(machine.wires, sizes, strict=True))
    )
    before = {(one.rule, one.subject) for one in judged(pinned).findings if one.severity != "advice"}
    known = {each.assumption: each for each in figures(machine)}
    seen = 0
    for one in answers(*DOUBTS):
        for way in {each.way for each in one.effects if each.about == "wire"}:
            wrong = judged(changed(pinned, [known[one.assumption]], FACTORS[way]))
            now = {(each.rule, each.subject) for each in wrong.findings if each.severity != "advice"}
            assert now - before, one.assumption.title
            seen += 1
    assert seen


def test_a_figure_that_matters_stands_before_one_that_does_not() -> None:
    heavy = [one.high for one in answers(*DOUBTS)]
    assert heavy == sorted(heavy, reverse=True)
    weights = [one.weight for one in answers(*DOUBTS) if one.high]
    assert weights == sorted(weights, reverse=True)


def test_marked_figures_are_among_the_assumed_and_studs_are_not_reckoned() -> None:
    marked = {one.assumption.title for one in answers(*DOUBTS) if one.assumption.marked}
    assert marked == {
        "starter: current 150 A for 10 s", "battery tray - box: length 1.2 m", "fuel valve: current 1.2 A"
    }  # fmt: skip
    assert all(
        one.assumption.what.startswith("stud") for one in answers(*DOUBTS) if not one.assumption.figured
    )


def test_a_changed_figure_is_the_only_change() -> None:
    """30 % more of the run's length, by hand: 1.2 m becomes 1.56 m."""
    machine = pump(*DOUBTS)
    (figure,) = [each for each in figures(machine) if each.sort == "runs length"]
    longer = changed(machine, [figure], 1.3)
    assert [round(run.length_m, 6) for run in longer.runs] == [0.9, 0.5, 0.3, 1.56]
    assert replace(longer, runs=machine.runs) == machine


def test_it_is_told_in_words_and_as_json() -> None:
    told = CliRunner().invoke(main, ["assumed", str(PUMP)])
    assert told.exit_code == 0, told.output
    assert "is assumed:" in told.stdout
    assert "Not reckoned" in told.stdout
    assert not told.stderr
    data = json.loads(CliRunner().invoke(main, ["assumed", str(PUMP), "--json"]).stdout)
    assert {each["what"] for each in data["assumed"]} >= {"coldest", "charge", "idle output"}
