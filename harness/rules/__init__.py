"""Design rules: what a design has to be told off for, with the numbers, the source and the cure."""

from __future__ import annotations

from dataclasses import replace

from harness.model.design import Design, Finding, Severity
from harness.model.machine import Machine
from harness.rules import (
    charging,
    couplers,
    faults,
    heat,
    isolating,
    joints,
    loom,
    modes,
    oldloom,
    panels,
    polarity,
    protection,
    returns,
    safety,
    services,
    sources,
    starting,
    straps,
    supply,
    ways,
)
from harness.rules.case import Case
from harness.rules.grounds import GroundSide, ground_cables, grounds
from harness.rules.registry import RULES, SEVERITIES, Rule

# every module that holds rules, in the order of the register
SUBJECTS = (
    heat,
    protection,
    faults,
    supply,
    sources,
    modes,
    returns,
    straps,
    starting,
    charging,
    isolating,
    services,
    polarity,
    joints,
    panels,
    loom,
    oldloom,
    couplers,
    ways,
)

__all__ = ["cautions", "findings", "register", "with_lines"]


def _rules() -> list[Rule]:
    """Every rule by subject, within one as it is written."""
    order = [module.__name__ for module in SUBJECTS]
    return sorted(RULES.values(), key=lambda rule: order.index(rule.check.__module__))


def findings(machine: Machine, design: Design) -> list[Finding]:
    """Everything the rules find, danger first, then in the order of the register, then by subject.

    ``design.wires[i]`` must be ``machine.wires[i]``. Findings already in the design are not looked at.
    """
    case = Case(machine, design)
    rules = _rules()
    place = {rule.name: at for at, rule in enumerate(rules)}
    found = {finding: None for rule in rules for finding in rule.findings(case)}
    return sorted(
        found,
        key=lambda one: (SEVERITIES.index(one.severity), place[one.rule], one.subject, one.text, one.where),
    )


def with_lines(machine: Machine, design: Design) -> Design:
    """The design with what every body sends home, what its straps carry and lose, and its charging lines."""
    case = Case(machine, design)
    side = GroundSide(case)
    return replace(
        design,
        grounds=grounds(side),
        ground_cables=ground_cables(side),
        charge_lines=charging.charge_lines(case),
    )


def cautions(machine: Machine) -> list[str]:
    """Safety cautions to print with every output, worded for the machine's chassis post."""
    return safety.cautions(machine)


def register() -> list[tuple[str, Severity, str, str, str]]:
    """Every rule: its name, usual severity, one line on what it looks for, its source, its usual cure."""
    return [(rule.name, rule.severity, rule.summary, rule.source, rule.cure) for rule in _rules()]
