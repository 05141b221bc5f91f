"""Every rule speaks up on the survey that breaks it, with the numbers, and is silent on a near one."""

from __future__ import annotations

import pytest

from harness.rules import register
from tests.rules.surveys import designed, said
from tests.rules.trials import TRIALS, Trial

NAMES = [f"{trial.rule}, {trial.severity}, {trial.subject}" for trial in TRIALS]


def subject_of(trial: Trial) -> str:
    """The subject's name; a wire, named by its ends, gets the number the design gave it."""
    if " > " not in trial.subject:
        return trial.subject
    machine, design = designed(trial.bad)
    found = [
        design.wires[spec.index].number for spec in machine.wires if f"{spec.a} > {spec.b}" == trial.subject
    ]
    assert len(found) == 1, [f"{spec.a} > {spec.b}" for spec in machine.wires]
    return found[0]


@pytest.mark.parametrize("trial", TRIALS, ids=NAMES)
def test_a_rule_speaks_up(trial: Trial) -> None:
    found = said(trial.bad, trial.rule)
    subject = subject_of(trial)
    mine = [finding for finding in found if finding.subject == subject]
    assert len(mine) == 1, found
    (finding,) = mine
    assert finding.severity == trial.severity
    for word in trial.words:
        assert word in finding.text
    assert finding.cure and finding.source and finding.where


@pytest.mark.parametrize("trial", TRIALS, ids=NAMES)
def test_a_rule_lets_a_near_survey_pass(trial: Trial) -> None:
    found = said(trial.clean, trial.rule)
    assert [finding for finding in found if finding.severity == trial.severity] == []


def test_every_rule_has_a_trial() -> None:
    assert {trial.rule for trial in TRIALS} == {name for name, *_ in register()}
