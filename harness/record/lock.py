"""One writer at a time: a lock that the system takes back when its owner dies, however it dies."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from pathlib import Path

from harness.record.entry import RecordError

try:
    import fcntl
except ImportError:  # no such thing on this system: a lock file takes its place
    fcntl = None  # type: ignore[assignment]

TRIES = 600
PAUSE_S = 0.05  # between two tries: half a minute in all
LOCK_FILE = "record.lock"


class Locked(RecordError):
    """Somebody else kept the record for longer than anybody waits."""


@contextmanager
def locked(handle: int, folder: Path, *, alone: bool = True, tries: int = TRIES) -> Iterator[None]:
    """Hold the open file ``handle`` of the record in ``folder``, ``alone`` or beside other readers.

    Raises Locked after so many ``tries``.
    """
    if fcntl is None:
        with _lock_file(folder, tries) if alone else nullcontext():
            yield
        return
    wanted = (fcntl.LOCK_EX if alone else fcntl.LOCK_SH) | fcntl.LOCK_NB
    for left in range(tries, -1, -1):
        try:
            fcntl.flock(handle, wanted)
            break
        except BlockingIOError:
            _wait(left, "")
    try:
        yield
    finally:
        fcntl.flock(handle, fcntl.LOCK_UN)


@contextmanager
def _lock_file(folder: Path, tries: int) -> Iterator[None]:
    """A file that only one can make; where the system can, it goes with whoever holds it open."""
    path = folder / LOCK_FILE
    goes_with_owner = getattr(os, "O_TEMPORARY", 0)
    for left in range(tries, -1, -1):
        try:
            handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR | goes_with_owner)
            break
        except (FileExistsError, PermissionError):
            _wait(left, f"; if nothing else is at work on it, take {path.name} away")
    try:
        yield
    finally:
        os.close(handle)
        if not goes_with_owner:
            path.unlink(missing_ok=True)


def _wait(left: int, hint: str) -> None:
    if left == 0:
        raise Locked(f"somebody else is writing in the record and does not come to an end{hint}")
    time.sleep(PAUSE_S)
