"""What a build leaves when it is killed, and that its bytes hang on nothing but the survey."""

from __future__ import annotations

import os
import signal
from pathlib import Path

import pytest

from harness.cli import files
from tests.faults.reproducible import differing

NAMES = ("book.html", "design.json", "tracks.svg")
OLD = {name: b"old " + name.encode() * 4000 for name in NAMES}
NEW = {name: b"new " + name.encode() * 4000 for name in NAMES}


def killed_at(folder: Path, step: int) -> bool:
    """Write the new set in a process that kills itself before that step; False if it got through."""
    child = os.fork()
    if child == 0:
        left = [step]

        def counted(real):  # type: ignore[no-untyped-def]
            def call(*args, **more):  # type: ignore[no-untyped-def]
                left[0] -= 1
                if left[0] == 0:
                    os.kill(os.getpid(), signal.SIGKILL)
                return real(*args, **more)

            return call

        files.tempfile.mkstemp = counted(files.tempfile.mkstemp)
        files.os.fsync = counted(files.os.fsync)
        Path.replace = counted(Path.replace)  # type: ignore[method-assign]
        Path.chmod = counted(Path.chmod)  # type: ignore[method-assign]
        try:
            files.write_all(folder, NEW)
        finally:
            os._exit(0)
    _, status = os.waitpid(child, 0)
    return os.WIFSIGNALED(status)


@pytest.mark.parametrize("step", range(1, 13))
def test_killed_at_any_step_every_file_is_whole_and_the_next_run_works(step: int, tmp_path: Path) -> None:
    """Before the first renaming all is old; after it each file is old or new, none half written."""
    files.write_all(tmp_path, OLD)
    assert killed_at(tmp_path, step)
    found = {name: (tmp_path / name).read_bytes() for name in NAMES}
    assert all(found[name] in (OLD[name], NEW[name]) for name in NAMES)
    if step <= 3 * len(NAMES) + 1:
        assert found == OLD
    files.write_all(tmp_path, NEW)
    assert {name: (tmp_path / name).read_bytes() for name in NAMES} == NEW


def test_the_steps_are_all_there_are(tmp_path: Path) -> None:
    assert not killed_at(tmp_path, 13)
    assert {path.name for path in tmp_path.iterdir()} == set(NAMES)


def test_two_surroundings_give_the_same_bytes() -> None:
    """Two hash seeds, time zones, locales, widths of the terminal and working folders."""
    assert differing("pump") == []
