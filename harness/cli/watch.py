"""Makes the results anew whenever the survey is saved, and says what changed, until it is interrupted."""

from __future__ import annotations

import gc
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from harness.signs import file_shown

if TYPE_CHECKING:
    from harness.cli.live import News
    from harness.model.design import Design, Finding
    from harness.model.machine import Machine
    from harness.model.problem import Problem

LOOK_S = 0.25  # between two looks at a few files: costs nothing, sees saving by renaming, and network drives
NOT_THERE = "there is no such file; check the name and the folder"
SETTLE_S = 0.1  # an editor may still be writing
Stamp = tuple[int, int, int] | None


class CannotShow(click.ClickException):
    """The book cannot be shown at the port that was asked for."""

    exit_code = 3


@dataclass(frozen=True, slots=True)
class Round:
    """What one making came to: a design, or what is wrong."""

    design: Design | None = None
    problems: Sequence[Problem] = ()
    failed: str = ""  # neither the survey's fault nor ours: a disk, sizes that cannot be had
    beside: tuple[Path, ...] = ()  # files the survey names, which are looked at too


def stamp(path: Path) -> Stamp:
    """What tells one saving of a file from another; None while there is no such file."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino


class Watcher:
    """Looks at files again and again, and tells which were saved since they were last told of.

    A file that vanishes is not saved yet: editors write anew under its name. One that still changes while it
    is looked at is waited for. A path that was not looked at before counts from now on.
    """

    def __init__(
        self,
        paths: Iterable[Path],
        *,
        sleep: Callable[[float], None] = time.sleep,
        look: Callable[[Path], Stamp] = stamp,
    ) -> None:
        self._sleep, self._look = sleep, look
        self._seen = {path: look(path) for path in paths}

    def wait(self, paths: Iterable[Path]) -> list[Path]:
        """Wait until some of ``paths`` are saved."""
        paths = list(paths)
        for path in paths:
            if path not in self._seen:
                self._seen[path] = self._look(path)
        while True:
            now = self._settled(paths)
            fresh = [path for path in paths if now[path] is not None and now[path] != self._seen[path]]
            if fresh:
                self._seen |= {path: now[path] for path in fresh}
                return fresh
            self._sleep(LOOK_S)

    def _settled(self, paths: Sequence[Path]) -> dict[Path, Stamp]:
        now = {path: self._look(path) for path in paths}
        while any(now[path] is not None and now[path] != self._seen[path] for path in paths):
            self._sleep(SETTLE_S)
            later = {path: self._look(path) for path in paths}
            if later == now:
                break
            now = later
        return now


def changes(before: Sequence[Finding], after: Sequence[Finding]) -> tuple[list[Finding], list[Finding]]:
    """The findings that came and those that went; one whose figures alone changed is neither."""

    def key(one: Finding) -> tuple[str, str, str]:
        return one.rule, one.severity, one.subject

    was, now = {key(one) for one in before}, {key(one) for one in after}
    return [one for one in after if key(one) not in was], [one for one in before if key(one) not in now]


def watch(
    survey: Path, others: Sequence[Path], make: Callable[[], Round], news: News | None, watcher: Watcher
) -> None:
    """Make the results now and after every saving of the survey or what it needs; KeyboardInterrupt ends it.

    The watcher has looked at the files before: what is saved during the first making is not missed.
    """
    beside: tuple[Path, ...] = ()
    last: Design | None = None
    while True:
        made = make()
        beside = made.beside or beside
        _say(made, last, news)
        last = made.design or last
        del made
        gc.collect()  # the collector rests while a command runs; this one runs all day
        saved = watcher.wait(dict.fromkeys([survey, *others, *beside]))
        names = ", ".join(file_shown(path.name) for path in saved)
        click.echo(f"\n{time.strftime('%H:%M:%S')} {names} saved")


def _say(made: Round, last: Design | None, news: News | None) -> None:
    if made.design is not None:
        _say_design(made.design, last)
        if news is not None:
            news.made()
        return
    if made.problems:
        from harness.cli.read import problem_words

        for problem in made.problems:
            click.echo(problem_words(problem), err=True)
        count = len(made.problems)
        headline = f"{count} problem{'s' if count != 1 else ''}; the results are still those of before."
    else:
        headline = f"{made.failed}; the results are still those of before."
    click.echo(file_shown(headline), err=True)
    if news is not None:
        news.wrong(headline, [str(problem) for problem in made.problems])


def _say_design(design: Design, last: Design | None) -> None:
    """The whole summary at first; then the totals, and of the findings those that came and went."""
    from rich.console import Console

    from harness.book.summary import print_changes, print_summary

    console = Console(highlight=False)
    if last is None:
        print_summary(design, console)
        return
    came, went = changes(last.findings, design.findings)
    print_changes(design, came, went, console)


def made_of(
    survey: Path, catalogue: Path | None, rules: str | None, make: Callable[[Machine], Design],
    choices: Path | None = None,
) -> Round:  # fmt: skip
    """Read the survey and make its results; what is wrong is returned, not raised."""
    from harness.cli.read import tried

    try:
        machine = tried(survey, rules=rules, catalogue=catalogue, choices=choices)
        if isinstance(machine, list):
            named = (Path(problem.where.file) for problem in machine)
            return Round(problems=machine, beside=tuple(path for path in named if path != survey))
        own = machine.catalogue.file
        beside = (survey.parent / own,) if own and catalogue is None else ()
        return Round(make(machine), beside=beside)
    except click.ClickException as error:
        return Round(failed=error.format_message())
    except SystemExit:  # a list given beside the survey is wrong, and every mistake in it was said
        return Round(failed="a list is wrong")


def refuse_missing(paths: Iterable[Path]) -> None:
    """Raises CannotRead for what cannot be watched: a slip of the pen would be waited for all day."""
    from harness.cli.read import CannotRead

    for path in paths:
        if path.is_file():
            continue
        if str(path) == "-":
            raise CannotRead("standard input cannot be watched; name the file itself")
        if path.exists():
            raise CannotRead(f"{path}: is no plain file, and only such can be watched; name the file itself")
        raise CannotRead(f"{path}: {NOT_THERE}")


def watched(
    survey: Path, folder: Path, *, show: bool, port: int, rules: str | None, catalogue: Path | None,
    choices: Path | None, lists: Sequence[Path], design: Callable[[Machine], Design],
) -> None:  # fmt: skip
    """Watch a survey and show its book to a browser on this computer until Ctrl-C.

    Raises CannotShow, and CannotRead where a file that was named is not there.
    """
    from harness.cli.build import build_files
    from harness.cli.files import check_folder
    from harness.cli.live import HOST, Live
    from harness.cli.read import choices_beside
    from harness.making.second import Second

    def make(machine: Machine) -> Design:
        with Second() as second:
            made = design(machine)
            build_files(made, folder, second=second, leave_out=["book.pdf"], quiet=False)
        return made

    refuse_missing(path for path in (survey, *lists, catalogue, choices) if path is not None)
    check_folder(folder)
    named = (*lists, catalogue, choices or choices_beside(survey))
    others = [path for path in named if path is not None]
    watcher = Watcher([survey, *others])
    try:
        live = Live(folder, port)
    except OSError as error:
        reason = error.strerror or error
        raise CannotShow(f"port {port} of {HOST} cannot be had: {reason}; try --port 0") from None
    click.echo(f"the book is at {live.address} for this computer alone; Ctrl-C ends")
    if show:
        click.launch(live.address)
    try:
        watch(survey, others, lambda: made_of(survey, catalogue, rules, make, choices), live.news, watcher)
    except KeyboardInterrupt:
        click.echo("\nstopped; the results stay where they are")
    finally:
        live.stop()
