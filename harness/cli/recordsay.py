"""What the commands of the record print and write."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from harness.cli.recording import (
    Refused,
    changes_in,
    checked_text,
    contents_of,
    kept_safe,
    record_of,
    survey_words,
)
from harness.signs import file_shown, json_text

if TYPE_CHECKING:
    from harness.record.store import Kept


def say_kept(kept: Kept) -> None:
    """What was kept, as it will be shown."""
    from harness.record.words import entry_lines

    click.echo("kept: " + "\n".join(entry_lines(kept.entry)))


def say_entries(
    survey: Path, *, kind: str = "", subject: str = "", since: str = "", words: Sequence[str] = (),
    in_order: bool = False, as_json: bool = False,
) -> None:  # fmt: skip
    """The entries that are meant, the latest first or in order."""
    from harness.record.finding import chosen
    from harness.record.words import damaged_words, entry_dict, entry_lines

    contents = contents_of(record_of(survey))
    entries = contents.entries
    _known(kind, [entry.kind for entry in entries], "kind")
    _known(subject, [entry.subject for entry in entries], "subject")
    found = chosen(entries, kind=kind, subject=subject, since=since, words=words)
    if not in_order:
        found.reverse()
    if as_json:
        damaged = [{"line": one.line, "why": damaged_words(one)} for one in contents.damaged]
        click.echo(json_text({"entries": [entry_dict(entry) for entry in found], "damaged": damaged}))
        return
    if not found:
        click.echo("no such entries" if entries else "nothing is kept yet: `harness record add`", err=True)
    blocks = ["\n".join(entry_lines(entry)) for entry in found]
    if blocks:
        click.echo("\n\n".join(blocks))
    if sys.stdout.isatty():
        click.echo(f"\n{len(found)} of {len(entries)} entries", err=True)


def _known(word: str, known: Sequence[str], what: str) -> None:
    """A word nobody used is told with the nearest one; it is no mistake."""
    from harness.book.text import one_line
    from harness.record.finding import folded
    from harness.survey.words import nearest

    if word and folded(word) not in {folded(each) for each in known}:
        near = nearest(word, dict.fromkeys(known))
        hint = f"; did you mean {near!r}?" if near else ""
        click.echo(one_line(f"the record has no {what} {word!r}{hint}"), err=True)


def say_verdict(survey: Path, *, as_json: bool) -> int:
    """Whether the record is whole; the exit code."""
    from harness.book.text import one_line
    from harness.cli.read import CannotRead
    from harness.record.chain import verified

    record = record_of(survey)
    if not record.file.exists():
        raise CannotRead(f"{record.file}: there is no such file, so there is nothing to check")
    verdict = kept_safe(lambda: verified(record))
    if as_json:
        click.echo(
            json_text(
                {
                    "whole": verdict.whole, "lines": verdict.lines, "good": list(verdict.good),
                    "breaks": list(verdict.breaks), "notes": list(verdict.remarks), "last": verdict.last,
                }
            )
        )  # fmt: skip
        return 0 if verdict.whole else 1
    for remark in verdict.remarks:
        click.echo(f"note: {one_line(remark)}")
    for one in verdict.breaks:
        click.echo(f"broken: {one_line(one)}")
    if verdict.whole:
        click.echo(f"whole: {verdict.lines} lines, each as it was written and in its place.")
        click.echo(
            f"The last line's mark is {verdict.last}: noted elsewhere, it shows later that none is missing."
        )
        return 0
    click.echo(f"still good: {_ranges(verdict.good) or 'no line'} of {verdict.lines}.")
    return 1


def say_page(survey: Path, out: Path | None) -> None:
    """Write the record as a page; pictures are named from where the page lies. Raises Refused."""
    import os

    from harness.cli.files import write_one
    from harness.record.attaching import FOLDER
    from harness.record.page import record_html

    record = record_of(survey)
    file = out if out is not None else record.folder / "record.html"
    if not record.folder.is_dir():
        raise Refused("nothing is kept yet: `harness record add`")
    contents = contents_of(record)
    beside = Path(os.path.relpath(record.folder / FOLDER, file.parent)).as_posix()
    page = record_html(contents.entries, title=_title(survey), attachments=beside, damaged=contents.damaged)
    write_one(file, page.encode("utf-8"), ".html", ".htm")


def _title(survey: Path) -> str:
    """The machine's name, or that of the survey where it cannot be read."""
    from harness.cli.read import tried
    from harness.record.store import SUFFIX

    if survey.is_file():
        machine = tried(survey)
        return survey.stem if isinstance(machine, list) else machine.name
    return survey.resolve().name.removesuffix(SUFFIX)


def _ranges(numbers: Sequence[int]) -> str:
    """ "lines 1 to 4, 6"."""
    spans: list[list[int]] = []
    for number in numbers:
        if spans and spans[-1][1] == number - 1:
            spans[-1][1] = number
        else:
            spans.append([number, number])
    words = ", ".join(f"{first} to {last}" if last > first else f"{first}" for first, last in spans)
    return f"lines {words}" if words else ""


def say_as_built(survey: Path, out: Path | None, at: str, *, force: bool) -> int:
    """Print or write the survey as it is today; the exit code: 1 where a change could not be made as kept."""
    from harness.book.text import one_line
    from harness.cli.files import NotThere, check_out, file_behind, write_all
    from harness.cli.read import choices_beside
    from harness.record.asbuilt import until, with_changes
    from harness.record.trees import tree_of_text

    if at and not at.isdecimal() and not _is_day(at):
        raise click.UsageError(f"--at: {at!r} is neither the number of an entry nor a day such as 2026-11-26")
    record = record_of(survey, to_add=True)
    out = None if str(out) == "-" else out
    if out is not None:
        check_out(out, ".yaml", ".yml", ".xlsx", force=force)
    text, name = survey_words(survey)
    changes = changes_in(contents_of(record))
    meant = until(changes, number=int(at[:18]) if at.isdecimal() else None, day="" if at.isdecimal() else at)
    state = with_changes(tree_of_text(text, name), meant)
    made, anew = checked_text(survey, text, name, state)
    for remark in state.remarks:
        click.echo(f"note: {one_line(remark)}", err=True)
    if anew:
        click.echo(f"written anew, so that remarks in it are lost: {', '.join(anew)}", err=True)
    if out is None:
        click.echo(made, nl=False)
    else:
        target, settled = file_behind(out), _settled(survey, out)
        if settled and target != out:
            raise NotThere(one_line(f"{out} is a link, but two files are written; name the file itself"))
        files = {target.name: _in_form_of(out, made, name, survey), **settled}
        write_all(target.parent, files)
        click.echo(
            f"wrote {file_shown(str(out))}: {_counted(len(meant))}, revision {state.revision or 'not named'}"
        )
        if len(files) > 1:
            click.echo(
                f"wrote {file_shown(str(choices_beside(out)))}: what was settled for the machine, as it was"
            )
    return 1 if state.remarks else 0


def _is_day(words: str) -> bool:
    try:
        return date.fromisoformat(words).isoformat() == words
    except ValueError:
        return False


def _settled(survey: Path, out: Path) -> dict[str, bytes]:
    """The file of choices of a survey under the name that the new survey looks for, if none is there."""
    from harness.cli.read import choices_beside, survey_bytes

    old, new = choices_beside(survey), choices_beside(out)
    if old is None or new is None or not old.is_file() or new.exists():
        return {}
    return {new.name: survey_bytes(old)[1]}


def _in_form_of(out: Path, text: str, name: str, survey: Path) -> bytes:
    """The survey as the name of its file asks for: a workbook for .xlsx, else YAML."""
    from harness.cli.convert import SHEETS
    from harness.survey import workbook_of

    if out.suffix.lower() in SHEETS:
        return workbook_of(text, Path(name).with_suffix(".yaml").name, folder=survey.parent)
    return text.encode("utf-8")


def _counted(count: int) -> str:
    return f"{count} changes made" if count != 1 else "1 change made"
