"""The colour of every wire, from what it does and the scheme the survey chose.

Ground means the chassis side, whichever battery post that is: on a positive-ground machine the black wires
are the positive ones and the red ones go to the negative post.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from harness.fitout.nets import CASE, Feed, Nets, feeds, nets, passes_feed, terminal
from harness.model.machine import End, Machine, Part, WireSpec
from harness.tables import load

ONE_COLOUR = "BK"  # of every wire when numbers alone tell them apart
FALLBACK = "electronics"  # colour of a circuit whose function is no row of the table
HEAVY_MM2 = 8.5  # above 8 AWG cable is battery cable, and that is sold red or black (common practice)
FEED_FUNCTION = {
    Feed.BATTERY: "battery feed",
    Feed.FUSED: "fused feed",
    Feed.IGNITION: "ignition feed",
    Feed.FUSED_IGNITION: "fused ignition feed",
}


@dataclass(frozen=True, slots=True)
class _View:
    """What the colour rules look at."""

    machine: Machine
    joined: Nets
    feed: Mapping[End, Feed]
    circuits: Mapping[End, frozenset[str]]  # which circuits use each net
    landed: Mapping[End, tuple[tuple[Part, str], ...]]  # which part terminals are on each net
    works: Mapping[End, frozenset[str]]  # functions of the loads and gauges on each net, by their kinds
    worked: Mapping[str, frozenset[str]]  # the same on all live nets of each circuit


def _circuits_by_net(machine: Machine, joined: Nets) -> dict[End, frozenset[str]]:
    found: dict[End, set[str]] = {}
    for wire in machine.wires:
        found.setdefault(joined.net(wire.a), set()).add(wire.circuit)
    for circuit in machine.circuits:
        for path in circuit.paths:
            for step in path.steps:
                if step.wire is not None:
                    found[joined.net(machine.wires[step.wire].a)].add(circuit.name)
    return {net: frozenset(names) for net, names in found.items()}


def _landed_by_net(machine: Machine, joined: Nets) -> dict[End, tuple[tuple[Part, str], ...]]:
    found: dict[End, list[tuple[Part, str]]] = {}
    for part in machine.parts.values():
        for each in part.terminals:
            found.setdefault(joined.net(terminal(part, each.name)), []).append((part, each.name))
    return {net: tuple(landed) for net, landed in found.items()}


def _works_by_net(landed: Mapping[End, tuple[tuple[Part, str], ...]]) -> dict[End, frozenset[str]]:
    rows = load("colour_functions").rows
    function = {kind: row["function"] for row in rows for kind in row["kinds"].split("; ") if kind}
    return {
        net: frozenset(function[part.kind] for part, _ in parts if part.kind in function)
        for net, parts in landed.items()
    }


def _worked_by_circuit(
    circuits: Mapping[End, frozenset[str]], works: Mapping[End, frozenset[str]], joined: Nets
) -> dict[str, frozenset[str]]:
    found: dict[str, set[str]] = {}
    for net, names in circuits.items():
        for name in names if net not in joined.ground else ():
            found.setdefault(name, set()).update(works.get(net, ()))
    return {name: frozenset(functions) for name, functions in found.items()}


def _view(machine: Machine) -> _View:
    joined = nets(machine)
    landed = _landed_by_net(machine, joined)
    circuits = _circuits_by_net(machine, joined)
    works = _works_by_net(landed)
    worked = _worked_by_circuit(circuits, works, joined)
    return _View(machine, joined, feeds(machine, joined), circuits, landed, works, worked)


def _feeds_load(view: _View, net: End) -> bool:
    """Whether a load hangs straight between this net and ground; gauges do not count, nor does a lamp or coil
    that is switched on its ground side."""
    for part, name in view.landed.get(net, ()):
        if part.role == "gauge":
            continue
        for link in part.links:
            if link.kind == "load" and name in (link.a, link.b):
                other = link.b if name == link.a else link.a
                if other == CASE or view.joined.is_ground(terminal(part, other)):
                    return True
    return False


def _behind(view: _View, net: End) -> Iterator[End]:
    """Nets that an ammeter or isolator joins to this one."""
    for part, name in view.landed.get(net, ()):
        for link in part.links:
            if link.kind == "contact" and name in (link.a, link.b) and passes_feed(part):
                yield view.joined.net(terminal(part, link.b if name == link.a else link.a))


def _is_fuse_inlet(view: _View, net: End) -> bool:
    landed = view.landed.get(net, ())
    return any(link.kind == "fuse" and link.a == name for part, name in landed for link in part.links)


def _feeds_fuse(view: _View, net: End) -> bool:
    """Whether this net is the inlet of a fuse, or is joined to one by an ammeter or isolator."""
    return any(_is_fuse_inlet(view, each) for each in (net, *_behind(view, net)))


def _excites(view: _View, net: End) -> bool:
    """Whether this net is the exciter or field of an alternator or dynamo, and no feed to others as well."""
    landed = view.landed.get(net, ())
    outputs = {(part.name, link.a) for part, _ in landed for link in part.links if link.kind == "source"}
    return view.feed.get(net, Feed.SWITCHED) == Feed.SWITCHED and any(
        part.role == "source" and name.startswith("D") and (part.name, name) not in outputs
        for part, name in landed
    )


def _own(view: _View, net: End, circuit: str, function: str) -> str:
    """The function of a circuit at one of its nets: where it works loads of several functions and goes by
    one of them, the function of the loads on this net, if that is one."""
    here = view.works.get(net, frozenset())
    return next(iter(here)) if len(here) == 1 and function in view.worked.get(circuit, ()) else function


def _function(view: _View, wire: WireSpec, functions: Mapping[str, str]) -> str:
    net = view.joined.net(wire.a)
    if net in view.joined.ground:
        return "ground"
    if _excites(view, net):
        return "charge"
    feed = view.feed.get(net, Feed.SWITCHED)
    own = _own(view, net, wire.circuit, functions[wire.circuit])
    if feed == Feed.BATTERY or (feed == Feed.FUSED and _feeds_fuse(view, net)):
        return "battery feed"
    one_purpose = len(view.circuits[net]) == 1 and len(view.works.get(net, ())) < 2
    if feed == Feed.SWITCHED or (one_purpose and _feeds_load(view, net)):
        return own
    return FEED_FUNCTION[feed]


def _functions(view: _View) -> dict[int, str]:
    known = {row["function"] for row in load("colour_functions").rows}
    functions = {
        circuit.name: circuit.function if circuit.function in known else FALLBACK
        for circuit in view.machine.circuits
    }
    return {wire.index: _function(view, wire, functions) for wire in view.machine.wires}


def wire_functions(machine: Machine) -> dict[int, str]:
    """What each wire is for: a row of the table ``colour_functions``, by index into ``Machine.wires``.

    Ground is what wires, studs and bars alone join to the metal or the chassis-side battery post; a wire
    between a load and a switch to ground keeps the function of its circuit, because it is no ground until
    the switch closes. Before any fuse a wire is a battery feed, and so is the main cable from a fuse to
    further fuses. Behind a fuse or key it is a feed as long as it goes to switches, relays or several
    circuits or kinds of load; a wire straight to one circuit's load has that circuit's function, or the
    load's own where a circuit works several.
    """
    return _functions(_view(machine))


def _scheme(machine: Machine) -> dict[str, str]:
    """Colour code by function: IEC 60757 letters, or the letters BS AU 7a prints."""
    prefix = "bs_" if machine.colours == "BS AU 7a" else ""
    if machine.colours == "numbered":
        return {row["function"]: ONE_COLOUR for row in load("colour_functions").rows}
    return {
        row["function"]: "/".join(filter(None, (row[f"{prefix}base"], row[f"{prefix}tracer"])))
        for row in load("colour_functions").rows
    }


def _sold_heavy(machine: Machine, function: str) -> str:
    red, black = ("R", "B") if machine.colours == "BS AU 7a" else ("RD", "BK")
    return black if function == "ground" or machine.colours == "numbered" else red


def _circuit_colour(
    view: _View, wire: WireSpec, function: str, colours: Mapping[str, str | None]
) -> str | None:
    """The colour a circuit was given, for wires that serve no other circuit; ground stays ground."""
    alone = len(view.circuits[view.joined.net(wire.a)]) == 1
    return colours[wire.circuit] if alone and function != "ground" else None


def wire_colours(machine: Machine, areas_mm2: Mapping[int, float] | None = None) -> dict[int, str]:
    """Colour code of every wire, base/tracer ("BU/WH"), by index into ``Machine.wires``.

    A colour the survey gives a wire comes first, then one it gives the circuit, then the scheme. With
    ``areas_mm2`` (by wire index) cable above 8.5 mm2 is red, or black for ground: battery cable is sold in
    no other colour (common practice). Codes are IEC 60757 letters, or BS AU 7a letters in that scheme.
    Source: table ``colour_functions`` (our scheme, common practice; BS AU 7a letters with their certainty).
    """
    view = _view(machine)
    scheme = _scheme(machine)
    given = {circuit.name: circuit.colour for circuit in machine.circuits}
    functions = _functions(view)
    chosen: dict[int, str] = {}
    for wire in machine.wires:
        function = functions[wire.index]
        stated = wire.colour or _circuit_colour(view, wire, function, given)
        heavy = areas_mm2 is not None and areas_mm2.get(wire.index, 0.0) > HEAVY_MM2
        chosen[wire.index] = stated or (_sold_heavy(machine, function) if heavy else scheme[function])
    return chosen


def spare_colour(machine: Machine) -> str:
    """The colour of a spare wire in the machine's scheme."""
    return _scheme(machine)["spare"]
