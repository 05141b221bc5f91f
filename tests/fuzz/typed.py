"""What somebody types beside a survey, fuzzed too: readings, modes, tests, edits, kits of his own."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from harness.model.problem import SurveyWrong

if TYPE_CHECKING:
    from harness.commissioning.trial import Test
    from harness.faultfinding.patient import Patient
    from harness.model.design import Design

MACHINE = """machine: {name: Trailer, voltage: 12 V, chassis post: negative}
zones:
  outside: {ambient: 40 °C, wet: yes}
runs:
  - {from: box, to: tail, length: 3.2 m, zone: outside}
parts:
  battery: {is: battery, at: box, capacity: 60 Ah, cranking: 400 A}
  lamp fuse: {is: fuse, at: box}
  left lamp: {is: lamp, at: tail, power: 21 W}
  right lamp: {is: lamp, at: tail, power: 21 W}
  stud: {is: ground point, at: tail, on: frame}
modes:
  parked: {engine: stopped}
circuits:
  Lamps: {paths: ["battery + > lamp fuse > (left lamp, right lamp) > frame", frame > battery -]}
"""


@cache
def _beds() -> tuple[Design, dict[str, Patient]]:
    from harness.pipeline import bedded
    from harness.survey import read

    return bedded(read("small.yaml", text=MACHINE))


@cache
def _tests() -> dict[str, Test]:
    from harness.commissioning.plan import by_key

    return dict(by_key(_beds()[0]))


def reading(data: bytes) -> None:
    """A reading for a fault-finding: a point, a wire, a fuse or a load, and what was seen there."""
    from math import isfinite

    from harness.faultfinding.asked import BadReading, read_reading
    from harness.faultfinding.readings import Amps, Volts

    design, beds = _beds()
    try:
        one = read_reading(data.decode("utf-8", "replace"), beds["parked"], design.wires)
    except BadReading as wrong:
        assert str(wrong).strip(), "a reading was refused without a word"
    else:
        if isinstance(one, Amps | Volts):
            assert isfinite(one.value), f"{data!r} was read as {one}"


def test_reading(data: bytes) -> None:
    """A test by its name, and the figure read; parted by the first equals sign."""
    from math import isfinite

    from harness.commissioning.asked import NotAsked, meant_test, value_read
    from harness.commissioning.judging import judged

    words, _, value = data.decode("utf-8", "replace").partition("=")
    try:
        test = meant_test(words, _tests())
    except NotAsked as wrong:
        assert str(wrong).strip(), "a test was refused without a word"
        test = next(iter(_tests().values()))
    try:
        found = value_read(value, test)
    except NotAsked as wrong:
        assert str(wrong).strip(), "a figure was refused without a word"
    else:
        assert isfinite(found), f"{value!r} was read as {found}"
        assert judged(test, found).words


def mode(data: bytes) -> None:
    """The name of a mode, as every command with --mode looks it up."""
    import click

    from harness.cli.faultfinding import patient_of

    try:
        patient_of(_beds()[1], data.decode("utf-8", "replace"))
    except click.UsageError as wrong:
        assert "parked" in wrong.message, wrong.message


def readings_file(data: bytes) -> None:
    """A file of readings, saved by the book's page or the workbook."""
    from harness.commissioning.typed import typed_readings
    from tests.fuzz.targets import hold

    found, problems = typed_readings(data, "fuzzed.json")
    if problems:
        hold(problems)
    for each in found:
        test_reading(f"{each.key}={each.text}".encode("utf-8", "replace"))


def edit(data: bytes) -> None:
    """A change of the record as it is typed: refused in words, or made, kept, read back and undone."""
    import json

    from harness.record.asbuilt import AsBuilt, survey_text
    from harness.record.edits import BadEdit, edit_of, made
    from harness.record.setting import typed_edit
    from harness.record.trees import one_line_text, tree_of_text
    from harness.survey import read
    from tests.fuzz.targets import hold

    tree = tree_of_text(MACHINE, "small.yaml")
    try:
        one = typed_edit(tree, data.decode("utf-8", "replace"))
    except BadEdit as wrong:
        assert str(wrong).strip(), "an edit was refused without a word"
        return
    assert edit_of(json.loads(json.dumps(one.held()))) == one, "a kept edit is not the one that was typed"
    after, remarks = made(tree, [one])
    assert not remarks, remarks
    assert one.words()
    try:
        read("small.yaml", text=one_line_text(after))
    except SurveyWrong as wrong:
        hold(wrong.problems)
    else:
        text, _ = survey_text(MACHINE, "small.yaml", AsBuilt(after, None))
        read("small.yaml", text=text)


def copy(data: bytes) -> None:
    """An edited copy of a survey, held against the survey: the differences lead from one to the other."""
    from harness.record.edits import differences, made
    from harness.record.trees import tree_of_text
    from tests.fuzz.targets import hold

    tree = tree_of_text(MACHINE, "small.yaml")
    try:
        other = tree_of_text(data.decode("utf-8", "replace"), "copy.yaml")
    except SurveyWrong as wrong:
        hold(wrong.problems)
        return
    if isinstance(other, dict):
        after, remarks = made(tree, differences(tree, other))
        assert after == other, "the differences do not lead to the copy"
        assert not remarks, remarks


def kits(data: bytes) -> None:
    """A folder of two kits of somebody's own, one of which may need the other; then a survey made of them."""
    from harness.kits.plan import CannotPlan, Wish, plan
    from harness.kits.shelf import shelf
    from harness.kits.sorts import sorts
    from harness.kits.written import survey_text
    from harness.survey import read
    from tests.fuzz.targets import hold

    first, _, second = data.partition(b"\n---\n")
    with tempfile.TemporaryDirectory() as place:
        (Path(place) / "grease pump.yaml").write_bytes(first)
        (Path(place) / "horn.yaml").write_bytes(second)
        try:
            found = shelf([Path(place)])
        except SurveyWrong as wrong:
            hold(wrong.problems)
            return
    volts, post = 12.0, "negative"
    picks = {"starting": "", "charging": "alternator", "grease pump": "", "horn": ""}
    picks = {name: variant for name, variant in picks.items() if found[name].suits(volts, post)}
    try:
        text = survey_text(
            plan(Wish("Fuzzed", volts, post, "AWG", sorts()["roller"], 1, picks), found), "s.yaml"
        )
    except CannotPlan as wrong:
        assert str(wrong).strip(), "a plan was refused without a word"
        return
    try:
        read("s.yaml", text=text)
    except SurveyWrong as wrong:  # told by `harness start`, which names the kits
        hold(wrong.problems)


def kit_seeds() -> list[bytes]:
    """Two kits in one text."""
    folder = Path(__file__).parents[2] / "harness" / "kits"
    names = ("horn", "beacon", "wiper and washer", "charging")
    kept = [(folder / f"{name}.yaml").read_bytes() for name in names]
    return [one + b"\n---\n" + kept[0] for one in kept]


def seeds(*texts: str) -> Callable[[], list[bytes]]:
    """Texts as they are fed."""
    return lambda: [text.encode() for text in texts]


READINGS: Any = {
    "form": "harness shop book 1",
    "readings": {"load:left lamp +/-:lost": "0.2 V", "battery:volts": "12,6"},
}
