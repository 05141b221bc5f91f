"""Adds kits to a survey that is there; what is wrong with either is told, and then nothing is written."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import click

from harness.cli.files import write_file
from harness.cli.kits import kit_named, kits_of
from harness.cli.read import CannotRead, ending, survey_bytes
from harness.cli.start import CannotStart
from harness.kits.adding import added
from harness.kits.plan import CannotPlan
from harness.model.machine import Machine
from harness.signs import file_shown
from harness.survey import read
from harness.survey.reader import letters


def _places(said: Iterable[str]) -> dict[str, str]:
    found = {}
    for text in said:
        place, sign, there = text.partition("=")
        if not sign or not there.strip():
            raise click.UsageError(
                f"--at {text!r}: write the kit's place and yours, as --at 'front left=nose'"
            )
        found[place.strip()] = there.strip()
    return found


def _checked(survey: Path, text: str) -> Machine:
    with ending(as_json=False):
        return read(survey.name, text=text, folder=survey.parent)


def _first_of(part: str, machine: Machine) -> str:
    """The part of the machine that a new one is called after, as horn for horn 2, or nothing."""
    name, _, number = part.rpartition(" ")
    return name if number.isdigit() and name in machine.parts else ""


def add_kits(survey: Path, names: Iterable[str], places: Iterable[str], own: Iterable[Path]) -> str:
    """Add each kit, NAME or NAME=VARIANT, and write the survey anew; what was done, in words.

    Raises CannotRead, CannotStart.
    """
    kits, where = kits_of(own, survey.parent), _places(places)
    book = survey.with_suffix(".xlsx")
    if not survey.exists() and book.exists():
        raise CannotRead(
            f"{book}: a kit is added to the text form: harness convert {book} {survey}, add it there, and "
            "convert it back if you like"
        )
    if not survey.exists():
        raise CannotRead(f"{survey}: is not there yet; leave --add out to start it")
    with ending(as_json=False):
        text = letters(survey_bytes(survey)[1], survey.name)
    told = []
    for word in names:
        name, _, variant = word.partition("=")
        kit = kit_named(name.strip(), kits)
        machine = _checked(survey, text)
        try:
            text = added(text, survey.name, machine, kit, variant.strip(), where)
        except CannotPlan as error:
            raise CannotStart(f"{kit.name}: {error}") from None
        after = _checked(survey, text)
        more = [part for part in after.parts if part not in machine.parts]
        told.append(
            f"added {kit.name} to {file_shown(str(survey))}: {', '.join(more)}; its figures are assumed, "
            "and marked ?."
        )
        twins = [f"{part} beside {first}" for part in more if (first := _first_of(part, machine))]
        if twins:
            told.append(
                f"look at this: {kit.name} was there already, now it is there twice: {', '.join(twins)}. "
                "If you did not want that, take the new lines out again."
            )
    write_file(survey, text.encode())
    return "\n".join(told)
