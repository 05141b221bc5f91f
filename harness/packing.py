"""Workbooks packed to the same bytes whenever they are made, whatever day the computer's clock shows."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable
from datetime import datetime
from typing import Any

from openpyxl import Workbook
from openpyxl.writer.excel import ExcelWriter

NEVER = datetime(1980, 1, 1)  # the earliest a zip file can say; no real time is meant
_STAMP = NEVER.strftime("%Y-%m-%dT%H:%M:%SZ").encode()
_MODIFIED = re.compile(rb"(<dcterms:modified[^>]*>)[^<]*(</dcterms:modified>)")


class _Undated(zipfile.ZipFile):
    """A package whose parts have no time: of a clock that stands at 1970 a zip file could not even tell."""

    def writestr(self, zinfo_or_arcname: str | zipfile.ZipInfo, data: Any, *how: Any, **named: Any) -> None:
        info = zinfo_or_arcname
        if isinstance(info, str):
            info = zipfile.ZipInfo(info, NEVER.timetuple()[:6])
        super().writestr(info, data, *how, **named)


def packed(book: Workbook, part: Callable[[str, bytes], bytes] | None = None) -> bytes:
    """The workbook as XLSX, its parts in a fixed order and no time in it; the list of types stays first.

    part: what becomes of each part of the package, by its name and content.
    """
    book.properties.created = NEVER
    raw, target = io.BytesIO(), io.BytesIO()
    ExcelWriter(book, _Undated(raw, "w", zipfile.ZIP_STORED, strict_timestamps=False)).save()
    source = zipfile.ZipFile(raw)
    names = sorted(source.namelist(), key=lambda name: (name != "[Content_Types].xml", name))
    with _Undated(target, "w") as package:
        for name in names:
            info = zipfile.ZipInfo(name, NEVER.timetuple()[:6])
            info.compress_type = zipfile.ZIP_DEFLATED
            info.create_system = 0
            content = source.read(name)
            if part is not None:
                content = part(name, content)
            if name == "docProps/core.xml":
                content = _MODIFIED.sub(rb"\g<1>" + _STAMP + rb"\g<2>", content)
            package.writestr(info, content)
    return target.getvalue()
