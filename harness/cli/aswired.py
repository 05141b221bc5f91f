"""The command that keeps the sizes of a design as those that are in the machine now."""

from __future__ import annotations

from pathlib import Path

import click

from harness.cli.options import CHOICES, SURVEY
from harness.signs import file_shown


@click.command("as-wired")
@SURVEY
@CHOICES
def as_wired(survey: Path, choices: Path | None) -> None:
    """Keep the sizes of SURVEY's wires as those that are in the machine now.

    They go into the file of choices beside the survey. From then on a design leaves every wire as it is that
    still will do, so that a change of the machine tells only what has to be torn out. Say it once the machine
    is wired, and again once a change is made. A wire fitted in another size is corrected in the file.
    """
    from dataclasses import replace

    from harness.cli.build import designed_of
    from harness.cli.files import file_behind, write_file
    from harness.cli.read import choices_beside, machine_of
    from harness.cli.yard import text_with
    from harness.electric.aswired import wire_name
    from harness.model.accepted import ARROW

    path = choices or choices_beside(survey)
    if path is None:
        raise click.UsageError("a survey from standard input needs --choices FILE to keep them in")
    file_behind(path)
    machine = machine_of(survey, choices=choices if choices is not None and choices.exists() else None)
    cut, design = designed_of(machine, quiet=False)
    sizes = {
        wire_name(spec.a, spec.b): f"{wire.cable} {wire.size}"
        for spec, wire in zip(cut.wires, design.wires, strict=True)
        if not wire.kept
    }
    before = machine.accepted.wired
    write_file(path, text_with(path, replace(machine.accepted, wired=sizes)).encode())
    turned = {wire_name(b, a): size for name, size in before.items() for a, _, b in [name.partition(ARROW)]}
    other = sum({**turned, **before}.get(name) != size for name, size in sizes.items()) if before else 0
    told = f", {other} otherwise than before" if before else ""
    click.echo(f"wrote {file_shown(str(path))}: {len(sizes)} wires as wired{told}")
