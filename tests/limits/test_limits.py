"""Every stated limit: what is as large as it may be is read, what is larger is refused where it stands."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path

import click
import pytest

from harness.model.limits import LIMITS, size
from harness.model.problem import SurveyWrong
from harness.record.entry import BadEntry
from harness.record.store import Unreadable
from tests.limits.cases import CASES, Case

HARNESS = Path(__file__).parents[2] / "harness"
REFUSED = (SurveyWrong, click.ClickException, BadEntry, Unreadable, ValueError, TypeError)


def _said(case: Case, folder: Path, many: int) -> str:
    """What is said against so many of a thing, "" where all is well."""
    folder.mkdir()
    try:
        case.read(folder, many)
    except SurveyWrong as wrong:
        return "\n".join(map(str, wrong.problems))
    except REFUSED as wrong:
        return str(wrong)
    return ""


@pytest.mark.parametrize("name", LIMITS)
def test_what_is_at_the_limit_is_read_and_what_is_above_is_refused(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    case = CASES[name]
    most = case.to or LIMITS[name].most
    if case.lowered:
        where, _, key = case.lowered.partition(":")
        if key:
            module, _, table = where.rpartition(".")
            monkeypatch.setitem(getattr(import_module(module), table), key, case.to)
        else:
            monkeypatch.setattr(where, case.to)
    assert case.words not in _said(case, tmp_path / "at", most)
    above = _said(case, tmp_path / "above", most + 1)
    (line,) = [line for line in above.splitlines() if case.words in line]
    assert case.spot in line or case.spot in above.partition(line)[0].splitlines()[-1]


def test_every_limit_is_tried_and_used() -> None:
    assert list(CASES) == list(LIMITS)
    code = "".join(
        path.read_text(encoding="utf-8") for path in HARNESS.rglob("*.py") if path.name != "limits.py"
    )
    assert [name for name in LIMITS if f'"{name}"' not in code] == []


@pytest.mark.parametrize(
    ("many", "words"), [(200, "0.2 kB"), (200_000, "200 kB"), (1_500_000, "1.5 MB"), (200_000_000, "200 MB")]
)
def test_bytes_in_words(many: int, words: str) -> None:
    assert size(many) == words
