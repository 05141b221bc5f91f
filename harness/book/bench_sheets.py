"""The sheets for the bench: cut list, wires, runs and hook-up by part."""

from __future__ import annotations

from collections.abc import Sequence

from harness.book.marks import Marks, marked
from harness.book.sheet import TICK, Column, Row, Sheet, Value, metres_and_feet, number, tick, yes
from harness.book.text import fuse_words, point_text
from harness.digits import plain
from harness.lists.cutlist import CutEnd, CutLine, Spool, cable_words, cut_list
from harness.lists.hookup import HookPart, HookTerminal, Landing, hook_up
from harness.lists.measure import CENTIMETRE, feet_inches, round_up
from harness.lists.tally import count_of
from harness.model.design import Design, RunResult, Wire
from harness.model.grounds import Ground, GroundCable, Sneak

TRIMMED = {"hole": "round the hole", "edge": "along the edge"}


def with_notes(fitting: str, notes: str) -> str:
    """Write what goes on a wire end and what to know about it."""
    return "; ".join(word for word in (fitting, notes) if word)


def numbered(steps: Sequence[str]) -> str:
    """Write steps with their numbers, in one text.

    >>> numbered(["label", "strip 7 mm", "crimp"])
    '1 label; 2 strip 7 mm; 3 crimp'
    """
    return "; ".join(f"{at} {step}" for at, step in enumerate(steps, 1))


def _end_columns(side: str) -> tuple[Column, ...]:
    return (
        Column(f"{side} part, terminal (place)", 19),
        Column(f"{side} terminal", 26),
        Column(f"{side}: in this order", 34),
        tick(f"{side} done"),
    )


def _steps(end: CutEnd) -> list[str]:
    """The steps at one end, each with what it needs from the shelf."""
    tube = end.shrink.removeprefix("heat-shrink, ")
    full = {"heat-shrink": f"heat-shrink {tube}, cut {end.shrink_mm:g} mm", "label": f"label {end.label}"}
    return [full.get(step, step) for step in end.threading]


def _end_values(end: CutEnd) -> tuple[Value, ...]:
    name = f"{end.part} {end.terminal}" if end.terminal else f"splice {end.part}"
    fitting = with_notes(end.fitting, end.notes)
    return f"{name} ({end.place})", fitting, numbered(_steps(end)), TICK


def _cut_row(spool: Spool, line: CutLine) -> Row:
    length = (round_up(line.length_m, step=CENTIMETRE), line.length_ft_in)
    ends = _end_values(line.from_) + _end_values(line.to)
    return Row((spool.title, TICK, line.number, *length, line.batch, _roll(line), *ends, line.circuit))


def _roll(line: CutLine) -> str:
    """What the piece is cut from, and what is left on that behind the cut."""
    if line.left_m is None:
        return ""
    left = metres_and_feet(line.left_m, up=False) if line.left_m >= CENTIMETRE else "nothing"
    return f"{line.roll}: {left} left"


def _spool_heading(spool: Spool) -> Row:
    total, longest = metres_and_feet(spool.total_m), metres_and_feet(spool.longest_m)
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
        Column("Batch", 6),
        Column("Cut from, and left on it then", 15),
        *_end_columns("From"),
        *_end_columns("To"),
        Column("Circuit", 12),
    )
    rows: list[Row] = []
    for spool in cut_list(design):
        rows.append(_spool_heading(spool))
        rows.extend(_cut_row(spool, line) for line in spool.lines)
    return Sheet("Cut list", columns, tuple(rows), frozen_columns=3, spilling=frozenset({2}))


def _currents(wire: Wire) -> str:
    """Write what the wire carries in every mode that loads it, then its short spell: one line each."""
    lines = [f"{mode} {plain(current_a)}" for mode, current_a in wire.current_a.items() if current_a]
    if wire.short_s:
        lines.append(f"for {wire.short_s:g} s {plain(wire.short_a)}")
    return "\n".join(lines)


def _wire_row(wire: Wire, marks: Marks) -> Row:
    return Row(
        (
            wire.number,
            wire.circuit,
            point_text(wire.from_),
            point_text(wire.to),
            wire.size,
            wire.colour,
            cable_words(wire),
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
            marked(wire.assumed, marks.assumed),
        )
    )


def wires_sheet(design: Design, marks: Marks) -> Sheet:
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
        Column("Fuse", 14),
        Column("Size decided by", 11),
        Column("Kept", 6),
        Column("Along the runs", 30),
        Column("Assumed (see that sheet)", 12),
    )
    return Sheet("Wires", columns, tuple(_wire_row(wire, marks) for wire in design.wires))


def _count(number_of: int, what: str, every_m: float) -> str:
    return f"{number_of} x {what}, every {every_m:g} m at most" if number_of and what else ""


def _over(run: RunResult) -> str:
    """Write what goes round a run, and how heat-shrink over all of it is cut."""
    if run.stretch is None:
        return run.covering or "bare"
    lap = f", {run.stretch.lap_mm:g} mm lapped" if run.stretch.lap_mm else ""
    cut = f"{count_of(run.stretch.pieces, 'piece')} cut {run.stretch.cut_mm:g} mm{lap}"
    return f"{run.stretch.text}: {cut}; slide on before the terminals"


def _bends(run: RunResult) -> tuple[Value, Value]:
    """The least radius of the loom, and of its thickest wire where that leaves it, rounded up."""
    if run.bend is None:
        return None, ""
    wire, strip = (round_up(each, step=1.0) for each in (run.bend.wire_mm, run.bend.strip_mm))
    return round_up(run.bend.loom_mm, step=1.0), f"{run.bend.wire}: {wire:.0f}; {strip:.0f}"


def _linings(run: RunResult) -> str:
    """Write what lines the hole and covers edges: grommet, and edge trim with its cut length."""
    trims = [f"{trim.text}, {1000 * trim.length_m:.0f} mm {TRIMMED[trim.over]}" for trim in run.trims]
    return "; ".join(filter(None, [run.grommet, *trims]))


def _run_row(run: RunResult) -> Row:
    return Row(
        (
            run.name,
            run.length_m,
            feet_inches(run.length_m),
            run.zone,
            run.ambient_c,
            run.loom_c,
            run.loom_mode,
            run.bundle_mm,
            *_bends(run),
            _over(run),
            run.fill.share if run.fill else None,
            _count(run.ties, run.tie, run.spacing.ties_every_m if run.spacing else 0.0),
            _count(run.clamps, run.clamp, run.spacing.clamps_every_m if run.spacing else 0.0),
            run.hole_mm,
            run.plate_mm,
            _linings(run),
            yes(run.moves),
            TICK,
            ", ".join((*run.wires, *run.spares)),
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
        number("Hottest wire °C", "0", 8),
        Column("In mode", 10),
        number("Bundle mm", "0.0", 8),
        number("Least bend inside mm", "0", 8),
        Column("Its thickest wire mm; at a held strip", 10),
        Column("Covering", 24),
        number("Fill of its bore %", "0%", 7),
        Column("Ties", 22),
        Column("Clamps", 20),
        number("Hole mm", "General", 7),
        number("Plate mm", "General", 7),
        Column("Grommet, edge trim", 24),
        Column("Moves", 6),
        tick("Done"),
        Column("Wires in it", 34),
    )
    return Sheet("Runs", columns, tuple(map(_run_row, design.runs)))


def _landing_values(landing: Landing) -> tuple[Value, ...]:
    return (
        landing.number,
        landing.colour,
        landing.size,
        with_notes(landing.lug, landing.notes),
        point_text(landing.other),
        landing.circuit,
        "kept" if landing.kept else "",
        numbered(landing.threading),
        TICK,
    )


def _terminal_rows(part: HookPart, terminal: HookTerminal) -> list[Row]:
    notes = part.notes if terminal is part.terminals[0] else ""
    here = (
        part.name,
        with_notes(part.title, notes),
        part.place,
        terminal.name,
        f"{terminal.fitting} {terminal.size}".strip(),
    )
    if not terminal.landings:
        return [Row((*here, "nothing"))]
    return [Row((*here, *_landing_values(landing))) for landing in terminal.landings]


def hook_up_sheet(design: Design) -> Sheet:
    """Return what lands on every terminal, thickest wire first."""
    columns = (
        Column("Part", 18),
        Column("Kind", 14),
        Column("Place", 14),
        Column("Terminal", 8),
        Column("Fits (thread, or blade mm)", 12),
        Column("Wire", 8),
        Column("Colour", 8),
        Column("Size", 8),
        Column("Lug or terminal", 46),
        Column("Other end (place)", 34),
        Column("Circuit", 18),
        Column("Kept", 6),
        Column("In this order", 40),
        tick("Done"),
    )
    rows = [
        row
        for part in hook_up(design)
        for terminal in part.terminals
        for row in _terminal_rows(part, terminal)
    ]
    return Sheet("Hook-up by part", columns, tuple(rows))


def _sneak_words(sneak: Sneak) -> str:
    share = f"{sneak.share:.0%} of the volts at most"
    return f"back through {', '.join(sneak.through)}, out by {', '.join(sneak.out_by)} ({share})"


def _ground_row(cable: GroundCable) -> Row:
    return Row(
        (
            cable.wire,
            cable.start,
            cable.end,
            cable.mode,
            cable.current_a,
            cable.ampacity_a,
            f"{plain(cable.short_a)} for {cable.short_s:g} s" if cable.short_s else "",
            cable.drop_v,
            ", ".join(cable.loses) or "nothing",
            ", ".join(cable.other_way),
            "\n".join(map(_sneak_words, cable.sneaks)),
            TICK,
        )
    )


def _body_row(ground: Ground) -> Row:
    lift = "no way home" if ground.lift_v is None else f"{ground.lift_v:.2f} V in {ground.lift_mode}"
    turning = "" if ground.cranking_lift_v is None else f", cranking {ground.cranking_lift_v:.2f} V"
    return Row(
        (
            ground.body,
            None,
            f"{plain(ground.return_a)} A from its loads in {ground.mode or 'no mode'}; off the chassis post "
            f"{lift}{turning}; tied by {', '.join(ground.cables) or 'nothing'}",
        ),
        "heading",
    )


def grounds_sheet(design: Design) -> Sheet:
    """Return every body with what it sends home, then every strap with what its loss would do."""
    columns = (
        Column("Wire", 12),
        Column("From", 16),
        Column("Towards the chassis post", 16),
        Column("Worst mode", 10),
        number("Brings home A", most=8),
        number("May carry A", "0.0", 8),
        Column("Short spell A", 12),
        number("Drop V", "0.000", 7),
        Column("Lose their ground when it opens", 40),
        Column("Carried then by wire", 12),
        Column("Ways home through other loads", 30),
        tick("Seen"),
    )
    rows = [*map(_body_row, design.grounds), *map(_ground_row, design.ground_cables)]
    none = Row(("none", "nothing returns through metal"))
    return Sheet("Grounds", columns, tuple(rows) or (none,), spilling=frozenset({2}))
