"""The design on the terminal: totals and findings, the wire table, and why a wire has its size."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches

from rich.box import SIMPLE_HEAD
from rich.console import Console, ConsoleOptions, Group, RenderResult
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from harness.book.text import (
    by_severity,
    copper_words,
    fuse_words,
    margin_words,
    one_line,
    picked_words,
    point_text,
    share_words,
)
from harness.model.design import Design, Finding, Limit, Wire

STYLES = {"danger": "bold red", "fault": "yellow", "advice": "cyan"}
LABEL = "bold"
FAINT = "dim"
LEAST_TABLE_WIDTH = 130  # characters; on a narrower terminal each wire gets two lines

# What to write where the terminal has no such character; anything else becomes a question mark.
_IN_ASCII = {
    "°": " deg ", "²": "2", "³": "3", "Ω": "ohm", "µ": "u", "·": "*", "×": "x", "÷": "/", "√": "sqrt ",
    "≤": "<=", "≥": ">=", "≈": "~", "–": "-", "—": "-", "−": "-", "→": "->", "…": "...", "’": "'",
}  # fmt: skip


class NoSuchWire(LookupError):
    """The design has no wire of that number; the message names the nearest ones."""

    def __init__(self, number: str, known: list[str]) -> None:
        near = get_close_matches(number, known, n=3, cutoff=0.4)
        hint = f"; did you mean {', '.join(near)}?" if near else ""
        super().__init__(f"no wire {number!r} in this design{hint}")


def writable(text: str, encoding: str) -> str:
    """Return one harmless line that a terminal of this encoding can show.

    >>> writable("85 °C, 2.5 mm²", "ascii")
    '85  deg C, 2.5 mm2'
    """
    line = one_line(text)
    try:
        line.encode(encoding)
    except UnicodeEncodeError:
        line = "".join(_IN_ASCII.get(character, character) for character in line)
        return line.encode(encoding, "replace").decode(encoding)
    return line


@dataclass(frozen=True)
class _Writer:
    """Makes text for one console: never markup, never an escape sequence, only characters it has."""

    encoding: str

    def __call__(self, text: str, style: str = "") -> Text:
        return Text(writable(text, self.encoding), style=style)


def _grid() -> Table:
    table = Table.grid(padding=(0, 2))
    table.add_column(no_wrap=True)
    table.add_column()
    return table


# ------------------------------------------------------------------------------------------------ summary


def _facts(design: Design) -> Iterator[tuple[str, str]]:
    totals = design.totals
    counts = {name: sum(f.severity == name for f in design.findings) for name in STYLES}
    yield "wires", f"{totals.wires}, {totals.kept_wires} of them kept"
    yield "new wire", f"{totals.wire_length_m:.1f} m"
    yield "copper", copper_words(totals.copper_kg, totals.baseline_copper_kg, totals.baseline_unfit)
    yield "sizes", picked_words(totals)
    yield (
        "worst drop",
        f"{totals.worst_drop_v:.2f} V, {share_words(totals.worst_drop_share)}, {totals.worst_drop_load}",
    )
    yield "findings", f"{counts['danger']} danger, {counts['fault']} fault, {counts['advice']} advice"


def _totals(design: Design, write: _Writer) -> Table:
    table = _grid()
    for name, value in _facts(design):
        table.add_row(write(name, LABEL), write(value))
    return table


def _finding(finding: Finding, write: _Writer) -> Group:
    lines = [write(f"{finding.subject}: {finding.text}")]
    lines += [write(f"cure: {finding.cure}")] if finding.cure else []
    lines += [write(f"{finding.where} [{finding.rule}] {finding.source}", FAINT)]
    return Group(*lines)


def _findings(design: Design, write: _Writer) -> Table:
    table = _grid()
    for finding in by_severity(design.findings):
        name = finding.severity.upper() if finding.severity == "danger" else finding.severity
        table.add_row(write(name, STYLES[finding.severity]), _finding(finding, write))
    return table


def print_summary(design: Design, console: Console) -> None:
    """Print what the design comes to, then its findings, danger first."""
    write = _Writer(console.encoding)
    machine = design.machine
    post = f"{machine.chassis_post} post on the chassis"
    console.print(write(f"{machine.name}: {machine.voltage_v:g} V, {post}; {machine.rules_title}", LABEL))
    console.print(_totals(design, write))
    if design.findings:
        console.print()
        console.print(_findings(design, write))


# ------------------------------------------------------------------------------------------------ wires

_WIRE_COLUMNS = (
    ("wire", "left"),
    ("circuit", "left"),
    ("from", "left"),
    ("to", "left"),
    ("size", "left"),
    ("colour", "left"),
    ("A (short)", "right"),
    ("m", "right"),
    ("drop V", "right"),
    ("may carry A", "right"),
    ("margin", "right"),
    ("fuse", "left"),
    ("decided by", "left"),
)


def _amperes(wire: Wire) -> str:
    """Write the steady current, and behind it a short spell or peak that is more."""
    short = f" ({wire.short_a:.1f})" if wire.short_s and wire.short_a > wire.continuous_a else ""
    return f"{wire.continuous_a:.1f}{short}"


def _wire_cells(wire: Wire) -> tuple[str, ...]:
    return (
        wire.number,
        wire.circuit,
        point_text(wire.from_),
        point_text(wire.to),
        wire.size,
        wire.colour,
        _amperes(wire),
        f"{wire.length_m:.2f}",
        f"{wire.drop_v:.3f}",
        f"{wire.ampacity_a:.1f}",
        margin_words(wire.margin),
        fuse_words(wire.fuse, wire.fuse_a),
        f"{wire.decided_by}, kept" if wire.kept else wire.decided_by,
    )


def _table(design: Design, write: _Writer) -> Table:
    table = Table(box=SIMPLE_HEAD, header_style=LABEL, pad_edge=False)
    for title, justify in _WIRE_COLUMNS:
        table.add_column(title, justify="right" if justify == "right" else "left", overflow="fold")
    for wire in design.wires:
        table.add_row(*(write(cell) for cell in _wire_cells(wire)))
    return table


def _wire_words(wire: Wire) -> tuple[str, str]:
    """Return a wire in two lines: where it goes, and what it is."""
    fuse = fuse_words(wire.fuse, wire.fuse_a) or "none"
    way = f"{point_text(wire.from_)} > {point_text(wire.to)}; {wire.circuit}"
    kept = ", kept" if wire.kept else ""
    facts = (
        f"{wire.size} {wire.colour}, {wire.length_m:.2f} m, drop {wire.drop_v:.3f} V, "
        f"{_amperes(wire)} A of {wire.ampacity_a:.1f} A, fuse {fuse}, "
        f"decided by {wire.decided_by}{kept}"
    )
    return way, facts


def _two_lines_each(design: Design, write: _Writer) -> Table:
    table = _grid()
    for wire in design.wires:
        way, facts = _wire_words(wire)
        table.add_row(write(wire.number, LABEL), Group(write(way), write(facts)))
    return table


@dataclass(frozen=True)
class WireTable:
    """The wire table; laid out when it is printed, because only then the width of the terminal is known."""

    design: Design

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        write = _Writer(console.encoding)
        wide = options.max_width >= LEAST_TABLE_WIDTH
        yield _table(self.design, write) if wide else _two_lines_each(self.design, write)


def wire_table(design: Design) -> WireTable:
    """Return the table of all wires, to be printed on a rich console."""
    return WireTable(design)


# ------------------------------------------------------------------------------------------------ explain


def _wire_facts(wire: Wire, design: Design) -> Iterator[tuple[str, str]]:
    """Yield what is known of a wire, name and words."""
    yield "circuit", wire.circuit
    yield "from", point_text(wire.from_)
    yield "to", point_text(wire.to)
    kept = "; kept, so the size is checked, not chosen" if wire.kept else ""
    yield "cable", f"{wire.cable} {wire.size} ({wire.area_mm2:g} mm2), {wire.colour}{kept}"
    yield (
        "length",
        f"{wire.length_m:.2f} m cut, {wire.run_length_m:.2f} m along {', '.join(wire.runs) or 'no run'}",
    )
    modes = ", ".join(f"{mode} {current_a:.3g} A" for mode, current_a in wire.current_a.items())
    yield "current", f"{wire.continuous_a:.3g} A in the worst mode ({modes})"
    if wire.short_s:
        yield "short spell", f"{wire.short_a:.3g} A for {wire.short_s:g} s"
    yield (
        "resistance",
        f"{wire.resistance_ohm * 1000:.3g} mohm at {wire.conductor_c:.0f} °C; drop {wire.drop_v:.3f} V",
    )
    yield "may carry", _ampacity_words(wire)
    yield "fuse", fuse_words(wire.fuse, wire.fuse_a) or "none guards it"
    yield from _ground_facts(wire, design)
    if wire.assumed:
        yield "assumed", "; ".join(wire.assumed)


def _ground_facts(wire: Wire, design: Design) -> Iterator[tuple[str, str]]:
    """Yield what a strap or shared return brings home, and what its loss would do."""
    cable = next((each for each in design.ground_cables if each.wire == wire.number), None)
    if cable is None:
        return
    drop = f"{cable.drop_v:.3f} V with its joints"
    yield "brings home", f"{cable.current_a:.3g} A in {cable.mode or 'no mode'} at most, losing {drop}"
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
        f"{wire.ampacity_base_a:.3g} A x {wire.ambient_factor:.3g} (ambient {wire.ambient_c:.0f} °C) "
        f"x {wire.bundle_factor:.3g} ({wire.bundle_loaded} loaded wires together) = {wire.ampacity_a:.3g} A, "
        f"margin {margin_words(wire.margin)}"
    )


def _least(limit: Limit) -> str:
    if limit.least_area_mm2 is None:
        return "no size is enough"
    return f"at least {limit.least_size} ({limit.least_area_mm2:.3g} mm2)"


def _limit(limit: Limit, decided: bool, write: _Writer) -> Group:
    head = f"{limit.name}: {_least(limit)}" + ("  <- decided the size" if decided else "")
    body = (
        write(f"{limit.value:.4g} {limit.unit}, allowed {limit.allowed:.4g} {limit.unit}"),
        write(limit.formula),
        write(f"source: {limit.source}", FAINT),
    )
    return Group(write(head, LABEL if decided else ""), Padding(Group(*body), (0, 0, 0, 4)))


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
    write = _Writer(console.encoding)
    console.print(write(f"wire {wire.number}: {wire.size}, decided by {wire.decided_by}", LABEL))
    table = _grid()
    for name, words in _wire_facts(wire, design):
        table.add_row(write(name, LABEL), write(words))
    console.print(table)
    console.print()
    console.print(write(f"limits, by {design.machine.rules_title}"))
    for limit in wire.limits:
        console.print(Padding(_limit(limit, limit.name == wire.decided_by, write), (0, 0, 0, 2)))
