"""The command that puts everything of a machine into one folder or zip for the next owner."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import click

from harness.cli.options import CATALOGUE, CHOICES, SURVEY
from harness.signs import file_shown

if TYPE_CHECKING:
    from harness.cli.exporting import Content
    from harness.model.design import Design
    from harness.model.machine import Machine

PLACES = {"tracks.svg", "circuit-sheets.svg", "loom.svg", "fuses.svg"}


def _survey_files(survey: Path) -> dict[str, Content]:
    """The survey itself, and as text where it is a workbook."""
    from harness.cli.read import survey_bytes
    from harness.survey import text_of
    from harness.survey.reader import is_workbook

    _, content = survey_bytes(survey)
    if not is_workbook(content, survey.name):
        return {"survey/survey.yaml": content}
    text, _ = text_of(content, survey.name, folder=survey.parent)
    return {"survey/survey.xlsx": content, "survey/survey.yaml": text.encode()}


def _settled_files(
    survey: Path, machine: Machine, catalogue: Path | None, choices: Path | None
) -> dict[str, Content]:
    """The owner's own items and what was settled, named so that the survey beside them finds them."""
    from harness.cli.read import MOST_BYTES, choices_beside, content_of

    found: dict[str, Content] = {}
    if machine.accepted.file and (path := choices or choices_beside(survey)) is not None:
        found["survey/survey-choices.yaml"] = content_of(path, MOST_BYTES)[1]
    if machine.catalogue.file:
        path = catalogue or survey.parent / machine.catalogue.file
        found[f"survey/{path.name}"] = content_of(path, MOST_BYTES)[1]
    return found


def _record_files(folder: Path, title: str) -> dict[str, Content]:
    """The record as a page and as it is, with its attachments; raises CannotRead."""
    from harness.cli.exporting import opened
    from harness.cli.read import CannotRead
    from harness.disk.words import unread
    from harness.record.attaching import FOLDER, is_safe
    from harness.record.entry import RecordError
    from harness.record.page import record_html
    from harness.record.store import Record

    record = Record.open(folder)
    try:
        contents = record.entries()
        with opened(record.file) as stream:
            lines = stream.read()
        place = folder / FOLDER
        attached = sorted(place.iterdir()) if place.is_dir() and not place.is_symlink() else []
    except RecordError as error:
        raise CannotRead(str(error)) from None
    except OSError as error:
        raise CannotRead(f"{folder}: the record cannot be read: {unread(error)}") from None
    page = record_html(contents.entries, title=title, attachments=FOLDER, damaged=contents.damaged)
    found: dict[str, Content] = {"record/record.html": page.encode(), "record/record.jsonl": lines}
    for path in attached:
        if is_safe(path.name) and path.is_file() and not path.is_symlink():
            found[f"record/{FOLDER}/{path.name}"] = path
    return found


def _files(design: Design, *, paper: bool) -> dict[str, Content]:
    """Everything worked out from the survey, and the pages to read it by."""
    from harness.cli.build import CannotDraw
    from harness.keeping.parcel import FORMATS, formats_text, guide_pages, wires_csv
    from harness.making.outputs import OUTPUTS, OutputFailed, output

    made: dict[str, bytes] = {}
    for name in OUTPUTS:
        if paper or name != "book.pdf":
            try:
                made[name] = output(name, design, made)
            except OutputFailed as error:
                raise CannotDraw(str(error)) from None
    found: dict[str, Content] = {
        f"drawings/{name}" if name in PLACES else name: content for name, content in made.items()
    }
    return {**found, **guide_pages(), "wires.csv": wires_csv(design), FORMATS: formats_text()}


@click.command()
@SURVEY
@click.option(
    "-o",
    "--out",
    type=click.Path(path_type=Path),
    help="Folder, or file that ends in .zip [exports/NAME-all.zip].",
)
@click.option(
    "--record",
    type=click.Path(path_type=Path, file_okay=False),
    help="The record's folder [NAME-record beside the survey, if it is there].",
)
@click.option("--no-paper", is_flag=True, help="Leave out book.pdf, which takes longest.")
@CATALOGUE
@CHOICES
def export(
    survey: Path, out: Path | None, record: Path | None, no_paper: bool, catalogue: Path | None,
    choices: Path | None,
) -> None:  # fmt: skip
    """Put everything about the machine of SURVEY into one folder or zip that a browser alone can read.

    For the next owner: index.html leads to the shop book, the drawings, the lists, the survey, the record
    with its photos, and the pages of the guide. What lies in the place already is written
    over only where it is an earlier export.
    """
    from harness.cli.build import default_out, design_of
    from harness.cli.exporting import check_place, write_folder, write_zip
    from harness.cli.options import machine_from
    from harness.cli.read import CannotRead
    from harness.keeping.parcel import CHECKS, INDEX, index_page
    from harness.record.store import FILE, record_folder

    if str(survey) == "-":
        raise click.UsageError("an export keeps the survey with it, so it has to be a file")
    folder = default_out(survey)
    place = out or folder.with_name(f"{folder.name}-all.zip")
    check_place(place)
    machine = machine_from(survey, None, False, catalogue, choices)
    design = design_of(machine, quiet=False)
    settled = _settled_files(survey, machine, catalogue, choices)
    files = {**_files(design, paper=not no_paper), **settled, **_survey_files(survey)}
    if machine_from(survey, None, False, catalogue, choices) != machine:
        raise CannotRead(
            f"{file_shown(str(survey))}: it, or what lies beside it, was changed while it was worked out; "
            "nothing was written: export it again"
        )
    kept = record or record_folder(survey)
    if os.path.lexists(kept / FILE):  # whatever it is: no owner shall miss a record that cannot be read
        files |= _record_files(kept, design.machine.name)
    elif record is not None:
        raise CannotRead(f"{file_shown(str(record))}: there is no record in it")
    files[INDEX] = index_page(design, {*files, CHECKS})
    (write_zip if place.suffix.lower() == ".zip" else write_folder)(place, files)
    click.echo(f"wrote {file_shown(str(place))}: {len(files) + 1} files; open index.html in a browser")
