"""Every single fault a machine can have in a mode, what it does to the network, and how often it is met."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from dataclasses import dataclass, replace

from harness.electric.graph import Edge, EdgeKey, Node
from harness.electric.laws import Giver
from harness.electric.network import Branch
from harness.faultfinding.patient import BOLT_OHM, OPEN_OHM, Change, Fault, Patient
from harness.faultfinding.stretches import stretch_words, stretches

# How often each is met beside the others: a choice of ours after what the trade says (common practice: joints
# and grounds corrode first, then switch contacts; a wire breaks where it moves; lamps and fuses are used up).
OFTEN = {
    "open wire": 1.0, "open ground": 2.0, "open contact": 2.0, "open fuse": 3.0, "open coupler": 1.5,
    "open inside": 0.3, "dead lamp": 4.0, "dead load": 1.5,
    "bad wire": 2.0, "bad ground": 4.0, "bad contact": 2.0, "bad fuse": 1.0, "bad coupler": 2.0,
    "leak": 0.7, "short": 0.7, "stuck contact": 0.7, "wrong feed": 0.2,
    "flat battery": 3.0, "tired battery": 1.5, "no charge": 2.0, "overcharge": 0.7,
}  # fmt: skip
MOVES, WET = 2.0, 1.5  # times as often where the wire moves, where it is wet
FEED_OHM = 0.02  # of a chafed wire against a live one

# Values tried, from the least that is noticed to the worst.
LEAK_OHM = (300.0, 100.0, 30.0, 10.0, 3.0, 1.0, 0.3)
TIRED = (1.5, 2.5, 4.0, 7.0, 12.0, 25.0)  # times the battery's own resistance
FLAT = (0.98, 0.95, 0.9, 0.8, 0.65, 0.45)  # share of the battery's volts at rest
OVER = (1.03, 1.06, 1.1, 1.15, 1.25)  # share of the regulated volts


@dataclass(frozen=True, slots=True)
class Suspect:
    """A fault that is possible, with the values it may have."""

    fault: Fault
    often: float
    values: tuple[float, ...]  # () where it has none, or where they follow from the network
    change: Callable[[float], Change]  # of a value, 0.0 where it has none
    adds_ohm: bool = False  # its value is a resistance on top of a wire's or link's own

    @property
    def lifts(self) -> bool:
        """Whether it can bring volts where there should be none."""
        return self.fault.kind in ("stuck contact", "wrong feed", "overcharge")


def suspects(patient: Patient) -> Iterator[Suspect]:
    """Every fault of a mode, in the order of the survey."""
    for edge in patient.edges.values():
        if edge.kind == "source":
            continue
        if edge.key in patient.conducting:
            yield from _broken(patient, edge)
        elif edge.kind == "contact":
            yield _set("stuck contact", edge.key, patient.ohm(edge.key))
    yield from _loads(patient)
    yield from _leaks(patient)
    yield from _sources(patient)


def _sort(edge: Edge, patient: Patient) -> str:
    if edge.kind == "wire":
        return "wire"
    if edge.kind == "joint":
        return "ground"
    if edge.kind == "bus":
        part = patient.plant.machine.parts[edge.key[0]] if isinstance(edge.key, tuple) else None
        return "coupler" if part is not None and part.role == "coupler" else "inside"
    return edge.kind


def _set(kind: str, key: EdgeKey, ohm: float, weight: float = 1.0) -> Suspect:
    return Suspect(Fault(kind, key), OFTEN[kind] * weight, (), lambda _: Change({key: ohm}))


def _broken(patient: Patient, edge: Edge) -> Iterator[Suspect]:
    """A wire or link that conducts: open, or with a resistance it should not have."""
    key, sort, weight = edge.key, _sort(edge, patient), _weight(patient, edge)
    yield _set(f"open {sort}", key, OPEN_OHM, weight)
    if sort != "inside":
        own = patient.ohm(key)
        yield Suspect(
            Fault(f"bad {sort}", key), OFTEN[f"bad {sort}"] * weight, (),
            lambda ohm: Change({key: own + ohm}), True,
        )  # fmt: skip


def _weight(patient: Patient, edge: Edge) -> float:
    if not isinstance(edge.key, int):
        return 1.0
    machine = patient.plant.machine
    runs = {run.name: run for run in machine.runs}
    laid = [runs[name] for name in patient.laid.get(edge.key, ()) if name in runs]
    moves = any(run.moves for run in laid)
    wet = any((zone := machine.zones.get(run.zone)) is not None and zone.wet for run in laid)
    return (MOVES if moves else 1.0) * (WET if wet else 1.0)


def _loads(patient: Patient) -> Iterator[Suspect]:
    for key, edge in patient.load_edges.items():
        name = " ".join(key) if isinstance(key, tuple) else str(key)
        if edge.link is None or edge.link.load is None or not any(d.name == name for d in patient.draws):
            continue
        kind = "dead lamp" if edge.link.load.nature == "lamp" else "dead load"
        yield Suspect(Fault(kind, key, name=name), OFTEN[kind], (), _dead(name))


def _dead(name: str) -> Callable[[float], Change]:
    return lambda _: Change(dead=frozenset([name]))


def _leaks(patient: Patient) -> Iterator[Suspect]:
    """A stretch that leaks to the chassis, or touches a live wire."""
    battery = next(iter(patient.givers), None)
    live = battery.a if battery is not None else None
    metal = _metal(patient)
    for nodes in stretches(patient):
        node, words = nodes[len(nodes) // 2], stretch_words(nodes)
        leak = Fault("leak", node=node, name=words)
        yield Suspect(leak, OFTEN["leak"], LEAK_OHM, _tie(node, metal))
        if live is not None and live not in nodes:
            touch = Fault("wrong feed", node=node, name=words)
            yield Suspect(touch, OFTEN["wrong feed"], (FEED_OHM,), _tie(node, live))


def shorts(patient: Patient, fuse: EdgeKey) -> Iterator[Suspect]:
    """What may have blown a fuse: a stretch behind it, up to the next fuse or open contact, on metal."""
    behind = _behind(patient, fuse)
    metal = _metal(patient)
    for nodes in stretches(patient):
        if not behind.isdisjoint(nodes):
            wires = [edge for edge in patient.edges.values() if edge.kind == "wire" and edge.a in nodes]
            weight = max((_weight(patient, edge) for edge in wires), default=1.0)
            tie = Branch(nodes[len(nodes) // 2], metal, BOLT_OHM)
            change = Change({fuse: OPEN_OHM}, (tie,))
            fault = Fault("short", node=nodes[len(nodes) // 2], name=stretch_words(nodes))
            yield Suspect(fault, OFTEN["short"] * weight, (), lambda _, change=change: change)  # type: ignore[misc]


def _behind(patient: Patient, fuse: EdgeKey) -> set[Node]:
    """Points that get their current through a fuse alone, no other fuse between; none where two feed them."""
    beside: dict[Node, list[Node]] = {}
    for edge in patient.edges.values():
        if edge.key in patient.conducting and edge.kind in ("wire", "bus", "contact"):
            beside.setdefault(edge.a, []).append(edge.b)
            beside.setdefault(edge.b, []).append(edge.a)
    sources = {node for one in patient.givers for node in (one.a, one.b)}
    for end in (patient.edges[fuse].b, patient.edges[fuse].a):
        found, waiting = {end}, [end]
        while waiting:
            fresh = set(beside.get(waiting.pop(), ())) - found
            found |= fresh
            waiting += fresh
        if found.isdisjoint(sources):
            return found
    return set()


def _metal(patient: Patient) -> Node:
    return next((node for node in patient.nodes if node.kind == "body"), patient.reference)


def _tie(a: Hashable, b: Hashable) -> Callable[[float], Change]:
    return lambda ohm: Change(extra=(Branch(a, b, max(ohm, BOLT_OHM)),))


def _sources(patient: Patient) -> Iterator[Suspect]:
    givers = patient.givers
    batteries = {each.part for each in patient.plant.batteries if not each.converts}
    for one in givers:
        if one.name in batteries:
            yield _source(givers, one, "flat battery", FLAT, lambda g, x: replace(g, emf_v=g.emf_v * x))
            yield _source(givers, one, "tired battery", TIRED, lambda g, x: replace(g, ohm=g.ohm * x))
        elif one.most_a is not None:
            yield _source(givers, one, "no charge", (), lambda g, _: replace(g, most_a=0.0))
            yield _source(givers, one, "overcharge", OVER, lambda g, x: replace(g, emf_v=g.emf_v * x))


def _source(
    givers: tuple[Giver, ...], one: Giver, kind: str, values: tuple[float, ...],
    worse: Callable[[Giver, float], Giver],
) -> Suspect:  # fmt: skip
    def change(value: float) -> Change:
        return Change(givers=tuple(worse(each, value) if each is one else each for each in givers))

    return Suspect(Fault(kind, name=one.name), OFTEN[kind], values, change)
