"""Arguments and options that many commands share, and the way from them to a machine and its design."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from harness.cli.wanted import Options, wanted_of

if TYPE_CHECKING:
    from harness.making.second import Second
    from harness.model.design import Design
    from harness.model.machine import Machine

SURVEY = click.argument("survey", type=click.Path(path_type=Path, allow_dash=True))
RULES = click.option(
    "--rules", type=click.Choice(["sae", "iso"]), help="Size by this rule set instead of the survey's."
)
CATALOGUE = click.option(
    "--catalogue", type=click.Path(path_type=Path),
    help="Your own items, in place of those the survey names (`harness guide catalogue`).",
)  # fmt: skip
CHOICES = click.option(
    "--choices", type=click.Path(path_type=Path, dir_okay=False),
    help="What was accepted at the counter or is wired so [SURVEY-choices.yaml beside the survey].",
)  # fmt: skip
OFFCUTS = click.option(
    "--offcuts",
    type=click.Path(path_type=Path, allow_dash=True),
    help="Use first what lies on the shelf, by this CSV list (`harness guide counter`).",
)


def moment(words: str) -> date:
    """A day or a moment: 2026-11-26, or 2026-11-26 14:30."""
    text = words.strip()
    try:
        return date.fromisoformat(text) if len(text) == 10 else datetime.fromisoformat(text)
    except ValueError:
        raise click.BadParameter(
            f"{words!r} is no day; write it as 2026-11-26, or 2026-11-26 14:30"
        ) from None


def _hours(words: str) -> float:
    """What an hours meter shows: 4210.5."""
    try:
        return float(words.strip().removesuffix("h").strip())
    except ValueError:
        raise click.BadParameter(f"{words!r} is not what an hours meter shows; write it as 4210.5") from None


HOURS = click.option("--hours", type=_hours, metavar="HOURS", help="What the hours meter shows.")
WHEN = click.option("--when", type=moment, metavar="DAY", help="The day or moment it is about [now].")
JSON = click.option("--json", "as_json", is_flag=True, help="Print JSON for programs.")
Decorator = Callable[[Callable[..., Any]], Callable[..., Any]]


def out_folder(what: str) -> Decorator:
    """The option for the folder that files are written into; ``what``: its help, with what holds without."""
    return click.option("-o", "--out", type=click.Path(path_type=Path, file_okay=False), help=what)


def out_file(what: str) -> Decorator:
    """The option for the one file that is written; ``what``: its help, with what holds without."""
    return click.option("-o", "--out", type=click.Path(path_type=Path, dir_okay=False), help=what)


def machine_from(
    survey: Path, rules: str | None, as_json: bool, catalogue: Path | None = None,
    choices: Path | None = None,
) -> Machine:  # fmt: skip
    """The machine of a survey; a wrong one ends the program with its mistakes and exit code 2."""
    from harness.cli.read import machine_of

    return machine_of(survey, rules=rules, catalogue=catalogue, choices=choices, as_json=as_json)


def stocked(
    survey: Path,
    rules: str | None,
    catalogue: Path | None,
    offcuts: Path | None,
    picking: Options,
    *,
    choices: Path | None = None,
    second: Second | None = None,
    as_json: bool,
) -> Design:
    """The design of a survey with what lies on the shelf used first."""
    if str(survey) == str(offcuts) == "-":
        raise click.UsageError("only one of survey and offcuts can come from standard input")
    machine = machine_from(survey, rules, as_json, catalogue, choices)
    return with_offcuts(machine, offcuts, picking, second=second, as_json=as_json)


def with_offcuts(
    machine: Machine, offcuts: Path | None, picking: Options, *, second: Second | None = None, as_json: bool
) -> Design:
    """The design of a machine with what lies on the shelf used first."""
    from harness.cli.build import designed_of, designed_there
    from harness.cli.read import offcuts_of
    from harness.tables import extended

    with extended(machine.catalogue.rows):
        shelf = offcuts_of(offcuts, as_json=as_json) if offcuts is not None else ()
    wanted = wanted_of(**picking, as_json=as_json)
    made = designed_there(machine, wanted, shelf, second, quiet=as_json) if second is not None else None
    return made or designed_of(machine, wanted, shelf, quiet=as_json)[1]


def designed(machine: Machine, picking: Options, *, quiet: bool) -> Design:
    """The design of a machine under the sizing options of a command."""
    from harness.cli.build import design_of

    return design_of(machine, wanted_of(**picking, as_json=quiet), quiet=quiet)


def exit_code(design: Design) -> int:
    """1 where the design holds a danger, else 0."""
    return 1 if any(finding.severity == "danger" for finding in design.findings) else 0
