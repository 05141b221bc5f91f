"""Rules on what the survey took over from the old machine: kept cables, senders, metals, hidden parts."""

from __future__ import annotations

from collections.abc import Iterator

from harness.model.machine import End, Part
from harness.rules.case import Case, Way, part_end
from harness.rules.figures import PRACTICE
from harness.rules.registry import Say, rule

RANGE_SHARE = 0.2  # of the span: nearer than that two resistances count as one (common practice)
HIDDEN = ("fusible link", "breaker", "diode", "resistor", "ballast resistor")


def _ohms(pair: tuple[float, float]) -> str:
    return f"{pair[0]:g} to {pair[1]:g} ohm"


def _is_metal(way: Way, _: End) -> bool:
    return way.kind == "wire" or (way.kind == "bus" and not way.part)


@rule(
    "sender needs its own return",
    severity="fault",
    summary="a sender or generator with an insulated return that is given none but the metal it is bolted to",
    source=f"one stud: the case is the return; two insulated studs: a wire of its own ({PRACTICE})",
    cure="lead a wire from its second stud to a ground point, or fit one whose case is the return",
)
def insulated_return(case: Case) -> Iterator[Say]:
    for part in case.machine.parts.values():
        if part.insulated is not True or part.body is None:
            continue
        if any("case" in (link.a, link.b) for link in part.links):
            yield Say(
                part.name,
                f"{part.name} has an insulated return and no wire on it: bolting it to {part.body} gives its "
                "current no way home",
                "lead a wire from its second stud to a ground point, or fit one whose case is the return",
                part.where,
            )


def _gauges(case: Case) -> dict[End, Part]:
    """The S terminal of every gauge that says which sender it wants."""
    return {
        part_end(part, "S"): part
        for part in case.machine.parts.values()
        if part.role == "gauge" and part.range_ohm is not None
    }


def _near(one: tuple[float, float], other: tuple[float, float]) -> bool:
    span = max(abs(other[0] - other[1]), 1e-9)
    return all(abs(a - b) <= RANGE_SHARE * span for a, b in zip(one, other, strict=True))


@rule(
    "sender does not match gauge",
    severity="fault",
    summary="a gauge made for other resistances than its sender has, or for the same the other way round",
    source="a gauge shows the resistance it is made for (physics)",
    cure="fit a sender for this gauge, or a gauge for this sender",
)
def sender_range(case: Case) -> Iterator[Say]:
    gauges = _gauges(case)
    for part in case.machine.parts.values() if gauges else ():
        if part.role != "sender" or part.range_ohm is None:
            continue
        here = case.reach([part_end(part, part.inlet)], _is_metal, stops=case.is_low)
        for end in here:
            gauge = gauges.get(end)
            wanted = gauge.range_ohm if gauge is not None else None
            if gauge is None or wanted is None or _near(part.range_ohm, wanted):
                continue
            turned = ": it reads full when empty" if _near(part.range_ohm, wanted[::-1]) else ""
            yield Say(
                part.name,
                f"{part.name} has {_ohms(part.range_ohm)} from empty to full, and {gauge.name} wants "
                f"{_ohms(wanted)}{turned}",
                f"fit a sender of {_ohms(wanted)}, or a gauge made for {_ohms(part.range_ohm)}",
                part.where,
            )


@rule(
    "copper on aluminium",
    severity="advice",
    summary="copper lugs on an aluminium body: the joint corrodes and loses its contact",
    source=f"copper and aluminium in the wet eat each other ({PRACTICE})",
    cure="tinned lugs, a plated or two-metal washer between, grease, and a look every year",
)
def aluminium(case: Case) -> Iterator[Say]:
    studs: dict[str, list[str]] = {}
    for part in case.parts(lambda part: part.role == "ground"):
        studs.setdefault(part.body or "", []).append(part.name)
    for body in case.machine.bodies.values():
        if body.metal == "aluminium" and body.name in studs:
            yield Say(
                body.name,
                f"{body.name} is aluminium, and copper lugs are bolted to it at "
                f"{', '.join(studs[body.name])}: in the wet the joint corrodes white and loses its contact",
                "use tinned lugs with a plated or two-metal washer between, bright metal and grease; check "
                "the drop there every year",
                body.where,
            )


@rule(
    "clamp-on cable end",
    severity="fault",
    summary="an old cable with a clamped-on repair end",
    source=f"clamped ends corrode and work loose; a restorers' forum (read, {PRACTICE})",
    cure="cut it off and crimp a lug with glue-lined shrink, or make the cable new",
)
def clamp_on(case: Case) -> Iterator[Say]:
    for spec, wire in case.wires():
        if spec.keep and spec.ends == "clamp-on":
            yield Say(
                wire.number,
                f"the old {case.say_wire(spec.index)} has a clamped-on end: strands corrode under the clamp, "
                "and it gets hot or falls off",
                "cut the end off and crimp a lug on, sealed with glue-lined shrink, or make the cable new",
                spec.where,
            )


@rule(
    "wire without label",
    severity="advice",
    summary="an old wire that stays and carries no number: every new one gets a label at both ends",
    source=f"both ends of every wire carry its number ({PRACTICE}; marking_rules)",
    cure="tag both ends with the number of the drawing",
)
def unlabelled(case: Case) -> Iterator[Say]:
    bare = [spec.index for spec, wire in case.wires() if wire.kept and not spec.labelled]
    if bare:
        yield Say(
            case.number(bare[0]),
            f"old wire {case.numbers(bare)} stays and has no number on it; all new wire has one at both ends",
            "put a sleeve or tag with its number on both ends, and say `labels: yes` with the wire",
            case.machine.wires[bare[0]].where,
        )


@rule(
    "hidden parts not looked for",
    severity="advice",
    summary="old wire stays, and the survey does not say that hidden links and diodes in it were sought",
    source="an owner found two fusible links that were in no diagram (an owners' forum, read)",
    cure="feel along the old wire for lumps, and say what was looked for",
)
def hidden(case: Case) -> Iterator[Say]:
    kept = [spec.index for spec, wire in case.wires() if wire.kept]
    fitted = {part.kind for part in case.machine.parts.values()}
    missed = [what for what in HIDDEN if what not in case.machine.looked_for and what not in fitted]
    if kept and missed:
        yield Say(
            case.number(kept[0]),
            f"old wire {case.numbers(kept)} stays; was it searched for a {', '.join(missed)}? Such parts are "
            "taped into old looms and stand in no diagram",
            "feel along it and open every lump under the tape; put what is found among the parts, and write "
            f"`looked for: [{', '.join(missed)}]` under machine",
            case.machine.wires[kept[0]].where,
        )


@rule(
    "filaments share one bracket",
    severity="advice",
    summary="a lamp of two filaments grounded by its bracket alone: rust there feeds one through the other",
    source=f"a lost lamp ground makes lamps dim and slow together (a mechanic's column, read; {PRACTICE})",
    cure="give the lamp a ground wire of its own",
)
def bracket(case: Case) -> Iterator[Say]:
    for part in case.parts(lambda part: part.body is not None):
        lamps = [link for link in part.links if link.load and link.load.nature == "lamp" and link.b == "case"]
        wired = [link for link in lamps if case.wires_at(part_end(part, link.a))]
        if len(wired) > 1:
            yield Say(
                part.name,
                f"{part.name} has {len(wired)} filaments grounded by its bracket on {part.body} alone: when "
                "that rusts, one filament feeds back through the other and both glow dim",
                "lead a ground wire from the lamp to a ground point",
                part.where,
            )


def _is_sprung(case: Case, index: int) -> bool:
    """Whether a wire is a strap, of which another rule speaks."""
    return case.is_strap(case.machine.wires[index])


@rule(
    "moving wire not fine-stranded",
    severity="advice",
    summary="wires over a hinge or other moving joint of common cable, not fine-stranded",
    source=f"sae_primary_stranding: 7 to 19 strands up to 8 AWG (read); fine strands at joints ({PRACTICE})",
    cure="use fine-stranded cable over the joint, with length for full travel",
)
def coarse(case: Case) -> Iterator[Say]:
    moving = {run.name: run for run in case.machine.runs if run.moves and not run.fine}
    over: dict[str, list[int]] = {}
    for spec, wire in case.wires():
        for name in wire.runs if moving and not _is_sprung(case, spec.index) else ():
            if name in moving:
                over.setdefault(name, []).append(spec.index)
    for name, wires in over.items():
        cables = dict.fromkeys(case.design.wires[at].cable for at in wires)
        yield Say(
            name,
            f"{len(wires)} wires ({case.numbers(wires)}) of common {', '.join(cables)} bend at {name} with "
            "every movement: its few thick strands break inside the cover",
            "say `strands: fine` with that run and buy fine-stranded cable for it (IEC 60228 class 6 or its "
            "like), laid to twist, with length for full travel",
            moving[name].where,
        )
