"""Runs the design and makes the result files, with progress on a terminal."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from harness.cli.files import write_all
from harness.cli.sizable import sizable
from harness.making.outputs import BOOKS, DRAWINGS, OUTPUTS, OutputFailed, output, shared, warm_first
from harness.model.design import Design
from harness.model.machine import Machine
from harness.model.stock import Offcut

if TYPE_CHECKING:
    from harness.electric.optimum import TooFewKinds
    from harness.electric.wanted import Wanted
    from harness.making.second import Second


class CannotDraw(click.ClickException):
    """The layout engine failed."""

    exit_code = 3


@contextmanager
def _progress(quiet: bool, what: str) -> Iterator[None]:
    """A line on the terminal while something runs; nothing when piped or quiet."""
    from rich.console import Console

    console = Console(stderr=True)
    if quiet or not console.is_terminal:
        yield
        return
    with console.status(what):
        yield


@contextmanager
def _mute() -> Iterator[None]:
    """Keep what compiled libraries print by themselves off standard output, where it would spoil JSON."""
    sys.stdout.flush()
    kept = os.dup(1)
    try:
        with Path(os.devnull).open("wb") as nowhere:
            os.dup2(nowhere.fileno(), 1)
            yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)


def _too_few(error: TooFewKinds, wanted: Wanted | None) -> str:
    """What so few sizes or spools leave undone, and how many would do."""
    option, what = "--most-sizes", "sizes"
    if wanted is not None and wanted.most_spools is not None:
        option, what = "--most-spools", "spools"
    least = "more" if error.least is None else f"at least {error.least}"
    advice = "" if what == "sizes" else "; fewer colours need fewer spools ('colours: numbered')"
    return (
        f"{option}: with {error.most} {what} some load would starve or some wire not go onto its terminals;"
        f" it takes {least}{advice}"
    )


def design_of(machine: Machine, wanted: Wanted | None = None, *, quiet: bool) -> Design:
    """Design a machine; raises as ``designed_of``."""
    return designed_of(machine, wanted, quiet=quiet)[1]


def designed_there(
    machine: Machine, wanted: Wanted | None, offcuts: Sequence[Offcut], second: Second, *, quiet: bool
) -> Design | None:
    """The design by the second process; None where ``designed_of`` has to make it, or say why it cannot."""
    with _progress(quiet, "sizing wires"):
        return second.design(machine, wanted, offcuts, meanwhile=warm_first)


def designed_of(
    machine: Machine, wanted: Wanted | None = None, offcuts: Sequence[Offcut] = (), *, quiet: bool
) -> tuple[Machine, Design]:
    """Design a machine, which comes back with its wires cut at the couplers.

    Raises CannotDesign where its cable or sizes are not in the rule set.
    Raises click.UsageError where what is wanted of the sizes cannot be had.
    """
    from harness.electric.optimum import TooFewKinds
    from harness.electric.prices import NoPrice
    from harness.electric.wanted import BadStock, NothingLeft
    from harness.pipeline import designed

    try:
        with _progress(quiet, "sizing wires"), _mute(), sizable():
            return designed(machine, wanted, offcuts)
    except BadStock as error:
        raise click.UsageError(f"--stock: {error}") from None
    except NothingLeft as error:
        raise click.UsageError(f"--choices: {error}; take a line out of {machine.accepted.file}") from None
    except NoPrice as error:
        raise click.UsageError(f"--prices: {error}") from None
    except TooFewKinds as error:
        raise click.UsageError(_too_few(error, wanted)) from None


def default_out(survey: Path) -> Path:
    """exports/NAME, named for the survey file, or for its folder where the file is only called survey."""
    name = "survey" if str(survey) == "-" or not survey.stem.strip(".") else survey.stem  # never "exports/.."
    if name == "survey" and str(survey) != "-":
        # With links followed, or that of "../survey.yaml" were ".."; of a link in circles as far as it goes.
        name = Path(os.path.realpath(survey)).parent.name or name
    return Path("exports") / name


def build_files(
    design: Design, folder: Path, *, second: Second | None = None, leave_out: Sequence[str] = (), quiet: bool
) -> list[Path]:
    """Make every result file but those left out, then write them together; raises CannotDraw or CannotWrite.

    What is left out of an earlier build goes: beside the new files it would be of another machine.
    """
    names = [name for name in OUTPUTS if name not in leave_out]
    return write_all(folder, _made(design, names, None, second, quiet=quiet), gone=leave_out)


def book_files(
    design: Design, folder: Path, *, paper: str | None, second: Second | None = None, quiet: bool
) -> list[Path]:
    """Make the shop book alone, as a page and on paper, and write both; raises CannotDraw or CannotWrite."""
    files = _made(design, (*DRAWINGS, *BOOKS), paper, second, quiet=quiet)
    return write_all(folder, {name: files[name] for name in BOOKS})


def _made(
    design: Design, names: Sequence[str], paper: str | None, second: Second | None, *, quiet: bool
) -> dict[str, bytes]:
    """Make files, in the order of their names; what the second process was asked for is made there."""
    files: dict[str, bytes] = {}
    theirs = shared(names, design.machine.sizes, paper)
    if second is not None:
        second.ask(design, theirs, paper)
    # First what is made here and needs nothing of theirs; then the rest, drawings before the books.
    for name in sorted(names, key=lambda name: (name in theirs or name in BOOKS, list(OUTPUTS).index(name))):
        with _progress(quiet, f"making {name}"):
            done = second.take(name) if second is not None else None
            try:
                files[name] = output(name, design, files, paper) if done is None else done
            except OutputFailed as error:
                raise CannotDraw(str(error)) from None
    return {name: files[name] for name in names}
