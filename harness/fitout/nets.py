"""Which terminals are one electrical point, which of those points are ground, and what feeds each of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import IntEnum

from harness.joined import Joined
from harness.model.machine import End, Link, Machine, Part

CASE = "case"
# in other roles a bus is a field winding or the works of a gauge, not a joint
JOINING_ROLES = frozenset({"fuse", "stud", "ground", "coupler", "switch", "relay"})


class Feed(IntEnum):
    """What stands between a point and the battery; the lower, the more directly it is fed."""

    BATTERY = 0
    FUSED = 1
    IGNITION = 2
    FUSED_IGNITION = 3
    SWITCHED = 4


@dataclass(frozen=True, slots=True)
class Nets:
    """Every terminal with the name of its net: the least end in it."""

    of: Mapping[End, End]
    ground: frozenset[End]

    def is_ground(self, end: End) -> bool:
        return self.net(end) in self.ground

    def net(self, end: End) -> End:
        return self.of.get(end, end)


def terminal(part: Part, name: str) -> End:
    """The end that stands for a terminal of a part."""
    return End("part", part.name, name)


def _joints(machine: Machine) -> Iterator[tuple[End, End]]:
    """Pairs of ends that are one electrical point: a wire's two ends, an inner bus, a case and its body."""
    for wire in machine.wires:
        yield wire.a, wire.b
    for part in machine.parts.values():
        if part.role in JOINING_ROLES:
            for link in part.links:
                if link.kind == "bus":
                    yield terminal(part, link.a), terminal(part, link.b)
        if part.body is not None:
            yield terminal(part, CASE), End("body", part.body)
            if part.role == "ground":
                for each in part.terminals:
                    yield terminal(part, each.name), End("body", part.body)


def _merge(joints: Iterator[tuple[End, End]]) -> dict[End, End]:
    joined = Joined[End]()
    for one, other in joints:
        low, high = sorted((joined.top(one), joined.top(other)))
        joined.join(low, high)
    return joined.tops()


def is_battery(part: Part) -> bool:
    """Whether a source is a battery: it has a capacity or cranking rating, or battery posts."""
    rated = part.capacity_ah is not None or part.cranking_a is not None
    return part.role == "source" and (rated or any(each.fitting == "post" for each in part.terminals))


def _posts(machine: Machine) -> tuple[list[End], list[End]]:
    """Live-side and chassis-side posts of every battery."""
    live, chassis = ("+", "-") if machine.chassis_post == "negative" else ("-", "+")
    batteries = [part for part in machine.parts.values() if is_battery(part)]
    return [terminal(part, live) for part in batteries], [terminal(part, chassis) for part in batteries]


def _ground(machine: Machine, of: Mapping[End, End]) -> frozenset[End]:
    """Nets that are the machine's metal, or the chassis side of a battery.

    In a pair in series the chassis-side post of one battery is wired to the live post of the other: that
    link is no ground.
    """
    live, chassis = _posts(machine)
    linked = {of.get(post, post) for post in live}
    metal = {of.get(End("body", name), End("body", name)) for name in machine.bodies}
    metal |= {net for end, net in of.items() if end.kind == "body"}
    points = {
        of.get(terminal(part, each.name), terminal(part, each.name))
        for part in machine.parts.values()
        if part.role == "ground"
        for each in part.terminals
    }
    posts = {of.get(post, post) for post in chassis} - linked
    return frozenset(metal | points | posts)


def nets(machine: Machine) -> Nets:
    """Join what wires, studs and inner buses make one point; switches, fuses and loads keep points apart."""
    of = _merge(_joints(machine))
    return Nets(of, _ground(machine, of))


def _source_terminals(machine: Machine, joined: Nets) -> Iterator[End]:
    """Terminals that are live with nothing between: battery posts, alternator output, the starter's stud.

    On a positive-ground machine the live side of an alternator or dynamo is its negative terminal.
    """
    live, _ = _posts(machine)
    yield from live
    for part in machine.parts.values():
        if part.role == "source" and not is_battery(part):
            for link in part.links:
                if link.kind == "source":
                    grounded = joined.is_ground(terminal(part, link.a))
                    yield terminal(part, link.b if grounded else link.a)
        elif part.kind == "starter motor" and any(each.name == "30" for each in part.terminals):
            yield terminal(part, "30")


def _control(part: Part, joined: Nets, feed: Mapping[End, Feed]) -> Feed:
    """What works a relay: the feed of its coil when the coil's other side is ground, else a switch."""
    controls = [Feed.SWITCHED]
    for link in part.links:
        if link.kind != "load":
            continue
        for here, there in ((link.a, link.b), (link.b, link.a)):
            if joined.is_ground(terminal(part, there)):
                controls.append(feed.get(joined.net(terminal(part, here)), Feed.SWITCHED))
    return min(controls)


def passes_feed(part: Part) -> bool:
    """Whether a part's contact leaves a feed what it is: an isolator, or an ammeter in the main cable."""
    return part.kind == "isolator" or part.role == "gauge"


def _after(part: Part, link: Link, to: str, before: Feed, control: Feed) -> Feed:
    """The feed behind a fuse or contact, from the feed before it."""
    if link.kind == "fuse":
        steps = {Feed.BATTERY: Feed.FUSED, Feed.IGNITION: Feed.FUSED_IGNITION}
        return steps.get(before, before)
    if passes_feed(part):
        return before
    if part.kind == "regulator":  # it works by itself: what it hands a dynamo's field is no feed
        return Feed.SWITCHED
    if part.role == "switch" and to.startswith("15"):
        return max(before, Feed.IGNITION)
    if part.role == "relay" and control <= Feed.FUSED:
        return before
    if part.role == "relay" and control <= Feed.FUSED_IGNITION:
        return max(before, Feed.IGNITION)
    return Feed.SWITCHED


def _reached(part: Part, joined: Nets, feed: Mapping[End, Feed]) -> Iterator[tuple[End, Feed]]:
    """What a part hands on through its fuses and contacts, with what is known so far."""
    control = _control(part, joined, feed) if part.role == "relay" else Feed.SWITCHED
    for link in part.links:
        if link.kind not in ("contact", "fuse"):
            continue
        for here, there in ((link.a, link.b), (link.b, link.a)):
            before = feed.get(joined.net(terminal(part, here)))
            if before is not None:
                yield joined.net(terminal(part, there)), _after(part, link, there, before, control)


def feeds(machine: Machine, joined: Nets) -> dict[End, Feed]:
    """What feeds each live net; ground, and nets behind a load only, are not in it."""
    live = [end for end in _source_terminals(machine, joined) if not joined.is_ground(end)]
    found = {joined.net(end): Feed.BATTERY for end in live}
    on: dict[End, list[Part]] = {}
    for part in machine.parts.values():
        passing = {end for link in part.links if link.kind in ("contact", "fuse") for end in (link.a, link.b)}
        if passing:
            passing |= {end for link in part.links if link.kind == "load" for end in (link.a, link.b)}
        for net in sorted({joined.net(terminal(part, end)) for end in passing}):
            on.setdefault(net, []).append(part)
    todo = list(found)
    while todo:
        for part in on.get(todo.pop(), ()):
            for net, feed in list(_reached(part, joined, found)):
                if net not in joined.ground and feed < found.get(net, Feed.SWITCHED + 1):
                    found[net] = feed
                    todo.append(net)
    return found
