"""Runs the design and makes the result files, with progress on a terminal."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from harness.cli.files import write_all
from harness.model.design import Design
from harness.model.machine import Machine
from harness.model.stock import Offcut

if TYPE_CHECKING:
    from harness.electric.optimum import TooFewKinds
    from harness.electric.wanted import Wanted


class CannotDesign(click.ClickException):
    """The survey is sound but the machine cannot be designed by these rules."""

    exit_code = 2


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


def designed_of(
    machine: Machine, wanted: Wanted | None = None, offcuts: Sequence[Offcut] = (), *, quiet: bool
) -> tuple[Machine, Design]:
    """Design a machine, which comes back with its wires cut at the couplers.

    Raises CannotDesign where its cable or sizes are not in the rule set.
    Raises click.UsageError where what is wanted of the sizes cannot be had.
    """
    from harness.electric.optimum import TooFewKinds
    from harness.electric.prices import NoPrice
    from harness.electric.ruleset import UnknownRules, UnknownSize
    from harness.electric.wanted import BadStock
    from harness.pipeline import designed

    try:
        with _progress(quiet, "sizing wires"), _mute():
            return designed(machine, wanted, offcuts)
    except BadStock as error:
        raise click.UsageError(f"--stock: {error}") from None
    except NoPrice as error:
        raise click.UsageError(f"--prices: {error}") from None
    except TooFewKinds as error:
        raise click.UsageError(_too_few(error, wanted)) from None
    except UnknownRules as error:
        raise CannotDesign(str(error)) from None
    except UnknownSize as error:
        raise CannotDesign(f"no rule knows the size {error}; try '14 AWG' or '2.5 mm2'") from None


def default_out(survey: Path) -> Path:
    """exports/NAME, named for the survey file."""
    name = "survey" if str(survey) == "-" else survey.stem
    return Path("exports") / name


def _makers() -> dict[str, Callable[[Design], bytes]]:
    """Every result file and what makes it; a new output is one new line here."""
    from harness.book.data import design_json
    from harness.book.workbook import workbook_bytes
    from harness.drawing.fuse_plots import fuse_plots_svg
    from harness.drawing.loom import loom_svg
    from harness.drawing.tracks import sheets

    return {
        "circuit-sheets.svg": lambda design: sheets.circuits_svg(design).encode(),
        "tracks.svg": lambda design: sheets.tracks_svg(design).encode(),
        "loom.svg": lambda design: loom_svg(design).encode(),
        "fuses.svg": lambda design: fuse_plots_svg(design).encode(),
        "harness.xlsx": workbook_bytes,
        "design.json": lambda design: design_json(design).encode(),
    }


def build_files(design: Design, folder: Path, *, quiet: bool) -> list[Path]:
    """Make every result file, then write them together; raises CannotDraw or CannotWrite."""
    from harness.drawing.engine import EngineFailed

    files = {}
    for name, make in _makers().items():
        with _progress(quiet, f"making {name}"):
            try:
                files[name] = make(design)
            except EngineFailed as error:
                raise CannotDraw(f"{name}: {error}") from None
    with _progress(quiet, "making book.html"):
        files["book.html"] = _page(design, files)
    return write_all(folder, files)


def _page(design: Design, files: Mapping[str, bytes]) -> bytes:
    """The book as a page, with the drawings among ``files``."""
    from harness.book.shop.page import page_html

    return page_html(design, {name: made.decode() for name, made in files.items() if name.endswith(".svg")})


def book_files(design: Design, folder: Path, *, paper: str | None, quiet: bool) -> list[Path]:
    """Make the shop book alone, as a page and on paper, and write both; raises CannotDraw or CannotWrite."""
    from typst import TypstError

    from harness.book.shop.paper import PAPERS, paper_pdf
    from harness.drawing.engine import EngineFailed

    drawn = {}
    try:
        for name, make in _makers().items():
            if name.endswith(".svg"):
                with _progress(quiet, f"making {name}"):
                    drawn[name] = make(design)
    except EngineFailed as error:
        raise CannotDraw(f"{name}: {error}") from None
    with _progress(quiet, "making book.html"):
        files = {"book.html": _page(design, drawn)}
    with _progress(quiet, "making book.pdf"):
        svgs = {name: made.decode() for name, made in drawn.items()}
        try:
            files["book.pdf"] = paper_pdf(design, svgs, paper=PAPERS[paper] if paper else None)
        except TypstError as error:
            raise CannotDraw(f"book.pdf: {error}") from None
    return write_all(folder, files)
