"""The sheets for the counter and the meter: materials, loads, findings, assumptions and sources."""

from __future__ import annotations

from collections.abc import Mapping

from harness.book.marks import Marks, marked, of_part
from harness.book.sheet import TICK, Column, Look, Row, Sheet, metres_and_feet, number, tick
from harness.book.text import by_severity
from harness.digits import plain
from harness.lists.measure import M_PER_FOOT, round_up
from harness.model.design import Design, Finding, LoadResult, LoadVolts, Material, Severity
from harness.model.operating import OperatingLoad

_LOOKS: dict[Severity, Look] = {"danger": "danger", "fault": "fault", "advice": "line"}


def _material_row(line: Material, marks: Marks) -> Row:
    metres = line.unit == "m"
    feet = round_up(line.with_waste / M_PER_FOOT, step=1) if metres else None
    longest = metres_and_feet(line.longest_m) if line.longest_m is not None else ""
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
            marked([line.source], marks.sources),
        )
    )


def materials_sheet(design: Design, marks: Marks) -> Sheet:
    """Return what to buy, exact and with waste."""
    columns = (
        Column("Group", 11),
        Column("Item", 44),
        Column("Size", 14),
        Column("Colour", 8),
        number("Needed", "General", 9),
        number("Ask for (with waste, spares)", "General", 9),
        Column("Unit", 6),
        number("Ask for ft", "0", 8),
        Column("Longest piece m (ft in)", 18),
        tick("Got"),
        Column("Used on (wire, run, part)", 44),
        Column("Figures from (see Sources)", 8),
    )
    rows = tuple(_material_row(line, marks) for line in design.materials)
    return Sheet("Materials", columns, rows, frozen_columns=2)


def _within(seen: LoadVolts, allowed_v: float) -> bool:
    return seen.judged_v <= allowed_v


Settled = Mapping[tuple[str, str, str], OperatingLoad]  # mode, part, link -> what it settles at


def _settled(design: Design) -> Settled:
    return {(state.mode, load.part, load.link): load for state in design.operating for load in state.loads}


def _seen_row(load: LoadResult, seen: LoadVolts, marks: Marks, settled: Settled) -> Row:
    real = settled.get((seen.mode, load.part, load.link))
    within = _within(seen, load.allowance_v)
    spell = f" for {load.peak_s:g} s" if load.peak_s else ""
    return Row(
        (
            f"{load.part} {load.link}",
            load.circuit,
            load.place,
            seen.mode,
            seen.current_a,
            seen.source_v,
            seen.volts_v,
            seen.drop_v,
            seen.judged_v,
            load.allowance_v,
            "yes" if within else "NO",
            f"{plain(load.peak_a)}{spell}" if load.peak_a else "",
            load.peak_drop_v,
            load.peak_allowance_v,
            real.current_a if real else None,
            real.volts_v if real else None,
            real.alone_v if real else None,
            load.fuse,
            marked(of_part(load.part, load.assumed), marks.assumed),
            marked([load.allowance_source], marks.sources),
        ),
        "line" if within else "fault",
    )


def _idle_row(load: LoadResult) -> Row:
    return Row((f"{load.part} {load.link}", load.circuit, load.place, "no mode works it", load.steady_a))


def loads_sheet(design: Design, marks: Marks) -> Sheet:
    """Return the volts every load sees, one row for each mode that works it."""
    columns = (
        Column("Load", 20),
        Column("Circuit", 17),
        Column("Place", 14),
        Column("Mode", 11),
        number("Current A", most=8),
        number("Source V", most=8),
        number("At the load V", most=8),
        number("Lost V, all on", most=8),
        number("Lost V, judged", most=8),
        number("Allowed V", most=8),
        Column("Within", 7),
        Column("Peak A", 10),
        number("Lost at peak V", most=8),
        number("Allowed at peak V", most=8),
        number("Settles at A", most=8),
        number("Settles at V", most=8),
        number("Lamp by itself V", most=8),
        Column("Fuse", 14),
        Column("Assumed (see that sheet)", 12),
        Column("Allowance from (see Sources)", 10),
    )
    settled = _settled(design)
    rows = [_seen_row(load, seen, marks, settled) for load in design.loads for seen in load.modes]
    rows += [_idle_row(load) for load in design.loads if not load.modes]
    return Sheet("Loads", columns, tuple(rows))


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
        Column("Figures from", 34),
        Column("Rule", 16),
        Column("Where in the survey", 18),
    )
    rows = tuple(map(_finding_row, by_severity(design.findings)))
    return Sheet("Findings", columns, rows or (Row(("none", "", "the design rules found nothing")),))


def assumed_sheet(marks: Marks) -> Sheet:
    """Return what was filled in and not measured, with room to write down what is found."""
    columns = (
        Column("Mark", 7),
        Column("Assumed, not measured", 80),
        tick("Measured"),
        Column("Found", 40, least=40),
    )
    rows = tuple(Row((mark, text, TICK)) for text, mark in marks.assumed.items())
    return Sheet("Assumed", columns, rows or (Row(("none", "everything was in the survey")),))


def sources_sheet(marks: Marks) -> Sheet:
    """Return where figures come from, with how sure that is."""
    columns = (Column("Mark", 7), Column("Figures from (certainty)", 120))
    return Sheet("Sources", columns, tuple(Row((mark, text)) for text, mark in marks.sources.items()))
