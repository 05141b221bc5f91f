"""Why a wire has its size, on the terminal: limits and their slack, loads, and what thinner would break."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches

from rich.box import SIMPLE_HEAD
from rich.console import Console, Group
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from harness.book.summary import FAINT, LABEL, Writer, grid
from harness.book.text import WAY_WORDS, fuse_words, margin_words, point_text
from harness.digits import digits, plain
from harness.lists.cutlist import cable_words
from harness.model.design import Design, Limit, NextSize, Wire, WireLoad


class NoSuchWire(LookupError):
    """The design has no wire of that number; the message names the nearest ones."""

    def __init__(self, number: str, known: list[str]) -> None:
        near = get_close_matches(number, known, n=3, cutoff=0.4)
        hint = f"; did you mean {', '.join(near)}?" if near else ""
        super().__init__(f"no wire {number!r} in this design{hint}")


def _wire_facts(wire: Wire, design: Design) -> Iterator[tuple[str, str]]:
    """Yield what is known of a wire, name and words."""
    yield "circuit", wire.circuit
    yield "from", point_text(wire.from_)
    yield "to", point_text(wire.to)
    kept = "; kept, so the size is checked, not chosen" if wire.kept else ""
    yield "cable", f"{cable_words(wire)} {wire.size} ({wire.area_mm2:g} mm2), {wire.colour}{kept}"
    yield (
        "length",
        f"{wire.length_m:.2f} m cut, {wire.run_length_m:.2f} m along {', '.join(wire.runs) or 'no run'}",
    )
    if wire.way is not None:
        longer = f"{wire.way.longer_m:.2f} m longer than" if wire.way.longer_m else "no longer than"
        yield "way", f"{'; '.join(wire.way.why)}: {longer} the shortest way, {wire.way.shortest_m:.2f} m"
    yield from _joint_facts(wire, design)
    modes = ", ".join(f"{mode} {plain(current_a)} A" for mode, current_a in wire.current_a.items())
    yield "current", f"{plain(wire.continuous_a)} A in the worst mode ({modes})"
    settled = [
        f"{one.mode} {plain(abs(one.wires_a[wire.number]))} A"
        for one in design.operating
        if wire.number in one.wires_a
    ]
    if settled:
        yield "settles at", ", ".join(settled)
    if wire.short_s:
        yield "short spell", f"{plain(wire.short_a)} A for {wire.short_s:g} s"
    yield (
        "resistance",
        f"{wire.resistance_ohm * 1000:.3g} mohm at {wire.conductor_c:.0f} °C; drop {wire.drop_v:.3f} V",
    )
    yield "may carry", _ampacity_words(wire)
    yield "fuse", fuse_words(wire.fuse, wire.fuse_a) or "none guards it"
    yield from _ground_facts(wire, design)
    yield from _charge_facts(wire, design)
    if wire.cost:
        yield "cost", f"{wire.cost} {design.totals.currency}".rstrip()
    if wire.assumed:
        yield "assumed", "; ".join(wire.assumed)


def _joint_facts(wire: Wire, design: Design) -> Iterator[tuple[str, str]]:
    """Yield what each way to make its branch comes to, the one taken first."""
    here, there = (f"{point.part} {point.terminal}".rstrip() for point in (wire.from_, wire.to))
    for joint in design.joints:
        ends = {joint.starts_at, *joint.leads_to}
        if joint.splice not in (wire.from_.part, wire.to.part) and not (
            joint.made != "splice" and {here, there} <= ends
        ):
            continue
        for count in sorted(joint.counts, key=lambda one: one.way != joint.made):
            words = (
                f"{count.wire_m:.2f} m, {1000 * count.copper_kg:.0f} g of copper, {count.terminals} terminals"
            )
            words += f", {count.splices} splice" if count.splices else ""
            if count.not_so:
                words += f"; not so: {count.not_so}"
            yield ("branch" if count.way == joint.made else "", f"{WAY_WORDS[count.way]}: {words}")


def _charge_facts(wire: Wire, design: Design) -> Iterator[tuple[str, str]]:
    """Yield what alternator the wire and its line would stand, where it lies in one."""
    for line in design.charge_lines:
        if wire.number not in line.wires:
            continue
        words = (
            f"{line.part} gives {plain(line.output_a)} A; this wire would do for {plain(wire.ampacity_a)} A"
        )
        if line.weakest != wire.number:
            words += f", the line for {plain(line.ampacity_a)} A (wire {line.weakest})"
        if line.by_drop_a is not None and line.allowance_v is not None:
            words += f", and by its drop of {line.allowance_v:.2f} V for {plain(line.by_drop_a)} A"
        yield "charging", words


def _ground_facts(wire: Wire, design: Design) -> Iterator[tuple[str, str]]:
    """Yield what a strap or shared return brings home, and what its loss would do."""
    cable = next((each for each in design.ground_cables if each.wire == wire.number), None)
    if cable is None:
        return
    drop = f"{cable.drop_v:.3f} V with its joints"
    yield "brings home", f"{plain(cable.current_a)} A in {cable.mode or 'no mode'} at most, losing {drop}"
    if cable.loses:
        yield "when open", f"{', '.join(cable.loses)} lose their ground"
    elif cable.other_way:
        yield "when open", f"its current goes by wire {', '.join(cable.other_way)}"
    for sneak in cable.sneaks:
        yield (
            "and then",
            f"current finds a way back through {', '.join(sneak.through)} and out by "
            f"{', '.join(sneak.out_by)}, which see {sneak.share:.0%} of the volts at most",
        )


def _ampacity_words(wire: Wire) -> str:
    return (
        f"{plain(wire.ampacity_base_a)} A x {wire.ambient_factor:.3g} (ambient {wire.ambient_c:.0f} °C) "
        f"x {wire.bundle_factor:.3g} ({wire.bundle_loaded} loaded wires together) = "
        f"{plain(wire.ampacity_a)} A, margin {margin_words(wire.margin)}"
    )


def _least(limit: Limit) -> str:
    if limit.least_area_mm2 is None:
        return "no size is enough"
    return f"at least {limit.least_size} ({limit.least_area_mm2:.3g} mm2)"


def slack(limit: Limit) -> float:
    """What a limit leaves to spare, in its own unit; below zero where it is broken."""
    return limit.allowed - limit.value


def _limit(limit: Limit, decided: bool, write: Writer) -> Group:
    head = f"{limit.name}: {_least(limit)}" + ("  <- decided the size" if decided else "")
    body = (
        write(
            f"{digits(limit.value, 4)} {limit.unit}, allowed {digits(limit.allowed, 4)} {limit.unit},"
            f" slack {digits(slack(limit))} {limit.unit}"
        ),
        write(limit.formula),
        write(f"source: {limit.source}", FAINT),
    )
    return Group(write(head, LABEL if decided else ""), Padding(Group(*body), (0, 0, 0, 4)))


def _down(down: NextSize, write: Writer) -> Iterator[Text]:
    """What the next size down would break, line by line."""
    if not down.size:
        yield write(down.note)
        return
    yield write(f"{down.size} ({down.area_mm2:.3g} mm2)" + (f": {down.note}" if down.note else ""))
    for one in down.breaks:
        yield write(f"  breaks {one.limit}: {one.text}")


def _load_cells(load: WireLoad) -> tuple[str, ...]:
    return (
        f"{load.load} ({load.side})" if load.side else load.load,
        f"{load.mode}, at its peak" if load.at_peak else load.mode,
        f"{load.here_v:.3f}",
        f"{load.drop_v:.3f}",
        f"{load.allowed_v:.3g}",
        f"{load.slack_v:.3f}",
    )


def _loads(loads: list[WireLoad], write: Writer) -> Table:
    table = Table(box=SIMPLE_HEAD, header_style=LABEL, pad_edge=False)
    for title in ("load", "mode", "V lost here", "V in all", "allowed", "slack V"):
        table.add_column(title, justify="left" if title in ("load", "mode") else "right", overflow="fold")
    for load in loads:
        table.add_row(*(write(cell) for cell in _load_cells(load)))
    return table


def find_wire(design: Design, number: str) -> Wire:
    """Return the wire of that number; raises NoSuchWire."""
    for wire in design.wires:
        if wire.number == number:
            return wire
    raise NoSuchWire(number, [wire.number for wire in design.wires])


def print_explain(design: Design, wire_number: str, console: Console) -> None:
    """Print every limit on one wire with its numbers, formula and source, and which one decided.

    Raises NoSuchWire before anything is printed.
    """
    wire = find_wire(design, wire_number)
    write = Writer(console.encoding)
    console.print(write(f"wire {wire.number}: {wire.size}, decided by {wire.decided_by}", LABEL))
    table = grid()
    for name, words in _wire_facts(wire, design):
        table.add_row(write(name, LABEL), write(words))
    console.print(table)
    console.print()
    console.print(write(f"limits, by {design.machine.rules_title}"))
    for limit in wire.limits:
        console.print(Padding(_limit(limit, limit.name == wire.decided_by, write), (0, 0, 0, 2)))
    if wire.freeing:
        console.print()
        console.print(write("its size does not do", LABEL))
        for sentence in wire.freeing:
            console.print(Padding(write(sentence), (0, 0, 0, 2)))
    if wire.next_down is not None:
        console.print()
        console.print(write("the next size down", LABEL))
        for line in _down(wire.next_down, write):
            console.print(Padding(line, (0, 0, 0, 2)))
    if wire.loads:
        console.print()
        console.print(write("loads on this wire, the one with the least to spare first", LABEL))
        console.print(_loads(wire.loads, write))
