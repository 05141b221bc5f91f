"""Writes what a command has made, and says in words why where it cannot."""

from __future__ import annotations

import stat
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

import click

from harness.book.text import one_line
from harness.disk.lock import Locked
from harness.disk.words import why
from harness.disk.writing import MARKER, unfinished, write_set


class CannotWrite(click.ClickException):
    """A folder or file that could not be written; what was there before is whole."""

    exit_code = 3


@contextmanager
def told(place: Path, folder: Path) -> Iterator[None]:
    """Writing ``place`` into ``folder``: what the disk answers becomes CannotWrite."""
    try:
        yield
    except Locked as error:
        raise CannotWrite(one_line(f"{error}; the previous version is as it was")) from None
    except OSError as error:
        state = "the previous version is as it was"
        if unfinished(folder):
            state = f"some files there are new and some old, as {MARKER} says, until the command runs again"
        raise CannotWrite(one_line(f"{place}: cannot be written: {why(error)}; {state}")) from None


def write_all(folder: Path, files: Mapping[str, bytes], gone: Sequence[str] = ()) -> list[Path]:
    """Write ``files`` (name -> content) into ``folder`` as one set; those ``gone`` are taken away.

    Raises CannotWrite.
    """
    with told(folder, folder):
        write_set(folder, files, gone)
    return [folder / name for name in files]


def write_file(file: Path, content: bytes) -> None:
    """Write one file; through a link that was named the file it leads to. Raises CannotWrite."""
    target = file_behind(file)
    with told(file, target.parent):
        write_set(target.parent, {target.name: content})


def file_behind(file: Path) -> Path:
    """The file that a name or a link stands for; raises CannotWrite where it is anything but a plain file."""
    try:
        found = file.stat().st_mode
        target = file.resolve() if file.is_symlink() else file
    except FileNotFoundError:
        if file.is_symlink():
            raise _no_file(file, "is a link that leads nowhere: take it away, or name another file") from None
        return file
    except (OSError, RuntimeError) as error:
        with told(file, file.parent):
            raise OSError(*error.args[:2]) if isinstance(error, OSError) else OSError(str(error)) from None
    if stat.S_ISDIR(found):
        raise _no_file(file, "is a folder: name a file")
    if not stat.S_ISREG(found):
        raise _no_file(file, "is no plain file: name another one")
    return target


def _no_file(file: Path, what: str) -> CannotWrite:
    return CannotWrite(one_line(f"{file}: {what}; nothing was written"))
