"""The command that tells what differs between two surveys or designs, and draws it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from harness.cli.options import CATALOGUE, JSON, out_file
from harness.signs import file_shown, json_text

if TYPE_CHECKING:
    from harness.comparing.change import Comparison
    from harness.model.design import Design


def _stored(path: Path) -> bool:
    """Whether this is a design.json, by its name."""
    return path.suffix.lower() == ".json"


def design_from(
    path: Path, *, as_json: bool, catalogue: Path | None = None, choices: Path | None = None
) -> Design:
    """The design of a survey, or the one in a design.json; ends the program as both do where it is wrong.

    ``catalogue``, ``choices``: for a survey, as ``machine_of`` takes them.
    """
    from harness.cli.build import design_of
    from harness.cli.read import design_content, ending, machine_of
    from harness.comparing.stored import MOST_BYTES, design_of_json

    if not _stored(path):
        machine = machine_of(path, catalogue=catalogue, choices=choices, as_json=as_json)
        return design_of(machine, quiet=as_json)
    name, content = design_content(path, MOST_BYTES)
    with ending(as_json=as_json):
        return design_of_json(content, name)


def _drawn(old: Design, new: Design, found: Comparison, ending: str) -> bytes:
    """The changes as marked sheets, or as a page of words and sheets."""
    from html import escape

    from harness.book.text import one_line
    from harness.comparing.marks import marks
    from harness.comparing.words import lines
    from harness.drawing.change_marks import marked_svg
    from harness.keeping.changes import markup
    from harness.keeping.page import page

    svg = marked_svg(old, new, marks(found, new))
    if ending == ".svg":
        return svg.encode()
    drawn = svg.partition("?>")[2]
    title = f"What has changed: {new.machine.name}"
    body = f"<h1>{escape(one_line(title))}</h1>\n{markup(lines(found))}\n"
    return page(title, f'{body}<div class="wide" tabindex="0">{drawn}</div>')


@click.command()
@click.argument("old", type=click.Path(path_type=Path, allow_dash=True))
@click.argument("new", type=click.Path(path_type=Path, allow_dash=True))
@CATALOGUE
@click.option(
    "--choices", type=click.Path(path_type=Path, dir_okay=False),
    help="What was accepted at the counter or is wired so for NEW [NEW-choices.yaml beside it].",
)  # fmt: skip
@JSON
@out_file("Draw the changes too: a file that ends in .svg, or .html for words and drawings.")
@click.option("--exit-code", "tell_code", is_flag=True, help="Exit with 1 where they differ.")
def compare(
    old: Path, new: Path, catalogue: Path | None, choices: Path | None, as_json: bool, out: Path | None,
    tell_code: bool,
) -> None:  # fmt: skip
    """Tell what differs between OLD and NEW: surveys, or design.json files of earlier builds.

    Wires are told apart by what they join, not by their numbers. Where nothing differs nothing is printed.
    """
    from harness.book.data import plain
    from harness.book.text import one_line
    from harness.comparing.differences import compare as compared
    from harness.comparing.words import data, lines

    if str(old) == str(new) == "-":
        raise click.UsageError("only one of OLD and NEW can come from standard input")
    if catalogue is not None and _stored(old) and _stored(new):
        raise click.UsageError("--catalogue is for surveys; what a design.json holds is sized already")
    if choices is not None and _stored(new):
        raise click.UsageError("--choices is for NEW where it is a survey; a design.json is sized already")
    if out is not None and out.suffix.lower() not in (".svg", ".html"):
        raise click.UsageError("-o: the drawing is a file that ends in .svg or .html")
    if out is not None:
        from harness.cli.files import check_out

        check_out(out, ".svg", ".html")
    before = design_from(old, catalogue=catalogue, as_json=as_json)
    after = design_from(new, catalogue=catalogue, choices=choices, as_json=as_json)
    found = compared(before, after)
    if out is not None and not found.same:
        from harness.cli.files import put_out

        put_out(out, _drawn(before, after, found, out.suffix.lower()), ".svg", ".html")
    if out is not None and found.same:
        click.echo(f"nothing differs: {file_shown(str(out))} was not written", err=True)
    if as_json:
        click.echo(json_text(plain(data(found))))
    else:
        for line in lines(found):
            click.echo(one_line(line))
    raise SystemExit(1 if tell_code and not found.same else 0)
