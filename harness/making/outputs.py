"""Every result file and what makes it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from importlib import import_module

from harness.book.shop.letter import on_letter
from harness.model.design import Design

Files = Mapping[str, bytes]
Maker = Callable[[Design, Files, str | None], bytes]  # of a design, the drawings, and the paper asked for


class OutputFailed(Exception):
    """A program that an output needs failed: the layout engine or the typesetter."""


def _circuit_sheets(design: Design, _drawn: Files, _paper: str | None) -> bytes:
    from harness.drawing.tracks.sheets import circuits_svg

    return circuits_svg(design).encode()


def _tracks(design: Design, _drawn: Files, _paper: str | None) -> bytes:
    from harness.drawing.tracks.sheets import tracks_svg

    return tracks_svg(design).encode()


def _loom(design: Design, _drawn: Files, _paper: str | None) -> bytes:
    from harness.drawing.engine import EngineFailed
    from harness.drawing.loom import loom_svg

    try:
        return loom_svg(design).encode()
    except EngineFailed as error:
        raise OutputFailed(str(error)) from None


def _fuses(design: Design, _drawn: Files, _paper: str | None) -> bytes:
    from harness.drawing.fuse_plots import fuse_plots_svg

    return fuse_plots_svg(design).encode()


def _workbook(design: Design, _drawn: Files, _paper: str | None) -> bytes:
    from harness.book.workbook import workbook_bytes

    return workbook_bytes(design)


def _data(design: Design, _drawn: Files, _paper: str | None) -> bytes:
    from harness.book.data import design_json

    return design_json(design).encode()


def _page(design: Design, drawn: Files, _paper: str | None) -> bytes:
    from harness.book.shop.page import page_html

    return page_html(design, _texts(drawn))


def _print(design: Design, drawn: Files, paper: str | None) -> bytes:
    from typst import TypstError

    from harness.book.shop.paper import PAPERS, paper_pdf
    from harness.drawing.engine import EngineFailed

    try:
        return paper_pdf(design, _texts(drawn), paper=PAPERS[paper] if paper else None)
    except (EngineFailed, TypstError) as error:
        raise OutputFailed(str(error)) from None


def _texts(drawn: Files) -> dict[str, str]:
    return {name: made.decode() for name, made in drawn.items()}


OUTPUTS: Mapping[str, Maker] = {  # a new output is one new line here
    "circuit-sheets.svg": _circuit_sheets,
    "tracks.svg": _tracks,
    "loom.svg": _loom,
    "fuses.svg": _fuses,
    "harness.xlsx": _workbook,
    "design.json": _data,
    "book.html": _page,
    "book.pdf": _print,
}
FITTED = ("circuit-sheets.svg", "tracks.svg", "loom.svg")  # drawn once more where the book is not on A4
DRAWINGS = tuple(name for name in OUTPUTS if name.endswith(".svg"))
BOOKS = ("book.html", "book.pdf")


def shared(names: Sequence[str], sizes: str, paper: str | None) -> list[str]:
    """Which of these files a second process makes: about half of the work, as the print takes the longest.

    A book on letter paper needs other drawings than the files, so these are left to the first process.
    """
    letter = paper == "Letter" if paper else on_letter(sizes)
    if "book.pdf" not in names:
        theirs = (*DRAWINGS, "design.json", "book.html")
    else:
        theirs = ("fuses.svg", "book.pdf") if letter else (*DRAWINGS, "book.pdf")
    return [name for name in theirs if name in names]


def undrawn(names: Sequence[str]) -> dict[str, bytes]:
    """What stands for drawings where a book is to be printed without them: it draws them for its paper."""
    return {} if set(FITTED) <= set(names) else dict.fromkeys(FITTED, b"")


def output(name: str, design: Design, files: Files, paper: str | None = None) -> bytes:
    """Make one file; a book takes the drawings among ``files``. Raises OutputFailed."""
    try:
        return OUTPUTS[name](design, {each: files[each] for each in DRAWINGS if each in files}, paper)
    except OutputFailed as error:
        raise OutputFailed(f"{name}: {error}") from None


def warm(until: Callable[[], bool] = lambda: False) -> None:
    """Load what a second process needs, ahead of the machine, and no more of it once something is asked."""
    for module in _SECOND:
        if until():
            return
        import_module(module)


def warm_first() -> None:
    """Load what the first process makes files with, while the second designs."""
    for module in _FIRST:
        import_module(module)


_SECOND = (
    "harness.pipeline",
    "typst",
    "harness.drawing.tracks.sheets",
    "harness.drawing.loom",
    "harness.drawing.fuse_plots",
    "harness.book.shop.paper",
)
_FIRST = (
    "harness.book.workbook",
    "harness.book.data",
    "harness.book.shop.page",
    "harness.book.summary",
    "harness.drawing.tracks.sheets",
    "harness.drawing.loom",
)
