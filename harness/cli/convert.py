"""Turns a survey from one of its forms into the other and writes it beside nothing that it would replace."""

from __future__ import annotations

from pathlib import Path

import click

from harness.cli.files import check_out, write_file
from harness.cli.read import survey_bytes, tell_survey
from harness.model.problem import SurveyWrong
from harness.signs import file_shown

SHEETS = (".xlsx",)


def converted(source: Path, target: Path, *, force: bool) -> None:
    """Write ``source`` as the form that the name of ``target`` asks for.

    Prints every problem and exits 2 where the survey is wrong; raises UsageError where the call is.
    """
    from harness.survey import remark_columns, text_of, workbook_of
    from harness.survey.reader import is_workbook, letters

    path, content = survey_bytes(source)
    from_book, to_book = is_workbook(content, path), target.name.lower().endswith(SHEETS)
    if from_book == to_book:
        raise click.UsageError(
            "one of the two must be a workbook: harness convert survey.yaml survey.xlsx, or the other way"
        )
    if not to_book and not target.name.lower().endswith((".yaml", ".yml")):
        raise click.UsageError(f"{target}: call the survey .yaml, or .xlsx for a workbook")
    check_out(target, ".yaml", ".yml", *SHEETS, force=force)
    name, folder = Path(path).name, None if str(source) == "-" else source.parent
    anew: list[str] = []
    try:
        if to_book:
            made = workbook_of(letters(content, name), name, folder=folder)
        else:
            text, anew = text_of(content, name, folder=folder)
            made = text.encode("utf-8")
    except SurveyWrong as wrong:
        tell_survey(wrong.problems, path)
        raise SystemExit(2) from None
    write_file(target, made)
    click.echo(f"wrote {file_shown(str(target))}")
    own = [] if to_book else remark_columns(content, name)
    if own:
        click.echo(f"not in the text, which has no place for them: {file_shown(', '.join(own))}", err=True)
    if anew:
        click.echo(f"written anew, so that remarks in it are lost: {', '.join(anew)}", err=True)
