"""The command that tells what differs between two surveys or designs, and draws it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from harness.cli.options import JSON

if TYPE_CHECKING:
    from harness.model.design import Design


def design_from(path: Path, *, as_json: bool) -> Design:
    """The design of a survey, or the one in a design.json; ends the program as both do where it is wrong."""
    from harness.cli.build import design_of
    from harness.cli.read import content_of, machine_of, tell
    from harness.comparing.stored import MOST_BYTES, design_of_json
    from harness.model.problem import SurveyWrong

    if path.suffix.lower() != ".json":
        return design_of(machine_of(path, as_json=as_json), quiet=as_json)
    name, content = content_of(path, MOST_BYTES)
    try:
        return design_of_json(content, name)
    except SurveyWrong as wrong:
        tell(wrong.problems, as_json=as_json)
        raise SystemExit(2) from None


@click.command()
@click.argument("old", type=click.Path(path_type=Path, allow_dash=True))
@click.argument("new", type=click.Path(path_type=Path, allow_dash=True))
@JSON
@click.option("--exit-code", "tell_code", is_flag=True, help="Exit with 1 where they differ.")
def compare(old: Path, new: Path, as_json: bool, tell_code: bool) -> None:
    """Tell what differs between OLD and NEW: surveys, or design.json files of earlier builds.

    Wires are told apart by what they join, not by their numbers. Where nothing differs nothing is printed.
    """
    from harness.book.data import plain
    from harness.book.text import one_line
    from harness.comparing.differences import compare as compared
    from harness.comparing.words import data, lines

    if str(old) == str(new) == "-":
        raise click.UsageError("only one of OLD and NEW can come from standard input")
    found = compared(design_from(old, as_json=as_json), design_from(new, as_json=as_json))
    if as_json:
        click.echo(json.dumps(plain(data(found)), ensure_ascii=False, indent=2))
    else:
        for line in lines(found):
            click.echo(line[: len(line) - len(line.lstrip())] + one_line(line.lstrip()))
    raise SystemExit(1 if tell_code and not found.same else 0)
