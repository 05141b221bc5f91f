"""Writes a set of files so that either all of them are the new version or all stay the old one."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path

import click


class CannotWrite(click.ClickException):
    """A folder or file that could not be written; what was there before is whole."""

    exit_code = 3


def _stage(folder: Path, name: str, content: bytes) -> Path:
    """Write one file under a name of its own beside its place, down to the disk."""
    handle, path = tempfile.mkstemp(prefix=f".{name}.", suffix=".new", dir=folder)
    staged = Path(path)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        staged.chmod(0o644)
    except OSError:
        staged.unlink(missing_ok=True)
        raise
    return staged


def write_all(folder: Path, files: Mapping[str, bytes], gone: Sequence[str] = ()) -> list[Path]:
    """Write ``files`` (name -> content) into ``folder``; those ``gone`` are taken away.

    All are written in full under other names first, so that a full disk leaves the previous version; the
    renaming after that needs no room. Raises CannotWrite.
    """
    staged: dict[str, Path] = {}
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, content in files.items():
            staged[name] = _stage(folder, name, content)
        for name in files:
            staged[name].replace(folder / name)
            del staged[name]
        for name in gone:
            (folder / name).unlink(missing_ok=True)
    except OSError as error:
        for path in staged.values():
            path.unlink(missing_ok=True)
        raise CannotWrite(
            f"{folder}: cannot be written: {error.strerror or error}; the previous version is as it was"
        ) from None
    return [folder / name for name in files]
