"""An export: whole, the same each time, read with a browser alone, and never over what is not its own."""

from __future__ import annotations

import csv
import hashlib
import io
import os
import re
import resource
import zipfile
from collections.abc import Iterator
from datetime import UTC, date, datetime
from functools import cache
from html.parser import HTMLParser
from importlib.resources import files
from pathlib import Path
from urllib.parse import unquote

import pytest
from axe_playwright_python.sync_playwright import Axe
from click.testing import CliRunner, Result
from playwright.sync_api import Browser

from harness.cli import main
from harness.cli.exporting import write_folder, write_zip
from harness.cli.files import CannotWrite
from harness.keeping.guidepage import guide_body, inline
from harness.keeping.parcel import GUIDES
from harness.record.store import Record, record_folder
from harness.survey import workbook_of

SURVEY = """\
machine: {name: "Trailer <b>&amp;</b> 'x'", voltage: 12 V, chassis post: negative, revision: B}
zones: {deck: {ambient: 40 °C}}
runs:
  - {from: box, to: tail, length: 2 m, zone: deck}   # with a string
parts:
  battery: {is: battery, at: box, capacity: 70 Ah, cranking: 540 A}
  lamp fuse: {is: fuse, at: box}
  "=1+1 lamp": {is: work lamp, at: tail, power: 55 W}
  ground: {is: ground point, at: tail, on: frame}
  box ground: {is: ground point, at: box, on: frame}
circuits:
  Work lights:
    paths: ["battery + > lamp fuse > =1+1 lamp > frame", "frame > battery -"]
"""


def run(*words: str | Path, code: int = 0) -> Result:
    result = CliRunner().invoke(main, ["export", "--no-paper", *map(str, words)])
    assert result.exit_code == code, result.output
    return result


@cache
def _photo() -> bytes:
    return bytes.fromhex("89504e470d0a1a0a")


@pytest.fixture(scope="module")
def survey(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("machine")
    path = folder / "trailer.yaml"
    path.write_text(SURVEY, encoding="utf-8")
    photo = folder / "left <lamp> #1.png"
    photo.write_bytes(_photo())
    record = Record.open(record_folder(path))
    record.append(
        "repair",
        "new bulb <script>",
        {},
        [photo],
        date(2026, 11, 20),
        written=datetime(2026, 11, 20, 12, tzinfo=UTC),
    )
    (record.folder / "attachments" / "link.png").symlink_to("/etc/passwd")
    return path


@pytest.fixture(scope="module")
def whole(survey: Path) -> Path:
    """The export as a folder."""
    out = survey.parent / "all"
    run(survey, "-o", out)
    return out


def content(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


class _Links(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.tags: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.found += [value for name, value in attrs if name in ("href", "src") and value]


def links(page: Path) -> _Links:
    parser = _Links()
    parser.feed(page.read_text(encoding="utf-8"))
    return parser


def test_every_file_is_reached_from_the_index_and_every_link_leads_to_a_file(whole: Path) -> None:
    there = set(content(whole))
    index = {unquote(link) for link in links(whole / "index.html").found}
    assert index <= there
    photos = {name for name in there if name.startswith("record/attachments/")}
    assert there - index - photos == {"index.html"}
    assert len(photos) == 1
    pages = [whole / "record/record.html", *(whole / f"guide/{name}.html" for name in GUIDES)]
    for page in pages:
        for link in links(page).found:
            if not link.startswith("#"):
                assert (page.parent / unquote(link).partition("#")[0]).is_file(), (page, link)


def test_pages_are_plain(whole: Path) -> None:
    for page in [whole / "index.html", *(whole / f"guide/{name}.html" for name in GUIDES)]:
        text = page.read_text(encoding="utf-8")
        assert not {"script", "iframe", "img", "link", "form"} & set(links(page).tags)
        assert "default-src 'none'" in text and "http://" not in text and "https://" not in text
    assert "Trailer &lt;b&gt;&amp;amp;&lt;/b&gt;" in (whole / "index.html").read_text(encoding="utf-8")


def test_survey_and_record_are_there_as_they_were(whole: Path, survey: Path) -> None:
    found = content(whole)
    assert found["survey/survey.yaml"] == survey.read_bytes()
    record = record_folder(survey)
    assert found["record/record.jsonl"] == (record / "record.jsonl").read_bytes()
    (photo,) = (name for name in found if name.startswith("record/attachments/"))
    assert found[photo] == _photo()
    assert b"root:x:0" not in b"".join(found.values())  # what a link in the record leads to stays out


def test_checksums_are_those_of_the_files(whole: Path) -> None:
    found = content(whole)
    lines = found.pop("checksums.sha256").decode().splitlines()
    assert dict(reversed(line.split("  ", 1)) for line in lines) == {  # type: ignore[misc]
        name: hashlib.sha256(each).hexdigest() for name, each in found.items()
    }


def test_wires_as_text_hold_no_formula(whole: Path) -> None:
    rows = list(csv.reader(io.StringIO((whole / "wires.csv").read_text(encoding="utf-8"))))
    assert len(rows) == 1 + 4 and {len(row) for row in rows} == {len(rows[0])}
    assert any("=1+1 lamp" in cell for row in rows for cell in row)
    assert not [cell for row in rows for cell in row if cell[:1] in ("=", "+", "-", "@")]


def test_the_zip_holds_the_same_and_is_the_same_each_time(whole: Path, survey: Path, tmp_path: Path) -> None:
    one, two = tmp_path / "one.zip", tmp_path / "two.zip"
    run(survey, "-o", one)
    os.utime(survey)
    run(survey, "-o", two)
    assert one.read_bytes() == two.read_bytes()
    with zipfile.ZipFile(one) as found:
        assert found.testzip() is None and found.namelist()[0] == "index.html"
        assert {name: found.read(name) for name in found.namelist()} == content(whole)
    before = one.read_bytes()
    run(survey, "-o", one)  # an earlier export is written over
    assert one.read_bytes() == before


def test_an_export_is_written_over_and_nothing_else_is(survey: Path, tmp_path: Path) -> None:
    out = tmp_path / "all"
    run(survey, "-o", out)
    before = content(out)
    run(survey, "-o", out)
    assert content(out) == before
    (out / "letter.txt").write_text("mine", encoding="utf-8")
    assert "letter.txt" in run(survey, "-o", out, code=3).stderr
    assert content(out) == {**before, "letter.txt": b"mine"}
    (out / "letter.txt").unlink()
    (out / "drawings" / "link").symlink_to(tmp_path)
    run(survey, "-o", out, code=3)
    linked = tmp_path / "linked"
    linked.symlink_to(tmp_path)
    run(survey, "-o", linked, code=3)
    for name in ("other.zip", "plain"):
        (tmp_path / name).write_bytes(b"PK mine")
        run(survey, "-o", tmp_path / name, code=3)
        assert (tmp_path / name).read_bytes() == b"PK mine"
    with zipfile.ZipFile(tmp_path / "foreign.zip", "w") as made:
        made.writestr("index.html", "mine")
    run(survey, "-o", tmp_path / "foreign.zip", code=3)
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "all", "foreign.zip", "linked", "other.zip", "plain",
    ]  # fmt: skip


def test_a_full_disk_leaves_what_was_there(survey: Path, tmp_path: Path) -> None:
    out, packed = tmp_path / "all", tmp_path / "all.zip"
    run(survey, "-o", out)
    run(survey, "-o", packed)
    before = content(out), packed.read_bytes()
    files: dict[str, bytes | Path] = {**before[0]}
    files.pop("checksums.sha256")
    files["record/large"] = tmp_path / "large"
    (tmp_path / "large").write_bytes(os.urandom(100_000))
    least, most = resource.getrlimit(resource.RLIMIT_FSIZE)
    try:
        resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, most))
        for write, place in ((write_folder, out), (write_zip, packed)):
            with pytest.raises(CannotWrite, match="cannot be written"):
                write(place, files)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (least, most))
    assert (content(out), packed.read_bytes()) == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["all", "all.zip", "large"]


def test_a_workbook_comes_with_its_text(survey: Path, tmp_path: Path) -> None:
    book = tmp_path / "trailer.xlsx"
    book.write_bytes(workbook_of(SURVEY, "trailer.yaml"))
    run(book, "-o", tmp_path / "all")
    found = content(tmp_path / "all")
    assert found["survey/survey.xlsx"] == book.read_bytes()
    assert found["survey/survey.yaml"].decode() == SURVEY
    assert not [name for name in found if name.startswith("record/")]


def test_what_is_wrong_is_told(survey: Path, tmp_path: Path) -> None:
    run("-", code=2)
    run(tmp_path / "none.yaml", code=3)
    run(survey, "--record", tmp_path, code=3)
    bad = tmp_path / "bad.yaml"
    bad.write_text(SURVEY.replace("55 W", "55 potatoes"), encoding="utf-8")
    assert "bad.yaml:8:" in run(bad, "-o", tmp_path / "all", code=2).stderr
    assert not (tmp_path / "all").exists()
    run(survey, "-o", "/proc/nowhere/all", code=3)


# ------------------------------------------------------------------------------------ in a browser


@pytest.fixture
def pages(whole: Path) -> Iterator[list[Path]]:
    yield [
        whole / "index.html",
        whole / "record/record.html",
        *(whole / f"guide/{name}.html" for name in GUIDES),
    ]


def test_pages_open_from_disk_and_ask_for_nothing(browser: Browser, pages: list[Path]) -> None:
    for at, path in enumerate(pages):
        context = browser.new_context(
            viewport={"width": 375, "height": 800}, color_scheme="dark" if at % 2 else "light",
            java_script_enabled=True, reduced_motion="reduce",
        )  # fmt: skip
        page = context.new_page()
        wrong: list[str] = []
        asked: list[str] = []
        page.on("console", lambda said, wrong=wrong: wrong.append(said.text))  # type: ignore[misc]
        page.on("request", lambda request, asked=asked: asked.append(request.url))  # type: ignore[misc]
        page.goto(path.as_uri())
        assert page.evaluate("document.documentElement.scrollWidth") <= 375, path
        assert wrong == []
        assert all(address.startswith(path.parent.as_uri()) for address in asked), asked
        if path.name != "record.html":
            found = Axe().run(page).response
            assert [(one["id"], one["nodes"][0]["html"][:120]) for one in found["violations"]] == [], path
        context.close()


# ------------------------------------------------------------------------------- pages of the guide


def test_marks_of_the_guide_become_markup() -> None:
    known = ("safety",)
    assert inline("a `<b>` **c** *d*", known) == "a <code>&lt;b&gt;</code> <strong>c</strong> <em>d</em>"
    assert (
        inline("[x](safety.md#top) [y](kits.md) [z](https://a.b)", known) == '<a href="safety.html">x</a> y z'
    )
    body = guide_body(
        "# T\n\n- a\n  b\n- c\n\n1. d\n\n| h | i |\n|---|---|\n| j | k |\n\n```sh\na\n\n<b>\n```\n", known
    )
    assert (
        "<h1>T</h1>" in body and "<ul><li>a\nb</li><li>c</li></ul>" in body and "<ol><li>d</li></ol>" in body
    )
    assert "<th scope=col>h</th>" in body and "<td>k</td>" in body
    assert "<code>a\n\n&lt;b&gt;</code>" in body


@pytest.mark.parametrize("name", GUIDES)
def test_no_word_of_a_guide_page_is_lost(name: str) -> None:
    text = files("harness.guide").joinpath(f"{name}.md").read_text(encoding="utf-8")
    shown = HTMLText(guide_body(text, GUIDES)).words
    kept = re.sub(r"<!--.*?-->|```\w*|\]\([^)]*\)|^\d+\. ", " ", text, flags=re.S | re.M)
    assert set(re.findall(r"[^\W_]+", kept)) <= set(re.findall(r"[^\W_]+", shown))


class HTMLText(HTMLParser):
    """All text of a page."""

    def __init__(self, body: str) -> None:
        super().__init__()
        self.words = ""
        self.feed(body)

    def handle_data(self, data: str) -> None:
        self.words += f"{data} "
