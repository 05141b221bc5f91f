"""Lays out the text of a survey evenly, in its file or from standard input to standard output."""

from __future__ import annotations

from pathlib import Path

import click

from harness.cli.files import write_file
from harness.cli.read import survey_bytes, tell_survey
from harness.model.problem import SurveyWrong
from harness.signs import file_shown


def tidy_file(survey: Path, *, check: bool) -> int:
    """Tidy the survey, or only say whether it is; the exit code. Exits 2 where it is no survey's text."""
    from harness.survey.reader import is_workbook, letters
    from harness.survey.tidying import tidied

    path, content = survey_bytes(survey)
    if is_workbook(content, path):
        raise click.UsageError(f"{path}: a workbook needs no tidying; this is for surveys in YAML")
    name = Path(path).name
    try:
        before = letters(content, name)
        after = tidied(before, name)
    except SurveyWrong as wrong:
        tell_survey(wrong.problems, path)
        raise SystemExit(2) from None
    same = content == after.encode("utf-8")
    if check:
        told = "is tidy" if same else "is not tidy; run harness tidy without --check"
        click.echo(f"{file_shown(str(path))}: {told}")
        return 0 if same else 1
    if str(survey) == "-":
        click.echo(after, nl=False)
    elif same:
        click.echo(f"{file_shown(str(path))}: was tidy already")
    else:
        write_file(survey, after.encode("utf-8"))
        click.echo(f"wrote {file_shown(str(path))}")
    return 0
