"""What one circuit shows: parts, joints, grounds, wires, and where it comes from and goes on to."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from harness.drawing import layered, symbols
from harness.drawing.circuit_index import Index, other_half, peaks, spot, value
from harness.drawing.partbox import PartText, Way
from harness.model.design import CircuitResult, InnerLink, PartResult, Point, Wire


@dataclass(frozen=True, slots=True)
class Flag:
    """A reference to another circuit, or to the other end of a wire that would run backwards."""

    lead: Literal["from", "to"]
    head: str  # what stands at the other end
    tail: str  # by which wire and where it is drawn


@dataclass(frozen=True, slots=True)
class Ground:
    """The end of one wire on the metal of the machine."""

    body: str
    name: str
    place: str
    turned: bool  # the wire leaves to the right


@dataclass(frozen=True, slots=True)
class Joint:
    """A splice."""

    name: str
    place: str
    left: int  # wires on the left
    right: int


@dataclass(frozen=True, slots=True)
class Strand:
    """One line of the circuit: a wire, or the thin lead of a flag. Ends are indexes into the items."""

    tail: int
    tail_line: int  # which of the tail's lines on the right
    head: int
    head_line: int
    wire: Wire | None
    guest: bool = False  # the wire belongs to another circuit


Item = PartText | Flag | Ground | Joint


@dataclass(frozen=True, slots=True)
class CircuitGraph:
    """Everything one circuit shows."""

    circuit: CircuitResult
    items: tuple[Item, ...]
    strands: tuple[Strand, ...]


@dataclass(slots=True)
class _Ends:
    """What meets at one part of one circuit: strands by number, with the terminal each lands on."""

    left: list[tuple[int, str]] = field(default_factory=list)
    right: list[tuple[int, str]] = field(default_factory=list)
    links: list[InnerLink] = field(default_factory=list)


@dataclass(slots=True)
class _Sketch:
    """A circuit being gathered."""

    known: Index
    circuit: CircuitResult
    wires: list[Wire]
    ends: dict[str, _Ends] = field(default_factory=dict)  # parts and splices, by "p:" or "s:" and name
    items: dict[str, Item] = field(default_factory=dict)
    strands: list[tuple[str, str, Wire | None]] = field(default_factory=list)  # item keys, wire

    def meet(self, key: str) -> _Ends:
        return self.ends.setdefault(key, _Ends())


def _key(sketch: _Sketch, point: Point, wire: Wire, *, leaves: bool) -> str:
    """Name the item a wire's end meets; a ground is an item of its own at every wire."""
    if point.kind == "splice":
        return f"s:{point.part}"
    part = sketch.known.parts.get(point.part)
    if part is None or part.role != "ground":
        return f"p:{point.part}"
    key = f"g:{wire.number}:{'from' if leaves else 'to'}"
    sketch.items[key] = Ground(part.body or part.name, part.name, part.place, leaves)
    return key


def _add_wire(sketch: _Sketch, wire: Wire) -> None:
    tail = _key(sketch, wire.from_, wire, leaves=True)
    head = _key(sketch, wire.to, wire, leaves=False)
    sketch.strands.append((tail, head, wire))


def _circuit_wires(known: Index, circuit: CircuitResult) -> list[Wire]:
    on_paths = (step.wire for path in circuit.paths for step in path if step.wire is not None)
    numbers = dict.fromkeys((*on_paths, *circuit.wires))
    return [known.wires[number] for number in numbers if number in known.wires]


def _find_link(part: PartResult, name: str | None) -> InnerLink | None:
    return next((link for link in part.links if link.name == name), None)


def _path_links(known: Index, circuit: CircuitResult) -> dict[str, list[InnerLink]]:
    """Ways through parts that the circuit's paths take, in their order."""
    found: dict[str, dict[str, InnerLink]] = {}
    for path in circuit.paths:
        for step in path:
            part = known.parts.get(step.part) if step.part is not None else None
            link = _find_link(part, step.link) if part is not None else None
            if part is not None and link is not None:
                found.setdefault(part.name, {})[link.name] = link
    return {name: list(links.values()) for name, links in found.items()}


def _touches(link: InnerLink, terminals: Iterable[str]) -> bool:
    return link.a in terminals or link.b in terminals


def _links(known: Index, part: PartResult, taken: Sequence[InnerLink], here: _Terminals) -> list[InnerLink]:
    """Ways to draw: those the paths take, the part's own loads and sources, and what feeds a bare way out."""
    links = list(taken)
    wired = here.left | here.right
    for link in part.links:
        inner = link.kind == "source" or (part.role == "source" and link.b == "case")
        if link not in links and (
            (inner and _touches(link, wired)) or (link.kind == "load" and link.a in wired)
        ):
            links.append(link)
    if not links:
        links += [link for link in part.links if link.kind == "load" and link.b in wired]
    for terminal in sorted(here.right - here.left):
        if any(_touches(link, (terminal,)) for link in links) or known.into.get((part.name, terminal)):
            continue
        for link in part.links:
            other = link.b if link.a == terminal else link.a
            if _touches(link, (terminal,)) and known.into.get((part.name, other)):
                links.append(link)
                break
    return links


@dataclass(frozen=True, slots=True)
class _Terminals:
    """Terminals of one part that wires of the circuit come to and leave from."""

    left: frozenset[str]
    right: frozenset[str]


def _flag_from(wire: Wire) -> Flag:
    return Flag("from", spot(wire.from_), f"wire {wire.number}, {wire.circuit}")


def _fed_elsewhere(sketch: _Sketch, part: str, terminal: str) -> list[Wire]:
    own = {wire.number for wire in sketch.wires}
    return [wire for wire in sketch.known.into.get((part, terminal), ()) if wire.number not in own]


def _add_sources(sketch: _Sketch, key: str, part: PartResult, here: _Terminals) -> None:
    """Say where a part's feed comes from when this circuit does not draw it."""
    if part.role == "source":
        return
    ends = sketch.meet(key)
    ways = {end for link in ends.links if link.kind != "load" for end in (link.a, link.b)}
    fed = {link.a for link in ends.links if link.kind == "load"}
    for terminal in sorted((here.right | ways | fed) - here.left - {"case"}):
        if terminal in here.right and _has_way_in(ends.links, terminal, here):
            continue
        for wire in _fed_elsewhere(sketch, part.name, terminal):
            flag = f"f:{wire.number}:{part.name}"
            sketch.items[flag] = _flag_from(wire)
            sketch.strands.append((flag, key, None))
            ends.left.append((len(sketch.strands) - 1, terminal))


def _has_way_in(links: Sequence[InnerLink], terminal: str, here: _Terminals) -> bool:
    """Whether a way drawn in this circuit brings current to a terminal."""
    return any(
        link.kind != "load" and terminal in (link.a, link.b) and ({link.a, link.b} - {terminal}) & here.left
        for link in links
    )


def _onward(sketch: _Sketch, part: PartResult, terminal: str) -> dict[str, list[Wire]]:
    """Wires of other circuits that leave a terminal, or one that a contact, fuse or bus joins to it."""
    own = {wire.number for wire in sketch.wires}
    joined = [
        link for link in part.links if link.kind in ("contact", "fuse", "bus") and _touches(link, (terminal,))
    ]
    reach = dict.fromkeys((terminal, *(end for link in joined for end in (link.a, link.b) if end != "case")))
    leaving = {
        each: [wire for wire in sketch.known.out_of.get((part.name, each), ()) if wire.number not in own]
        for each in reach
    }
    return {each: wires for each, wires in leaving.items() if wires}


def _add_goals(sketch: _Sketch, key: str, part: PartResult, here: _Terminals) -> None:
    """Say which circuits go on from a terminal at which this one ends."""
    ends = sketch.meet(key)
    for terminal in sorted(here.left - here.right):
        if any(link.kind != "load" and _touches(link, (terminal,)) for link in ends.links):
            continue
        onward = _onward(sketch, part, terminal)
        if not onward:
            continue
        leaves = terminal
        if len(onward) == 1 and terminal not in onward:
            (leaves,) = onward
            ends.links += [link for link in part.links if {link.a, link.b} == {terminal, leaves}][:1]
        circuits = dict.fromkeys(wire.circuit for wires in onward.values() for wire in wires)
        flag = f"t:{part.name}:{terminal}"
        sketch.items[flag] = Flag("to", "on to", ", ".join(circuits))
        sketch.strands.append((key, flag, None))
        ends.right.append((len(sketch.strands) - 1, leaves))


def _part_text(sketch: _Sketch, part: PartResult, ends: _Ends) -> PartText:
    ways = tuple(
        Way(
            link.a,
            link.b,
            link.kind,
            symbols.symbol_name(part=part.symbol, link=link.kind, terminal=link.a, other=link.b),
            value(sketch.known, part, link),
        )
        for link in ends.links
    )
    notes = [
        *peaks(sketch.known, part, ends.links),
        *other_half(sketch.known, part, ends.links, sketch.circuit.name),
    ]
    cased = any("case" in (link.a, link.b) for link in ends.links)
    if cased and part.body:
        notes.append(f"case on {part.body}")
    return PartText(
        name=part.name,
        notes=(*notes, f"at {part.place}"),
        wired_left=tuple(terminal for _, terminal in ends.left),
        wired_right=tuple(terminal for _, terminal in ends.right),
        ways=ways,
    )


def _reach(leads: Mapping[str, set[str]], start: str) -> set[str]:
    """Everything that can be reached from ``start`` by at least one step."""
    found: set[str] = set()
    waiting = [start]
    while waiting:
        for each in sorted(leads.get(waiting.pop(), ())):
            if each not in found:
                found.add(each)
                waiting.append(each)
    return found


def _joined(links: Sequence[InnerLink], terminals: Iterable[str]) -> dict[str, int]:
    """Number the groups of a part's terminals that its drawn ways tie together."""
    groups = [{link.a, link.b} - {"case"} for link in links] + [{terminal} for terminal in terminals]
    merged: list[set[str]] = []
    for group in groups:
        kin = [other for other in merged if other & group]
        merged = [other for other in merged if not other & group] + [group.union(*kin)]
    return {terminal: number for number, group in enumerate(merged) for terminal in group}


def _part_ends(sketch: _Sketch, key: str) -> _Terminals:
    """Terminals of a part at which wires of the circuit arrive and leave."""
    arrive = (wire.to.terminal for _, head, wire in sketch.strands if head == key and wire is not None)
    leave = (wire.from_.terminal for tail, _, wire in sketch.strands if tail == key and wire is not None)
    return _Terminals(frozenset(arrive), frozenset(leave))


def _split_turning(sketch: _Sketch, taken: Mapping[str, Sequence[InnerLink]]) -> None:
    """Draw a part that a circuit comes back to once for each separate half: a coil here, a stud there."""
    leads: dict[str, set[str]] = {}
    for tail, head, _ in sketch.strands:
        leads.setdefault(tail, set()).add(head)
    for key in [key for key in leads if key[0] == "p" and key in _reach(leads, key)]:
        part = sketch.known.parts[key.partition(":")[2]]
        here = _part_ends(sketch, key)
        links = _links(sketch.known, part, taken.get(part.name, ()), here)
        group = _joined(links, sorted(here.left | here.right))
        sketch.strands = [
            (
                f"p{group[wire.from_.terminal]}:{part.name}" if tail == key and wire is not None else tail,
                f"p{group[wire.to.terminal]}:{part.name}" if head == key and wire is not None else head,
                wire,
            )
            for tail, head, wire in sketch.strands
        ]


def _cut_backward(sketch: _Sketch) -> None:
    """Replace every wire that would run backwards by a flag at either end of it."""
    keys = list(dict.fromkeys(key for tail, head, _ in sketch.strands for key in (tail, head)))
    place = {key: number for number, key in enumerate(keys)}
    found = layered.backward(len(keys), [(place[tail], place[head]) for tail, head, _ in sketch.strands])
    kept = []
    for number, (tail, head, wire) in enumerate(sketch.strands):
        if number not in found or wire is None:
            kept.append((tail, head, wire))
            continue
        there, here = f"b:{wire.number}:to", f"b:{wire.number}:from"
        sketch.items[there] = Flag("to", spot(wire.to), "drawn in this circuit")
        sketch.items[here] = Flag("from", spot(wire.from_), f"wire {wire.number}, this circuit")
        kept += [(tail, there, wire), (here, head, None)]
    sketch.strands = kept


def _gather(sketch: _Sketch) -> None:
    """Note at every part and splice which strands meet there, wires first, flags after."""
    for number, (tail, head, wire) in enumerate(sketch.strands):
        if tail[0] in "ps":
            terminal = wire.from_.terminal if wire is not None else ""
            sketch.meet(tail).right.append((number, terminal))
        if head[0] in "ps":
            terminal = _landing(sketch, head, wire, number)
            sketch.meet(head).left.append((number, terminal))


def _landing(sketch: _Sketch, head: str, wire: Wire | None, number: int) -> str:
    if wire is not None:
        return wire.to.terminal
    cut = sketch.strands[number][0].split(":")[1]
    return sketch.known.wires[cut].to.terminal


def circuit_graph(known: Index, circuit: CircuitResult) -> CircuitGraph:
    """Gather what one circuit shows."""
    sketch = _Sketch(known, circuit, _circuit_wires(known, circuit))
    for wire in sketch.wires:
        _add_wire(sketch, wire)
    taken = _path_links(known, circuit)
    _split_turning(sketch, taken)
    _cut_backward(sketch)
    _gather(sketch)
    for key in list(dict.fromkeys(key for tail, head, _ in sketch.strands for key in (tail, head))):
        name = key.partition(":")[2]
        if key[0] == "s":
            _add_joint(sketch, key, name)
        elif key[0] == "p" and name in known.parts:
            _add_part(sketch, key, known.parts[name], taken.get(name, ()))
    return _closed(sketch)


def _add_part(sketch: _Sketch, key: str, part: PartResult, taken: Sequence[InnerLink]) -> None:
    ends = sketch.meet(key)
    here = _Terminals(
        frozenset(terminal for _, terminal in ends.left), frozenset(terminal for _, terminal in ends.right)
    )
    own = [link for link in taken if _touches(link, here.left | here.right)]
    ends.links = _links(sketch.known, part, own, here)
    _add_sources(sketch, key, part, here)
    _add_goals(sketch, key, part, here)
    sketch.items[key] = _part_text(sketch, part, ends)


def _add_joint(sketch: _Sketch, key: str, name: str) -> None:
    ends = sketch.meet(key)
    wires = [wire for wire in sketch.wires if wire.from_.kind == "splice" and wire.from_.part == name]
    place = wires[0].from_.place if wires else next(w.to.place for w in sketch.wires if w.to.part == name)
    for wire in _fed_elsewhere(sketch, name, "") if not ends.left else ():
        flag = f"f:{wire.number}:{name}"
        sketch.items[flag] = _flag_from(wire)
        sketch.strands.append((flag, key, None))
        ends.left.append((len(sketch.strands) - 1, ""))
    sketch.items[key] = Joint(name, place, len(ends.left), len(ends.right))


def _closed(sketch: _Sketch) -> CircuitGraph:
    keys = list(dict.fromkeys(key for tail, head, _ in sketch.strands for key in (tail, head)))
    place = {key: number for number, key in enumerate(keys)}
    left = {strand: order for ends in sketch.ends.values() for order, (strand, _) in enumerate(ends.left)}
    right = {strand: order for ends in sketch.ends.values() for order, (strand, _) in enumerate(ends.right)}
    strands = tuple(
        Strand(
            tail=place[tail],
            tail_line=right.get(number, 0),
            head=place[head],
            head_line=left.get(number, 0),
            wire=wire,
            guest=wire is not None and wire.circuit != sketch.circuit.name,
        )
        for number, (tail, head, wire) in enumerate(sketch.strands)
    )
    return CircuitGraph(sketch.circuit, tuple(sketch.items[key] for key in keys), strands)
