"""The register of design rules: one small function a rule, entered by name with a decorator.

A rule takes a :class:`harness.rules.case.Case` and yields what it has to say; the register makes findings of
that. To add a rule, write one function under ``@rule(...)`` in the module of its subject: nothing else.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from harness.model.design import Finding, Severity
from harness.model.problem import Where
from harness.rules.case import Case

SEVERITIES: tuple[Severity, ...] = ("danger", "fault", "advice")  # stop, fix, ask


@dataclass(frozen=True, slots=True)
class Say:
    """One thing a rule has to say. ``severity`` and ``source`` only where this case differs from its rule."""

    subject: str
    text: str
    cure: str
    where: Where
    severity: Severity | None = None
    source: str | None = None


Check = Callable[[Case], Iterator[Say]]


@dataclass(frozen=True, slots=True)
class Rule:
    """A registered rule."""

    name: str
    severity: Severity
    summary: str
    source: str
    cure: str
    check: Check

    def findings(self, case: Case) -> Iterator[Finding]:
        """What the rule finds."""
        for said in self.check(case):
            yield Finding(
                rule=self.name,
                severity=said.severity or self.severity,
                subject=said.subject,
                text=said.text,
                source=said.source or self.source,
                cure=said.cure,
                where=str(said.where),
            )


RULES: dict[str, Rule] = {}  # in the order they are written; filled by the decorator when a module is loaded


def rule(name: str, *, severity: Severity, summary: str, source: str, cure: str) -> Callable[[Check], Check]:
    """Enter a function into the register under ``name``; raises ValueError when the name is taken.

    ``cure`` is what helps in general; a finding's own cure has the numbers of its case.
    """

    def enter(check: Check) -> Check:
        if name in RULES:
            raise ValueError(f"two rules called {name!r}")
        RULES[name] = Rule(name, severity, summary, source, cure, check)
        return check

    return enter
