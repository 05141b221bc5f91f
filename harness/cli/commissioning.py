"""What the commands of first power and of readings print and keep."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from datetime import date
from pathlib import Path
from shlex import quote
from typing import TYPE_CHECKING, Any

import click

from harness.book.text import one_line
from harness.cli.build import design_of
from harness.cli.clock import now
from harness.cli.files import CannotWrite
from harness.cli.read import content_of
from harness.cli.readingtable import reading_row, reading_table
from harness.cli.sizable import mode_named
from harness.commissioning.asked import NotAsked, meant_test, value_read
from harness.commissioning.judging import Verdict, band_words, drift, figure, judged
from harness.commissioning.plan import by_key
from harness.commissioning.steps import first_power
from harness.commissioning.trial import Step, Test
from harness.electric.wanted import Wanted
from harness.model.design import Design
from harness.model.limits import LIMITS
from harness.model.machine import Machine
from harness.model.problem import Problem, Where
from harness.signs import json_text

if TYPE_CHECKING:
    from harness.record.entry import Entry

LARGEST_BYTES = LIMITS["readings bytes"].most
WIDTH = 100


@dataclass(frozen=True, slots=True)
class Keeping:
    """Where readings are kept, and by whom and at how many hours they were taken."""

    folder: Path
    by: str = ""
    hours: float | None = None
    when: date | None = None  # they were taken, if not now

    @classmethod
    def of(
        cls, survey: Path, folder: Path | None, *,
        by: str = "", hours: float | None = None, when: date | None = None,
    ) -> Keeping:  # fmt: skip
        """The record beside a survey, or the folder given. Raises click.UsageError for standard input."""
        from harness.record.store import record_folder

        if folder is None and str(survey) == "-":
            raise click.UsageError(
                "a survey from standard input has no record beside it; give --record FOLDER"
            )
        return cls(folder if folder is not None else record_folder(survey), by, hours, when)

    def entries(self) -> tuple[Entry, ...]:
        """What is kept, the oldest first. Raises CannotWrite where it cannot be read."""
        from harness.record.entry import RecordError
        from harness.record.store import Record

        try:
            return Record.open(self.folder).entries().entries
        except RecordError as error:
            raise CannotWrite(str(error)) from None

    def keep(self, verdict: Verdict) -> str:
        """Keep one reading; remarks of the record in words. Raises CannotWrite."""
        from harness.record.entry import RecordError
        from harness.record.store import Record

        test, value = verdict.test, verdict.value
        fields = {
            "test": test.key, "value": value, "unit": test.unit, "mode": test.mode, "low": test.low,
            "high": test.high, "expected": test.expected, "good": verdict.good,
        }  # fmt: skip
        text = f"{said(test)}: {figure(value, test.unit)}, {verdict.words}"
        try:
            kept = Record.open(self.folder).append(
                "reading", text, fields, when=self.when, written=now(), subject=test.subject,
                by=self.by, hours=self.hours,
            )  # fmt: skip
        except RecordError as error:
            raise CannotWrite(str(error)) from None
        return " ".join(kept.remarks)


def said(test: Test) -> str:
    """A test in words, with its mode."""
    named = not test.mode or f" in {test.mode}" in test.what
    return test.what if named else f"{test.what} in {test.mode}"


def _design(machine: Machine) -> Design:
    return design_of(machine, Wanted(), quiet=True)


# ------------------------------------------------------------------------------------------------ the order


def _steps(machine: Machine, step: str | None, mode: str | None) -> Iterator[Step]:
    design = _design(machine)
    if mode is not None:
        mode_named(mode, (one.name for one in design.modes))
    for one in first_power(design, circuits=True):
        if step is not None and one.key.partition(":")[0] != step:
            continue
        rows = tuple(test for test in one.readings if mode is None or test.mode in ("", mode))
        yield Step(one.key, one.title, one.cautions, one.do, rows)


def tests_json(machine: Machine, step: str | None, mode: str | None) -> str:
    """The steps as JSON."""
    rows = [asdict(one) for one in _steps(machine, step, mode)]
    return json_text({"steps": rows})


def tests_text(machine: Machine, step: str | None, mode: str | None) -> str:
    """The steps in words: cautions first, then what to do, then what to measure."""
    lines: list[str] = []
    for at, one in enumerate(_steps(machine, step, mode), start=1):
        lines += [f"{at}. {one.title.upper()}"]
        for text in one.cautions:
            lines += _wrapped(f"CAUTION: {text}", "   ! ", "     ")
        for text in one.do:
            lines += _wrapped(text, "   - ", "     ")
        for test in one.readings:
            lines += _wrapped(_row(test), "   [ ] ", "       ")
            lines.append(f"       key: {one_line(test.key)}")
        lines.append("")
    if not lines:
        return "nothing to do in that step on this machine"
    return "\n".join(lines).rstrip()


def _row(test: Test) -> str:
    expected = f"expect {figure(test.expected, test.unit)}" if test.expected is not None else ""
    band = f"good: {band_words(test)}" if band_words(test) else ""
    figures = ", ".join(each for each in (expected, band) if each)
    return f"{test.what}{f' ({test.how})' if test.how else ''}: {figures}"


def _wrapped(text: str, first: str, then: str) -> list[str]:
    import textwrap

    return textwrap.wrap(one_line(text), WIDTH, initial_indent=first, subsequent_indent=then) or [first]


# ------------------------------------------------------------------------------------------------- readings


def reading_added(
    machine: Machine, words: str, value: str, keeping: Keeping | None, *, as_json: bool, survey: str
) -> tuple[str, bool]:
    """Judge one reading and keep it; what to say and whether it is good. Raises click.UsageError."""
    tests = by_key(_design(machine))
    try:
        test = meant_test(words, tests)
        verdict = judged(test, value_read(value, test))
    except NotAsked as error:
        raise click.UsageError(one_line(str(error))) from None
    before = _readings(keeping.entries()) if keeping is not None else {}
    remarks = keeping.keep(verdict) if keeping is not None else ""
    first = before.get(test.key, [])[:1]
    moved = drift(first[0], verdict.value, test) if first else ""
    if as_json:
        found = {**_data(verdict), "moved": moved, "next": _next(verdict, survey)}
        return json_text(found), verdict.good
    lines = [f"{said(test)}: {figure(verdict.value, test.unit)}", f"  {verdict.words}"]
    if verdict.points_to:
        lines.append(f"  points to: {verdict.points_to}")
    if moved:
        lines.append(f"  {moved} ({figure(first[0], test.unit)})")
    if not verdict.good:
        lines += [f"  next: {each}" for each in _next(verdict, survey)]
    lines += [f"  {remarks}"] if remarks else []
    return "\n".join(map(one_line, lines)), verdict.good


def _next(verdict: Verdict, survey: str) -> list[str]:
    """The command that says which fault this may be, with the reading in it; none where all is good."""
    test = verdict.test
    if verdict.good or not test.asks:
        return []
    value = abs(verdict.value) if test.asks_from is None else test.asks_from - abs(verdict.value)
    reading = f"{test.asks} = {value:.2f} {test.unit}"
    return [
        f"harness diagnose {quote(survey)} --mode {quote(test.mode)} --reading {quote(reading)}",
    ]


def _data(verdict: Verdict) -> dict[str, Any]:
    test = verdict.test
    return {
        "test": test.key, "what": test.what, "mode": test.mode, "value": verdict.value, "unit": test.unit,
        "expected": test.expected, "low": test.low, "high": test.high, "good": verdict.good,
        "words": verdict.words, "points_to": verdict.points_to,
    }  # fmt: skip


def _readings(entries: tuple[Entry, ...]) -> dict[str, list[float]]:
    """Test -> what was read, the first first."""
    found: dict[str, list[float]] = {}
    for entry in entries:
        key, value = entry.fields.get("test"), entry.fields.get("value")
        if entry.kind == "reading" and isinstance(key, str) and isinstance(value, int | float):
            found.setdefault(key, []).append(float(value))
    return found


def readings_imported(
    machine: Machine, file: Path, keeping: Keeping, *, as_json: bool, survey: str
) -> tuple[str, bool]:
    """Keep every reading of a file; what to say and whether all are good. Exits with 2 on any mistake."""
    from harness.cli.read import tell
    from harness.commissioning.typed import typed_readings

    name, content = content_of(file, LARGEST_BYTES)
    tests = by_key(_design(machine))
    typed, problems = typed_readings(content, name)
    verdicts = []
    for each in typed:
        try:
            test = meant_test(each.key, tests) if each.key in tests else _unknown(each.key, tests)
            verdicts.append(judged(test, value_read(each.text, test)))
        except NotAsked as error:
            problems.append(Problem(each.where, one_line(str(error)), "mend it there, or empty the field"))
    if not typed and not problems:
        what = "holds no reading"
        problems.append(Problem(Where(name), what, "type readings into the book's page or the sheet Tests"))
    if problems:
        tell(problems, as_json=as_json)
        raise SystemExit(2)
    known = {key: values[-1] for key, values in _readings(keeping.entries()).items()}
    fresh = [one for one in verdicts if known.get(one.test.key) != one.value]
    for verdict in fresh:
        keeping.keep(verdict)
    bad = [one for one in verdicts if not one.good]
    if as_json:
        rows = [_data(one) for one in verdicts]
        return json_text({"kept": len(fresh), "readings": rows}), not bad
    lines = [
        f"{len(fresh)} readings kept in {keeping.folder}, {len(verdicts) - len(fresh)} were there already"
    ]
    for one in bad:
        lines.append(f"{said(one.test)}: {figure(one.value, one.test.unit)}, {one.words}")
        if one.points_to:
            lines.append(f"  points to: {one.points_to}")
        lines += [f"  next: {each}" for each in _next(one, survey)]
    lines.append(f"{len(bad)} outside of their bands" if bad else "all within their bands")
    return "\n".join(map(one_line, lines)), not bad


def _unknown(key: str, tests: Mapping[str, Test]) -> Test:
    from difflib import get_close_matches

    near = get_close_matches(key, tests, n=1, cutoff=0.6)
    hint = f"; the nearest is {near[0]!r}" if near else ""
    raise NotAsked(f"this machine has no test {key!r}{hint}")


def readings_shown(machine: Machine, keeping: Keeping, *, every: bool, as_json: bool) -> str:
    """A table of the readings that are kept."""
    tests = by_key(_design(machine))
    kept = _readings(keeping.entries())
    gone = [key for key in kept if key not in tests]
    rows = [
        (test, values[0], values[-1], len(values))
        for test in tests.values()
        if (values := kept.get(test.key))
    ]
    if as_json:
        found = [
            {
                **_data(judged(test, latest)),
                "first": first,
                "count": count,
                "moved": drift(first, latest, test),
            }
            for test, first, latest, count in rows
        ]
        return json_text({"readings": found, "no_longer_tested": gone})
    shown = [
        reading_row(said(test), test, kept.get(test.key, ()))
        for test in tests.values()
        if every or test.key in kept
    ]
    lines = reading_table(shown) if shown else []
    lines += [one_line(f"{key}: read before, and no longer a test of this machine") for key in gone]
    return "\n".join(lines) if lines else "no readings are kept of this machine yet"
