"""Hostile texts of suppliers, price lists and customers in everything a quote is written into.

Each text stands in every field of a line, an order, a heading and what is open, all in one quote.
"""

from __future__ import annotations

import csv
import json
import re
import subprocess
import zipfile
from dataclasses import replace
from decimal import Decimal
from io import BytesIO, StringIO
from pathlib import Path

import pytest
from openpyxl import load_workbook

from harness.cli.quote import _files, _print
from harness.counter.choices import read_choices
from harness.counter.choicestext import choices_text
from harness.counter.matchfile import MatchFile, matches_text, read_matches
from harness.model.accepted import Accepted
from harness.model.pricing import Break, Candidate, Matching, Offer, PriceList, Unmatched
from harness.quote.paper import order_pdf, paper_pdf, quote_data, request_pdf, till_csv
from harness.quote.request import Asked, Request
from harness.quote.result import Alternate, Compared, Heading, Line, Open, Order, Quote, Tax
from harness.quote.workbook import order_workbook, request_workbook, workbook_bytes
from harness.signs import json_text, unseen
from harness.survey.located import canonical
from tests.injection.chosen import harmless, squeezed
from tests.injection.words import WORDS
from tests.quote.formulas import is_ours

# OWASP, CSV Injection (from memory): cells beginning so are worked out; the wide ones are taken for the plain
# ones by spreadsheets in some languages.
FORMULAS = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
MORE = ("\uff1dcmd", "\uff0b1", " =1+1", "\n=1+1", "\u200b=1+1", "\ufeff=1+1", "../../etc/passwd", "x" * 300)
TEXTS = (*WORDS, *MORE)


def line(word: str, supplier: str) -> Line:
    return Line(
        supplier, word, word, word, word, 3, 2, word, 2, Decimal("1.25"), 250, (word, word), (word,), word,
        {word: 250},
    )  # fmt: skip


def order(word: str) -> Order:
    return Order(word, (line(word, word),), 100, 0)


@pytest.fixture(scope="module")
def quote() -> Quote:
    """One supplier with every text in every field of a line, and every text once as a supplier."""
    first = Order("Plain", tuple(line(word, "Plain") for word in TEXTS), 100, 0)
    return Quote(
        Heading(TEXTS[0], TEXTS[1], TEXTS, TEXTS), "harness", (("one", "one.yaml"),),
        letter=False, currency=TEXTS[2], orders=(first, *(Order(word, (), 100, 0) for word in TEXTS)),
        taxes=tuple(Tax(word, Decimal(20), 250, 50) for word in TEXTS), taxed=True,
        open=tuple(Open(word, word, word, word, (word,)) for word in TEXTS),
        compared=tuple(Compared(word, 100, 1, word) for word in TEXTS),
        by_machine={"one": 100},
        alternates=tuple(Alternate(word, word, -5, (word,)) for word in TEXTS),
        proven=True, bound_cents=0, notes=TEXTS,
    )  # fmt: skip


@pytest.fixture(scope="module")
def machines(quote: Quote) -> Quote:
    """Every text as the name of a machine."""
    return replace(
        quote, machines=tuple((word, word) for word in TEXTS), by_machine=dict.fromkeys(TEXTS, 100),
        orders=(order(TEXTS[0]),), open=(), compared=(), alternates=(),
    )  # fmt: skip


def request_for(words: tuple[str, ...]) -> Request:
    lines = tuple(Asked(at, word, word, word, word, word) for at, word in enumerate(words, start=1))
    return Request(Heading(words[0], words[1], words, words), "harness", words, False, lines)


def texts_of(book: bytes) -> str:
    """Every text of a workbook; nothing in it is a formula but ours, and nothing leads out of it."""
    with zipfile.ZipFile(BytesIO(book)) as parts:
        for name in parts.namelist():
            assert "externalLink" not in name
            if name.endswith(".rels"):
                assert b"External" not in parts.read(name)
    found = []
    for sheet in load_workbook(BytesIO(book)):
        assert not re.search(r"[\[\]:*?/\\]", sheet.title) and len(sheet.title) <= 31
        assert unseen(sheet.title) is None
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    assert is_ours(str(cell.value)), cell.value
                elif isinstance(cell.value, str):
                    assert unseen(cell.value.replace("\r", "\x00")) is None, ascii(cell.value)
                    found.append(squeezed(cell.value))
    return "\n".join(found)


@pytest.mark.parametrize(
    "formula",
    ['=HYPERLINK("http://x")', "='[x.xlsx]y'!A1", "=cmd|' /C calc'!A0", '="text"', "=Quote!H4", "=A1\n"],
)
def test_formulas_that_reach_out_are_none_of_ours(formula: str) -> None:
    assert is_ours("=SUMPRODUCT(--(L4:L66=L69),H4:H66)") and not is_ours(formula)


def as_seen(word: str) -> str:
    """How a text has to be seen: a sign that nobody sees by its number."""
    at = unseen(word)
    return squeezed(word) if at is None else f"[U+{ord(word[at]):04X}]"


@pytest.mark.parametrize("made", ["quote", "machines", "order", "request"])
def test_workbooks_hold_every_text_and_no_formula_but_ours(quote: Quote, machines: Quote, made: str) -> None:
    book = {
        "quote": lambda: workbook_bytes(quote),
        "machines": lambda: workbook_bytes(machines),
        "order": lambda: order_workbook(quote.orders[0], quote),
        "request": lambda: request_workbook(request_for(TEXTS)),
    }[made]()
    seen = texts_of(book)
    assert [ascii(word) for word in TEXTS if as_seen(word) not in seen] == []


def test_a_till_gets_no_formula_and_one_row_a_line(quote: Quote) -> None:
    told = till_csv(quote)
    rows = list(csv.reader(StringIO(told, newline="")))
    assert len(rows) == 1 + len(quote.lines)
    for row in rows:
        assert len(row) == 6
        for cell in row:
            assert not cell.lstrip(" \u00a0\u3000").startswith(FORMULAS), ascii(cell)
            assert not set(cell) & set("\r\n\t")
            assert unseen(cell) is None
    told.encode()


def test_papers_run_nothing_and_show_every_text(quote: Quote, machines: Quote) -> None:
    """Read back by pdftotext; what the typesetter takes for markup or code stands there as it was written."""
    for data in (
        paper_pdf(quote),
        paper_pdf(machines),
        order_pdf(quote.orders[0], quote),
        request_pdf(request_for(TEXTS)),
    ):
        for act in (b"/JavaScript", b"/Launch", b"/URI", b"/SubmitForm", b"/EmbeddedFile"):
            assert act not in data
        done = subprocess.run(
            ["pdftotext", "-enc", "UTF-8", "-", "-"], input=data, capture_output=True, check=True
        )
        seen = re.sub("[\u00ad\u2010-]", "", squeezed(done.stdout.decode()))
        for word in TEXTS:
            if word.isascii():
                assert as_seen(word).replace("-", "") in seen, ascii(word)


def test_data_is_whole_and_steers_no_terminal(quote: Quote) -> None:
    told = json_text(quote_data(quote))
    assert unseen(told) is None
    assert [each["part_number"] for each in json.loads(told)["orders"][0]["lines"]] == list(TEXTS)


def test_a_terminal_is_not_steered(quote: Quote, machines: Quote, capsys: pytest.CaptureFixture[str]) -> None:
    for each in (quote, machines):
        _print(each, [Path(word) for word in TEXTS], Path("a\x1b[31m.yaml"))
        said = capsys.readouterr().out
        harmless(said)
        shown = squeezed(said)
        assert [ascii(word) for word in TEXTS if as_seen(word) not in shown] == []


def test_orders_lie_under_plain_names_each_its_own(quote: Quote, blank_paper: None) -> None:
    """Names of folders, of devices, of 300 letters, that fold to the same name, that nobody sees."""
    names = (
        "CON",
        "con",
        "C\u200bON",
        "ＣＯＮ",
        "ﬁne",
        "fine",
        "FINE",
        "a/b",
        "a\\b",
        "..",
        "",
        "\x00",
        "İ",
        "i",
    )
    several = tuple(map(order, (*TEXTS, *names)))
    with pytest.MonkeyPatch.context() as patch:
        for each in ("workbook_bytes", "order_workbook"):
            patch.setattr(f"harness.quote.workbook.{each}", lambda *given: b"")
        found = _files(replace(quote, orders=several))
    orders = [name for name in found if name.startswith("order-")]
    assert len(orders) == 2 * len(several) == len({name.casefold() for name in orders})
    for name in orders:
        assert re.fullmatch(r"order-\d+(-[a-z0-9]+)*\.(xlsx|pdf)", name) and len(name) < 60, name


def as_read(word: str) -> str:
    """A text as it comes back from a file: what nobody sees by its number, blanks as one space."""
    for letter in dict.fromkeys(word):
        if letter in "\t\n":
            word = word.replace(letter, " ")
    while (at := unseen(word)) is not None:
        word = f"{word[:at]}[U+{ord(word[at]):04X}]{word[at + 1 :]}"
    return word


def test_a_file_of_choices_is_read_back_as_it_was_written() -> None:
    """YAML of ours, made of texts of others: nothing in them ends a quote, opens a list or hides."""
    keys = {f"fuses {at}: {word}": word for at, word in enumerate(TEXTS)}
    sizes = tuple(dict.fromkeys(as_read(word) for word in TEXTS))
    given = Accepted(keys, sizes, {f"{at} {word} RD": "BK" for at, word in enumerate(TEXTS)}, words=keys)
    told = choices_text(given)
    assert unseen(told) is None and "\t" not in told
    back = read_choices(told, "a-choices.yaml")
    assert back.bought == {canonical(as_read(key)): as_read(word) for key, word in keys.items()}
    assert back.sizes == sizes
    assert back.words == back.bought
    assert list(back.colours) == [as_read(f"{at} {word} RD") for at, word in enumerate(TEXTS)]


def test_a_file_of_matches_is_read_back_as_it_was_written() -> None:
    """What a person settled, and what is open with its remarks: no text gets out of a remark."""
    offers = tuple(
        Offer(
            "Plain", word, word, "each", Decimal(1), "each", False, (Break(1, Decimal(1)),),
            None, None, word, "", "", "a.csv:2:1",
        )
        for word in map(as_read, TEXTS)
    )  # fmt: skip
    keys = {f"fuses {at}: {word}": (as_read(word),) for at, word in enumerate(TEXTS)}
    open_ = [
        Unmatched(f"ties {at}: {word}", word, (Candidate(one, (word,), 1.0),))
        for at, (one, word) in enumerate(zip(offers, TEXTS, strict=True))
    ]
    before = MatchFile(keys, {}, tuple(map(as_read, TEXTS)))
    told = matches_text((), Matching((), tuple(open_)), before)
    assert unseen(told) is None and "\t" not in told
    back = read_matches(told, "a-matches.yaml", [PriceList("Plain", "a.csv", "", offers)])
    assert back.hand == {canonical(as_read(key)): numbers for key, numbers in keys.items()}
    assert back.silent == before.silent
