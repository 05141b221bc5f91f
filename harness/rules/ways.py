"""Rules on which way wires are laid."""

from __future__ import annotations

from collections.abc import Iterator

from harness.rules.case import Case
from harness.rules.registry import Say, rule


@rule(
    "forced way takes no wire",
    severity="advice",
    summary="a circuit's via is on the way of none of its wires: each would have to turn back for it",
    source="the survey's own words",
    cure="name the place or run under wires:, at the wire that is to go there, or leave it out",
)
def via_unused(case: Case) -> Iterator[Say]:
    ends = {run.name: (run.start, run.end) for run in case.machine.runs}
    wanted: dict[str, dict[str, None]] = {}
    passed: dict[str, set[str]] = {}
    for spec, wire in case.wires():
        if not spec.laying.loose:
            continue
        wanted.setdefault(spec.circuit, {}).update(dict.fromkeys(spec.laying.via))
        way = passed.setdefault(spec.circuit, set())
        for name in wire.runs:
            way |= {name, *ends[name]}
    where = {circuit.name: circuit.where for circuit in case.machine.circuits}
    for circuit, vias in wanted.items():
        for via in vias:
            if via not in passed[circuit]:
                yield Say(
                    circuit,
                    f"{circuit} is to go through {via}, and none of its wires can without turning back",
                    "name it under wires:, at the wire that is to go there, or leave it out",
                    where[circuit],
                )
