"""A workbook file opened with care: a zip whose parts are read one by one within limits, entities never.

What is read is plain: text, numbers, truth values and errors of cells, which cells hold formulas, how numbers
are shown, and what is merged. Macros are refused; links, drawings and photos are never opened.
"""

from __future__ import annotations

import io
import lzma
import posixpath
import re
import struct
import zipfile
import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any
from xml.parsers import expat

from harness.letters import letters_of
from harness.model.limits import LIMITS
from harness.model.problem import Problem, SurveyWrong, Where
from harness.survey.reader import LARGEST_WORKBOOK_BYTES

ENCODINGS = ("utf-8", "utf-16", "us-ascii", "iso-8859-1")  # those expat reads itself; for others it asks
MOST_PARTS = LIMITS["workbook parts"].most
MOST_XML_BYTES = LIMITS["unzipped bytes"].most
MOST_CELLS = LIMITS["workbook cells"].most
MOST_LETTERS = LIMITS["workbook letters"].most
ZIP, OLD = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
SAVE = "open it in a spreadsheet program and save it as a workbook of the kind .xlsx"
_ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")
_TRUTHS = ("TRUE", "FALSE", "TRUE()", "FALSE()")  # as some programs save a truth value that was typed
_REFERENCE = re.compile(r"([A-Z]{1,3})([1-9][0-9]{0,6})")
_DAMAGED = ("the workbook is damaged and cannot be opened", f"take a copy that opens, or {SAVE}")
_READ_ERRORS = (  # what the unpacking of a damaged package ends in
    zipfile.BadZipFile, zlib.error, lzma.LZMAError, EOFError, OSError, KeyError, NotImplementedError,
    RuntimeError, ValueError, struct.error, IndexError,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Raw:
    """One filled cell as the file has it."""

    row: int
    column: int
    kind: str  # "text", "number", "truth", "error", "date"
    text: str
    shows: str = "General"  # number format
    formula: bool = False


@dataclass(slots=True)
class RawSheet:
    """One sheet: its filled cells in the order of the file, and the ranges that are merged."""

    name: str
    cells: list[Raw] = field(default_factory=list)
    merged: list[tuple[int, int, int, int]] = field(
        default_factory=list
    )  # first row, column, last row, column
    hidden: bool = False
    hidden_rows: list[int] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class RawBook:
    """All sheets in their order, hidden ones too."""

    sheets: tuple[RawSheet, ...]
    from_1904: bool = False  # days are counted from 1904


class _Refused(Exception):
    """The file is no workbook that may be read; what and fix in its arguments."""


def open_book(data: bytes, file: str) -> RawBook:
    """Read the cells of a workbook; raises SurveyWrong with one problem where it may or can not be read."""
    try:
        return _Package(_opened(data)).book()
    except _Refused as refused:
        what, fix = refused.args
    except expat.ExpatError:
        what, fix = "the workbook is damaged: a part of it is no sound XML", SAVE
    raise SurveyWrong([Problem(Where(file), what, fix)]) from None


def _opened(data: bytes) -> zipfile.ZipFile:
    if len(data) > LARGEST_WORKBOOK_BYTES:
        raise _Refused(f"the file is larger than {LIMITS['workbook bytes']}", "leave large photos out of it")
    if data.startswith(OLD):
        what = "this is a workbook of the old kind (.xls), or one locked with a password"
        raise _Refused(what, f"take the password off, {SAVE}")
    if not data.startswith(ZIP):
        raise _Refused("this is not a workbook", f"{SAVE}; a survey in YAML is called .yaml")
    end = data.rfind(b"PK\x05\x06")
    if end < 0 or len(data) < end + 12 or int.from_bytes(data[end + 10 : end + 12], "little") > MOST_PARTS:
        raise _Refused("the workbook is damaged, or packed in a way no workbook is", SAVE)
    try:
        return zipfile.ZipFile(io.BytesIO(data))
    except _READ_ERRORS:
        raise _Refused(*_DAMAGED) from None


def _local(tag: str) -> str:
    return tag.rpartition(":")[2]


def parse(
    data: bytes,
    start: Callable[[str, dict[str, str]], None],
    end: Callable[[str], None] | None = None,
    text: Callable[[str], None] | None = None,
) -> None:
    """Run through one XML part; a document type, which could define entities, is refused unread."""
    parser = expat.ParserCreate()
    parser.buffer_text = True

    def declared(_version: str, encoding: str | None, _alone: int) -> None:
        if encoding is not None and encoding.lower() not in ENCODINGS:
            raise _Refused("the workbook holds a part in letters that no workbook is written in", SAVE)

    def doctype(*_: Any) -> None:
        raise _Refused(
            "the workbook holds a document type definition, which no spreadsheet program writes", SAVE
        )

    parser.XmlDeclHandler = declared
    parser.StartDoctypeDeclHandler = doctype
    parser.StartElementHandler = lambda tag, attributes: start(
        _local(tag), {_local(name): value for name, value in attributes.items()}
    )
    if end is not None:
        closing = end
        parser.EndElementHandler = lambda tag: closing(_local(tag))
    if text is not None:
        parser.CharacterDataHandler = text
    parser.Parse(data, True)


def unescaped(text: str) -> str:
    """Text as it was meant where the format writes a letter as _x0041_ (ECMA-376 part 1, 22.9.2.19)."""
    if "_x" not in text:
        return text
    return _ESCAPED.sub(lambda found: chr(int(found[1], 16)), text)


class _Package:
    """The parts of one workbook, read within one allowance."""

    def __init__(self, packed: zipfile.ZipFile) -> None:
        self._packed = packed
        self._names = {info.filename.lower(): info for info in packed.infolist()}
        self._left = MOST_XML_BYTES
        self._cells = MOST_CELLS
        self._letters = MOST_LETTERS

    def book(self) -> RawBook:
        """All sheets."""
        if "mimetype" in self._names or "content.xml" in self._names:
            raise _Refused("this is an OpenDocument file, not a workbook of the kind .xlsx", SAVE)
        if any(name.endswith("vbaproject.bin") for name in self._names):
            raise _Refused(
                "the workbook holds macros, which a survey never needs", "save it as .xlsx, without macros"
            )
        if any(info.flag_bits & 1 for info in self._names.values()):
            raise _Refused(
                "the workbook is locked with a password", "take the password off and save it again"
            )
        main = self._main()
        if main.lower() not in self._names:
            raise _Refused("this is a packed file, but not a workbook", SAVE)
        targets = self._targets(main)
        formats = self._formats(targets)
        texts = self._texts(targets)
        wanted: list[tuple[str, str, bool]] = []
        flags: dict[str, str] = {}

        def start(tag: str, attributes: dict[str, str]) -> None:
            if tag == "sheet":
                hidden = attributes.get("state", "visible") != "visible"
                wanted.append((attributes.get("name", ""), attributes.get("id", ""), hidden))
            elif tag == "workbookPr":
                flags.update(attributes)

        parse(self._bytes(main), start)
        sheets = []
        for name, key, hidden in wanted:
            kind, target = targets.get(key, ("", ""))
            if kind == "worksheet" and target.lower() in self._names:
                sheets.append(self._sheet(name, target, formats, texts))
                sheets[-1].hidden = hidden
        return RawBook(tuple(sheets), flags.get("date1904", "0") in ("1", "true"))

    def _bytes(self, name: str) -> bytes:
        """One part, unzipped no further than what is left of the allowance."""
        try:
            with self._packed.open(self._names[name.lower()]) as stream:
                data = stream.read(self._left + 1)
        except _READ_ERRORS:
            raise _Refused(*_DAMAGED) from None
        self._left -= len(data)
        if self._left < 0:
            most = LIMITS["unzipped bytes"]
            raise _Refused(
                f"the workbook unpacks to more than {most}, which no survey does", "check the file"
            )
        return data

    def _main(self) -> str:
        found: list[str] = []

        def start(tag: str, attributes: dict[str, str]) -> None:
            if tag == "Relationship" and attributes.get("Type", "").endswith("/officeDocument"):
                found.append(attributes.get("Target", "").lstrip("/"))

        if "_rels/.rels" in self._names:
            parse(self._bytes("_rels/.rels"), start)
        return found[0] if found else "xl/workbook.xml"

    def _targets(self, main: str) -> dict[str, tuple[str, str]]:
        """Relation of the workbook -> what it is, and the part it leads to; those outside are left out."""
        folder, name = posixpath.split(main)
        part = posixpath.join(folder, "_rels", f"{name}.rels")
        found: dict[str, tuple[str, str]] = {}

        def start(tag: str, attributes: dict[str, str]) -> None:
            if tag == "Relationship" and attributes.get("TargetMode") != "External":
                target = attributes.get("Target", "")
                whole = target.lstrip("/") if target.startswith("/") else posixpath.join(folder, target)
                kind = attributes.get("Type", "").rpartition("/")[2]
                found[attributes.get("Id", "")] = (kind, posixpath.normpath(whole))

        if part.lower() in self._names:
            parse(self._bytes(part), start)
        return found

    def _part(self, targets: Mapping[str, tuple[str, str]], kind: str) -> bytes | None:
        for found, target in targets.values():
            if found == kind and target.lower() in self._names:
                return self._bytes(target)
        return None

    def _formats(self, targets: Mapping[str, tuple[str, str]]) -> list[str]:
        """The number format of every cell style: its code, or the number of a built-in one."""
        codes: dict[str, str] = {}
        styles: list[str] = []
        inside = [False]

        def start(tag: str, attributes: dict[str, str]) -> None:
            if tag == "numFmt":
                codes[attributes.get("numFmtId", "")] = attributes.get("formatCode", "General")
            elif tag == "cellXfs":
                inside[0] = True
            elif tag == "xf" and inside[0]:
                styles.append(attributes.get("numFmtId", "0"))

        def end(tag: str) -> None:
            if tag == "cellXfs":
                inside[0] = False

        data = self._part(targets, "styles")
        if data is not None:
            parse(data, start, end)
        return [codes.get(each, f"#{each}") for each in styles]

    def _texts(self, targets: Mapping[str, tuple[str, str]]) -> list[str]:
        """The shared texts; of rich text its letters, of phonetic help nothing."""
        found: list[str] = []
        pieces: list[str] = []
        state = {"t": False, "rPh": False}

        def start(tag: str, _: dict[str, str]) -> None:
            if tag == "si":
                pieces.clear()
            if tag in state:
                state[tag] = True

        def end(tag: str) -> None:
            if tag in state:
                state[tag] = False
            if tag == "si":
                found.append(unescaped("".join(pieces)))

        def text(letters: str) -> None:
            if state["t"] and not state["rPh"]:
                pieces.append(letters)

        data = self._part(targets, "sharedStrings")
        if data is not None:
            parse(data, start, end, text)
        return found

    def _sheet(self, name: str, target: str, formats: list[str], texts: list[str]) -> RawSheet:
        reading = _SheetReading(name, formats, texts, self._count)
        parse(self._bytes(target), reading.start, reading.end, reading.text)
        return reading.sheet

    def _count(self, letters: int) -> None:
        self._cells -= 1
        self._letters -= letters
        if self._cells < 0:
            raise _Refused(
                f"the workbook has more than {LIMITS['workbook cells']}", "no machine needs so many"
            )
        if self._letters < 0:
            raise _Refused("the workbook holds more text than any survey", "no machine needs so much")


class _SheetReading:
    """Takes the elements of one sheet as they come."""

    def __init__(self, name: str, formats: list[str], texts: list[str], count: Callable[[int], None]) -> None:
        self.sheet = RawSheet(name)
        self._formats, self._texts, self._count = formats, texts, count
        self._row = self._column = 0
        self._cell: dict[str, str] | None = None
        self._formula = self._phonetic = False
        self._taking = ""
        self._pieces: list[str] = []
        self._formula_pieces: list[str] = []

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        if tag == "row":
            self._row = _number(attributes.get("r"), self._row + 1)
            self._column = 0
            if attributes.get("hidden") in ("1", "true"):
                self.sheet.hidden_rows.append(self._row)
        elif tag == "c":
            self._cell = attributes
            self._formula = self._phonetic = False
            self._pieces, self._formula_pieces = [], []
            found = _REFERENCE.fullmatch(attributes.get("r", ""))
            self._column = column_number(found[1]) if found else self._column + 1
            if found:
                self._row = int(found[2])
        elif tag == "f":
            self._formula = self._cell is not None
            self._taking = tag if self._formula else ""
        elif tag in ("v", "t") and self._cell is not None and not self._phonetic:
            self._taking = tag
        elif tag == "rPh":
            self._phonetic = True
        elif tag == "mergeCell":
            self._merge(attributes.get("ref", ""))

    def text(self, letters: str) -> None:
        if self._taking:
            (self._formula_pieces if self._taking == "f" else self._pieces).append(letters)

    def end(self, tag: str) -> None:
        if tag == self._taking:
            self._taking = ""
        elif tag == "rPh":
            self._phonetic = False
        elif tag == "c" and self._cell is not None:
            self._close(self._cell)
            self._cell = None

    def _close(self, cell: dict[str, str]) -> None:
        kind, text = self._read(cell.get("t", "n"), "".join(self._pieces))
        self._count(len(text))
        if kind == "truth" and "".join(self._formula_pieces).strip().upper() in _TRUTHS:
            self._formula = False
        if text or self._formula:
            style = _number(cell.get("s"), 0)
            shows = self._formats[style] if style < len(self._formats) else "General"
            self.sheet.cells.append(Raw(self._row, self._column, kind, text, shows, self._formula))

    def _read(self, kind: str, text: str) -> tuple[str, str]:
        if kind == "s":
            at = _number(text.strip(), -1)
            return "text", self._texts[at] if 0 <= at < len(self._texts) else ""
        if kind in ("inlineStr", "str"):
            return "text", unescaped(text)
        return {"b": "truth", "e": "error", "d": "date"}.get(kind, "number"), text.strip()

    def _merge(self, reference: str) -> None:
        first, _, last = reference.partition(":")
        a, b = _REFERENCE.fullmatch(first), _REFERENCE.fullmatch(last or first)
        if a and b:
            self.sheet.merged.append((int(a[2]), column_number(a[1]), int(b[2]), column_number(b[1])))


def _number(text: str | None, otherwise: int) -> int:
    return (
        int(text) if text is not None and text.isascii() and text.isdigit() and len(text) < 10 else otherwise
    )


def column_number(letters: str) -> int:
    """Column A is 1."""
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number


def column_letters(number: int) -> str:
    """Column 1 is A."""
    return letters_of(number - 1)
