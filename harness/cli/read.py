"""Reads a survey from a file or standard input and turns its mistakes into messages and exit code 2."""

from __future__ import annotations

import sys
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import click

from harness.disk.words import unread
from harness.disk.writing import MARKER, of_two_versions
from harness.model.accepted import Accepted
from harness.model.catalogue import Catalogue
from harness.model.limits import LIMITS, size
from harness.model.machine import Machine
from harness.model.problem import Problem, SurveyWrong, Where
from harness.signs import file_shown, json_text, shown

if TYPE_CHECKING:
    from harness.electric.prices import Prices
    from harness.model.pricing import PriceList
    from harness.model.stock import Offcut

T = TypeVar("T")
MOST_BYTES = LIMITS["small list bytes"].most


class CannotRead(click.ClickException):
    """A file that is not there or may not be read."""

    exit_code = 3


class TooLarge(click.ClickException):
    """A file that is larger than anything of its sort."""

    exit_code = 2


def _bytes(survey: Path) -> tuple[str, bytes]:
    from harness.survey.reader import largest

    # one byte more than is allowed: the reader itself says what is wrong then
    return _beginning(survey, largest(str(survey)) + 1)


def content_of(survey: Path, most: int) -> tuple[str, bytes]:
    """A file's name for messages, and what it holds. Raises CannotRead, or TooLarge beyond ``most`` bytes."""
    too_large = TooLarge(f"{survey}: is larger than {size(most)}; check that this is the right file")
    if survey.is_file() and survey.stat().st_size > most:
        raise too_large
    name, content = _beginning(survey, most + 1)
    if len(content) > most:
        raise too_large
    return name, content


def design_content(path: Path, most: int, *, to_buy: bool = False) -> tuple[str, bytes]:
    """The content of a design.json, as ``content_of``; says so where a build was stopped among its files.

    ``to_buy``: what is read goes to a supplier, and wrong goods cost more than a build: raises CannotRead.
    """
    found = content_of(path, most)
    if not of_two_versions(path):  # looked at after reading: a build that ends meanwhile is whole
        return found
    what = (
        f"{path}: a build was stopped here, so this may be another version than the drawings beside it, "
        f"as {MARKER} says"
    )
    fix = f"make all of them anew with harness build and --out {path.parent}"
    if to_buy:
        raise CannotRead(f"{what}; nothing is quoted by it: {fix}, then ask again")
    click.echo(shown(f"note: {what}; {fix}"), err=True)
    return found


def _beginning(survey: Path, many: int) -> tuple[str, bytes]:
    """A file's name for messages, and so many bytes of it at most."""
    try:
        if str(survey) == "-":
            return "standard input", sys.stdin.buffer.read(many)
        with survey.open("rb") as stream:
            return str(survey), stream.read(many)
    except FileNotFoundError:
        raise CannotRead(f"{survey}: there is no such file; check the name and the folder") from None
    except IsADirectoryError:
        raise CannotRead(f"{survey}: is a folder; name the file in it") from None
    except OSError as error:
        raise CannotRead(f"{survey}: cannot be read: {unread(error)}") from None


def _at(problem: Problem, path: str) -> Problem:
    """The problem with the path as it was typed, so that an editor can jump to it.

    What is no mistake of the survey is one of the catalogue that lies beside it.
    """
    if problem.where.file != Path(path).name:
        path = str(Path(path).parent / problem.where.file)
    return replace(problem, where=replace(problem.where, file=path))


def problem_words(problem: Problem) -> str:
    """A problem for people, with nothing in it that steers a terminal; its file's name stays on one line."""
    where = replace(problem.where, file=file_shown(problem.where.file))
    return shown(str(replace(problem, where=where)))


def tell(problems: list[Problem], *, as_json: bool) -> None:
    """Print problems, all of them, for people or for programs."""
    if as_json:
        rows = [
            {
                "file": one.where.file, "line": one.where.line, "column": one.where.column,
                "cell": one.where.cell,
                "what": one.what, "fix": one.fix,
            }
            for one in problems
        ]  # fmt: skip
        click.echo(json_text({"problems": rows}))
        return
    for problem in problems:
        click.echo(problem_words(problem), err=True)
    count = len(problems)
    click.echo(f"{count} problem{'s' if count != 1 else ''}; nothing was written.", err=True)


def survey_bytes(survey: Path) -> tuple[str, bytes]:
    """The path as it is told, and the content of a survey; raises CannotRead."""
    return _bytes(survey)


@contextmanager
def ending(*, as_json: bool) -> Iterator[None]:
    """What is found wrong in a file inside of it is printed, all of it, and the program ends with code 2."""
    try:
        yield
    except SurveyWrong as wrong:
        tell(wrong.problems, as_json=as_json)
        raise SystemExit(2) from None


def tell_survey(problems: list[Problem], path: str) -> None:
    """Print what is wrong with the survey at ``path``."""
    tell([_at(problem, path) for problem in problems], as_json=False)


def machine_of(
    survey: Path, *, rules: str | None = None, catalogue: Path | None = None,
    choices: Path | Accepted | None = None, lists: Sequence[PriceList] | None = None, as_json: bool = False,
    held: tuple[str, bytes] | None = None,
) -> Machine:  # fmt: skip
    """The checked machine of a survey; prints every problem and exits 2 when there are any.

    ``catalogue``: a file of the user's own items, in place of the one the survey names.
    ``choices``: a file of substitutions, in place of the one that lies beside the survey.
    ``lists``: price lists that its part numbers must be in.
    ``held``: the survey as ``survey_bytes`` read it, where what it holds is kept beside what it gives.
    """
    machine = tried(survey, rules=rules, catalogue=catalogue, choices=choices, lists=lists, held=held)
    if isinstance(machine, list):
        tell(machine, as_json=as_json)
        raise SystemExit(2)
    return machine


def tried(
    survey: Path, *, rules: str | None = None, catalogue: Path | None = None,
    choices: Path | Accepted | None = None, lists: Sequence[PriceList] | None = None,
    held: tuple[str, bytes] | None = None,
) -> Machine | list[Problem]:  # fmt: skip
    """The checked machine of a survey, or every problem in it; raises CannotRead."""
    from harness.survey import read

    path, content = held or _bytes(survey)
    own, problems = _catalogue(catalogue)
    folder = None if str(survey) == "-" else survey.parent
    try:
        # The file's name without its folders: results must not depend on where the survey lies.
        machine = read(Path(path).name, text=content, folder=folder, catalogue=own)
    except SurveyWrong as wrong:
        problems = [_at(problem, path) for problem in wrong.problems] + problems
    if problems:
        return problems
    known = rules in (None, machine.rules)  # else sizes are called otherwise
    if rules is not None:
        machine = replace(machine, rules=rules, sizes="AWG" if rules == "sae" else "mm2")
    found = choices_of(survey, choices, sizes_of(machine) if known else None, lists)
    return found if isinstance(found, list) else replace(machine, accepted=found)


def sizes_of(machine: Machine) -> tuple[str, ...] | None:
    """Every size of a machine's cable, as "GXL 12 AWG"; None where no rule set has it."""
    from harness.electric.ruleset import UnknownRules, sizes_of_cables

    try:
        return sizes_of_cables(machine)
    except UnknownRules:
        return None


def choices_beside(machine: Path) -> Path | None:
    """Where the substitutions for a machine are kept when nobody says; None for standard input."""
    return None if str(machine) == "-" else machine.with_name(f"{machine.stem}-choices.yaml")


def choices_of(
    survey: Path, choices: Path | Accepted | None, sizes: Collection[str] | None,
    lists: Sequence[PriceList] | None,
) -> Accepted | list[Problem]:  # fmt: skip
    """What was accepted at the counter for a survey or design, nothing without a file; or what is wrong.

    ``sizes``: that may be named, None where that is not known. Raises CannotRead.
    """
    if isinstance(choices, Accepted):
        return choices
    path = choices or choices_beside(survey)
    if path is None or (choices is None and not path.is_file()):
        return Accepted()
    from harness.counter.choices import read_choices

    name, content = content_of(path, MOST_BYTES)
    try:
        found = read_choices(content.decode("utf-8-sig"), name, lists, sizes)
    except UnicodeDecodeError:
        return [Problem(Where(name), "is not UTF-8 text", "save it in UTF-8")]
    except SurveyWrong as wrong:
        return wrong.problems
    return replace(found, file=path.name)


def _catalogue(path: Path | None) -> tuple[Catalogue | None, list[Problem]]:
    """The user's own catalogue, or what is wrong with it."""
    from harness.survey import read_catalogue

    if path is None:
        return None, []
    name, content = _bytes(path)
    try:
        return read_catalogue(content, Path(name).name), []
    except SurveyWrong as wrong:
        return Catalogue(), [_at(problem, name) for problem in wrong.problems]


def catalogue_of(path: Path | None, *, as_json: bool = False) -> Catalogue:
    """The catalogue in a file, empty without one; prints what is wrong in it and exits 2."""
    found, problems = _catalogue(path)
    if problems:
        tell(problems, as_json=as_json)
        raise SystemExit(2)
    return found or Catalogue()


def prices_of(path: Path, *, as_json: bool = False) -> Prices:
    """The price list in a file; prints every problem in it and exits 2 when there are any."""
    from harness.counter.cable_prices import cable_prices
    from harness.counter.grid import MOST_BYTES as MOST_OF_LIST

    name, content = content_of(path, MOST_OF_LIST)
    with ending(as_json=as_json):
        return cable_prices(content, name)


def offcuts_of(path: Path, *, as_json: bool = False) -> tuple[Offcut, ...]:
    """The offcuts listed in a file; prints every problem in it and exits 2 when there are any."""
    from harness.cli.shelf import known
    from harness.survey.offcuts import read_offcuts

    def read(text: str, name: str) -> tuple[Offcut, ...]:
        return read_offcuts(text, name, known())

    return text_of(path, read, as_json=as_json)


def text_of(path: Path, read: Callable[[str, str], T], *, as_json: bool) -> T:
    """What a text file says, by its text and its name; prints every mistake in it and exits 2."""
    name, content = content_of(path, MOST_BYTES)
    with ending(as_json=as_json):
        try:
            words = content.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            line = content[: error.start].count(b"\n") + 1
            problem = Problem(Where(name, line, 1), "is not UTF-8 text", "save it in UTF-8")
            raise SurveyWrong([problem]) from None
        return read(words, name)
