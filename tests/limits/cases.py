"""For every limit a reader and a text of any size: read at the limit, refused just above it."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from harness.cli.read import content_of
from harness.commissioning.asked import value_read
from harness.commissioning.trial import Test
from harness.counter.cable_prices import cable_prices
from harness.counter.grid import read_grid
from harness.counter.numbers import parsed
from harness.counter.pricelist import read_price_list
from harness.kits.reading import read_kit
from harness.kits.shelf import shelf
from harness.model.limits import LIMITS
from harness.model.problem import Problem, SurveyWrong, Where
from harness.record.entry import _whole, line_of, plain
from harness.record.store import Kept, Record
from harness.survey import read, read_catalogue
from harness.survey.offcuts import Known, read_offcuts
from harness.survey.paths import parse
from harness.survey.shares import count, extra
from harness.survey.sheets.package import open_book
from harness.survey.yamltext import compose
from tests.survey.texts import TROLLEY, changed

NOON = datetime(2026, 11, 1, 12, tzinfo=UTC)


@dataclass(frozen=True)
class Case:
    """How one limit is tried: ``read`` gets a folder and how many of the thing there are to be."""

    read: Callable[[Path, int], object]
    words: str  # of the message, with what is allowed
    spot: str = ""  # where the message puts it
    lowered: str = ""  # module.NAME of a limit too large to be tried at its own size
    to: int = 0  # what it is lowered to


# ----------------------------------------------------------------------------------- texts of any size


def _padded(text: str, many: int) -> bytes:
    return text.encode() + b"#" * (many - len(text.encode()))


def _survey(text: str | bytes) -> object:
    return read("t.yaml", text=text)


def _section(name: str, line: str, many: int) -> object:
    lines = "".join(f"  {line.format(number)}\n" for number in range(many))
    return _survey(f"{name}:\n{lines}")


def _lamps(many: int) -> object:
    """A machine of so many wires, each from the battery to a lamp whose case is its return."""
    parts = "".join(f"  l{at}: {{is: lamp, at: dash, power: 5 W, on: frame}}\n" for at in range(many))
    paths = "".join(f"      - battery + > l{at}\n" for at in range(many))
    return _survey(
        "machine: {name: x, voltage: 12 V, chassis post: negative}\nzones: {z: {ambient: 20 °C}}\n"
        "runs: [{from: box, to: dash, length: 1 m, zone: z}]\n"
        f"parts:\n  battery: {{is: battery, at: box}}\n{parts}circuits:\n  lamps:\n    paths:\n{paths}"
    )


# ------------------------------------------------------------------------------- workbooks of any size

_RELATED = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_BOOK = '<workbook><sheets><sheet name="A" id="r1"/></sheets></workbook>'
_RELS = (
    f'<Relationships><Relationship Id="r1" Type="{_RELATED}/worksheet" Target="s.xml"/>'
    f'<Relationship Id="r2" Type="{_RELATED}/sharedStrings" Target="t.xml"/></Relationships>'
)


def _packed(cells: str, texts: str = "<sst/>", more: int = 0) -> bytes:
    target = io.BytesIO()
    parts = {
        "xl/workbook.xml": _BOOK,
        "xl/_rels/workbook.xml.rels": _RELS,
        "xl/s.xml": f"<worksheet><sheetData><row>{cells}</row></sheetData></worksheet>",
        "xl/t.xml": texts,
    }
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as book:
        for name, content in parts.items():
            book.writestr(name, content)
        for number in range(more):
            book.writestr(f"xl/media/{number}", b"")
    return target.getvalue()


def _book(content: bytes) -> object:
    return open_book(content, "t.xlsx")


def _of_parts(_: Path, many: int) -> object:
    return _book(_packed("<c><v>1</v></c>", more=many - 4))


def _unzipped(_: Path, many: int) -> object:
    bare = _packed("<c><v>1</v></c>")
    used = sum(info.file_size for info in zipfile.ZipFile(io.BytesIO(bare)).infolist())
    return _book(_packed("<c><v>1</v></c>", "<sst>" + " " * (many - used - 5) + "</sst>"))


def _letters(_: Path, many: int) -> object:
    return _book(_packed(f'<c t="str"><v>{"x" * many}</v></c>'))


# ------------------------------------------------------------------------------------- lists and files


def _file(folder: Path, many: int) -> Path:
    """A file of so many bytes that takes no room on the disk."""
    path = folder / "large"
    with path.open("wb") as stream:
        stream.truncate(many)
    return path


def _content(limit: str) -> Callable[[Path, int], object]:
    return lambda folder, many: content_of(_file(folder, many), LIMITS[limit].most)


def _kits(folder: Path, many: int) -> object:
    for number in range(many):
        (folder / f"k{number}.yaml").write_text("x: 1\n")
    return shelf([folder])


def _grid(text: str) -> object:
    return read_grid(text.encode(), "t.csv", lambda cells: len(cells))


def _priced(price: int) -> object:
    return read_price_list(f"Part number;Description;Unit;Price\nA;relay;each;{price}\n".encode(), "t.csv")


def _cable(price: int) -> object:
    return cable_prices(f"cable,size,price_per_m\nGXL,14 AWG,{price}\n".encode(), "t.csv")


def _cell(_: Path, many: int) -> object:
    grid = read_grid(f"a;b\n{'x' * many};y\n".encode(), "t.csv", lambda cells: len(cells))
    assert len(grid.sheets[0].rows[1].cells[0].text) == min(many, 1_000)
    if grid.notes:
        raise ValueError(grid.notes[0])
    return grid


def _offcut(_: Path, many: int) -> object:
    known = Known({"GXL": ("14 AWG",)}, ())
    return read_offcuts(f"item,size,colour,length,count\nGXL,14 AWG,RD,1 m,{many}\n", "t.csv", known)


def _catalogue(text: str) -> object:
    return read_catalogue(text.encode(), "t.yaml")


def _entry(
    folder: Path, *, hours: float | None = None, text: str = "x", files: int = 0, size: int = 0
) -> Kept:
    paths = []
    for number in range(files):
        paths.append(folder / f"{number}.bin")
        paths[-1].write_bytes(b"")
        if size:
            with paths[-1].open("wb") as stream:
                stream.truncate(size)
    folder.mkdir(exist_ok=True)
    return Record.open(folder / "record").append("note", text, attachments=paths, hours=hours, written=NOON)


def _record(folder: Path, many: int) -> object:
    record = Record.open(folder / "record")
    record.folder.mkdir()
    with record.file.open("wb") as stream:
        stream.truncate(many)
    return record.entries()


def _line(folder: Path, many: int) -> object:
    """An entry whose line has so many bytes."""
    bare = len(line_of(_entry(folder / "bare").entry)) - 1
    return _entry(folder, text="x" * (many - bare))


def _numbered(_: Path, many: int) -> object:
    return _whole({"number": many - 1}, "number")


def _reading(_: Path, many: int) -> object:
    test = Test("volts", "volts", "V", None, None, None)
    return value_read("0" * (many - 1) + "1", test)


def _nested(_: Path, many: int) -> object:
    value: object = "x"
    for _level in range(many):
        value = [value]
    return plain(value)


def _told(_: Path, many: int) -> object:
    """A mistake that is told in so many letters."""
    raise SurveyWrong([Problem(Where("t.yaml", 1, 1), "x" * many, "leave it out")])


CASES: dict[str, Case] = {
    "survey bytes": Case(
        lambda _, many: _survey(_padded(TROLLEY, many)),
        "which no survey is", "t.yaml", "harness.survey.reader.LARGEST_BYTES", 3_000,
    ),
    "survey depth": Case(
        lambda _, many: compose("[" * many + "]" * many, "t.yaml"),
        "12 deep", "t.yaml:1:13",
    ),
    "survey entries": Case(
        lambda _, many: compose("[" + "a," * (many - 1) + "]", "t.yaml"),
        "grows beyond", "t.yaml:1:", "harness.survey.yamltext.MOST_NODES", 500,
    ),
    "key letters": Case(
        lambda _, many: compose(f"a: 1\n{'k' * many}: 1\n", "t.yaml"),
        "1,024 letters", "t.yaml:2:1",
    ),
    "mistakes told": Case(
        lambda _, many: _survey(
            changed(("parts:\n", "parts:\n" + "".join(f"  l{at}: x\n" for at in range(many))))
        ),
        "these are the first 200", "t.yaml",
    ),
    "message letters": Case(_told, " ... ", "t.yaml"),
    "workbook bytes": Case(
        lambda _, many: _book(b"PK\x03\x04" + b"x" * (many - 4)),
        "larger than 100 MB", "t.xlsx", "harness.survey.sheets.package.LARGEST_WORKBOOK_BYTES", 1_000,
    ),
    "workbook parts": Case(_of_parts, "packed in a way no workbook is", "t.xlsx"),
    "unzipped bytes": Case(
        _unzipped,
        "unpacks to more than 60 MB", "t.xlsx", "harness.survey.sheets.package.MOST_XML_BYTES", 5_000,
    ),
    "workbook cells": Case(
        lambda _, many: _book(_packed("<c/>" * many)),
        "more than 1,000,000 cells", "t.xlsx", "harness.survey.sheets.package.MOST_CELLS", 100,
    ),
    "workbook letters": Case(
        _letters, "more text than any survey", "t.xlsx", "harness.survey.sheets.package.MOST_LETTERS", 2_000
    ),
    "name letters": Case(
        lambda _, many: _survey(changed(("  ground:", f"  {'x' * many}: {{is: lamp, at: dash}}\n  ground:"))),
        "longer than 80 letters", "t.yaml:14:3",
    ),
    "note letters": Case(
        lambda _, many: _survey(TROLLEY + f"notes: [{'x' * many}]\n"),
        "longer than 2000 letters", "t.yaml:20:9",
    ),
    "quantity letters": Case(
        lambda _, many: _survey(changed(("1.2 m", f"1.{'0' * (many - 4)} m"))), "too long", "t.yaml:8:43"
    ),
    "branch depth": Case(lambda _, many: parse("a > " + "(b, " * many + "c" + ")" * many), "6 deep"),
    "wires": Case(
        lambda _, many: _lamps(many),
        "one wire more than 10,100", "t.yaml:", "harness.survey.wiring.MOST_WIRES", 20,
    ),
    "parts": Case(
        lambda _, many: _section("parts", "p{0}: x", many),
        "at most 6,000 parts", "t.yaml:7:3", "harness.survey.counts.MOST:parts", 5,
    ),
    "runs": Case(
        lambda _, many: _section("runs", "- x", many),
        "at most 2,000 runs", "t.yaml:7:5", "harness.survey.counts.MOST:runs", 5,
    ),
    "circuits": Case(
        lambda _, many: _section("circuits", "c{0}: x", many),
        "2,500 circuits", "t.yaml:7:3", "harness.survey.counts.MOST:circuits", 5,
    ),
    "modes": Case(
        lambda _, many: _section("modes", "m{0}: x", many),
        "at most 100 modes", "t.yaml:7:3", "harness.survey.counts.MOST:modes", 5,
    ),
    "zones": Case(
        lambda _, many: _section("zones", "z{0}: x", many),
        "at most 100 zones", "t.yaml:7:3", "harness.survey.counts.MOST:zones", 5,
    ),
    "ways of a panel": Case(
        lambda _, many: _survey(changed(("{is: fuse, at", f"{{is: fuse panel, ways: {many}, at"))),
        "60 at most", "t.yaml:11:30",
    ),
    "extra pieces": Case(lambda _, many: extra(str(many)), "more than 1000 pieces"),
    "spare wires": Case(lambda _, many: count(str(many)), "50 at most"),
    "item letters": Case(
        lambda _, many: _catalogue(f"split tube:\n  - {{inside: 20 mm, outside: 25 mm, name: {'x' * many}}}"),
        "longer than 60 letters", "t.yaml:2:43",
    ),
    "pieces in a pack": Case(
        lambda _, many: _catalogue(f"packs:\n  - {{of: ties, amount: {many}}}\n"),
        "neither a count", "t.yaml:2:",
    ),
    "kit bytes": Case(
        lambda _, many: read_kit(_padded("title: x\n", many),
        "t.yaml", "t"), "too large for a kit", "t.yaml",
    ),
    "kits in a folder": Case(
        _kits, "name the folder that holds your kits alone", "", "harness.kits.shelf.MOST_FILES", 3
    ),
    "small list bytes": Case(_content("small list bytes"), "larger than 2 MB", "large"),
    "offcuts alike": Case(_offcut, "1 to 1000", "t.csv:2:19"),
    "price list bytes": Case(
        lambda _, many: _grid("x" * many), "too large", "t.csv", "harness.counter.grid.MOST_BYTES", 1_000
    ),
    "price list rows": Case(
        lambda _, many: _grid("a\n" * many),
        "more than 100,000 rows", "t.csv:6:1", "harness.counter.grid.MOST_ROWS", 5,
    ),
    "price list columns": Case(
        lambda _, many: _grid(";" * (many - 1) + "x"),
        "beyond 200 columns", "t.csv:1:201",
    ),
    "price list cell": Case(_cell, "t.csv: longer than 1,000 letters, so that the rest is left out: line 2"),
    "price digits": Case(lambda _, many: parsed("1" * many, "."), "1" * 16),
    "price": Case(lambda _, many: _priced(many), "too large", "t.csv:2:"),
    "cable price": Case(lambda _, many: _cable(many), "price", "t.csv:2:"),
    "terms bytes": Case(_content("terms bytes"), "larger than 20 kB", "large"),
    "design bytes": Case(_content("design bytes"), "larger than 200 MB", "large"),
    "readings bytes": Case(_content("readings bytes"), "larger than 50 MB", "large"),
    "reading letters": Case(_reading, "is no figure"),
    "record bytes": Case(
        _record,
        "which no record is", "", "harness.record.store.LARGEST_RECORD_BYTES", 10_000,
    ),
    "entry bytes": Case(_line, "fit into one"),
    "entry depth": Case(_nested, "more than 20 deep"),
    "hours": Case(lambda folder, many: _entry(folder, hours=float(many)), "not what an hours meter shows"),
    "entry number": Case(_numbered, "number"),
    "attachment bytes": Case(
        lambda folder, many: _entry(folder, files=1, size=many),
        "MB are kept", "", "harness.record.attaching.LARGEST_ATTACHMENT_BYTES", 100,
    ),
    "attachments": Case(lambda folder, many: _entry(folder, files=many), "at most 20 files"),
}  # fmt: skip
