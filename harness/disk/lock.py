"""One writer at a time: a lock that the system takes back when its owner dies, however it dies."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

try:
    import fcntl
except ImportError:  # no such thing on this system: a lock file takes its place
    fcntl = None  # type: ignore[assignment]

TRIES = 600
PAUSE_S = 0.05  # between two tries: half a minute in all
LOCK_FILE = "harness.lock"
_BUSY = (FileExistsError, PermissionError) if os.name == "nt" else FileExistsError


class Locked(Exception):
    """Somebody else kept it for longer than anybody waits."""


@contextmanager
def locked(handle: int | None, folder: Path, *, alone: bool = True, tries: int = TRIES) -> Iterator[None]:
    """Hold the open file or folder ``handle``, which lies in or is ``folder``, ``alone`` or beside others.

    Where the disk knows no such locks a file in the folder is one, for whoever wants to be alone. Raises
    Locked after so many ``tries``.
    """
    if handle is None or not _taken(handle, folder, alone=alone, tries=tries):
        if not alone:
            yield
            return
        with _lock_file(folder, tries):
            yield
        return
    try:
        yield
    finally:
        fcntl.flock(handle, fcntl.LOCK_UN)


@contextmanager
def folder_locked(folder: Path) -> Iterator[None]:
    """Be the only one who puts files into a folder; raises Locked."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except PermissionError:  # a folder cannot be opened everywhere, nor by everybody
        with locked(None, folder):
            yield
        return
    try:
        with locked(handle, folder):
            yield
    finally:
        os.close(handle)


def held(folder: Path) -> int | None:
    """Mark a folder as of a living process: a handle that is let go when it dies; None where none can be."""
    if fcntl is None:
        return None
    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        os.close(handle)
        return None
    return handle


def abandoned(folder: Path) -> bool:
    """Whether whoever held a folder is surely gone."""
    try:
        handle = held(folder)
    except OSError:
        return False
    if handle is None:
        return False
    os.close(handle)
    return True


def _taken(handle: int, folder: Path, *, alone: bool, tries: int) -> bool:
    """Take the lock; False where the disk knows none."""
    if fcntl is None:
        return False
    wanted = (fcntl.LOCK_EX if alone else fcntl.LOCK_SH) | fcntl.LOCK_NB
    for left in range(tries, -1, -1):
        try:
            fcntl.flock(handle, wanted)
            return True
        except BlockingIOError:
            _wait(left, folder, "")
        except OSError:
            return False
    return False


@contextmanager
def _lock_file(folder: Path, tries: int) -> Iterator[None]:
    """A file that only one can make; where the system can, it goes with whoever holds it open."""
    path = folder / LOCK_FILE
    goes_with_owner = getattr(os, "O_TEMPORARY", 0)
    for left in range(tries, -1, -1):
        try:
            handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR | goes_with_owner)
            break
        except _BUSY:
            _wait(left, folder, f"; if nothing else is at work on it, take {path.name} away")
    try:
        yield
    finally:
        os.close(handle)
        if not goes_with_owner:
            path.unlink(missing_ok=True)


def _wait(left: int, folder: Path, hint: str) -> None:
    if left == 0:
        raise Locked(f"somebody else is writing in {folder} and does not come to an end{hint}")
    time.sleep(PAUSE_S)
