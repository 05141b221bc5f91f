"""Writes what a command has made, and says in words why where it cannot."""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

import click

from harness.disk.lock import Locked
from harness.disk.words import why
from harness.disk.writing import MARKER, PREFIX, unfinished, write_set
from harness.signs import file_shown

OUTPUTS = ("out", "target", "folder")  # parameters of commands that name what is written; all others are read


class CannotWrite(click.ClickException):
    """A folder or file that could not be written; what was there before is whole."""

    exit_code = 3


@contextmanager
def told(place: Path, folder: Path) -> Iterator[None]:
    """Writing ``place`` into ``folder``: what the disk answers becomes CannotWrite."""
    try:
        yield
    except Locked as error:
        raise CannotWrite(file_shown(f"{error}; the previous version is as it was")) from None
    except OSError as error:
        state = "the previous version is as it was"
        if unfinished(folder):
            state = f"some files there are new and some old, as {MARKER} says, until the command runs again"
        named = _named(error, place, folder)
        raise CannotWrite(file_shown(f"{named}: cannot be written: {why(error)}; {state}")) from None


def _named(error: OSError, place: Path, folder: Path) -> Path:
    """The file of a set that stands in the way, where it is that; else the place that was named."""
    name = error.filename if isinstance(error.filename, str) else ""
    inside = os.path.relpath(name, folder) if name else ".."
    return place if inside.startswith(("..", PREFIX)) or inside == "." else folder / inside


class NotThere(click.UsageError):
    """A place where nothing of this command's may be written; nothing was."""


def write_all(folder: Path, files: Mapping[str, bytes], gone: Sequence[str] = ()) -> list[Path]:
    """Write ``files`` (name -> content) into ``folder`` as one set; those ``gone`` are taken away.

    Raises CannotWrite, NotThere.
    """
    refuse_option(folder)
    for name in files:
        _refuse_read(folder / name)
    with told(folder, folder):
        write_set(folder, files, gone)
    return [folder / name for name in files]


def write_file(file: Path, content: bytes) -> None:
    """Write one file, also one that was read; through a link that was named the file it leads to.

    Raises CannotWrite, NotThere.
    """
    refuse_option(file)
    target = file_behind(file)
    with told(file, target.parent):
        write_set(target.parent, {target.name: content})


def put_out(file: Path, content: bytes, *endings: str, force: bool = True) -> bool:
    """Write what a command was asked for to the file that was named, or to standard output for ``-``.

    A file that is there is written over by ``force`` where its name has one of the ``endings``; what the
    command has read never. False where it went to standard output. Raises CannotWrite, NotThere.
    """
    if str(file) == "-":
        click.echo(content, nl=False)
        return False
    check_out(file, *endings, force=force)
    write_file(file, content)
    return True


def write_one(file: Path, content: bytes, *endings: str) -> None:
    """``put_out``, and tell so. Raises CannotWrite, NotThere."""
    if put_out(file, content, *endings):
        click.echo(f"wrote {file_shown(str(file))}")


def check_out(file: Path, *endings: str, force: bool = True) -> None:
    """Raises NotThere where a file that is there must not be written over, CannotWrite where none can be.

    To be asked before long work; ``put_out`` asks again.
    """
    if str(file) == "-":
        return
    refuse_option(file)
    _refuse_read(file)
    if not file_behind(file).exists():
        return
    if not force:
        raise NotThere(file_shown(f"{file} is there already; --force writes over it"))
    if not file.name.lower().endswith(endings):
        wanted = " or ".join(endings)
        raise NotThere(file_shown(f"{file} is there already and is no {wanted}; name another file"))


def check_folder(folder: Path) -> None:
    """Raises NotThere or CannotWrite where no folder can be, before long work."""
    refuse_option(folder)
    with told(folder, folder):
        try:
            found = folder.stat().st_mode
        except FileNotFoundError:
            if folder.is_symlink():
                raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST)) from None
            return
        if not stat.S_ISDIR(found):
            raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR))


def _refuse_read(file: Path) -> None:
    """Raises NotThere where a file, by whatever name, is one that the command at work reads."""
    context = click.get_current_context(silent=True)
    for parameter in context.command.params if context is not None else ():
        if not isinstance(parameter.type, click.Path) or parameter.name in OUTPUTS:
            continue
        value = context.params.get(parameter.name or "") if context is not None else None
        for path in value if isinstance(value, tuple) else (value,):
            if isinstance(path, Path) and _same(path, file):
                what = "is" if path == file else f"is the same file as {path}, and that is"
                raise NotThere(file_shown(f"{file} {what} read by this command; write to another place"))


def _same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:
        return False


def refuse_option(place: Path) -> None:
    """Raises NotThere for an option of the command, swallowed by a slip, and for standard output."""
    if str(place) == "-":
        what = "names standard output, where no folder and nothing that is kept can be"
        raise NotThere(f"- {what}; name a place, and write ./- if it is called so")
    context = click.get_current_context(silent=True)
    if context is not None and any(str(place) in each.opts for each in context.command.params):
        raise NotThere(file_shown(f"{place} names no file or folder here; write ./{place} if it is meant"))


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
    return CannotWrite(file_shown(f"{file}: {what}; nothing was written"))
