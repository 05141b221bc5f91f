"""Files that are kept with a record: copied in whole under a safe name, or refused with the reason."""

from __future__ import annotations

import os
import re
import stat
import unicodedata
from hashlib import sha256
from pathlib import Path

from harness.disk.lock import Locked
from harness.disk.words import unread, why
from harness.disk.writing import named, new_file, put, settle_folder, staged
from harness.model.limits import LIMITS
from harness.record.entry import Attachment, BadEntry, RecordError

LARGEST_ATTACHMENT_BYTES = LIMITS["attachment bytes"].most
MOST_ATTACHMENTS = LIMITS["attachments"].most
FOLDER = "attachments"
_CHUNK = 1 << 20
_COPY = "copy"
_LONGEST_STEM = 60  # bytes
_LONGEST_ENDING = 8
_SAFE = re.compile(r"^[\w-][\w.-]*$")


class CannotKeep(RecordError):
    """The disk would not take it; what was in the record before is whole."""


def refused(file: Path, error: OSError) -> str:
    """What a disk said to an entry or its file, in words."""
    return f"{file}: the entry was not kept: {why(error)}; the entries before are as they were"


def safe_name(named: str, digest: str) -> str:
    """A name that no file system, page or terminal stumbles over: "left-lamp-3f2a9c1b77de.jpg"."""
    base = re.split(r"[/\\]", unicodedata.normalize("NFC", named))[-1]
    stem, dot, ending = base.rpartition(".")
    if not dot or not re.fullmatch(rf"[A-Za-z0-9]{{1,{_LONGEST_ENDING}}}", ending):
        stem, ending = base, ""
    words = re.sub(r"[\W_]+", "-", stem).strip("-")
    words = words.encode("utf-8", "ignore")[:_LONGEST_STEM].decode("utf-8", "ignore").strip("-") or "file"
    return f"{words}-{digest[:12]}" + (f".{ending.lower()}" if ending else "")


def is_safe(file: str) -> bool:
    """Whether a name found in a record can only mean a file within its folder."""
    return _SAFE.fullmatch(file) is not None and len(file) < 200


def opened(path: Path, most: int) -> int:
    """A handle to a plain file; raises BadEntry for links, folders, devices, pipes and what is too large."""
    name = str(path)
    if path.is_symlink():
        raise BadEntry(f"{name}: is a link; name the file itself")
    try:
        handle = os.open(
            path,
            os.O_RDONLY
            | getattr(os, "O_NOFOLLOW", 0)
            | getattr(os, "O_NONBLOCK", 0)
            | getattr(os, "O_BINARY", 0),
        )
    except FileNotFoundError:
        raise BadEntry(f"{name}: there is no such file") from None
    except (OSError, ValueError) as error:
        reason = unread(error) if isinstance(error, OSError) else error
        raise BadEntry(f"{name}: cannot be read: {reason}") from None
    about = os.fstat(handle)
    if not stat.S_ISREG(about.st_mode):
        os.close(handle)
        raise BadEntry(f"{name}: is not a plain file")
    if about.st_size > most:
        os.close(handle)
        raise BadEntry(f"{name}: is {about.st_size / 1e6:.0f} MB, and at most {most / 1e6:g} MB are kept")
    return handle


def attach(folder: Path, paths: list[Path]) -> tuple[Attachment, ...]:
    """Copy files into the folder of attachments of the record in ``folder``, down to the disk.

    Raises BadEntry where one of them cannot be taken, before any is; CannotKeep where the disk refuses.
    """
    if len(paths) > MOST_ATTACHMENTS:
        raise BadEntry(f"an entry takes at most {MOST_ATTACHMENTS} files; make two entries of it")
    if not paths:
        return ()
    handles: list[tuple[int, Path]] = []
    try:
        for path in paths:
            handles.append((opened(path, LARGEST_ATTACHMENT_BYTES), path))
        place = folder / FOLDER
        if place.is_symlink() or (place.exists() and not place.is_dir()):
            raise BadEntry(f"{place}: is not a folder, so nothing is put there")
        try:
            with staged(place) as side:
                kept = tuple(_copied(handle, path, side) for handle, path in handles)
                put(place, side, together=False)  # of one name there is only the same content
            settle_folder(folder)
        except OSError as error:
            raise CannotKeep(refused(place, error)) from None
        except Locked as error:
            raise CannotKeep(f"{error}; the entries before are as they were") from None
        return kept
    finally:
        for handle, _ in handles:
            os.close(handle)


def _copied(source: int, path: Path, side: Path) -> Attachment:
    """One file copied to the side under a name for the time being, and given its name."""
    summed, size = sha256(), 0
    with new_file(side, _COPY) as stream:
        while chunk := os.read(source, _CHUNK):
            size += len(chunk)
            if size > LARGEST_ATTACHMENT_BYTES:  # it grew while it was read
                raise BadEntry(f"{path}: is larger than {LARGEST_ATTACHMENT_BYTES / 1e6:g} MB")
            summed.update(chunk)
            stream.write(chunk)
    digest = summed.hexdigest()
    kept = Attachment(safe_name(path.name, digest), path.name, size, digest)
    named(side, _COPY, kept.file)
    return kept


def digest_of(path: Path) -> tuple[int, str]:
    """Size and SHA-256 of a file that is kept; raises BadEntry."""
    handle = opened(path, LARGEST_ATTACHMENT_BYTES)
    try:
        summed, size = sha256(), 0
        while chunk := os.read(handle, _CHUNK):
            summed.update(chunk)
            size += len(chunk)
        return size, summed.hexdigest()
    except OSError as error:
        raise BadEntry(f"{path}: cannot be read: {unread(error)}") from None
    finally:
        os.close(handle)
