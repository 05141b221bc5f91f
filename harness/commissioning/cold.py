"""What is measured without the battery: every wire end to end, and every fused circuit to the chassis."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from harness.commissioning.probes import at_terminal, probes
from harness.commissioning.sources import ISOLATION_MOHM, LEAD_OHM, accepted_by
from harness.commissioning.trial import Test
from harness.electric.conductor import resistance_at
from harness.model.design import Design, Point, Wire
from harness.tables import load as table

MOST_NAMED = 6
SWITCHED = ("switch", "relay")  # roles of parts that have to be on for all of a circuit to be measured

_Pair = tuple[Point, Point, list[Wire]]


def continuity(design: Design) -> list[Test]:
    """Resistance of every wire [ohm], and through a splice, which no probe reaches, of wires in a row.

    At most 120 % of what is calculated for 20 °C, and a tenth of an ohm for the meter and its clips.
    """
    rows = table("test_bands")
    most = float(rows.row("name", "cold copper")["high"])
    why = f"{rows.cite(rows.row('name', 'cold copper'))}; {accepted_by('continuity of a short lead')}"
    found = []
    for start, end, wires in _pairs(design):
        ohm = sum(_cold_ohm(wire) for wire in wires)
        numbers = " and ".join(wire.number for wire in wires)
        ends = (at_terminal(design, start.part, start.terminal), at_terminal(design, end.part, end.terminal))
        key = ":".join(dict.fromkeys(("wire", wires[0].number, wires[-1].number)))
        found.append(
            Test(
                key, f"wire {numbers}, end to end", "ohm", round(ohm, 4), 0.0,
                round(most * ohm + LEAD_OHM, 3),
                probes(*ends), why, f"wire {wires[-1].number}", "", "",
                "a crimp that holds the insulation, a broken wire, or the end of another wire",
            )
        )  # fmt: skip
    return found


def _cold_ohm(wire: Wire) -> float:
    hot = resistance_at(1.0, conductor_c=wire.conductor_c)
    return wire.resistance_ohm / hot


def _pairs(design: Design) -> Iterator[_Pair]:
    """Ends that a probe reaches and the wires between them; of a splice's ends, each from the first."""
    at_splice: defaultdict[str, list[Wire]] = defaultdict(list)
    for wire in design.wires:
        for point in (wire.from_, wire.to):
            if point.kind == "splice":
                at_splice[point.part].append(wire)
    done: set[str] = set()
    for wire in design.wires:
        if wire.number in done:
            continue
        if "splice" not in (wire.from_.kind, wire.to.kind):
            yield wire.from_, wire.to, [wire]
            continue
        first, spliced = (wire.from_, wire.to) if wire.to.kind == "splice" else (wire.to, wire.from_)
        if first.kind == "splice":
            continue  # between two splices: met from an end
        done.add(wire.number)
        yield from _onward(first, spliced, [wire], at_splice, done)


def _onward(
    first: Point, splice: Point, way: list[Wire], at_splice: dict[str, list[Wire]], done: set[str]
) -> Iterator[_Pair]:
    waiting = [(splice, way)]
    while waiting:
        here, so_far = waiting.pop(0)
        for wire in at_splice[here.part]:
            if wire.number in done:
                continue
            done.add(wire.number)
            on = wire.to if wire.from_.part == here.part and wire.from_.kind == "splice" else wire.from_
            if on.kind == "splice":
                waiting.append((on, [*so_far, wire]))
            else:
                yield first, on, [*so_far, wire]


def isolation(design: Design) -> list[Test]:
    """Insulation of everything behind each fuse to the chassis [Mohm], its switches on, its loads off."""
    kinds = {part.name: part for part in design.parts}
    live = "positive" if design.machine.chassis_post == "negative" else "negative"
    found = []
    for fuse in design.fuses:
        behind = [wire for wire in design.wires if wire.fuse == fuse.name]
        names = dict.fromkeys(end.part for wire in behind for end in (wire.from_, wire.to))
        loads = dict.fromkeys(load.part for load in design.loads if load.fuse == fuse.name)
        on = [name for name in names if name in kinds and kinds[name].role in SWITCHED and name not in loads]
        if not behind:
            continue
        todo = f"; on or bridged: {_named(on)}" if on else ""
        off = f"; unplugged or taken off, bulbs out: {_named(list(loads))}" if loads else ""
        found.append(
            Test(
                f"isolation:{fuse.name}", f"behind {fuse.name}, to the bare metal of the chassis", "Mohm",
                None, ISOLATION_MOHM, None,
                f"{live} lead off, fuse out; one probe on its contact towards the load at {fuse.place}"
                f"{todo}{off}",
                accepted_by("isolation of a subsystem"), fuse.name, "",
                "a wire rubbed through, water in a plug, or a load that is still on: unplug one after the "
                "other",
            )
        )  # fmt: skip
    return found


def _named(names: list[str]) -> str:
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return ", ".join(names[:MOST_NAMED]) + more
