"""What is fuzzed: a reader of ours each, fed with bytes, and what it may answer to nonsense.

A target returns nothing. It raises nothing either but what it finds wrong with the reader: the reader's own
refusals, which its docstring names, are held to what a refusal has to say and swallowed.
"""

from __future__ import annotations

import io
import json
import re
import tempfile
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING
from unittest.mock import patch

from harness.model.pricing import PriceList
from harness.model.problem import Problem, SurveyWrong, Where
from tests.fuzz import typed
from tests.fuzz.changing import packed, unpacked

if TYPE_CHECKING:
    from harness.model.design import Design

ROOT = Path(__file__).parents[2]
Target = Callable[[bytes], None]


class BadRefusal(AssertionError):
    """A refusal that helps nobody: no place, no words, no cure, or a control character in them."""


@dataclass(frozen=True, slots=True)
class Fuzzed:
    """A reader under fuzzing."""

    feed: Target
    seeds: Callable[[], Iterable[bytes]]
    lines: bool = True  # whether whole lines may be moved about


def hold(problems: Iterable[Problem]) -> None:
    """Every problem says where it is, what is wrong and what to do, in letters a terminal may show.

    Its place is a line with its column, unless it is about the file as such.
    """
    some = list(problems)
    if not some:
        raise BadRefusal("refused without a problem")
    for one in some:
        if not (one.where.file and one.what.strip() and one.fix.strip()):
            raise BadRefusal(f"refused without place, words or cure: {one!r}")
        placed = one.where.cell or one.where == Where(one.where.file)
        if not placed and min(one.where.line, one.where.column) < 1:
            raise BadRefusal(f"refused at no place: {one!r}")


def _text(data: bytes) -> str:
    return data.decode("utf-8", "replace")


def _survey(data: bytes) -> None:
    from harness.survey import read

    try:
        machine = read("fuzzed.yaml", text=data)
    except SurveyWrong as wrong:
        hold(wrong.problems)
    else:
        again = read("fuzzed.yaml", text=data)
        assert machine == again, "the same survey was read two ways"


def _yaml(data: bytes) -> None:
    from harness.survey.located import plain
    from harness.survey.yamltext import compose

    try:
        root, problems = compose(_text(data), "fuzzed.yaml")
    except SurveyWrong as wrong:
        hold(wrong.problems)
    else:
        plain(root)
        if problems:
            hold(problems)


def _path(data: bytes) -> None:
    from harness.survey.paths import PathWrong, parse

    try:
        parse(_text(data))
    except PathWrong as wrong:
        if not str(wrong).strip():
            raise BadRefusal("a path was refused without a word") from None


@cache
def _measures() -> tuple[str, ...]:
    from harness.survey.measures import MEASURES

    return tuple(sorted(MEASURES))


def _quantity(data: bytes) -> None:
    from math import isfinite

    from harness.survey import units

    text = _text(data[1:])
    name = _measures()[data[0] % len(_measures())] if data else _measures()[0]
    tries: list[Callable[[str], object]] = [
        lambda words: units.quantity(name, words), lambda words: units.spell(name, words), units.duty,
        lambda words: units.drop_v(words, system_v=12.0), units.wire_size, units.stud_size,
    ]  # fmt: skip
    for each in tries:
        try:
            found = each(text)
        except units.WrongQuantity as wrong:
            if not (wrong.what.strip() and wrong.fix.strip()):
                raise BadRefusal(f"{text!r} was refused without words or cure") from None
        else:
            if isinstance(found, float):
                assert isfinite(found), f"{text!r} was read as {found}"


def _offcuts(data: bytes) -> None:
    from harness.survey.offcuts import Known, read_offcuts

    known = Known({"GXL": ("14 AWG", "16 AWG")}, ("corrugated tube 10 mm",))
    _refusing(lambda: read_offcuts(_text(data), "fuzzed.csv", known))


def _prices(data: bytes) -> None:
    from harness.counter.pricelist import read_price_list

    _refusing(lambda: read_price_list(data, "fuzzed.csv"))


def _cable_prices(data: bytes) -> None:
    from harness.counter.cable_prices import cable_prices

    _refusing(lambda: cable_prices(data, "fuzzed.csv"))


def _matches(data: bytes) -> None:
    from harness.counter.matchfile import read_matches

    _refusing(lambda: read_matches(_text(data), "fuzzed.yaml", [_sample_list()]))


def _choices(data: bytes) -> None:
    from harness.counter.choices import read_choices

    _refusing(lambda: read_choices(_text(data), "fuzzed.yaml", [_sample_list()], ["GXL 12 AWG"]))


def _catalogue(data: bytes) -> None:
    from harness.survey.catalogue import read_catalogue

    _refusing(lambda: read_catalogue(data, "fuzzed.yaml"))


def _kit(data: bytes) -> None:
    from harness.kits.reading import read_kit

    _refusing(lambda: read_kit(data, "fuzzed.yaml", "fuzzed", own=True))


def _design(data: bytes) -> None:
    """A design that a quote is asked of: refused, or matched with a price list."""
    from harness.counter.matching import matched
    from harness.counter.needs import design_data, needs_of

    try:
        found = design_data(data, "design.json")
    except SurveyWrong as wrong:
        hold(wrong.problems)
    else:
        matched(needs_of([("fuzzed", found)]), [_sample_list()])


def _record(data: bytes) -> None:
    """A record of any bytes is read, shown and verified, every line of it; then one more entry is kept."""
    from datetime import UTC, datetime

    from harness.record.asbuilt import changes_of, with_changes
    from harness.record.chain import verified
    from harness.record.page import record_html
    from harness.record.store import Record
    from harness.record.words import damaged_words, entry_lines

    with tempfile.TemporaryDirectory() as place, patch("os.fsync"):  # nobody waits for the disk here
        record = Record.open(Path(place) / "fuzzed-record")
        record.folder.mkdir()
        record.file.write_bytes(data)
        contents = record.entries()
        lines = [line for entry in contents for line in entry_lines(entry)]
        lines += [damaged_words(one) for one in contents.damaged]
        assert not any(MOVES.search(line) for line in lines), "a line would move a terminal"
        assert "<script" not in record_html(contents.entries, title="fuzzed", damaged=contents.damaged)
        with_changes({"parts": {"lamp": {"power": "5 W"}}}, changes_of(contents.entries)[0])
        verified(record)
        kept = record.append("note", "after it", written=datetime(2026, 11, 26, tzinfo=UTC))
        assert record.entries().entries[-1] == kept.entry
        assert record.file.read_bytes().startswith(data)


MOVES = re.compile("[\x00-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
RECORD = (
    b'{"number": 1, "when": "2026-11-20", "written": "2026-11-26T12:00:00+00:00", "by": "J", "hours": 4.5, '
    b'"kind": "change", "subject": "lamp", "text": "new bulb", "fields": {"edits": [{"at": ["parts", "lamp", '
    b'"power"], "old": "5 W", "new": "10 W"}, {"at": ["runs"], "old": null, "new": {"a": "b"}, "item": 1}]}'
    b', "attachments": [{"file": "lamp-0123456789ab.jpg", "named": "lamp.jpg", "bytes": 5, "sha256": "00"}], '
    b'"before": "00", "hash": "00"}\n'
)


def _tidying(data: bytes) -> None:
    """Text laid out evenly says the same and is not changed a second time."""
    from harness.survey.located import plain
    from harness.survey.tidying import tidied
    from harness.survey.yamltext import compose

    text = _text(data)
    try:
        made = tidied(text, "fuzzed.yaml")
    except SurveyWrong as wrong:
        hold(wrong.problems)
    else:
        before, after = (plain(compose(each.removeprefix("\ufeff"), "x.yaml")[0]) for each in (text, made))
        assert before == after, "the tidied survey says something else"
        assert tidied(made, "fuzzed.yaml") == made, "the tidied survey is tidied again"


def _converting(data: bytes) -> None:
    """A survey that is right goes into a workbook and back, letter by letter."""
    from harness.survey import text_of, workbook_of

    text = _text(data)
    try:
        book = workbook_of(text)
    except SurveyWrong as wrong:
        hold(wrong.problems)
    else:
        back, anew = text_of(book)  # an empty list has no cell, so that its line is written anew, and told
        assert anew or back == text.removeprefix("\ufeff"), "the survey did not come back as it was"


def _workbook(data: bytes) -> None:
    """A workbook is refused, or what it says can be written as text and says the same there."""
    from harness.survey import read, text_of
    from harness.survey.sheets.book import opened
    from harness.survey.sheets.tables import tables_of
    from harness.survey.yamltext import compose

    try:
        read("fuzzed.xlsx", text=data)
    except SurveyWrong as wrong:
        hold(wrong.problems)
    else:
        text, _ = text_of(data, "fuzzed.xlsx")
        read("fuzzed.yaml", text=text)
        said = tables_of(opened(data, "fuzzed.xlsx").root)
        assert tables_of(compose(text, "fuzzed.yaml")[0]) == said, "the text says something else"


def _sheet(data: bytes) -> None:
    """A workbook that is whole but for one part of it, chosen by the first byte."""
    if data:
        parts = _parts()
        names = sorted(parts)
        name = names[data[0] % len(names)]
        _workbook(packed({**parts, name: data[1:]}))


def _price_sheet(data: bytes) -> None:
    """A price list in a workbook that is whole but for one part of it."""
    if data:
        parts = _price_parts()
        names = sorted(parts)
        name = names[data[0] % len(names)]
        _prices(packed({**parts, name: data[1:]}))


def _refusing(reading: Callable[[], object]) -> None:
    try:
        reading()
    except SurveyWrong as wrong:
        hold(wrong.problems)


@cache
def _sample_list() -> PriceList:
    from harness.counter.pricelist import read_price_list

    return read_price_list(FEW_PRICES.encode(), "few.csv")


@cache
def _book() -> bytes:
    from harness.survey.sheets.writing import book_bytes
    from harness.survey.yamltext import compose

    return book_bytes(compose(SMALL, "small.yaml")[0], text=SMALL)


@cache
def _parts() -> dict[str, bytes]:
    return unpacked(_book())


@cache
def _price_parts() -> dict[str, bytes]:
    import openpyxl

    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in FEW_PRICES.splitlines():
        sheet.append(row.split(","))
    kept = io.BytesIO()
    book.save(kept)
    return unpacked(kept.getvalue())


SMALL = """machine: {name: Trailer, voltage: 12 V, chassis post: negative}
zones:
  outside: {ambient: 40 °C, wet: yes}
runs:
  - {from: box, to: tail, length: 3.2 m?, zone: outside, hole: 16 mm, plate: 3 mm}
parts:
  battery: {is: battery, at: box, capacity: 60 Ah, cranking: 400 A}
  lamp fuse: {is: fuse, at: box}
  lamp: {is: lamp, at: tail, power: 21 W}
  horn: {is: horn, at: tail, current: 5 A for 2 s}
  stud: {is: ground point, at: tail, on: frame}
modes:
  parked: {engine: stopped}
circuits:
  Lamps: {works in: parked, paths: ["battery + > lamp fuse > (lamp, horn) > frame", frame > battery -]}
"""
CABLE_PRICES = "cable,size,price_per_m,currency,colour\nGXL,14,0.62,EUR,\n"
FEW_PRICES = """part number,description,unit,price,currency,stock,break 1,price 1
W14-RD,"Wire GXL 14 AWG red",m,0.42,EUR,250,100,0.38
R-100,GXL 16 AWG black,roll 100 ft,21.50,EUR,3,,
T-6,ring terminal M6 1-2.5 mm2,pack 25,6.10,EUR,10,,
"""


def _of(*texts: str | bytes) -> Callable[[], list[bytes]]:
    return lambda: [text.encode() if isinstance(text, str) else text for text in texts]


def _files(*globs: str) -> Callable[[], list[bytes]]:
    return lambda: [path.read_bytes() for glob in globs for path in sorted(ROOT.glob(glob))]


def _of_parts(parts: Callable[[], dict[str, bytes]]) -> Callable[[], list[bytes]]:
    return lambda: [bytes([at]) + parts()[name] for at, name in enumerate(sorted(parts()))]


QUANTITIES = (
    "1.2 m", "3 ft 2 in", "7' 3\"", "40 °C", "150 A for 10 s", "5 mm²", "14 AWG", "2/0 AWG", "M8", "1/4 in",
    "2 x 21 W", "3 %", "0,5 V", "10 s every 2 min", "1e3 mm", "-10 °F", "½ in", "60 Ah?", "1.2.3 m", "∞ m",
)  # fmt: skip
PATHS = (
    "battery + > lamp fuse > (left lamp, right lamp) > frame", "panel F2 > (relay 30/87 > horn, relay 86/85)",
    "a > (b, c > (d, e)) > f @ place", "key 15 > joint 'a b' > x", "> a", "a > > b", "((((",
    "a > (b", "a/b/c > d",
)  # fmt: skip
EDITS = (
    "parts.left lamp.power = 5 W", "runs.1.length = 2 m", "runs.box to tail.zone = dry", "notes.+ = new",
    "parts.right lamp =", "circuits.Lamps.paths.+ = a > b", 'parts.horn = {is: horn, at: tail}',
)  # fmt: skip
READINGS = ("left lamp + = 9.1 V", "battery - to left lamp - = 40 mV", "wire 1 = 3,2 A", "right lamp = dead")
TESTED = ("battery volts=12,6 V", "left lamp volts lost=300 mV", "wire 1=.4 kohm")


def _stored(data: bytes) -> None:
    from harness.comparing.differences import compare
    from harness.comparing.stored import design_of_json
    from harness.comparing.words import data as data_of
    from harness.comparing.words import lines

    try:
        read = design_of_json(data, "design.json")
    except SurveyWrong as wrong:
        hold(wrong.problems)
    else:  # what is right by its types alone is still compared without an accident
        data_of(compare(_sample_design(), read))
        list(lines(compare(read, _sample_design())))


@cache
def _sample_design() -> Design:
    from harness.pipeline import design
    from harness.survey import read

    return design(read("small.yaml", text=typed.MACHINE))


TARGETS: Mapping[str, Fuzzed] = {  # a new reader is one new line here
    "survey": Fuzzed(_survey, lambda: [SMALL.encode(), *_files("samples/wrong/*.yaml")()]),
    "yaml": Fuzzed(_yaml, lambda: [SMALL.encode(), b"a: &x [1, *x]\nb: !!int 3\n? c\n: |\n  d\n"]),
    "path": Fuzzed(_path, _of(*PATHS), lines=False),
    "quantity": Fuzzed(
        _quantity, lambda: [bytes([at]) + text.encode() for at, text in enumerate(QUANTITIES)], lines=False
    ),
    "offcuts": Fuzzed(_offcuts, _of("item,size,colour,length,count\nGXL,14 AWG,RD,2.3 m,2\n")),
    "prices": Fuzzed(_prices, _of(FEW_PRICES, FEW_PRICES.encode("utf-16"), FEW_PRICES.replace(",", ";"))),
    "cable prices": Fuzzed(
        _cable_prices, _of("cable,size,price_per_m,currency,colour\nGXL,14,0.62,EUR,\n", FEW_PRICES)
    ),
    "matches": Fuzzed(_matches, _of("matches:\n  wire, GXL 14 AWG RD: W14-RD\nnever: []\n")),
    "choices": Fuzzed(
        _choices,
        _of(
            "bought instead:\n  x: W14-RD\n  y: {part: W14-RD, is: wire}\nleave out sizes: [GXL 12 AWG]\n"
            "other colours: {GXL 12 AWG RD: BK}\nother cable: {GXL 12 AWG RD: SXL}\n"
        ),
    ),
    "catalogue": Fuzzed(_catalogue, _files("samples/counter/catalogue.yaml")),
    "kit": Fuzzed(_kit, _files("harness/kits/horn.yaml", "harness/kits/charging.yaml")),
    "design": Fuzzed(_design, _of('{"format": "harness design 1", "materials": []}'), lines=False),
    "stored design": Fuzzed(_stored, _of('{"format": "harness design 1", "wires": [{}]}'), lines=False),
    "record": Fuzzed(_record, _of(RECORD + RECORD, RECORD[:200])),
    "tidying": Fuzzed(_tidying, lambda: [SMALL.encode()]),
    "converting": Fuzzed(_converting, lambda: [SMALL.encode()]),
    "copy": Fuzzed(typed.copy, lambda: [typed.MACHINE.encode()]),
    "edit": Fuzzed(typed.edit, _of(*EDITS), lines=False),
    "kits": Fuzzed(typed.kits, typed.kit_seeds),
    "mode": Fuzzed(typed.mode, _of("parked", "running", "Parked"), lines=False),
    "reading": Fuzzed(typed.reading, _of(*READINGS), lines=False),
    "test reading": Fuzzed(typed.test_reading, _of(*TESTED), lines=False),
    "readings file": Fuzzed(typed.readings_file, _of(json.dumps(typed.READINGS)), lines=False),
    "workbook": Fuzzed(_workbook, lambda: [_book()], lines=False),
    "sheet": Fuzzed(_sheet, _of_parts(_parts), lines=False),
    "price sheet": Fuzzed(_price_sheet, _of_parts(_price_parts), lines=False),
}
