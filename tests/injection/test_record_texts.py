"""Hostile texts and file names in a record: kept as they are, shown harmlessly, each in its folder."""

from __future__ import annotations

import json
import os
import re
import zipfile
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner
from playwright.sync_api import Browser

from harness.cli import main
from harness.record.page import record_html
from harness.record.store import Record, record_folder
from tests.injection.chosen import harmless, squeezed
from tests.injection.pages import Page, opened
from tests.injection.words import WORDS

WRITTEN = datetime(2026, 11, 26, 12, 0, tzinfo=UTC)
NAMES = (
    b"-rf.jpg", b"--help", b"CON.jpg", b"nul", b"aux.txt", b"a\nb.jpg", b"<b>x.jpg", b"$(x).jpg", b"`x`;.png",
    b"x" * 250 + b".jpg", "ü🚜.jpg".encode(), "\u202egpj.exe".encode(), "zero\u200bwidth.png".encode(),
    b"\xff\xfe.jpg", b"..jpg", b" .jpg", b"%2e%2e%2fx.jpg", b"a'\"b.png", b"\x1b[31mred.jpg", b"C:\\x.jpg",
    b"x.svg", b"x.html",
)  # fmt: skip
PUMP = Path(__file__).parents[2] / "samples" / "pump.yaml"


@pytest.fixture(scope="module")
def survey(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record with every text in every field of an entry, and every file name among its attachments."""
    place = tmp_path_factory.mktemp("record")
    file = place / "pump.yaml"
    file.write_bytes(PUMP.read_bytes())
    record = Record(record_folder(file))
    for at, word in enumerate(WORDS):
        fields = {word or "x": word, "list": [word, {word: word}]}
        record.append("note", word, fields, written=WRITTEN, subject=word, by=word, hours=float(at))
    (place / "photos").mkdir(parents=True)
    for name in NAMES:
        path = place / "photos" / os.fsdecode(name)
        path.write_bytes(b"\xff\xd8\xff" + name)
        record.append("photo", "", attachments=[path], written=WRITTEN)
    return file


def run(*words: str) -> str:
    done = CliRunner().invoke(main, list(words), color=True)
    assert done.exit_code == 0, (words, done.output)
    harmless(done.output)
    return done.output


def test_every_text_is_kept_as_it_was(survey: Path) -> None:
    """But for halves of letters, which no file can hold."""
    entries = Record.open(record_folder(survey)).entries().entries
    texts = [entry.text for entry in entries if entry.kind == "note"]
    assert texts == [re.sub("[\ud800-\udfff]", "\ufffd", word) for word in WORDS]
    for name in ("show", "search", "verify"):
        assert run("record", name, str(survey), *(["e"] if name == "search" else []))


def test_what_is_shown_as_data_is_whole(survey: Path) -> None:
    shown = run("record", "show", str(survey), "--json")
    assert len(json.loads(shown)["entries"]) == len(WORDS) + len(NAMES)
    assert json.loads(run("record", "search", str(survey), "rich", "--json"))["entries"]


def test_files_lie_in_their_folder_under_plain_names(survey: Path) -> None:
    folder = record_folder(survey)
    assert {path.name for path in folder.iterdir()} == {"record.jsonl", "attachments", "read-me.txt"}
    names = [path.name for path in (folder / "attachments").iterdir()]
    assert len(names) == len(NAMES)
    for name in names:
        assert re.fullmatch(r"[\w-]+-[0-9a-f]{12}(\.[a-z0-9]{1,8})?", name), name
        assert not name.startswith("-") and len(name.encode()) < 100
        assert name.partition(".")[0].casefold() not in ("con", "nul", "aux", "prn")


def test_the_page_shows_every_text_and_runs_nothing(survey: Path, browser: Browser) -> None:
    run("record", "page", str(survey))
    file = record_folder(survey) / "record.html"
    page = Page()
    page.feed(file.read_text(encoding="utf-8"))
    page.holds_nothing_that_acts()
    assert "script" not in page.tags
    seen = squeezed("".join(page.texts))
    visible = [word for word in WORDS if word.isprintable()]
    assert [ascii(word) for word in visible if squeezed(word) not in seen] == []
    for sign in ("[U+202E]", "[U+200B]", "[U+001B]", "[U+00AD]"):
        assert sign in seen
    with opened(browser, file) as tab:
        assert tab.locator("img").count() > 5


def test_names_in_a_record_that_came_from_elsewhere_lead_nowhere() -> None:
    """Lines may be written by anybody: a name that leaves the folder is told and not linked."""
    from harness.record.entry import Attachment, Entry

    names = ("../x.jpg", "/etc/passwd", "a/b.jpg", "javascript:x", "x\n.jpg", ".hidden", "", "C:\\x.jpg")
    files = tuple(Attachment(name, name, 1, "0" * 64) for name in names)
    entry = Entry(1, "2026-11-26", "", "", None, "photo", "", "", {}, files, "")
    html = record_html([entry], title="<b>\u202e")
    page = Page()
    page.feed(html)
    assert not page.tags & {"img", "script"}
    assert not [name for name in names if name and f'href="{name}' in html]


def test_an_export_takes_the_record_under_plain_names(survey: Path, tmp_path: Path) -> None:
    run("export", str(survey), "--no-paper", "-o", str(tmp_path / "all.zip"))
    with zipfile.ZipFile(tmp_path / "all.zip") as whole:
        names = whole.namelist()
    assert len({name.casefold() for name in names}) == len(names)
    assert sum(name.startswith("record/attachments/") for name in names) == len(NAMES)
    for name in names:
        assert not name.startswith(("/", "-")) and ".." not in name and "\\" not in name
        assert name.isprintable()


def test_an_entry_typed_at_the_terminal_is_told_harmlessly(tmp_path: Path) -> None:
    file = tmp_path / "pump.yaml"
    file.write_bytes(PUMP.read_bytes())
    for word in ("\x1b[31mred\x07", "turn\u202eround", "-rf", "a\r\nb", "zero\u200bwidth"):
        options = (
            f"--text={word}",
            f"--subject={word}",
            f"--by={word}",
            f"--detail={word}={word}",
            "--other",
        )
        said = run("record", "add", str(file), "note", *options)
        assert said.startswith("kept: ")
