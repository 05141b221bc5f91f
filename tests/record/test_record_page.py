"""The page of a record: newest first and by subject, everything escaped, no script, no request."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from html.parser import HTMLParser
from pathlib import Path

import pytest
from click.testing import CliRunner
from playwright.sync_api import Browser

from harness.cli import main
from harness.record.entry import Attachment, Entry
from harness.record.page import record_html
from harness.record.store import Record
from tests.record.made import filled, later

NASTY = (
    "<script>alert(1)</script>\"'><img src=x onerror=alert(2)> \u202e \x1b[2J {{ 7*7 }} "
    "javascript:alert(3)\n& next"
)
# A PNG of one point, put together by hand after ISO/IEC 15948: signature, IHDR, IDAT, IEND.
POINT = bytes.fromhex(
    "89504e470d0a1a0a0000000d49484452000000010000000108060000001f15c489"
    "0000000d49444154789c63f8ffff3f0005fe02fea735818400"
    "00000049454e44ae426082"
)


class Tags(HTMLParser):
    """Tags, attributes and texts of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.texts.append(data)

    def of(self, tag: str) -> Iterator[dict[str, str | None]]:
        yield from (attrs for name, attrs in self.tags if name == tag)


def _entry(number: int = 1, **more: object) -> Entry:
    held: dict[str, object] = {
        "when": "2026-11-20", "written": "2026-11-26T12:00:00+00:00", "by": "", "hours": None, "kind": "note",
        "subject": "", "text": "", "fields": {}, "attachments": (), "before": "", **more,
    }  # fmt: skip
    return Entry(number=number, **held)  # type: ignore[arg-type]


def test_the_newest_stands_first_and_each_subject_has_its_own(tmp_path: Path) -> None:
    record = filled(tmp_path / "r", 3)
    record.append("hours", "", when=date(2026, 12, 1), written=later(5), hours=4300.0)
    tags = Tags(record_html(record.entries().entries, title="Roller"))
    assert [attrs["id"] for attrs in tags.of("article")] == ["entry-4", "entry-3", "entry-2", "entry-1"]
    links = [attrs["href"] for attrs in tags.of("a") if (attrs["href"] or "").startswith("#entry")]
    assert links == ["#entry-4", "#entry-3", "#entry-2", "#entry-1"]  # the machine, then the head lamp
    text = " ".join(" ".join(tags.texts).split())
    assert "4 entries, 2026-11-26 to 2026-12-01. The hours meter last read 4300 h, on 2026-12-01." in text
    assert "The machine (1)" in text
    assert "left head lamp (3)" in text


def test_everything_is_escaped_and_nothing_runs_or_is_fetched() -> None:
    files = (
        Attachment("a-0123456789ab.jpg", NASTY, 5, "0"), Attachment('x" onerror="alert(1)', NASTY, 5, "0"),
        Attachment("../../etc/passwd.png", "p", 5, "0"),
        Attachment("page-0123456789ab.html", "p.html", 5, "0"),
    )  # fmt: skip
    entry = _entry(
        subject=NASTY, text=NASTY, by=NASTY, kind=NASTY, when=NASTY, fields={NASTY: NASTY, "edits": [NASTY]},
        attachments=files,
    )  # fmt: skip
    page = record_html([entry], title=NASTY, attachments='at"tach/<x>')
    tags = Tags(page)
    assert {tag for tag, _ in tags.tags}.isdisjoint(
        {"script", "iframe", "object", "embed", "link", "base", "form"}
    )
    assert len([*tags.of("img")]) == 1
    assert not any(name.startswith("on") for _, attrs in tags.tags for name in attrs)
    assert [attrs["src"] for attrs in tags.of("img")] == ["at%22tach/%3Cx%3E/a-0123456789ab.jpg"]
    assert all(re.match(r"#|at%22tach/", attrs["href"] or "") for attrs in tags.of("a"))
    assert not set(page) & set("\u202e\x1b")
    assert "49" not in "".join(tags.texts)
    assert any(
        (attrs.get("content") or "").startswith("default-src 'none'; img-src") for attrs in tags.of("meta")
    )
    assert "not kept under a name that can be shown" in page


def test_an_empty_and_a_damaged_record_have_a_page(tmp_path: Path) -> None:
    assert "Nothing is kept yet." in record_html([], title="x")
    record = filled(tmp_path / "r", 2)
    with record.file.open("ab") as stream:
        stream.write(b"<script>alert(1)</script>")
    found = record.entries()
    page = record_html(found.entries, title="x", damaged=found.damaged)
    assert "1 line of the record cannot be read" in page
    assert "<script" not in page


def test_the_same_record_gives_the_same_page(tmp_path: Path) -> None:
    record = filled(tmp_path / "r", 4)
    first = record_html(record.entries().entries, title="x")
    assert first == record_html(Record.open(tmp_path / "r").entries().entries, title="x")


def test_a_browser_shows_it_with_its_photos_on_a_phone_too(tmp_path: Path, browser: Browser) -> None:
    """Opened from the disk with the network off: pictures are there, nothing is wider than the screen."""
    survey = tmp_path / "roller.yaml"
    survey.write_text("no survey at all", encoding="utf-8")
    record = Record.open(tmp_path / "roller-record")
    photo = tmp_path / "лампа & lamp.png"
    photo.write_bytes(POINT)
    record.append("photo", "x" * 500, attachments=[photo], written=later(0), subject="left head lamp")
    record.append("note", NASTY, {NASTY: NASTY}, written=later(1), by=NASTY)
    assert CliRunner().invoke(main, ["record", "page", str(survey)]).exit_code == 0
    asked: list[str] = []
    page = browser.new_context(viewport={"width": 375, "height": 800}, offline=True).new_page()
    page.on("request", lambda request: asked.append(request.url))
    page.on("dialog", lambda dialog: pytest.fail("something ran"))
    page.goto((record.folder / "record.html").as_uri())
    page.wait_for_load_state()
    page.evaluate("document.querySelectorAll('img').forEach(i => i.loading = 'eager')")
    page.wait_for_function("[...document.images].every(i => i.complete)")
    assert page.evaluate("[...document.images].map(i => i.naturalWidth)") == [1]
    for width in (375, 1200):
        page.set_viewport_size({"width": width, "height": 800})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert all(url.startswith(tmp_path.as_uri()) for url in asked)
    page.context.close()
