"""The design on the terminal: totals and findings, and the wire table."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from rich.box import SIMPLE_HEAD
from rich.console import Console, ConsoleOptions, Group, RenderResult
from rich.table import Table
from rich.text import Text

from harness.book.text import (
    buying_words,
    by_severity,
    copper_words,
    fuse_words,
    margin_words,
    money_words,
    one_line,
    picked_words,
    point_text,
    spare_wire_words,
    worst_drop_words,
)
from harness.model.design import Design, Finding, Wire

STYLES = {"danger": "bold red", "fault": "yellow", "advice": "cyan"}
LABEL = "bold"
FAINT = "dim"
LEAST_TABLE_WIDTH = 130  # characters; on a narrower terminal each wire gets two lines

# What to write where the terminal has no such character; anything else becomes a question mark.
_IN_ASCII = {
    "°": " deg ", "²": "2", "³": "3", "Ω": "ohm", "µ": "u", "·": "*", "×": "x", "÷": "/", "√": "sqrt ",
    "≤": "<=", "≥": ">=", "≈": "~", "–": "-", "—": "-", "−": "-", "→": "->", "…": "...", "’": "'",
}  # fmt: skip


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
class Writer:
    """Makes text for one console: never markup, never an escape sequence, only characters it has."""

    encoding: str

    def __call__(self, text: str, style: str = "") -> Text:
        return Text(writable(text, self.encoding), style=style)


def grid() -> Table:
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
    if design.spares:
        yield "spare wires", spare_wire_words(design.spares)
    yield "copper", copper_words(totals.copper_kg, totals.baseline_copper_kg, totals.baseline_unfit)
    if totals.wire_cost:
        yield "cost of wire", money_words(totals)
    for bought in design.buying_totals[:1]:  # wire, which is dear
        yield "buying", buying_words(bought)
    yield "sizes", picked_words(totals)
    if design.machine.choices:
        yield "settled", "; ".join(design.machine.choices)
    yield "worst drop", worst_drop_words(design)
    yield "findings", f"{counts['danger']} danger, {counts['fault']} fault, {counts['advice']} advice"


def _totals(design: Design, write: Writer) -> Table:
    table = grid()
    for name, value in _facts(design):
        table.add_row(write(name, LABEL), write(value))
    return table


def _finding(finding: Finding, write: Writer) -> Group:
    lines = [write(f"{finding.subject}: {finding.text}")]
    lines += [write(f"cure: {finding.cure}")] if finding.cure else []
    lines += [write(f"{finding.where} [{finding.rule}] {finding.source}", FAINT)]
    return Group(*lines)


def _findings(findings: Iterable[Finding], write: Writer) -> Table:
    table = grid()
    for finding in by_severity(findings):
        name = finding.severity.upper() if finding.severity == "danger" else finding.severity
        table.add_row(write(name, STYLES[finding.severity]), _finding(finding, write))
    return table


def print_summary(design: Design, console: Console) -> None:
    """Print what the design comes to, then its findings, danger first."""
    write = Writer(console.encoding)
    machine = design.machine
    post = f"{machine.chassis_post} post on the chassis"
    console.print(write(f"{machine.name}: {machine.voltage_v:g} V, {post}; {machine.rules_title}", LABEL))
    console.print(_totals(design, write))
    if design.findings:
        console.print()
        console.print(_findings(design.findings, write))


def print_changes(design: Design, came: Sequence[Finding], went: Sequence[Finding], console: Console) -> None:
    """Print what the design comes to, and of its findings those that were not there before and those gone."""
    write = Writer(console.encoding)
    console.print(_totals(design, write))
    if came:
        console.print(write("new findings:", LABEL))
        console.print(_findings(came, write))
    for finding in went:
        console.print(write(f"gone: {finding.subject}: {finding.text}", FAINT))
    stay = len(design.findings) - len(came)
    if stay:
        console.print(write(f"{stay} finding{'s stay' if stay != 1 else ' stays'} as before", FAINT))


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


def _table(design: Design, write: Writer) -> Table:
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


def _two_lines_each(design: Design, write: Writer) -> Table:
    table = grid()
    for wire in design.wires:
        way, facts = _wire_words(wire)
        table.add_row(write(wire.number, LABEL), Group(write(way), write(facts)))
    return table


@dataclass(frozen=True)
class WireTable:
    """The wire table; laid out when it is printed, because only then the width of the terminal is known."""

    design: Design

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        write = Writer(console.encoding)
        wide = options.max_width >= LEAST_TABLE_WIDTH
        yield _table(self.design, write) if wide else _two_lines_each(self.design, write)


def wire_table(design: Design) -> WireTable:
    """Return the table of all wires, to be printed on a rich console."""
    return WireTable(design)
