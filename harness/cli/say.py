"""Words and JSON for what the commands found."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from harness.model.design import Design
from harness.model.machine import Machine
from harness.signs import file_shown, json_text


def _console() -> Any:
    from rich.console import Console

    return Console(highlight=False)


def _counts(machine: Machine) -> dict[str, int]:
    return {
        "circuits": len(machine.circuits),
        "wires": len(machine.wires),
        "parts": len(machine.parts),
        "places": len(machine.place_zones),
        "runs": len(machine.runs),
        "assumed": len(machine.assumed) + sum(len(part.assumed) for part in machine.parts.values()),
    }


def _assumed(machine: Machine) -> list[str]:
    parts = [f"{part.name}: {text}" for part in machine.parts.values() for text in part.assumed]
    zones = [f"zone {zone.name}: {zone.ambient_c:g} °C" for zone in machine.zones.values() if zone.assumed]
    return [*machine.assumed, *zones, *parts]


def checked_text(machine: Machine) -> str:
    """What a sound survey holds, and what in it is assumed."""
    from harness.book.text import one_line

    counts = ", ".join(f"{count} {what}" for what, count in _counts(machine).items() if what != "assumed")
    lines = [f"{one_line(machine.file)}: no mistakes found: {counts}."]
    own = machine.catalogue
    if own.file:
        lines.append(f"{one_line(own.file)}: {len(own.own)} items of your own, {len(own.gone)} not stocked.")
    assumed = _assumed(machine)
    if assumed:
        lines.append(f"{len(assumed)} figures are assumed until the survey states them:")
        lines += [f"  {one_line(text)}" for text in assumed]
    return "\n".join(lines)


def checked_json(machine: Machine) -> str:
    """The same for a program."""
    own = machine.catalogue
    items = [{"kind": item.kind, "item": item.words, "source": item.source} for item in own.own]
    stocked = (
        {"catalogue": {"file": own.file, "own": items, "not_stocked": list(own.gone)}} if own.file else {}
    )
    assumed = _assumed(machine)
    found = {"problems": [], "machine": machine.name, **_counts(machine), "assumed": assumed, **stocked}
    return json_text(found)


def print_built(design: Design, written: list[Path]) -> None:
    """Totals, findings and where the files are."""
    from harness.book.summary import print_summary

    console = _console()
    print_summary(design, console)
    for path in written:
        click.echo(f"wrote {file_shown(str(path))}")


def built_json(design: Design, written: list[Path]) -> str:
    """Totals, findings and files for a program."""
    from harness.book.data import design_dict

    data = design_dict(design)
    return json_text(
        {
            "totals": data["totals"],
            "buying_totals": data["buying_totals"],
            "findings": data["findings"],
            "files": [str(path) for path in written],
        }
    )


def print_wires(design: Design) -> None:
    """The wire table."""
    from harness.book.summary import wire_table

    _console().print(wire_table(design))


def wires_json(design: Design) -> str:
    """The wires for a program."""
    from harness.book.data import design_dict

    return json_text({"wires": design_dict(design)["wires"]})


def schema_json(which: str) -> str:
    """The JSON Schema of the design or the survey."""
    if which == "design":
        from harness.book.schema import design_schema

        return json_text(design_schema())
    from harness.survey.schema import survey_schema

    return json_text(survey_schema())


def rules_text() -> str:
    """The register of rules, one paragraph each."""
    from harness.rules import register

    return "\n".join(
        f"{name} ({severity})\n    {summary}\n    cure: {cure}\n    source: {source}"
        for name, severity, summary, source, cure in register()
    )


def rules_json() -> str:
    """The register for a program."""
    from harness.rules import register

    keys = ("name", "severity", "summary", "source", "cure")
    return json_text({"rules": [dict(zip(keys, row, strict=True)) for row in register()]})
