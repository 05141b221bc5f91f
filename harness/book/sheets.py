"""What stands on every sheet of the workbook."""

from __future__ import annotations

from harness.book.machine_sheet import machine_sheet
from harness.book.sheet import TICK, Column, Look, Row, Sheet, Value, number
from harness.book.text import by_severity, fuse_words, point_text
from harness.lists.cutlist import CutEnd, CutLine, Spool, cut_list
from harness.lists.hookup import HookPart, HookTerminal, Landing, hook_up
from harness.lists.measure import M_PER_INCH, feet_inches, round_up
from harness.lists.tally import count_of
from harness.model.design import Design, Finding, Fuse, LoadResult, Material, RunResult, Severity, Wire

CENTIMETRE = 0.01
M_PER_FOOT = 12 * M_PER_INCH

_LOOKS: dict[Severity, Look] = {"danger": "danger", "fault": "fault", "advice": "line"}


def tick(title: str) -> Column:
    """Return a column of boxes to mark by hand."""
    return Column(title, 5, align="center")


def _metres_and_feet(length_m: float) -> str:
    """Write a length both ways, neither shorter than it is: "2.45 m (8' 1/2\")"."""
    return f"{round_up(length_m, step=CENTIMETRE):.2f} m ({feet_inches(length_m)})"


def _yes(flag: bool) -> str:
    return "yes" if flag else ""


# ------------------------------------------------------------------------------------------------ cut list


def _end_columns(side: str) -> tuple[Column, ...]:
    return (
        Column(f"{side} part, terminal (place)", 17),
        Column(f"{side} label", 7),
        Column(f"{side} heat-shrink", 13),
        number(f"{side} strip mm", "General", 6),
        Column(f"{side} terminal", 15),
        tick(f"{side} done"),
    )


def _end_values(end: CutEnd) -> tuple[Value, ...]:
    name = f"{end.part} {end.terminal}" if end.terminal else f"splice {end.part}"
    shrink = f"{end.shrink}, cut {end.shrink_mm:g} mm" if end.shrink else ""
    fitting = f"{end.fitting}; {end.notes}" if end.fitting and end.notes else end.fitting or end.notes
    return f"{name} ({end.place})", end.label, shrink, end.strip_mm or None, fitting, TICK


def _cut_row(spool: Spool, line: CutLine) -> Row:
    length = (round_up(line.length_m, step=CENTIMETRE), line.length_ft_in)
    ends = _end_values(line.from_) + _end_values(line.to)
    return Row((spool.title, TICK, line.number, *length, *ends, line.circuit))


def _spool_heading(spool: Spool) -> Row:
    total, longest = _metres_and_feet(spool.total_m), _metres_and_feet(spool.longest_m)
    words = f"{count_of(len(spool.lines), 'piece')}, {total} in all, longest {longest}"
    return Row((spool.title, None, words), "heading")


def cut_sheet(design: Design) -> Sheet:
    """Return the cut list: a heading for each spool, then its pieces, longest first."""
    columns = (
        Column("Spool: cable, size, colour", 12),
        tick("Cut"),
        Column("Wire", 7),
        number("Length m"),
        Column("Length ft in", 11),
        *_end_columns("From"),
        *_end_columns("To"),
        Column("Circuit", 12),
    )
    rows: list[Row] = []
    for spool in cut_list(design):
        rows.append(_spool_heading(spool))
        rows.extend(_cut_row(spool, line) for line in spool.lines)
    return Sheet("Cut list", columns, tuple(rows), frozen_columns=3, spilling=frozenset({2}))


# ------------------------------------------------------------------------------------------------ materials


def _material_row(line: Material) -> Row:
    metres = line.unit == "m"
    feet = round_up(line.with_waste / M_PER_FOOT, step=1) if metres else None
    longest = _metres_and_feet(line.longest_m) if line.longest_m is not None else ""
    return Row(
        (
            line.group,
            line.item,
            line.size,
            line.colour,
            line.quantity,
            line.with_waste,
            line.unit,
            feet,
            longest,
            TICK,
            ", ".join(line.used_on),
            line.source,
        )
    )


def materials_sheet(design: Design) -> Sheet:
    """Return what to buy, exact and with waste."""
    columns = (
        Column("Group", 11),
        Column("Item", 28),
        Column("Size", 14),
        Column("Colour", 8),
        number("Needed", "General", 9),
        number("Ask for (with waste, spares)", "General", 9),
        Column("Unit", 6),
        number("Ask for ft", "0", 8),
        Column("Longest piece m (ft in)", 12),
        tick("Got"),
        Column("Used on (wire, run, part)", 26),
        Column("Figures from", 26),
    )
    return Sheet("Materials", columns, tuple(map(_material_row, design.materials)), frozen_columns=2)


# ------------------------------------------------------------------------------------------------ wires


def _currents(wire: Wire) -> str:
    """Write what the wire carries in every mode that loads it, then its short spell: one line each."""
    lines = [f"{mode} {current_a:.3g}" for mode, current_a in wire.current_a.items() if current_a]
    if wire.short_s:
        lines.append(f"for {wire.short_s:g} s {wire.short_a:.3g}")
    return "\n".join(lines)


def _wire_row(wire: Wire) -> Row:
    return Row(
        (
            wire.number,
            wire.circuit,
            point_text(wire.from_),
            point_text(wire.to),
            wire.size,
            wire.colour,
            wire.cable,
            wire.continuous_a,
            _currents(wire),
            round_up(wire.length_m, step=CENTIMETRE),
            wire.drop_v,
            wire.ampacity_a,
            wire.margin,
            fuse_words(wire.fuse, wire.fuse_a),
            wire.decided_by,
            "kept" if wire.kept else "",
            "; ".join(wire.runs),
            "; ".join(wire.assumed),
        )
    )


def wires_sheet(design: Design) -> Sheet:
    """Return every wire with the numbers that decided it."""
    columns = (
        Column("Wire", 7),
        Column("Circuit", 11),
        Column("From (place)", 15),
        Column("To (place)", 15),
        Column("Size", 8),
        Column("Colour", 7),
        Column("Cable", 6),
        number("Worst steady A", most=8),
        Column("Current A by mode", 14),
        number("Length m", most=8),
        number("Drop V", "0.000", 7),
        number("May carry A", "0.0", 8),
        number("Margin %", "0%", 7),
        Column("Fuse", 9),
        Column("Size decided by", 11),
        Column("Kept", 6),
        Column("Along the runs", 18),
        Column("Assumed", 16),
    )
    return Sheet("Wires", columns, tuple(map(_wire_row, design.wires)))


# ------------------------------------------------------------------------------------------------ runs


def _count(number_of: int, what: str) -> str:
    return f"{number_of} x {what}" if number_of and what else ""


def _run_row(run: RunResult) -> Row:
    return Row(
        (
            run.name,
            run.length_m,
            feet_inches(run.length_m),
            run.zone,
            run.ambient_c,
            run.bundle_mm,
            run.covering or "bare",
            _count(run.ties, run.tie),
            _count(run.clamps, run.clamp),
            run.hole_mm,
            run.plate_mm,
            run.grommet,
            _yes(run.moves),
            TICK,
            ", ".join(run.wires),
        )
    )


def runs_sheet(design: Design) -> Sheet:
    """Return every run with the wires that lie in it and what goes round them."""
    columns = (
        Column("Run", 20),
        number("Length m", most=8),
        Column("Length ft in", 11),
        Column("Zone", 11),
        number("Ambient °C", "0", 8),
        number("Bundle mm", "0.0", 8),
        Column("Covering", 18),
        Column("Ties", 16),
        Column("Clamps", 16),
        number("Hole mm", "General", 7),
        number("Plate mm", "General", 7),
        Column("Grommet", 18),
        Column("Moves", 6),
        tick("Done"),
        Column("Wires in it", 34),
    )
    return Sheet("Runs", columns, tuple(map(_run_row, design.runs)))


# ------------------------------------------------------------------------------------------------ hook-up


def _landing_values(landing: Landing) -> tuple[Value, ...]:
    return (
        landing.number,
        landing.colour,
        landing.size,
        landing.lug,
        point_text(landing.other),
        landing.circuit,
        "kept" if landing.kept else "",
        TICK,
    )


def _terminal_rows(part: HookPart, terminal: HookTerminal) -> list[Row]:
    here = (part.name, part.title, part.place, terminal.name, f"{terminal.fitting} {terminal.size}".strip())
    if not terminal.landings:
        return [Row((*here, "nothing"))]
    return [Row((*here, *_landing_values(landing))) for landing in terminal.landings]


def hook_up_sheet(design: Design) -> Sheet:
    """Return what lands on every terminal, thickest wire first."""
    columns = (
        Column("Part", 17),
        Column("Kind", 15),
        Column("Place", 14),
        Column("Terminal", 8),
        Column("Fits (thread, or blade mm)", 12),
        Column("Wire", 8),
        Column("Colour", 8),
        Column("Size", 8),
        Column("Lug or terminal", 24),
        Column("Other end (place)", 22),
        Column("Circuit", 14),
        Column("Kept", 6),
        tick("Done"),
    )
    rows = [
        row
        for part in hook_up(design)
        for terminal in part.terminals
        for row in _terminal_rows(part, terminal)
    ]
    return Sheet("Hook-up by part", columns, tuple(rows))


# ------------------------------------------------------------------------------------------------ fuses


def _fuse_row(fuse: Fuse) -> Row:
    return Row(
        (
            fuse.name,
            fuse.place,
            fuse.form,
            fuse.rating_a,
            fuse.colour,
            _yes(fuse.fixed),
            fuse.load_a,
            f"{fuse.peak_a:.3g} for {fuse.peak_s:g} s" if fuse.peak_s else "",
            fuse.least_a,
            fuse.most_a,
            ", ".join(fuse.wires),
            fuse.formula,
            fuse.source,
        )
    )


def fuses_sheet(design: Design) -> Sheet:
    """Return every fuse with what it carries and the window its rating had to fall in."""
    columns = (
        Column("Fuse", 10),
        Column("Place", 11),
        Column("Form", 16),
        number("Rating A", "General", 8),
        Column("Colour of body", 10),
        Column("Rating given in survey", 9),
        number("Load A", most=8),
        Column("Peak A", 10),
        number("Least A for load", most=9),
        number("Most A for wires", most=9),
        Column("Guards wires", 18),
        Column("Reason", 28),
        Column("Figures from", 24),
    )
    return Sheet("Fuses", columns, tuple(map(_fuse_row, design.fuses)))


# ------------------------------------------------------------------------------------------------ loads


def _within(drop_v: float, allowed_v: float) -> str:
    return "yes" if drop_v <= allowed_v else "NO"


def _load_rows(load: LoadResult) -> list[Row]:
    here = (f"{load.part} {load.link}", load.circuit, load.place)
    spell = f" for {load.peak_s:g} s" if load.peak_s else ""
    peak = (f"{load.peak_a:.3g}{spell}" if load.peak_a else "", load.peak_drop_v, load.peak_allowance_v)
    rest = (load.allowance_source, *peak, load.fuse, "; ".join(load.assumed))
    if not load.modes:
        blank: tuple[Value, ...] = ("no mode works it", load.steady_a, None, None, None, load.allowance_v, "")
        return [Row((*here, *blank, *rest))]
    return [
        Row(
            (
                *here,
                seen.mode,
                seen.current_a,
                seen.source_v,
                seen.volts_v,
                seen.drop_v,
                load.allowance_v,
                _within(seen.drop_v, load.allowance_v),
                *rest,
            ),
            "line" if seen.drop_v <= load.allowance_v else "fault",
        )
        for seen in load.modes
    ]


def loads_sheet(design: Design) -> Sheet:
    """Return the volts every load sees, one row for each mode that works it."""
    columns = (
        Column("Load", 16),
        Column("Circuit", 12),
        Column("Place", 12),
        Column("Mode", 10),
        number("Current A", most=8),
        number("Source V", most=8),
        number("At the load V", most=8),
        number("Lost V (feed and return)", most=9),
        number("Allowed V", most=8),
        Column("Within", 7),
        Column("Allowance from", 20),
        Column("Peak A", 10),
        number("Lost at peak V", most=8),
        number("Allowed at peak V", most=8),
        Column("Fuse", 10),
        Column("Assumed", 20),
    )
    return Sheet("Loads", columns, tuple(row for load in design.loads for row in _load_rows(load)))


# ------------------------------------------------------------------------------------------------ findings


def _finding_row(finding: Finding) -> Row:
    return Row(
        (
            finding.severity.upper(),
            finding.subject,
            finding.text,
            finding.cure,
            TICK,
            finding.source,
            finding.rule,
            finding.where,
        ),
        _LOOKS[finding.severity],
    )


def findings_sheet(design: Design) -> Sheet:
    """Return the findings, danger first."""
    columns = (
        Column("Severity", 11),
        Column("About", 18),
        Column("What is wrong", 42),
        Column("Cure", 36),
        tick("Done"),
        Column("Figures from", 28),
        Column("Rule", 16),
        Column("Where in the survey", 18),
    )
    rows = tuple(map(_finding_row, by_severity(design.findings)))
    return Sheet("Findings", columns, rows or (Row(("none", "", "the design rules found nothing")),))


def sheets(design: Design) -> list[Sheet]:
    """Return all sheets in the order they are bound."""
    makers = (
        machine_sheet,
        cut_sheet,
        materials_sheet,
        wires_sheet,
        runs_sheet,
        hook_up_sheet,
        fuses_sheet,
        loads_sheet,
        findings_sheet,
    )
    return [make(design) for make in makers]
