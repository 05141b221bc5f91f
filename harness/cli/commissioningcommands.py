"""The commands of the first day with power and of every meter after it: `tests` and `reading`."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from harness.cli.options import CATALOGUE, HOURS, JSON, RULES, SURVEY, WHEN, machine_from

RECORD = click.option(
    "--record", type=click.Path(path_type=Path, file_okay=False), help="The record's folder [NAME-record]."
)
STEPS = ("prepare", "dead", "polarity", "lamp", "fuse", "crank", "running", "warmth", "after")


@click.command()
@SURVEY
@click.option("--step", type=click.Choice(STEPS), help="This step of first power alone.")
@click.option("--mode", help="Only what is measured in this mode, as the survey names it.")
@RULES
@CATALOGUE
@JSON
def tests(
    survey: Path, step: str | None, mode: str | None, rules: str | None, catalogue: Path | None, as_json: bool
) -> None:
    """Print the order in which SURVEY's machine is given power, and what to measure at each step.

    Dead tests before the battery, the first touch through a lamp, fuse by fuse with the current and volts to
    expect in each mode, cranking, charging, every joint of the heavy cables, what to feel for heat, what to
    tighten after ten hours. Bands come from the machine itself: `harness guide commissioning`.
    """
    from harness.cli.commissioning import tests_json, tests_text

    machine = machine_from(survey, rules, as_json, catalogue)
    click.echo(tests_json(machine, step, mode) if as_json else tests_text(machine, step, mode))


@click.group()
def reading() -> None:
    """Readings of a meter: judged at once, kept in the record, compared with the first ones."""


@reading.command(context_settings={"ignore_unknown_options": True})  # a value may begin with a minus
@SURVEY
@click.argument("test")
@click.argument("value")
@click.option("--by", default="", help="Who measured.")
@HOURS
@WHEN
@click.option("--no-record", is_flag=True, help="Judge it, and keep nothing.")
@RECORD
@CATALOGUE
@JSON
def add(
    survey: Path, test: str, value: str, by: str, hours: float | None, when: date | None, no_record: bool,
    record: Path | None, catalogue: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Judge one reading on SURVEY's machine and keep it.

    TEST is its key, or words that fit no other test; VALUE is what the meter shows: '12.1 V', '300 mV'.
    """
    from harness.cli.commissioning import Keeping, reading_added

    machine = machine_from(survey, None, as_json, catalogue)
    keeping = None if no_record else Keeping.of(survey, record, by=by, hours=hours, when=when)
    text, good = reading_added(machine, test, value, keeping, as_json=as_json, survey=str(survey))
    click.echo(text)
    raise SystemExit(0 if good else 1)


@reading.command("import")
@SURVEY
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--by", default="", help="Who measured.")
@HOURS
@RECORD
@CATALOGUE
@JSON
def import_(
    survey: Path, file: Path, by: str, hours: float | None, record: Path | None, catalogue: Path | None,
    as_json: bool,
) -> None:  # fmt: skip
    """Keep all readings typed into FILE: saved from the shop book's page, or the workbook's sheet Tests.

    What is kept already with the same figure is left out.
    """
    from harness.cli.commissioning import Keeping, readings_imported

    machine = machine_from(survey, None, as_json, catalogue)
    text, good = readings_imported(
        machine, file, Keeping.of(survey, record, by=by, hours=hours), as_json=as_json, survey=str(survey)
    )
    click.echo(text)
    raise SystemExit(0 if good else 1)


@reading.command()
@SURVEY
@click.option("--all", "every", is_flag=True, help="Tests without a reading too.")
@RECORD
@CATALOGUE
@JSON
def show(survey: Path, every: bool, record: Path | None, catalogue: Path | None, as_json: bool) -> None:
    """Print the readings kept of SURVEY's machine: band, first and latest, and how far it has moved."""
    from harness.cli.commissioning import Keeping, readings_shown

    machine = machine_from(survey, None, as_json, catalogue)
    click.echo(readings_shown(machine, Keeping.of(survey, record), every=every, as_json=as_json))
