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


@rule(
    "splice at a branch",
    severity="advice",
    summary=(
        "a splice where only runs meet, and none has room for it clear of branch, hole, hinge and exhaust"
    ),
    source="splice_spots (common practice)",
    cure="put it with 'at' where a run has room, or make it by hand where it can be held still",
)
def splice_at_branch(case: Case) -> Iterator[Say]:
    """Those that the tool placed; one with a wire to a part at its place is made among the parts there."""
    stays = {spec.name: spec for spec in case.machine.splices}
    leaving: dict[str, dict[str, None]] = {}
    among: set[str] = set()
    for _, wire in case.wires():
        for point, run in ((wire.from_, wire.runs[:1]), (wire.to, wire.runs[-1:])):
            if point.kind == "splice":
                leaving.setdefault(point.part, {}).update(dict.fromkeys(run))
                if not run:
                    among.add(point.part)
    for splice in case.design.splices:
        runs = leaving.get(splice.name)
        if splice.chosen and not splice.run and runs and splice.name not in among:
            yield Say(
                splice.name,
                f"splice {splice.name} stays at {splice.place}: {' and '.join(runs)} "
                f"{'has' if len(runs) == 1 else 'have'} no room for it clear of branch, hole, hinge, exhaust "
                "and other splices",
                "write 'at' and a place beside a run with room behind the branch in its path, or hold the "
                "splice still with a clamp on both sides",
                stays[splice.name].where,
            )


@rule(
    "branch stays a splice",
    severity="advice",
    summary="a branch that was to be a daisy-chain or wires side by side, and no terminal takes them",
    source="wires a terminal takes: ABYC E-11 (read-from-secondary), common practice",
    cure="give the part a stud, start the branch at a terminal stud, or take the wish back",
)
def not_as_wished(case: Case) -> Iterator[Say]:
    """One finding for all, at the first: a machine's wish meets many branches."""
    stays = [
        (joint, next(count.not_so for count in joint.counts if count.way == joint.wish))
        for joint in case.design.joints
        if joint.made == "splice" and joint.wish in ("chain", "stud")
    ]
    if not stays:
        return
    words = "; ".join(f"{joint.splice}: {why}" for joint, why in stays[:4])
    more = f"; and {len(stays) - 4} more" if len(stays) > 4 else ""
    where = next(spec.where for spec in case.machine.splices if spec.name == stays[0][0].splice)
    yield Say(
        stays[0][0].splice,
        f"not made as wished but with a splice: {words}{more}",
        "give the part a stud, start the branch at a terminal stud, or take the wish back",
        where,
    )
