"""The commands that design a machine: `check`, `build`, `book`, `watch`, `size` and `draw`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from harness.cli.options import (
    CATALOGUE,
    CHOICES,
    JSON,
    OFFCUTS,
    RULES,
    SURVEY,
    designed,
    exit_code,
    machine_from,
    out_file,
    out_folder,
    stocked,
    with_offcuts,
)
from harness.cli.wanted import size_options
from harness.signs import file_shown


@click.command()
@SURVEY
@CATALOGUE
@JSON
def check(survey: Path, catalogue: Path | None, as_json: bool) -> None:
    """Read SURVEY and report every mistake in it, with its place and what would be right."""
    from harness.cli.read import machine_of
    from harness.cli.say import checked_json, checked_text

    machine = machine_of(survey, catalogue=catalogue, as_json=as_json)
    click.echo(checked_json(machine) if as_json else checked_text(machine))


@click.command()
@SURVEY
@out_folder("Folder for the results [exports/NAME].")
@RULES
@CATALOGUE
@CHOICES
@size_options
@OFFCUTS
@click.option("--no-paper", is_flag=True, help="Leave out book.pdf, which takes longest.")
@JSON
def build(
    survey: Path,
    out: Path | None,
    no_paper: bool,
    rules: str | None,
    catalogue: Path | None,
    choices: Path | None,
    offcuts: Path | None,
    as_json: bool,
    **picking: Any,
) -> None:
    """Design the loom of SURVEY and write drawings, workbook, shop book and data into a folder."""
    from harness.making.outputs import OUTPUTS
    from harness.making.second import Second

    left_out = ["book.pdf"] if no_paper else []

    with Second([name for name in OUTPUTS if name not in left_out]) as second:
        from harness.cli.build import build_files, default_out
        from harness.cli.files import check_folder
        from harness.cli.say import built_json, print_built

        folder = out or default_out(survey)
        check_folder(folder)
        design = stocked(
            survey, rules, catalogue, offcuts, picking, choices=choices, second=second, as_json=as_json
        )
        written = build_files(design, folder, second=second, leave_out=left_out, quiet=as_json)
    if as_json:
        click.echo(built_json(design, written))
    else:
        print_built(design, written)
    raise SystemExit(exit_code(design))


@click.command()
@SURVEY
@out_folder("Folder for the book [exports/NAME].")
@click.option(
    "--paper", type=click.Choice(["A4", "Letter"]), help="Paper of the PDF [Letter with gauges, A4 with mm2]."
)
@RULES
@CATALOGUE
@CHOICES
@size_options
@OFFCUTS
def book(
    survey: Path,
    out: Path | None,
    paper: str | None,
    rules: str | None,
    catalogue: Path | None,
    choices: Path | None,
    offcuts: Path | None,
    **picking: Any,
) -> None:
    """Write the shop book of SURVEY twice: a page to be ticked off at the bench, and a PDF to print.

    The page opens in any browser, on a phone too, and needs no network.
    """
    from harness.making.outputs import BOOKS, DRAWINGS
    from harness.making.second import Second

    with Second((*DRAWINGS, *BOOKS), paper) as second:
        from harness.cli.build import book_files, default_out
        from harness.cli.files import check_folder

        folder = out or default_out(survey)
        check_folder(folder)
        design = stocked(
            survey, rules, catalogue, offcuts, picking, choices=choices, second=second, as_json=False
        )
        written = book_files(design, folder, paper=paper, second=second, quiet=False)
    for path in written:
        click.echo(f"wrote {file_shown(str(path))}")
    raise SystemExit(exit_code(design))


@click.command()
@click.argument("survey", type=click.Path(path_type=Path))
@out_folder("Folder for the results [exports/NAME].")
@click.option("--open", "show", is_flag=True, help="Open the book in the browser.")
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=8127,
    show_default=True,
    help="Port of this computer the book is shown at; 0 for any free one.",
)
@RULES
@CATALOGUE
@CHOICES
@size_options
@OFFCUTS
def watch(
    survey: Path, out: Path | None, show: bool, port: int, rules: str | None, catalogue: Path | None,
    choices: Path | None, offcuts: Path | None, **picking: Any,
) -> None:  # fmt: skip
    """Make everything anew whenever SURVEY is saved; the book in the browser follows by itself.

    Only book.pdf is left out, for the sake of speed: `harness build` makes it.

    Findings are printed here, at first all, then those that came and went. While the survey is wrong its
    mistakes are listed, here and above the book, and the last good results stay. The book is shown at an
    address that only this computer can reach. Ctrl-C ends it.
    """
    from harness.cli.build import default_out
    from harness.cli.watch import watched

    watched(
        survey, out or default_out(survey), show=show, port=port, rules=rules, catalogue=catalogue,
        choices=choices, lists=tuple(path for path in (offcuts, picking["prices"]) if path is not None),
        design=lambda machine: with_offcuts(machine, offcuts, picking, as_json=False),
    )  # fmt: skip


@click.command()
@SURVEY
@RULES
@CATALOGUE
@CHOICES
@size_options
@JSON
def size(
    survey: Path, rules: str | None, catalogue: Path | None, choices: Path | None, as_json: bool,
    **picking: Any,
) -> None:  # fmt: skip
    """Print the table of wires of SURVEY: current, length, drop, ampacity and what decided each size."""
    from harness.cli.say import print_wires, wires_json

    design = designed(machine_from(survey, rules, as_json, catalogue, choices), picking, quiet=as_json)
    if as_json:
        click.echo(wires_json(design))
    else:
        print_wires(design)
    raise SystemExit(exit_code(design))


@click.command()
@SURVEY
@click.argument(
    "kind", type=click.Choice(["circuit", "circuits", "loom", "board", "labels", "cards", "cab", "hookup"])
)
@click.option(
    "--sheet",
    type=click.Choice(["A4", "A3", "Letter", "Tabloid"]),
    help="Paper to print on [A4; circuits and loom choose].",
)
@click.option("--page", type=click.IntRange(min=1), help="This sheet alone, of circuits or loom [all].")
@click.option(  # a common sheet of plywood, 8 by 4 ft, a little short
    "--board", default="2.4 x 1.2 m", show_default=True, help="Size of the board the loom is laid on."
)
@out_file("File to write [exports/NAME/KIND.*].")
@RULES
@CATALOGUE
@CHOICES
@size_options
def draw(
    survey: Path, kind: str, sheet: str | None, page: int | None, board: str, out: Path | None,
    rules: str | None, catalogue: Path | None, choices: Path | None, **picking: Any,
) -> None:  # fmt: skip
    """Make one drawing of SURVEY by itself: circuits, the loom's layout, or a PDF to print at full size.

    `circuit` draws the machine as current tracks: supply above, chassis below, a column for each load;
    `circuits` every circuit alone on a sheet, with the volts to expect at each point; `loom` every loom to
    scale, with what lands at each end.

    `board` gives a PDF to print at 100 % and glue together: the loom flat at 1:1, its trunk to and fro where
    it is longer than the board, with a nail at every tick and an overview of the sheets before them.
    `labels` are those for both ends of every wire; `cards` say what each fuse and coupler way is for;
    `cab` is one page for the cab: volts, fuses with what dies, relays, grounds; `hookup` shows every part
    with what lands on its terminals.
    """
    from harness.cli.draw import Wish, board_size, default_file, drawn
    from harness.cli.files import check_out, write_one

    wish = Wish(sheet, board_size(board), page)
    file = out or default_file(survey, kind)
    ending = default_file(survey, kind).suffix
    if file.suffix.lower() in {".svg", ".pdf"} - {ending}:
        raise click.UsageError(f"-o: the {kind} drawing is a file that ends in {ending}")
    check_out(file, ending)
    machine = machine_from(survey, rules, False, catalogue, choices)
    content = drawn(designed(machine, picking, quiet=False), kind, wish)
    write_one(file, content, ending)
