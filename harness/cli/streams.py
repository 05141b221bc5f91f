"""The three standard streams made fit to work with, whoever closed them, went away, or has no room.

What is printed must not decide whether files are written. A stream that is closed leads nowhere. Whoever
reads our output and has seen enough (`| head`) stops nothing. Messages that nobody can get end nothing
either; but where standard output goes to a full disk, somebody is waiting for it, and is told.
"""

from __future__ import annotations

import io
import os
import sys
from typing import TypeVar

from harness.disk.words import unread, why

T = TypeVar("T")


class OutputRefused(OSError):
    """Standard output could not be written."""


class _Raw(io.FileIO):
    """A stream's end that takes what it cannot hand on."""

    def __init__(self, handle: int, *, all_goes: bool) -> None:
        super().__init__(handle, "w", closefd=False)
        self._all_goes = all_goes

    def write(self, content: object) -> int:
        try:
            return super().write(content)  # type: ignore[arg-type]
        except BrokenPipeError:
            return memoryview(content).nbytes  # type: ignore[arg-type]
        except OSError as error:
            if not self._all_goes:
                raise OutputRefused(error.errno, error.strerror) from None
            return memoryview(content).nbytes  # type: ignore[arg-type]


def made_fit() -> None:
    """Open what is closed, and let nobody who went away end our work; streams of others are left alone."""
    for handle, mode in enumerate("rww"):
        try:
            os.fstat(handle)
        except OSError:
            taken = os.open(os.devnull, os.O_RDWR)  # the lowest that is free: this one, or one before it
            if taken != handle:
                os.dup2(taken, handle)
                os.close(taken)
        name = ("stdin", "stdout", "stderr")[handle]
        if getattr(sys, name) is None:
            setattr(sys, name, os.fdopen(handle, mode, encoding="utf-8", errors="replace", closefd=False))
    if os.name == "nt":
        return  # its terminals are no plain files
    if sys.stdout is sys.__stdout__:
        sys.stdout = _over(sys.stdout, 1, all_goes=False)
    if sys.stderr is sys.__stderr__:
        sys.stderr = _over(sys.stderr, 2, all_goes=True)


def _over(old: T, handle: int, *, all_goes: bool) -> T | io.TextIOWrapper:
    """A stream like the old one, over the same handle; a terminal stays what it is."""
    if not isinstance(old, io.TextIOWrapper) or old.isatty():
        return old
    return io.TextIOWrapper(
        io.BufferedWriter(_Raw(handle, all_goes=all_goes)),
        encoding=old.encoding, errors=old.errors, line_buffering=old.line_buffering,
        write_through=old.write_through,
    )  # fmt: skip


def refused(error: OSError) -> str:
    """What the system refused, in words. What was still to be printed goes, or it would be tried again."""
    if not isinstance(error, OutputRefused):
        named = f"{error.filename}: " if error.filename else ""
        return f"{named}the system refused it: {unread(error)}"
    _drain()
    return f"standard output cannot be written: {why(error)}"


def _drain() -> None:
    try:
        handle = sys.stdout.fileno()
    except (OSError, ValueError):
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, handle)
    os.close(nowhere)
