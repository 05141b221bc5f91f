"""Fit-out: all that goes on besides wire: terminals, splices, grommets, covering, ties, clamps and labels."""

from __future__ import annotations

from dataclasses import replace

from harness.fitout.caps import capped
from harness.fitout.ends import wire_ends
from harness.fitout.runs import fit_runs
from harness.fitout.splices import fit_splices
from harness.model.machine import Machine
from harness.model.stages import Loom


def fit(machine: Machine, loom: Loom) -> Loom:
    """Fill the blank fields of a loom with what is fitted to it, and change nothing else.

    Where the tables have nothing that fits, the text stays "" and a wire end's notes say why; the rules
    raise it. Kept wires stay as they are. Sources stand in each wire end and in the tables named there.
    """
    splices = fit_splices(loom.wires, loom.splices)
    runs = fit_runs(machine, (*loom.wires, *loom.spares), loom.runs)
    ends = wire_ends(machine, loom.wires, splices, runs)
    wires = tuple(
        replace(wire, from_end=start, to_end=end) for wire, (start, end) in zip(loom.wires, ends, strict=True)
    )
    spares = capped(loom.spares, beside=wires, runs=runs)
    return replace(loom, wires=wires, splices=splices, runs=runs, spares=spares)
