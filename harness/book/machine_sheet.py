"""The first sheet of the workbook: which machine, by which rules, what it comes to, and what to beware of."""

from __future__ import annotations

from harness.book.marks import marks_of
from harness.book.sheet import Column, Row, Sheet, Value
from harness.book.text import (
    buying_words,
    copper_words,
    money_words,
    picked_words,
    spare_wire_words,
    worst_drop_words,
)
from harness.lists.tally import count_of
from harness.model.design import Design, ModeResult


def _section(title: str, pairs: list[tuple[str, Value]]) -> list[Row]:
    return [Row((title,), "heading"), *(Row(pair) for pair in pairs)] if pairs else []


def _numbered(title: str, texts: list[str]) -> list[Row]:
    return _section(title, [(str(at), text) for at, text in enumerate(texts, start=1)])


def _machine(design: Design) -> list[Row]:
    machine = design.machine
    pairs: list[tuple[str, Value]] = [
        ("Name", machine.name),
        ("System voltage", f"{machine.voltage_v:g} V"),
        ("Battery post on the chassis", machine.chassis_post),
        ("Cable", machine.cable),
        ("Sizes", machine.sizes),
        ("Colours", machine.colours),
        ("Wire numbers", machine.numbering),
        ("Survey", machine.file),
        ("Digest of the survey", machine.digest),
        *([("Revision", machine.revision)] if machine.revision else []),
        *([("Your own catalogue", machine.catalogue)] if machine.catalogue else []),
        ("Made by", design.program),
    ]
    return _section("Machine", pairs)


def _totals(design: Design) -> list[Row]:
    totals = design.totals
    count = {name: sum(f.severity == name for f in design.findings) for name in ("danger", "fault", "advice")}
    pairs: list[tuple[str, Value]] = [
        ("Wires", f"{totals.wires}, of which {totals.kept_wires} kept"),
        ("New wire", f"{totals.wire_length_m:.1f} m"),
        *([("Spare wires", spare_wire_words(design.spares))] if design.spares else []),
        *([("Remark on spare wires", design.machine.spare)] if design.machine.spare else []),
        (
            "Copper in new wire",
            copper_words(totals.copper_kg, totals.baseline_copper_kg, totals.baseline_unfit),
        ),
        *([("Cost of new wire", money_words(totals))] if totals.wire_cost else []),
        *[("New wire bought", buying_words(one)) for one in design.buying_totals[:1]],
        ("Sizes picked", picked_words(totals)),
        ("Worst voltage drop", worst_drop_words(design)),
        (
            "Assumed",
            f"{count_of(len(marks_of(design).assumed), 'figure')}, see sheet Assumed",
        ),
        ("Findings", f"{count['danger']} DANGER, {count['fault']} fault, {count['advice']} advice"),
    ]
    return _section("Totals", pairs)


def _mode(mode: ModeResult) -> tuple[str, Value]:
    charge = f", alternator can give {mode.charge_a:.1f} A" if mode.charge_a else ""
    return (
        mode.name,
        f"engine {mode.engine}: {mode.source_v:.2f} V at the battery, draws {mode.load_a:.1f} A{charge}",
    )


def machine_sheet(design: Design) -> Sheet:
    """Return the first sheet; cautions stand before everything that is only for information."""
    machine = design.machine
    rows = [
        *_machine(design),
        *_numbered("Cautions", design.cautions),
        *_totals(design),
        *_numbered("Settled for this machine", machine.choices),
        *_numbered("Notes of the survey", machine.notes),
        *_section("Modes", [_mode(mode) for mode in design.modes]),
        *_section("Rules", [("Rule set", machine.rules_title)]),
        *_numbered("Sources of the rules", machine.rules_sources),
    ]
    columns = (Column("About", 28), Column("What the design says", 82))
    return Sheet("Machine", columns, tuple(rows), filters=False, landscape=False, spilling=frozenset({0}))
