"""From a form whose shape is right to a machine: names resolved, defaults filled in, reach checked."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from harness.model.laying import Laying
from harness.model.machine import End, Machine, Part, Run, SpliceSpec, WireSpec, Zone
from harness.survey.allowances import allowances, left_out
from harness.survey.circuits import Steps, circuits, modes
from harness.survey.doubts import told, with_doubts
from harness.survey.fields import Sizes
from harness.survey.ground import components, place_zones, runs, zones
from harness.survey.laying import Ground, Names, Reach, layings
from harness.survey.ledger import Ledger
from harness.survey.located import Spot
from harness.survey.looms import check_couplers, loom_names
from harness.survey.oldwires import old_wires
from harness.survey.parts import Draft, bodies, drafts, finished
from harness.survey.schema import MachineForm, SurveyForm, WireForm
from harness.survey.spares import assumed_spares, spare_asks, spare_rules, spare_wire_rule
from harness.survey.twins import tell_twins
from harness.survey.wiring import Hop, Trace, Wiring, touched
from harness.survey.words import SAE_CABLES, nearest

SLACK = 0.05  # share added to run lengths, common practice 5 to 10 %
WASTE = 0.12  # share added when buying, common practice 10 to 15 %
REACH_M = 0.2  # between parts at one place that states no reach; a starting point of ours
COLDEST_C = -10.0  # lowest temperature of a start, a starting point of ours
RULES_OF_SIZES = {"AWG": "sae", "mm2": "iso"}


@dataclass(frozen=True, slots=True)
class _Choices:
    """The machine's own choices with what was left out filled in."""

    cable: str
    sizes: Sizes
    rules: str
    slack: float
    waste: float
    assumed: tuple[str, ...]


def _choices(each: MachineForm, ledger: Ledger) -> _Choices:
    """Fill in what the machine section leaves out; the cable, the sizes and the rules follow one another."""
    metric = each.rules == "iso" or (each.cable is not None and each.cable not in SAE_CABLES)
    sizes: Sizes = each.sizes or ("mm2" if metric else "AWG")
    rules = each.rules or RULES_OF_SIZES[sizes]
    if each.sizes is not None and RULES_OF_SIZES[sizes] != rules:
        ledger.say(
            ledger.at_value("machine", "rules"),
            f"the rules {rules!r} know no sizes in {sizes}",
            f"write rules: {RULES_OF_SIZES[sizes]}, or leave out one of the two",
        )
    cable = each.cable or ("GXL" if sizes == "AWG" else "class B")
    assumed = [
        text
        for said, text in (
            (each.cable, f"cable {cable}"),
            (each.sizes, f"sizes in {sizes}"),
            (each.rules, f"rules {rules}"),
            (each.slack, f"slack {SLACK:.0%} on run lengths (common practice)"),
            (each.waste, f"waste {WASTE:.0%} when buying wire (common practice)"),
            (each.coldest, f"coldest start at {COLDEST_C:g} °C"),
        )
        if said is None
    ]
    slack = SLACK if each.slack is None else each.slack
    waste = WASTE if each.waste is None else each.waste
    return _Choices(cable, sizes, rules, slack, waste, tuple(assumed))


# ------------------------------------------------------------------------------------------------ wires


def _facts(form: SurveyForm, wiring: Wiring, ledger: Ledger) -> dict[int, WireForm]:
    """What the section ``wires`` says, by the index of the wire."""
    found: dict[int, WireForm] = {}
    for hop, each in form.wires.items():
        if each.keep and each.size is None and not ledger.damage.sections & {"wires"}:
            ledger.say(hop, "a kept cable does not say its size", "write size: 2/0 AWG, or 70 mm2")
        for key, said in (("ends", each.ends), ("labels", each.labels)):
            if said is not None and not each.keep:
                ledger.say(
                    ledger.at_key("wires", hop, key),
                    f"{key!r} is said of a wire that is made new",
                    "leave it out, or write keep: yes",
                )
        index = wiring.find(hop)
        if index is None:
            continue
        if each.joint is not None and wiring.hops[index].b.kind != "splice":
            ledger.say(
                ledger.at_key("wires", hop, "joint"),
                "'joint' is said of a wire that leads to no branch",
                "say it of the wire to the branch, as in F1 > (left lamp, right lamp)",
            )
        if index in found:
            ledger.say(hop, "this wire already has an entry above", "put both into one entry")
        found.setdefault(index, each)
    return found


def _specs(
    hops: list[Hop], facts: Mapping[int, WireForm], laid: Sequence[Laying], ledger: Ledger
) -> tuple[WireSpec, ...]:
    found = []
    for index, hop in enumerate(hops):
        said = facts.get(index) or WireForm()
        found.append(
            WireSpec(
                index=index,
                a=hop.a,
                b=hop.b,
                circuit=hop.circuit,
                keep=bool(said.keep),
                size=said.size,
                length_m=said.length,
                colour=said.colour,
                cable=said.cable,
                where=ledger.where(hop.spot),
                ends=said.ends or "",
                labelled=bool(said.labels),
                laying=laid[index],
            )
        )
    return tuple(found)


# --------------------------------------------------------------------------------------- bodies and reach


def _check_sections(form: SurveyForm, ledger: Ledger) -> None:
    """A machine without parts or circuits is none."""
    for name, section in (("parts", form.parts), ("circuits", form.circuits)):
        if not section and name not in ledger.damage.sections:
            ledger.say(
                ledger.at_key(name), f"section {name!r} is empty", "write at least one entry; see the samples"
            )

    for name, each in form.circuits.items():
        if not each.paths:
            ledger.say(
                ledger.at_value("circuits", name, "paths"),
                f"circuit {name!r} has no paths",
                "write one, as battery + > F1 > lamp > frame",
            )


def _check_ends(form: SurveyForm, laid: tuple[Run, ...], wiring: Wiring, ledger: Ledger) -> None:
    """A run must lead somewhere: to a part, a joint, another run, or a place that the survey lists."""
    if ledger.damage.sections & {"parts", "runs", "places"}:
        return
    used = {part.place for part in form.parts.values()} | set(form.places)
    used |= {splice.place for splice in wiring.splices.values() if splice.place is not None}
    ends = Counter(place for run in laid for place in (run.start, run.end))
    for run in laid:
        for place in (run.start, run.end):
            if place not in used and ends[place] == 1:
                others = [other for other in dict.fromkeys([*used, *ends]) if other != place]
                near = nearest(place, others)
                ledger.say(
                    place,
                    f"this run leads nowhere: nothing sits at {place!r} and no other run goes on from there",
                    (f"did you mean {near!r}? Otherwise " if near else "")
                    + "leave the run out, or list the place under places:",
                )


def _grounds(made: Mapping[str, Draft]) -> dict[str, list[str]]:
    """Places of the ground points of every body."""
    found: dict[str, list[str]] = {}
    for draft in made.values():
        if draft.kind.role == "ground" and draft.sits_on is not None:
            found.setdefault(draft.sits_on, []).append(draft.part.place)
    return found


def _check_bodies(wiring: Wiring, made: Mapping[str, Draft], ledger: Ledger) -> None:
    """A wire can only end on a body where something takes it: a ground point."""
    grounds = _grounds(made)
    if ledger.damage.names.get("parts"):
        return  # a part that could not be read may be the ground point
    for name, spot in wiring.body_spots.items():
        if name not in grounds:
            ledger.say(
                spot,
                f"no ground point on {name!r} takes this wire",
                f"add one to the parts, {name} ground: {{is: ground point, at: PLACE, on: {name}, stud: M8}}",
            )


def _check_reach(
    hops: list[Hop],
    laid: tuple[Run, ...],
    places: Mapping[str, str],
    made: Mapping[str, Draft],
    ledger: Ledger,
) -> None:
    """Both ends of a wire must hang together along the runs; a group of places cut off is blamed once."""
    if ledger.damage.sections & {"runs", "places"}:
        return
    group = components(laid, places)
    weight = _weights(group, made)
    grounds = _grounds(made)
    blamed: set[int] = set()
    for a, b in _pairs(hops):
        spots = [_places_of(end, made, grounds) for end in (a, b)]
        groups = [{group[place] for place in spot if place in group} for spot in spots]
        if not all(groups) or groups[0] & groups[1]:
            continue
        here = 0 if weight[min(groups[0])] <= weight[min(groups[1])] else 1
        lonely = min(groups[here])
        if lonely not in blamed:
            blamed.add(lonely)
            _unreachable((a, b)[here], (a, b)[1 - here], spots[here][0], spots[1 - here][0], ledger)


def _weights(group: Mapping[str, int], made: Mapping[str, Draft]) -> dict[int, int]:
    """How much of the machine hangs together in every group: its parts, sources counting most."""
    weight = dict.fromkeys(group.values(), 0)
    for draft in made.values():
        if draft.part.place in group:
            weight[group[draft.part.place]] += 1000 if draft.kind.role == "source" else 1
    return weight


def _unreachable(end: End, other: End, here: str, there: str, ledger: Ledger) -> None:
    """Complain at the part that cannot be reached; at the other one where the wire ends on a body."""
    if end.kind != "part":
        end, other, here, there = other, end, there, here
    spot = ledger.at_value("parts", end.name, "at") if end.kind == "part" else Spot(1, 1)
    ledger.say(
        spot,
        f"no runs lead from {here!r} to {there!r}, and a wire goes from {end.name!r} to {other.name!r}",
        f"measure a run that joins {here!r} to the rest, or correct where the part sits",
    )


def _pairs(hops: list[Hop]) -> list[tuple[End, End]]:
    """Ends that a wire joins, joints left out: those on either side of a joint are compared instead."""
    pairs = [(hop.a, hop.b) for hop in hops if "splice" not in (hop.a.kind, hop.b.kind)]
    around: dict[End, list[End]] = {}
    for hop in hops:
        for end, other in ((hop.a, hop.b), (hop.b, hop.a)):
            if end.kind == "splice":
                around.setdefault(end, []).append(other)
    for ends in around.values():
        solid = [end for end in ends if end.kind != "splice"]
        pairs += [(solid[0], end) for end in solid[1:]]
    return pairs


def _places_of(end: End, made: Mapping[str, Draft], grounds: Mapping[str, list[str]]) -> list[str]:
    return grounds.get(end.name, []) if end.kind == "body" else [made[end.name].part.place]


def _open_joints(
    specs: tuple[WireSpec, ...],
    wiring: Wiring,
    laid: tuple[Run, ...],
    places: Mapping[str, str],
    cuts: set[str],
    made: Mapping[str, Draft],
    facts: Mapping[int, WireForm],
    ledger: Ledger,
) -> tuple[SpliceSpec, ...]:
    """The joints, each with how it is to be made and the places its wires' ways leave open to it."""
    if ledger.damage.sections & {"runs", "places", "parts"}:
        return tuple(wiring.splices.values())
    grounds = _grounds(made)
    spots = {
        end: frozenset(_places_of(end, made, grounds))
        for spec in specs
        for end in (spec.a, spec.b)
        if end.kind != "splice"
    }
    spots |= {
        End("splice", each.name): frozenset((each.place,))
        for each in wiring.splices.values()
        if each.place is not None
    }
    wished = {specs[index].b.name: said.joint for index, said in facts.items() if said.joint is not None}
    left = Reach(Ground(laid, places), spots, set(places) - cuts, ledger).check(specs)
    return tuple(
        replace(each, open_to=left.get(each.name, ()), joint=wished.get(each.name))
        for each in wiring.splices.values()
    )


# ------------------------------------------------------------------------------------------------ machine


def _assumed(
    form: SurveyForm, chosen: _Choices, known_zones: Mapping[str, Zone], reach_told: bool, ledger: Ledger
) -> tuple[str, ...]:
    """What the machine as a whole takes for granted; parts, runs and circuits say it of themselves."""
    return (
        *chosen.assumed,
        *assumed_spares(spare_rules(form.spares), spare_wire_rule(form.spares)),
        *(
            f"zone {zone.name}: ambient {zone.ambient_c:g} °C"
            for zone in known_zones.values()
            if zone.assumed
        ),
        *(() if reach_told else (f"parts at one place {REACH_M:g} m apart",)),
        *left_out(form.allowances),
        *told(ledger.doubts),
    )


def resolve(form: SurveyForm, ledger: Ledger, *, digest: str) -> Machine:
    """Resolve every name of a survey. Problems go into the ledger; the machine only counts without any."""
    tell_twins(form, ledger)
    chosen = _choices(form.machine, ledger)
    known_zones = zones(form, ledger)
    laid = runs(form, known_zones, ledger)
    places = place_zones(form, laid, known_zones, ledger)
    metal = bodies(form, ledger)
    made = drafts(form, places, metal, ledger)
    wiring = Wiring(made, metal, places, ledger)
    traces: dict[str, list[Trace]] = {
        name: [wiring.trace(path, name) for path in each.paths] for name, each in form.circuits.items()
    }
    wired = touched(wiring.hops)
    parts: dict[str, Part] = {name: finished(each, wired.get(name, set())) for name, each in made.items()}
    parts = with_doubts(parts, ledger.doubts)
    every = [trace for found in traces.values() for trace in found]
    known_modes = modes(form, ledger)
    steps = Steps(parts, wiring.hops, every)
    made_circuits = circuits(form, traces, made, steps, wiring.hops, known_modes, ledger)
    facts = _facts(form, wiring, ledger)
    _check_sections(form, ledger)
    _check_ends(form, laid, wiring, ledger)
    _check_bodies(wiring, made, ledger)
    _check_reach(wiring.hops, laid, places, made, ledger)
    cuts = check_couplers(laid, made, ledger)
    named = loom_names(form, laid, places, cuts, ledger)
    circuits_of = [hop.circuit for hop in wiring.hops]
    wanted = layings(form, circuits_of, facts, Names(laid, places), ledger)
    specs = _specs(wiring.hops, facts, wanted, ledger)
    reach = {place: each.reach for place, each in form.places.items() if each.reach is not None}
    added_m, reterminate = allowances(form.allowances)
    return Machine(
        name=form.machine.name,
        voltage_v=form.machine.voltage_v,
        chassis_post=form.machine.chassis_post,
        cable=chosen.cable,
        sizes=chosen.sizes,
        rules=chosen.rules,
        colours=form.machine.colours or "by function",
        numbering=form.machine.numbering or "by point",
        route=form.machine.route or "short",
        joints=form.machine.joints or "splice",
        slack=chosen.slack,
        waste=chosen.waste,
        spare=form.machine.spare or "",
        revision=form.machine.revision or "",
        zones=known_zones,
        place_zones=places,
        loom_names=named,
        place_reach_m={place: reach.get(place, REACH_M) for place in places},
        runs=laid,
        bodies=metal,
        parts=parts,
        modes=known_modes,
        circuits=made_circuits,
        wires=specs,
        splices=_open_joints(specs, wiring, laid, places, cuts, made, facts, ledger),
        assumed=_assumed(form, chosen, known_zones, set(places) <= set(reach), ledger),
        file=ledger.file,
        digest=digest,
        notes=tuple(form.notes),
        looked_for=tuple(dict.fromkeys(form.machine.looked_for)),
        altitude_m=form.machine.altitude or 0.0,
        clamps_every_m=form.machine.clamps_every,
        ties_every_m=form.machine.ties_every,
        spares=spare_rules(form.spares),
        spare_wires=spare_wire_rule(form.spares),
        spare_asks=spare_asks(form, laid, places, ledger),
        old_wires=old_wires(form, laid, places, parts, ledger),
        coldest_c=COLDEST_C if form.machine.coldest is None else form.machine.coldest,
        allowances_m=added_m,
        doubts=ledger.doubts,
        reterminate=reterminate,
        self_propelled=form.machine.self_propelled,
    )
