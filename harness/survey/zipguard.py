"""Refuses a workbook that is made to harm: one that swells when unpacked, or defines words of its own."""

from __future__ import annotations

import zipfile
import zlib
from io import BytesIO

MOST_FILES = 2_000
MOST_UNPACKED = 60_000_000  # bytes of all files in it together
_CHUNK = 1 << 16


class BadWorkbook(Exception):
    """The file is no workbook that may be opened; the message says why, in words for its owner."""


def checked_workbook(content: bytes) -> BytesIO:
    """The workbook as a stream that is safe to hand on. Raises BadWorkbook.

    Sizes are counted while unpacking: what the file says of itself may be untrue.
    """
    try:
        with zipfile.ZipFile(BytesIO(content)) as archive:
            entries = archive.infolist()
            if len(entries) > MOST_FILES:
                raise BadWorkbook(f"holds {len(entries)} files; a workbook holds a few dozen")
            if not any(entry.filename == "[Content_Types].xml" for entry in entries):
                raise BadWorkbook("is a zip file, but no workbook")
            left = MOST_UNPACKED
            for entry in entries:
                left = _unpacked(archive, entry, left)
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, RuntimeError) as error:
        raise BadWorkbook(f"cannot be opened as a workbook: {error}") from None
    return BytesIO(content)


def _unpacked(archive: zipfile.ZipFile, entry: zipfile.ZipInfo, left: int) -> int:
    """Unpack one file in memory, a little at a time; what is left of the bytes allowed."""
    tail = b""
    with archive.open(entry) as stream:
        while chunk := stream.read(_CHUNK):
            left -= len(chunk)
            if left < 0:
                raise BadWorkbook(f"swells to more than {MOST_UNPACKED // 1_000_000} MB when unpacked")
            if entry.filename.endswith((".xml", ".rels")):
                seen = (tail + chunk).replace(b"\0", b"")  # UTF-16 too
                if b"<!DOCTYPE" in seen or b"<!ENTITY" in seen:
                    raise BadWorkbook("holds XML that defines words of its own, which no spreadsheet writes")
                tail = chunk[-40:]
    return left
