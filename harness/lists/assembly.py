"""The order of assembly: every loom on the board, then onto the machine, battery last."""

from __future__ import annotations

from harness.lists.board_steps import board_steps
from harness.lists.branches import by_branch
from harness.lists.fitting_steps import fitting_steps
from harness.model.assembly import AssemblyStep
from harness.model.design import Design
from harness.model.machine import Machine


def assembly(machine: Machine, design: Design) -> list[AssemblyStep]:
    """Return the steps of building and fitting the looms of a design; none where nothing is made new."""
    branches = by_branch(design)
    if not branches:
        return []
    drafts = [*board_steps(design, branches), *fitting_steps(machine, design, branches)]
    return [
        AssemblyStep(
            at, draft.stage, draft.loom, draft.where, draft.what, draft.wires, draft.caution, draft.source
        )
        for at, draft in enumerate(drafts, start=1)
    ]
