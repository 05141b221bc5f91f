"""The first chapters: cautions, findings, the machine at a glance."""

from __future__ import annotations

from harness.book.shop.blocks import Block, Chapter, Facts, Findings, Found, Grid, Head, Line, Warning_, Words
from harness.book.text import by_severity, copper_words, money_words, picked_words, worst_drop_words
from harness.lists.tally import count_of
from harness.model.design import Design, ModeResult


def post_words(design: Design) -> str:
    """Say which battery post is on the chassis."""
    return f"{design.machine.voltage_v:g} V, {design.machine.chassis_post} post on the chassis"


def cautions(design: Design) -> Chapter:
    """Return the cautions; they stand before everything else."""
    return Chapter(
        "cautions",
        "Read this first",
        (
            Warning_(tuple(design.cautions), "Cautions", numbered=True),
            Words(
                "Cautions come again before the step they belong to. Figures marked assumed were not "
                "measured "
                "on this machine; every figure's source is in the last chapter."
            ),
        ),
    )


def findings(design: Design) -> Chapter:
    """Return what the design rules have to say, danger first."""
    found = tuple(
        Found(
            each.severity, each.subject, each.text, each.cure, f"{each.source} [{each.rule}]", each.where,
            f"finding:{each.rule}:{each.subject}",
        )
        for each in by_severity(design.findings)
    )  # fmt: skip
    counts = {name: sum(f.severity == name for f in found) for name in ("danger", "fault", "advice")}
    head = ", ".join(f"{count} {name}" for name, count in counts.items())
    words = Words(f"{head}. A danger can burn or crush; a fault will fail; advice may be right as it is.")
    return Chapter("findings", "Findings", (words, Findings(found)))


def _mode(mode: ModeResult) -> Line:
    charge = f"{mode.charge_a:.1f}" if mode.charge_a else ""
    return Line((mode.name, mode.engine, f"{mode.source_v:.2f}", f"{mode.load_a:.1f}", charge))


def machine(design: Design) -> Chapter:
    """Return the machine at a glance."""
    info, totals = design.machine, design.totals
    new_wire = f"{totals.wire_length_m:.1f} m in {count_of(totals.spools, 'spool')}"
    facts = [
        ("Machine", info.name),
        ("System", post_words(design)),
        ("Chassis lead", f"the {info.chassis_post.upper()} one: off first, on last"),
        ("Cable and sizes", f"{info.cable}, {info.sizes}"),
        ("Colours", info.colours),
        ("Wire numbers", info.numbering),
        ("Wires", f"{totals.wires}, of which {totals.kept_wires} are kept"),
        ("New wire", new_wire),
        ("Copper", copper_words(totals.copper_kg, totals.baseline_copper_kg, totals.baseline_unfit)),
        *([("Cost of new wire", money_words(totals))] if totals.wire_cost else []),
        ("Sizes picked", picked_words(totals)),
        ("Most volts lost", worst_drop_words(design)),
        ("Rules", info.rules_title),
        ("Survey", f"{info.file}, digest {info.digest}"),
        *([("Revision", info.revision)] if info.revision else []),
        *([("Settled for this machine", "; ".join(info.choices))] if info.choices else []),
        *([("Remark on spare wires", info.spare)] if info.spare else []),
        ("Made by", design.program),
    ]
    heads = (
        Head("Mode"), Head("Engine"), Head("Battery V", "number"), Head("Loads A", "number"),
        Head("Alternator can give A", "number"),
    )  # fmt: skip
    blocks: list[Block] = [Facts(tuple(facts)), Grid(heads, tuple(map(_mode, design.modes)), "Modes")]
    if info.notes:
        numbered = tuple((str(at), text) for at, text in enumerate(info.notes, start=1))
        blocks.insert(1, Facts(numbered, "Notes of the survey"))
    if design.looms:
        rows = tuple(
            Line((one.name, str(len(one.wires)), f"{one.weight_kg:.2f}", ", ".join(one.places)))
            for one in design.looms
        )
        columns = (Head("Loom"), Head("New wires", "number"), Head("Weighs kg", "number"), Head("Places"))
        blocks.append(Grid(columns, rows, "Looms"))
    return Chapter("machine", "The machine at a glance", tuple(blocks))
