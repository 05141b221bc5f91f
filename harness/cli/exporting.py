"""Writes an export as a folder or as a zip: whole or not at all, and never over what is not its own."""

from __future__ import annotations

import os
import stat
import zipfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path
from typing import BinaryIO

import click

from harness.cli.files import refuse_option, told
from harness.disk.writing import MARKER, PREFIX, new_file, put, settled, staged
from harness.keeping.page import GENERATOR
from harness.keeping.parcel import CHECKS, INDEX, checksums
from harness.signs import file_shown

PIECE = 1 << 20
FIRST_DAY = (1980, 1, 1, 0, 0, 0)  # the first day a zip can name: the same files, the same bytes
MOST_INDEX = 1 << 20

Content = bytes | Path  # a path: a plain file that is copied as it is


class NotOurs(click.ClickException):
    """Something else lies where the export should go."""

    exit_code = 3


@contextmanager
def opened(path: Path) -> Iterator[BinaryIO]:
    """A plain file to read from; raises OSError for a link, a pipe or a device."""
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0))
    with os.fdopen(handle, "rb") as stream:
        if not stat.S_ISREG(os.fstat(stream.fileno()).st_mode):
            raise OSError(0, "is no plain file")
        yield stream


def _copied(content: Content, into: BinaryIO) -> str:
    """Write a content; its SHA-256."""
    total = sha256()
    if isinstance(content, bytes):
        into.write(content)
        total.update(content)
        return total.hexdigest()
    with opened(content) as stream:
        while piece := stream.read(PIECE):
            into.write(piece)
            total.update(piece)
    return total.hexdigest()


def _refuse(path: Path, why: str) -> NotOurs:
    return NotOurs(f"{file_shown(str(path))}: {why}; it is left as it is, name another place with -o")


def _ours(index: bytes) -> bool:
    return f'<meta name="generator" content="{GENERATOR}">'.encode() in index


def _there(folder: Path) -> set[str]:
    """Every file and link in a folder, but for what is being written there at this moment."""
    return {
        path.relative_to(folder).as_posix()
        for where, folders, names in os.walk(folder)
        for path in map(Path(where).joinpath, [*names, *folders])
        if path.is_symlink() or not path.is_dir()
        if not path.relative_to(folder).parts[0].startswith((PREFIX, MARKER))
    }


def _check_folder(folder: Path) -> None:
    """Raises NotOurs where a folder holds anything but an earlier export."""
    there = _there(folder)
    if not there:
        return
    try:
        with opened(folder / INDEX) as stream:
            index = stream.read(MOST_INDEX)
        with opened(folder / CHECKS) as stream:
            lines = stream.read().decode("utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        raise _refuse(folder, "is there and is no export") from None
    known = {line.partition("  ")[2] for line in lines} | {CHECKS}
    if not _ours(index) or not there <= known:
        foreign = sorted(there - known)[:1]
        raise _refuse(folder, f"holds {file_shown(foreign[0])}" if foreign else "is there and is no export")


def _check_zip(file: Path) -> None:
    """Raises NotOurs where a file is anything but an earlier export."""
    try:
        with opened(file) as stream, zipfile.ZipFile(stream) as found, found.open(INDEX) as index:
            ours = _ours(index.read(MOST_INDEX))
    except (OSError, KeyError, zipfile.BadZipFile, NotImplementedError, RuntimeError, ValueError):
        ours = False
    if not ours:
        raise _refuse(file, "is there and is no export")


def check_place(out: Path) -> None:
    """Raises NotOurs or NotThere where the export may not go, before anything is worked out."""
    refuse_option(out)
    if out.is_symlink():
        raise _refuse(out, "is a link")
    if not out.exists():
        return
    zipped = out.suffix.lower() == ".zip"
    if zipped != out.is_file():
        raise _refuse(out, "is a folder" if zipped else "is a file")
    if zipped:
        _check_zip(out)
    else:
        with told(out, out):
            settled(out)
        _check_folder(out)


def _ordered(files: Mapping[str, Content]) -> list[str]:
    return sorted(files, key=lambda name: (name != INDEX, name))


def write_folder(out: Path, files: Mapping[str, Content]) -> None:
    """Write all into a folder in the place of the export that is there. Raises CannotWrite."""
    with told(out, out), staged(out) as side:
        digests = {}
        for name in _ordered(files):
            with new_file(side, name) as stream:
                digests[name] = _copied(files[name], stream)
        with new_file(side, CHECKS) as stream:
            stream.write(checksums(digests))
        put(out, side, gone=sorted(_there(out) - {*files, CHECKS}))


def write_zip(out: Path, files: Mapping[str, Content]) -> None:
    """Write all into one zip, the same bytes for the same files. Raises CannotWrite."""
    with told(out, out.parent), staged(out.parent) as side:
        with new_file(side, out.name) as stream:
            whole = zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED)
            try:
                digests = {name: _packed(whole, name, files[name]) for name in _ordered(files)}
                _packed(whole, CHECKS, checksums(digests))
                whole.close()
            except OSError:
                whole.fp = None  # else it tries to write its end once more when it is thrown away
                raise
        put(out.parent, side)


def _packed(whole: zipfile.ZipFile, name: str, content: Content) -> str:
    info = zipfile.ZipInfo(name, FIRST_DAY)
    info.compress_type, info.create_system, info.external_attr = zipfile.ZIP_DEFLATED, 3, 0o644 << 16
    large = isinstance(content, Path) and content.stat().st_size > zipfile.ZIP64_LIMIT // 2
    with whole.open(info, "w", force_zip64=large) as into:
        return _copied(content, into)  # type: ignore[arg-type]
