"""A few kills at the same steps each time; `python -m tests.faults.kills 100` does hundreds."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.faults.commands import COMMANDS
from tests.faults.killing import left_unfinished
from tests.faults.kills import _state, by_itself, tried, warmed

OLD = {"a": b"old a", "b": b"old b"}
NEW = {"a": b"new a", "b": b"new b"}


@pytest.mark.parametrize(("name", "kills"), [("convert", 3), ("record add", 8)], ids=lambda each: str(each))
def test_whatever_is_killed_leaves_the_old_or_the_new_and_the_next_mends_it(name: str, kills: int) -> None:
    """A file that is written over, and a record that is added to with a photo."""
    warmed(COMMANDS[name])
    counts = tried(COMMANDS[name], kills, kill=by_itself)
    assert counts["torn"] == 0 and counts["mended"] == counts["tried"] == counts["killed in time"] == kills
    assert counts["old"] > 0 and counts["old"] + counts["new"] == kills


@pytest.mark.parametrize(
    ("there", "state"),
    [
        (OLD, "old"),
        (NEW, "new"),
        ({"a": b"new a", "b": b"old b"}, "torn"),
        ({"a": b"new", "b": b"old b"}, "torn"),
        ({"a": b"old a"}, "torn"),
        ({**OLD, "c": b"half made"}, "torn"),
    ],
)
def test_the_judge_knows_what_is_torn(tmp_path: Path, there: dict[str, bytes], state: str) -> None:
    for name, held in there.items():
        (tmp_path / name).write_bytes(held)
    assert _state(tmp_path, OLD, NEW) == state


def test_the_judge_knows_what_is_told(tmp_path: Path) -> None:
    for name, held in OLD.items():
        (tmp_path / name).write_bytes(held)
    left_unfinished(tmp_path, NEW)
    assert _state(tmp_path, OLD, NEW) in ("mixed and told", "new")  # it was told even after the last
