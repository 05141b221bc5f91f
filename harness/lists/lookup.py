"""What a name, label, colour, terminal or place on the machine stands for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from harness.lists.wayto import Atlas, Key, Spot
from harness.lists.waywords import splice_about, wire_about
from harness.model.design import Design, Wire


@dataclass(frozen=True)
class Found:
    """A thing of the machine: what it is, its load if it is one, else what current passes through."""

    about: str
    part: str = ""  # with loads of its own
    keys: frozenset[Key] = frozenset()
    spots: frozenset[Spot] = frozenset()


class NotThere(Exception):
    """Nothing on the machine goes by that name; the message names the nearest."""


def _part(atlas: Atlas, name: str) -> Found:
    part = atlas.parts[name]
    about = f"{name}: {part.title or part.kind}, {part.place}" + (f", on {part.body}" if part.body else "")
    ground = [(name, use.terminal) for use in part.terminals] if part.role == "ground" else []
    keys = frozenset([*((name, link.name) for link in part.links if link.kind != "load"), *ground])
    spots = frozenset(("part", name, use.terminal) for use in part.terminals)
    has_load = any(link.kind == "load" for link in part.links)
    return Found(about, name if has_load else "", keys, spots if not (keys or has_load) else frozenset())


def names_of(atlas: Atlas) -> dict[str, Found]:
    """Every name a person may call something by; the first meaning of a word holds."""
    found: dict[str, Found] = {name: _part(atlas, name) for name in atlas.parts}
    for fuse in atlas.design.fuses:
        one = Found(
            f"{fuse.name}: {fuse.rating_a:g} A, {fuse.form}, {fuse.place}; guards wires "
            f"{', '.join(fuse.wires)}",
            keys=frozenset([(fuse.part, fuse.link)]),
        )
        found.setdefault(fuse.name, one)
        found.setdefault(fuse.name.split(" ")[-1], one)
    for splice in atlas.design.splices:
        one = Found(splice_about(splice), spots=frozenset([("splice", splice.name, "")]))
        found.setdefault(splice.name, one)
        found.setdefault(f"splice {splice.name}", one)
    for wire in atlas.design.wires:
        one = Found(wire_about(wire), keys=frozenset([("wire", wire.number)]))
        found.setdefault(f"wire {wire.number}", one)
        found.setdefault(wire.number, one)
        for end in (wire.from_end, wire.to_end):
            if end.label:
                found.setdefault(end.label, one)
    for part in atlas.design.parts:
        for use in part.terminals:
            wires = f", wires {', '.join(use.wires)}" if use.wires else ", no wire"
            spot = atlas.spot(part, use.terminal)
            found.setdefault(
                f"{part.name} {use.terminal}",
                Found(f"{part.name} {use.terminal}: {use.fitting}{wires}", spots=frozenset([spot])),
            )
        if part.body is not None:
            body = Found(f"metal of {part.body}", spots=frozenset([("body", part.body, "")]))
            found.setdefault(part.body, body)
            found.setdefault(f"bare metal of {part.body}", body)
    for spare in atlas.design.spares:
        found.setdefault(f"wire {spare.number}", Found(f"{wire_about(spare)}: a spare, capped at both ends"))
    return found


SHOWN = 12  # names in a message


def looked_up(atlas: Atlas, name: str) -> Found:
    """The thing of a name. Raises NotThere."""
    names = names_of(atlas)
    if name in names:
        return names[name]
    folded = {word.casefold(): word for word in reversed(names)}
    if name.casefold() in folded:
        return names[folded[name.casefold()]]
    near = get_close_matches(name.casefold(), folded, n=1, cutoff=0.5)
    parts = [repr(part.name) for part in atlas.design.parts]
    some = ", ".join(parts[:SHOWN]) + (", ..." if len(parts) > SHOWN else "")
    hint = (
        f"did you mean {folded[near[0]]!r}?"
        if near
        else f"name a part, fuse, splice, terminal, wire or label; parts are {some}"
    )
    raise NotThere(f"there is no {name!r}; {hint}")


@dataclass(frozen=True, slots=True)
class Sought:
    """What is known of a wire that was found; "" for what is not."""

    label: str = ""
    colour: str = ""
    place: str = ""
    terminal: str = ""


def _terminals(wire: Wire) -> Iterator[str]:
    for point in (wire.from_, wire.to):
        yield point.terminal
        yield f"{point.part} {point.terminal}".rstrip()


def _labels(wire: Wire) -> tuple[str, ...]:
    return (wire.number, wire.from_end.label, wire.to_end.label)


def _places(design: Design, wire: Wire) -> list[str]:
    runs = {run.name: run for run in design.runs}
    along = [place for name in wire.runs if name in runs for place in (runs[name].start, runs[name].end)]
    return [wire.from_.place, wire.to.place, *along]


def _colours(wire: Wire) -> tuple[str, ...]:
    return (wire.colour, wire.colour.partition("/")[0])


def wires_like(design: Design, sought: Sought) -> list[Wire]:
    """The wires, spares too, that all of what is known fits. Raises NotThere for a word that fits none."""
    wires: Sequence[Wire] = [*design.wires, *design.spares]
    asked = (
        ("label", sought.label, _labels),
        ("colour", sought.colour, _colours),
        ("place", sought.place, lambda wire: _places(design, wire)),
        ("terminal", sought.terminal, lambda wire: list(_terminals(wire))),
    )
    left = list(wires)
    for what, word, of in asked:
        if not word:
            continue
        folded = word.casefold()
        if not any(folded in (each.casefold() for each in of(wire)) for wire in wires):
            words = dict.fromkeys(each for wire in wires for each in of(wire) if each)
            lower = {each.casefold(): each for each in words}
            near = get_close_matches(folded, lower, n=1, cutoff=0.4)
            hint = f"did you mean {lower[near[0]]!r}?" if near else f"there are: {', '.join(list(words)[:6])}"
            raise NotThere(f"no wire has the {what} {word!r}; {hint}")
        left = [wire for wire in left if folded in (each.casefold() for each in of(wire))]
    return left
