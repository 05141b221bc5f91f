"""What the commands of the record do: where it lies, what an entry is about, and the changes it keeps."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from harness.cli import clock
from harness.cli.files import CannotWrite
from harness.cli.read import CannotRead, machine_of, survey_bytes, tell

if TYPE_CHECKING:
    from harness.model.machine import Machine
    from harness.record.asbuilt import Change
    from harness.record.edits import Edit, Tree
    from harness.record.store import Contents, Kept, Record

T = TypeVar("T")
STDIN = "-"


class Refused(click.ClickException):
    """What was asked for cannot be kept as it is; nothing was written."""

    exit_code = 2


@dataclass(frozen=True, slots=True)
class About:
    """What all entries may say."""

    text: str
    subject: str
    other: bool  # the subject is nothing of the wiring
    hours: float | None
    by: str
    when: date | None
    attach: tuple[Path, ...]


def kept_safe(work: Callable[[], T]) -> T:
    """Do something with a record; what goes wrong ends in words and an exit code."""
    from harness.book.text import one_line
    from harness.record.attaching import CannotKeep
    from harness.record.entry import BadEntry
    from harness.record.store import Unreadable

    try:
        return work()
    except BadEntry as error:
        raise Refused(one_line(str(error))) from None
    except CannotKeep as error:
        raise CannotWrite(one_line(str(error))) from None
    except Unreadable as error:
        raise CannotRead(one_line(str(error))) from None


def record_of(survey: Path, *, to_add: bool = False) -> Record:
    """The record of a survey, or the one in the folder named in its place; raises CannotRead."""
    from harness.record.store import FILE, Record, record_folder

    if str(survey) == STDIN:
        raise click.UsageError("a record lies beside its survey, and standard input lies nowhere")
    if survey.is_dir():
        if not (survey / FILE).exists():
            raise CannotRead(f"{survey}: is a folder without {FILE}; name the survey, or its record's folder")
        return Record.open(survey)
    folder = record_folder(survey)
    if not survey.exists() and (to_add or not folder.is_dir()):
        raise CannotRead(f"{survey}: there is no such file; check the name and the folder")
    return Record.open(folder)


def contents_of(record: Record) -> Contents:
    """Everything in a record; damaged lines are told on the side."""
    from harness.record.words import damaged_words

    contents = kept_safe(record.entries)
    for one in contents.damaged:
        click.echo(f"{record.file.name}: {damaged_words(one)}", err=True)
    return contents


def typed_text(text: str) -> str:
    """The text of an entry; - reads it from standard input."""
    from harness.record.entry import LARGEST_ENTRY_BYTES

    if text != STDIN:
        return text
    content = sys.stdin.buffer.read(LARGEST_ENTRY_BYTES + 1)
    return content.decode("utf-8", "replace").rstrip("\n")


# ------------------------------------------------------------------------------------------------- subjects


def subject_of(survey: Path, about: About, contents: Contents) -> str:
    """The subject as the machine calls it, today or when built; raises UsageError with the nearest word."""
    if not about.subject or about.other:
        return about.subject
    if survey.is_dir():
        raise click.UsageError(
            "name the survey and not its record's folder, so that the subject can be looked up"
        )
    machines = [machine_of(survey)]
    names = _machine_names(machines[0])
    if _named(about.subject, names) is None and (changes := changes_in(contents)):
        today = _machine_today(survey, changes)
        machines += [today] if today is not None else []
        names += _machine_names(machines[-1])
    for machine in machines:  # wires have their numbers only when they are designed
        if _named(about.subject, names) is None:
            names += _design_names(machine)
    found = _named(about.subject, names)
    if found is None:
        from harness.survey.words import listed, nearest

        near = nearest(about.subject, names)
        parts = listed(map(repr, machines[0].parts))
        hint = (
            f"did you mean {near!r}?"
            if near
            else f"name a part, wire, fuse, circuit or place; parts are {parts}"
        )
        raise click.UsageError(
            f"the machine has no {about.subject!r}; {hint} (--other if it is nothing of the wiring)"
        )
    return found


def _machine_today(survey: Path, changes: Sequence[Change]) -> Machine | None:
    """None where the changes no longer fit the survey: that must not stop anybody from keeping a note."""
    from harness.model.problem import SurveyWrong
    from harness.record.asbuilt import with_changes
    from harness.record.trees import one_line_text, tree_of_text
    from harness.survey import read

    text, name = survey_words(survey)
    state = with_changes(tree_of_text(text, name), changes)
    try:
        return read(name, text=one_line_text(state.stamped()), folder=survey.parent)
    except SurveyWrong:
        return None


def _named(word: str, names: Iterable[str]) -> str | None:
    from harness.record.finding import folded

    return next((name for name in names if folded(name) == folded(" ".join(word.split()))), None)


def _machine_names(machine: Machine) -> list[str]:
    terminals = [f"{part.name} {each.name}" for part in machine.parts.values() for each in part.terminals]
    circuits = [circuit.name for circuit in machine.circuits]
    return [*machine.parts, *circuits, *machine.bodies, *machine.place_zones, *terminals]


def _design_names(machine: Machine) -> list[str]:
    from harness.cli.build import design_of
    from harness.electric.wanted import Wanted

    design = design_of(machine, Wanted("table"), quiet=True)  # the numbers are the same however it is sized
    fuses = [name for fuse in design.fuses for name in (fuse.name, fuse.name.split(" ")[-1])]
    wires = [f"wire {wire.number}" for wire in design.wires]
    splices = [point.part for wire in design.wires for point in (wire.from_, wire.to)]
    return list(dict.fromkeys([*fuses, *wires, *(wire.number for wire in design.wires), *splices]))


# ------------------------------------------------------------------------------------------------- entries


def added(
    survey: Path,
    kind: str,
    about: About,
    fields: dict[str, Any],
    sets: Sequence[str] = (),
    edited: Path | None = None,
) -> Kept:
    """Keep an entry, a change with its edits; what there is to say about it is said on the side."""
    from harness.record.store import Contents

    record = record_of(survey, to_add=True)
    asked = about.subject or about.hours is not None or sets or edited is not None
    contents = contents_of(record) if asked else Contents(())  # a long record is not read for nothing
    subject = subject_of(survey, about, contents)
    edits: list[Edit] = []
    if sets or edited is not None:
        edits = edits_for(survey, contents, sets, edited)
        fields = {**fields, "edits": [edit.held() for edit in edits]}
        subject = subject or _only_name(edits)
    kept = kept_safe(
        lambda: record.append(
            kind, about.text, fields, about.attach, about.when,
            written=clock.now(), subject=subject, by=about.by, hours=about.hours,
        )
    )  # fmt: skip
    if edits and any(
        one.number > _last(contents) and one.number != kept.entry.number for one in record.entries()
    ):
        _tell_remarks(
            ["something else was kept at the same moment: look whether `harness as-built` is as it should be"]
        )
    for remark in [*kept.remarks, *_remarks(contents, kept)]:
        click.echo(f"note: {remark}", err=True)
    return kept


def _only_name(edits: Sequence[Edit]) -> str:
    """The one part that all edits to parts are about, else the one circuit or body; "" for several."""
    for section in ("parts", "circuits", "bodies"):
        names = {edit.at[1] for edit in edits if edit.at[0] == section and len(edit.at) > 1}
        if names:
            return names.pop() if len(names) == 1 else ""
    return ""


def _last(contents: Contents) -> int:
    return max((one.number for one in contents), default=0)


def _remarks(contents: Contents, kept: Kept) -> Iterable[str]:
    entry = kept.entry
    read = [one for one in contents if one.hours is not None]
    if entry.hours is not None and read:
        most = max(read, key=lambda one: one.hours or 0.0)
        if most.hours is not None and most.hours > entry.hours:
            yield f"the hours meter showed {most.hours:g} h at entry {most.number} already"
    if entry.day > (clock.now() + timedelta(days=1)).date().isoformat():
        yield f"{entry.day} lies ahead of the computer's clock"
    if entry.kind == "change" and "edits" not in entry.fields:
        yield "the survey as built does not know of this change; --set tells it"


# ------------------------------------------------------------------------------------------------- as built


def survey_words(survey: Path) -> tuple[str, str]:
    """The YAML of a survey, out of its workbook too, and its name; exits 2 where it has mistakes."""
    from harness.survey import text_of
    from harness.survey.reader import is_workbook, letters

    path, content = held = survey_bytes(survey)
    machine_of(survey, held=held)  # the same: another may be writing it
    name = Path(path).name
    if is_workbook(content, path):
        return text_of(content, name, folder=survey.parent)[0], name
    return letters(content, name), name


def changes_in(contents: Contents) -> list[Change]:
    """The changes of a record; those that cannot be made are told on the side."""
    from harness.record.asbuilt import changes_of

    changes, remarks = changes_of(contents.entries)
    _tell_remarks(remarks)
    return changes


def _tell_remarks(remarks: Iterable[str]) -> None:
    from harness.book.text import one_line

    for remark in remarks:
        click.echo(f"note: {one_line(remark)}", err=True)


def edits_for(survey: Path, contents: Contents, sets: Sequence[str], edited: Path | None) -> list[Edit]:
    """The edits that were asked for, tried on the survey as it is today; exits 2 where it would be wrong."""
    from harness.record.asbuilt import AsBuilt, with_changes
    from harness.record.edits import made
    from harness.record.trees import tree_of_text

    text, name = survey_words(survey)
    tree = tree_of_text(text, name)
    changes = changes_in(contents)
    today = with_changes(tree, changes)
    if edited is not None and sets:
        raise click.UsageError("either --set or --edited, not both")
    edits = _of_copy(tree, changes, edited) if edited is not None else _typed(today.tree, sets)
    if not edits:
        raise Refused("nothing differs from the survey as it is today, so there is nothing to keep")
    after, remarks = made(today.tree, edits)
    _tell_remarks(remarks)
    checked_text(survey, text, name, AsBuilt(after, today.last))
    return edits


def _typed(tree: Tree, sets: Sequence[str]) -> list[Edit]:
    from harness.record.edits import BadEdit, made
    from harness.record.setting import typed_edit

    edits: list[Edit] = []
    for words in sets:
        try:
            edits.append(typed_edit(tree, words))
        except BadEdit as error:
            raise click.UsageError(f"--set: {error}") from None
        tree, _ = made(tree, edits[-1:])
    return edits


def _of_copy(tree: Tree, changes: Sequence[Change], edited: Path) -> list[Edit]:
    from harness.record.asbuilt import edits_of_copy
    from harness.record.trees import tree_of_text

    return edits_of_copy(tree, changes, tree_of_text(*survey_words(edited)))


def checked_text(survey: Path, text: str, name: str, state: Any) -> tuple[str, tuple[str, ...]]:
    """The YAML of a state of the survey, read without a mistake; prints what is wrong and exits 2."""
    from harness.model.problem import Problem, SurveyWrong, Where
    from harness.record.asbuilt import survey_text
    from harness.record.trees import one_line_text
    from harness.survey import read

    try:
        read(name, text=one_line_text(state.stamped()), folder=survey.parent)
        made, anew = survey_text(text, name, state)
        read(name, text=made, folder=survey.parent)
    except SurveyWrong as wrong:  # there is no file yet in which a line could be shown
        here = Where(f"{survey} with this change")
        tell([Problem(here, one.what, one.fix) for one in wrong.problems], as_json=False)
        raise SystemExit(2) from None
    return made, anew
