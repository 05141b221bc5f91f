"""Writes files to the side, then puts the whole set in its place, or none of it.

All of a set is written in full, down to the disk, in a folder of its own within the target, so that a full
disk leaves the previous version. Then each file is renamed into its place, which needs no room. Before the
first renaming a marker is laid down that says in words what is going on, and taken away after the last:
whoever is killed between the two leaves it, and the next to write there first puts the rest of the
set in place. What somebody left who was killed earlier is cleared away; what a living one writes is not
touched.
"""

from __future__ import annotations

import errno
import os
import re
import shutil
import stat
import tempfile
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from harness.disk.lock import abandoned, folder_locked, held
from harness.disk.words import Told

PREFIX = ".harness-new-"
MARKER = "harness-unfinished.txt"
_NEW, _OLD, _GONE = "new", "old", "gone"
_WRITABLE = stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH
_PROTECTED = "it is protected against writing: take that off if it may be written over, or name another place"
_LONGEST_MARKER = 1 << 20
_TEXT = """The program was stopped while it put files here: some are of the new version, some of the old one:

{names}

Run the same command again. It puts all of them in their place, and takes this file away.
({place})
"""
_LAST_LINE = re.compile(rf"\(({re.escape(PREFIX)}\w+)\)\n\Z")


def write_set(folder: Path, files: Mapping[str, bytes], gone: Collection[str] = ()) -> None:
    """Write ``files`` (name -> content) into ``folder`` as one set; those ``gone`` are taken away.

    Raises OSError, after which all are as they were unless ``unfinished``; Locked.
    """
    with staged(folder) as side:
        for name, content in files.items():
            with new_file(side, name) as stream:
                stream.write(content)
        put(folder, side, gone)


@contextmanager
def staged(folder: Path) -> Iterator[Path]:
    """A place within ``folder`` to write to the side in; what dead writers left there is settled first.

    Raises OSError, Locked.
    """
    before = _made(folder)
    side: Path | None = None
    handle: int | None = None
    try:
        with folder_locked(folder):
            _settle(folder)
            side = Path(tempfile.mkdtemp(prefix=PREFIX, dir=folder))
            handle = held(side)
        yield side
    finally:
        if side is not None and _side_of(folder) != side:
            shutil.rmtree(side, ignore_errors=True)
        if handle is not None:
            os.close(handle)
        for each in before:  # made for nothing, where they are empty still
            with suppress(OSError):
                each.rmdir()


@contextmanager
def new_file(side: Path, name: str) -> Iterator[BinaryIO]:
    """A file to be written to the side, whose place will be ``name``; on the disk at the end."""
    path = side / _NEW / name
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("xb") as stream:
        yield stream
        stream.flush()
        os.fsync(stream.fileno())


def named(side: Path, name: str, other: str) -> None:
    """Give a file that was written to the side another name than it was begun with."""
    (side / _NEW / name).replace(side / _NEW / other)


def put(folder: Path, side: Path, gone: Collection[str] = (), *, together: bool = True) -> None:
    """Put what was written to the side in its place; what is ``gone`` is taken away.

    ``together``: the files are one set. Raises OSError, after which all are as they were unless
    ``unfinished``; Locked.
    """
    names = _names(side)
    with folder_locked(folder):
        _settle(folder)
        gone = [name for name in gone if name not in names and os.path.lexists(folder / name)]
        _check(folder, [*names, *gone])
        for name in names:
            (side / _NEW / name).chmod(_mode(folder / name))
        marked = together and len(names) + len(gone) > 1 and _listed(folder) <= {*names, *gone}
        if marked:
            _mark(folder, side, names, gone)
        done: list[str] = []
        try:
            _put_all(folder, side, names, gone, done)
        except OSError:
            if marked and _taken_back(folder, side, done, gone):
                (folder / MARKER).unlink(missing_ok=True)
            raise
        if marked:
            (folder / MARKER).unlink(missing_ok=True)
            settle_folder(folder)


def settled(folder: Path) -> None:
    """Put in place or clear away what killed writers left in a folder. Raises OSError, Locked."""
    if folder.is_dir():
        with folder_locked(folder):
            _settle(folder)


def unfinished(folder: Path) -> bool:
    """Whether a folder holds files of two versions because somebody was stopped."""
    return _side_of(folder) is not None


def of_two_versions(file: Path) -> bool:
    """Whether a file is one of those that its folder's marker speaks of: old or new, nobody can tell."""
    return file.name in _listed(file.parent)


def settle_folder(folder: Path) -> None:
    """Make sure that the names in a folder are on the disk, where the system lets one."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return  # folders cannot be opened everywhere
    try:
        os.fsync(handle)
    except OSError:
        pass  # nor made sure of
    finally:
        os.close(handle)


# ---------------------------------------------------------------------------------------- putting in place


def _put_all(folder: Path, side: Path, names: Sequence[str], gone: Sequence[str], done: list[str]) -> None:
    """Rename all, and note in ``done`` what was. Raises OSError."""
    for name in names:
        _put_one(folder, side, name)
        done.append(name)
    for name in gone:
        (side / _OLD / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).replace(side / _OLD / name)
        done.append(name)
    for name in gone:
        with suppress(OSError):  # a folder that still holds something stays
            for above in Path(name).parents[:-1]:
                (folder / above).rmdir()
    for each in {(folder / name).parent for name in names}:
        settle_folder(each)


def _put_one(folder: Path, side: Path, name: str) -> None:
    target, kept = folder / name, side / _OLD / name
    target.parent.mkdir(parents=True, exist_ok=True)
    kept.parent.mkdir(parents=True, exist_ok=True)
    with suppress(OSError):  # not every disk has hard links; then nothing can be taken back
        os.link(target, kept, follow_symlinks=False)
    if not os.path.lexists(kept) and os.path.lexists(target):
        (side / _OLD / f"{name}{PREFIX}").touch()
    (side / _NEW / name).replace(target)


def _taken_back(folder: Path, side: Path, done: Sequence[str], gone: Sequence[str]) -> bool:
    """Undo renamings, the last first; False where one cannot be undone."""
    try:
        for name in reversed(done):
            kept = side / _OLD / name
            if os.path.lexists(side / _OLD / f"{name}{PREFIX}"):
                return False
            if name not in gone:
                (folder / name).replace(side / _NEW / name)
            if os.path.lexists(kept):
                kept.replace(folder / name)
    except OSError:
        return False
    return True


def _check(folder: Path, names: Sequence[str]) -> None:
    """Raises OSError where something stands in a file's way that must not be written over."""
    for name in names:
        for above in Path(name).parents[:-1]:
            if (folder / above).is_symlink():
                raise OSError(errno.ELOOP, os.strerror(errno.ELOOP), str(folder / above))
        try:
            found = (folder / name).lstat().st_mode
        except FileNotFoundError:
            continue
        if stat.S_ISDIR(found):
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(folder / name))
        if not (stat.S_ISREG(found) or stat.S_ISLNK(found)):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(folder / name))
        # A renaming asks nobody whether the old file may be written; who protects one means it.
        if stat.S_ISREG(found) and not (found & _WRITABLE and os.access(folder / name, os.W_OK)):
            raise Told(errno.EACCES, _PROTECTED, str(folder / name))


def _mode(target: Path) -> int:
    """The rights of the file that is written over, else those of any document."""
    try:
        found = target.lstat().st_mode
    except OSError:
        return 0o644
    return stat.S_IMODE(found) & 0o777 if stat.S_ISREG(found) else 0o644


def _names(side: Path) -> list[str]:
    new = side / _NEW
    return sorted(
        (Path(where) / name).relative_to(new).as_posix() for where, _, names in os.walk(new) for name in names
    )


# --------------------------------------------------------------------------------------------- the marker


def _mark(folder: Path, side: Path, names: Sequence[str], gone: Sequence[str]) -> None:
    """Say in the folder that its files are changing; raises OSError where something else has the name."""
    marker = folder / MARKER
    if os.path.lexists(marker) and _side_of(folder) is None:
        raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(marker))
    listed = "\n".join(f"  {name}" for name in [*names, *gone])
    words = {_GONE: "\n".join(gone), MARKER: _TEXT.format(names=listed, place=side.name)}
    for name, text in words.items():
        with (side / name).open("xb") as stream:
            stream.write(text.encode("utf-8", "surrogateescape"))
            stream.flush()
            os.fsync(stream.fileno())
    for where, _, _ in os.walk(side):
        settle_folder(Path(where))
    (side / MARKER).replace(marker)
    settle_folder(folder)


def _listed(folder: Path) -> set[str]:
    """The files that a marker speaks of which nobody can finish any more."""
    said = _marked(folder) or ""
    return {line[2:] for line in said.split("\n") if line.startswith("  ")}


def _marked(folder: Path) -> str | None:
    """What the marker says; None where there is none of ours."""
    try:
        handle = os.open(folder / MARKER, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0))
        with os.fdopen(handle, "rb") as stream:
            text = stream.read(_LONGEST_MARKER).decode("utf-8", "surrogateescape")
    except OSError:
        return None
    return text if _LAST_LINE.search(text) else None


def _side_of(folder: Path) -> Path | None:
    """Where the files lie that the marker speaks of."""
    said = _marked(folder)
    found = _LAST_LINE.search(said) if said is not None else None
    return folder / found.group(1) if found else None


# ------------------------------------------------------------------------------------- what others left


def _settle(folder: Path) -> None:
    """Finish what was stopped between two renamings and clear what was stopped before."""
    side = _side_of(folder)
    if side is not None and not side.is_symlink() and side.is_dir() and abandoned(side):
        names = _names(side)
        with suppress(FileNotFoundError):
            listed = (side / _GONE).read_bytes().decode("utf-8", "surrogateescape").split("\n")
            gone = [name for name in listed if _within(name) and os.path.lexists(folder / name)]
            _check(folder, [*names, *gone])
            _put_all(folder, side, names, gone, [])
            (folder / MARKER).unlink(missing_ok=True)
            side = None
    for each in folder.glob(f"{PREFIX}*"):
        if each != side and not each.is_symlink() and each.is_dir() and abandoned(each):
            shutil.rmtree(each, ignore_errors=True)


def _within(name: str) -> bool:
    """Whether a name can only mean something within its folder."""
    return bool(name) and not Path(name).is_absolute() and ".." not in Path(name).parts


def _made(folder: Path) -> list[Path]:
    """Make a folder and those above it; the ones that were not there, the lowest first."""
    missing = []
    for each in (folder, *folder.parents):
        if os.path.lexists(each):
            break
        missing.append(each)
    folder.mkdir(parents=True, exist_ok=True)
    return missing
