"""The register as a whole: order, sameness, silence on sound machines, and the words of its entries."""

from __future__ import annotations

from pathlib import Path

import pytest

from harness import pipeline
from harness.rules import findings, register
from harness.rules.registry import RULES, SEVERITIES, Say, rule
from harness.survey import read
from tests.rules.surveys import GOOD, MIDDLE, OLD, POSITIVE, PUMP, changed, designed, judged

SAMPLES = Path(__file__).parents[2] / "samples"

BAD = changed(
    ("panel F3 > lamp switch > left head lamp > frame", "battery + > lamp switch > left head lamp > frame"),
    ("panel F4 > right head lamp > frame", "panel F4 > right head lamp"),
    ("charge lamp > alternator D+", "charge lamp > frame"),
)


@pytest.mark.parametrize("text", [GOOD, PUMP], ids=["tractor", "pump"])
def test_a_sound_machine_has_no_danger_and_no_fault(text: str) -> None:
    assert [finding for finding in judged(text) if finding.severity != "advice"] == []


def test_an_old_machine_is_not_taken_for_a_faulty_one() -> None:
    """Sizes apart (the studs of its ammeter are small for its fuse), nothing in its wiring is wrong."""
    of_size = {"terminal does not fit", "charge line drop"}
    found = [one for one in judged(OLD) if one.severity != "advice" and one.rule not in of_size]
    assert found == []


@pytest.mark.parametrize("name", ["roller", "pump"])
def test_the_samples_have_no_danger_and_no_fault(name: str) -> None:
    machine = read(SAMPLES / f"{name}.yaml")
    assert [one for one in pipeline.design(machine).findings if one.severity != "advice"] == []


def test_danger_comes_first_then_the_order_of_the_register_then_the_subject() -> None:
    found = judged(BAD)
    order = [name for name, *_ in register()]
    keys = [(SEVERITIES.index(one.severity), order.index(one.rule), one.subject) for one in found]
    assert keys == sorted(keys)
    assert found[0].severity == "danger"
    assert {one.severity for one in found} == {"danger", "fault", "advice"}


@pytest.mark.parametrize("text", [GOOD, BAD, MIDDLE, POSITIVE], ids=["good", "bad", "middle", "positive"])
def test_the_same_machine_gives_the_same_findings(text: str) -> None:
    machine, design = designed(text)
    assert findings(machine, design) == findings(machine, design) == list(judged(text))


def test_every_finding_points_into_the_survey() -> None:
    for finding in judged(BAD):
        file, line, column = finding.where.split(":")
        assert file == "test.yaml"
        assert 0 < int(line) <= BAD.count("\n") and int(column) > 0


def test_an_unfused_feed_is_found_where_its_path_stands() -> None:
    (finding,) = [one for one in judged(BAD) if one.rule == "unfused feed"]
    line = BAD.splitlines()[int(finding.where.split(":")[1]) - 1]
    assert "battery + > lamp switch" in line


def test_every_rule_names_severity_summary_and_source() -> None:
    for name, severity, summary, source, cure in register():
        assert severity in SEVERITIES
        assert name and summary and cure and "\n" not in summary + cure
        certain = ("read", "memory", "calculated", "common practice", "physics", "named with", "survey")
        assert any(word in source for word in certain), f"{name}: {source}"


def test_two_rules_of_one_name_are_refused() -> None:
    taken = next(iter(RULES))

    def again(case: object) -> list[Say]:
        return []

    with pytest.raises(ValueError, match=taken):
        rule(taken, severity="advice", summary="", source="", cure="")(again)  # type: ignore[arg-type]


def test_hostile_names_come_through_unchanged() -> None:
    name = '<b &"=1+1" 🚜'
    text = changed(("panel F4 > right head lamp > frame", "panel F4 > right head lamp"))
    text = text.replace("right head lamp", f"'{name}'", 1).replace(
        "panel F4 > right head lamp", f"'panel F4 > {name}'"
    )
    (finding,) = [one for one in judged(text) if one.rule == "no return path"]
    assert finding.subject == name
    assert name in finding.text


def test_the_cure_of_a_starved_load_is_what_the_sizing_found_to_free_it() -> None:
    text = changed(
        ("    paths: [panel F3", "    drop: 2 %\n    paths: [panel F3"),
        ("length: 2.0 m, zone: front", "length: 60 m, zone: front"),
    )
    text += "wires:\n  lamp switch > left head lamp: {size: 14 AWG}\n"
    _, design = designed(text)
    (found,) = [one for one in judged(text) if one.rule == "load starved" and one.subject == "left head lamp"]
    (load,) = [one for one in design.loads if one.part == "left head lamp"]
    shorter = [one for one in load.freeing if "shorter run" in one]
    assert shorter and shorter[0] in found.cure
