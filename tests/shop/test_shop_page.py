"""The shop book in a real browser, opened from disk: what it is used for, and what must not happen."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from harness.book.shop.page import page_html
from harness.lists.cutlist import cut_list
from harness.model.design import Design
from harness.pipeline import design as design_of
from harness.survey import read
from tests.book.factories import renamed
from tests.shop.conftest import NAMES, drawings

PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 900}


def opened(browser: Browser, address: str, **context: object) -> Page:
    """The page with everything that goes wrong on it, and everything it asks for, written down."""
    made = browser.new_context(**{"viewport": DESK, "reduced_motion": "reduce", **context})  # type: ignore[arg-type]
    page = made.new_page()
    page.wrong = []  # type: ignore[attr-defined]
    page.asked = []  # type: ignore[attr-defined]
    page.on(
        "console", lambda said: page.wrong.append(said.text) if said.type in ("error", "warning") else None
    )  # type: ignore[attr-defined]
    page.on("pageerror", lambda error: page.wrong.append(str(error)))  # type: ignore[attr-defined]
    page.on("request", lambda request: page.asked.append(request.url))  # type: ignore[attr-defined]
    page.goto(address)
    return page


@pytest.fixture
def pump(browser: Browser, books: dict[str, str]) -> Iterator[Page]:
    page = opened(browser, books["pump"])
    yield page
    assert page.wrong == []  # type: ignore[attr-defined]
    page.context.close()


# Leaves three of what stands alike side by side, and of every drawing its frame.
ALIKE = """() => {
    document.querySelectorAll(".plate svg").forEach((each) => each.replaceChildren());
    document.querySelectorAll("body, body *").forEach((parent) => {
        if (!parent.isConnected) return;
        const met = new Map();
        for (const child of Array.from(parent.children)) {
            const sort = child.tagName + "." + child.className;
            met.set(sort, (met.get(sort) || 0) + 1);
            if (met.get(sort) > 3 && parent.tagName !== "MAIN") child.remove();
        }
    }); }"""


def brightness(page: Page) -> float:
    paper = page.evaluate("getComputedStyle(document.body).backgroundColor")
    return sum(int(part) for part in paper.strip("rgb()").split(",")) / 3


@pytest.mark.parametrize("name", NAMES)
def test_every_book_opens_from_disk_without_a_complaint_or_a_request(
    name: str, browser: Browser, books: dict[str, str]
) -> None:
    page = opened(browser, books[name])
    assert brightness(page) > 200
    page.emulate_media(color_scheme="dark")
    assert brightness(page) < 60
    page.set_viewport_size({"width": 390, "height": 844})  # a phone: nothing may scroll sideways
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert page.wrong == []  # type: ignore[attr-defined]
    assert page.asked == [books[name]]  # type: ignore[attr-defined]
    page.context.close()


@pytest.mark.parametrize(
    ("name", "view", "scheme"),
    [*((name, DESK, "light") for name in NAMES), ("pump", PHONE, "dark"), ("roller", PHONE, "dark")],
)
def test_axe_finds_nothing(
    name: str, view: dict[str, int], scheme: str, browser: Browser, books: dict[str, str]
) -> None:
    """WCAG 2.1 A and AA by axe-core, contrast included."""
    page = opened(browser, books[name], viewport=view, color_scheme=scheme)
    page.locator(".view [data-wire] text").first.click(force=True)
    expect(page.locator("#panel")).to_be_visible()
    field = page.locator("#tests [data-reading]").first
    field.fill("0.1")
    # the first three of each list are looked at, or this takes minutes
    page.evaluate(ALIKE)
    found = Axe().run(page, context={"exclude": [[".plate svg"]]}).response  # each is one picture with a name
    assert [(one["id"], [node["html"][:120] for node in one["nodes"]]) for one in found["violations"]] == []
    assert any(one["id"] == "color-contrast" for one in found["passes"])
    page.context.close()


@pytest.mark.parametrize("name", ["pump", "roller"])
def test_a_tapped_wire_lights_up_and_shows_its_line_of_the_cut_list(
    name: str, browser: Browser, books: dict[str, str], designs: dict[str, Design]
) -> None:
    page = opened(browser, books[name])
    lines = {line.number: line for spool in cut_list(designs[name]) for line in spool.lines}
    for number in list(lines)[:: max(1, len(lines) // 4)]:
        group = page.locator(f'.view [data-wire="{number}"]').first
        group.scroll_into_view_if_needed()
        group.locator("text").first.click(force=True)
        body = page.locator("#panel-body").inner_text()
        line = lines[number]
        assert page.locator("#panel-title").inner_text() == f"Wire {number}"
        assert line.from_.part in body and line.to.part in body
        assert "lit" in (group.get_attribute("class") or "")
        page.keyboard.press("Escape")
        expect(page.locator("#panel")).to_be_hidden()
        assert page.locator(".lit").count() == 0
    assert page.wrong == []  # type: ignore[attr-defined]
    page.context.close()


def test_a_tap_beside_a_thin_wire_on_a_phone_still_finds_it(browser: Browser, books: dict[str, str]) -> None:
    page = opened(browser, books["pump"], viewport=PHONE, has_touch=True)
    line = page.locator('.view [data-wire="6"] polyline').first
    line.scroll_into_view_if_needed()
    box = line.bounding_box()
    assert box is not None
    page.touchscreen.tap(box["x"] + box["width"] / 2 - 7, box["y"] + box["height"] / 2)
    expect(page.locator("#panel-title")).to_have_text("Wire 6")
    page.context.close()


def test_a_tapped_part_shows_its_hook_up(pump: Page) -> None:
    pump.locator('.view [data-part="key"]').first.click(force=True)
    expect(pump.locator("#panel-title")).to_have_text("key")
    for terminal in ("30", "15", "50"):
        expect(pump.locator("#panel-body table")).to_contain_text(terminal)


def test_a_drawing_grows_and_comes_back(pump: Page) -> None:
    svg, plate = pump.locator(".plate svg").first, pump.locator(".plate").first
    whole = svg.get_attribute("viewBox")
    plate.get_by_role("button", name="Larger").click()
    assert svg.get_attribute("viewBox") != whole
    pump.locator(".view").first.press("ArrowRight")
    pump.locator(".view").first.press("0")
    assert [float(each) for each in (svg.get_attribute("viewBox") or "").split()] == [
        float(each) for each in (whole or "").split()
    ]


def test_ticks_stay_after_reloading_and_count(pump: Page) -> None:
    pump.locator('[data-tick="cut:6"]').first.check()
    pump.reload()
    assert pump.locator('[data-tick="cut:6"]').first.is_checked()
    assert not pump.locator('[data-tick="cut:4"]').first.is_checked()
    assert (pump.locator('[data-progress="cuts"]').inner_text()).startswith("1/")
    pump.locator('[data-tick="cut:6"]').first.uncheck()
    pump.reload()
    assert not pump.locator('[data-tick="cut:6"]').first.is_checked()


def test_ticks_go_to_a_file_and_into_another_browser(
    browser: Browser, books: dict[str, str], tmp_path: Path
) -> None:
    page = opened(browser, books["pump"])
    page.locator('[data-tick="cut:6"]').first.check()
    page.locator("#tests [data-reading]").nth(1).fill("0.05")
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save ticks").click()
    path = tmp_path / saved.value.suggested_filename
    saved.value.save_as(path)
    assert json.loads(path.read_text(encoding="utf-8"))["ticks"] == {"cut:6": "1"}
    page.context.close()

    other = opened(browser, books["pump"])
    assert not other.locator('[data-tick="cut:6"]').first.is_checked()
    other.locator("#load").set_input_files(path)
    expect(other.locator("#told")).to_contain_text("loaded")
    assert other.locator('[data-tick="cut:6"]').first.is_checked()
    assert other.locator("#tests [data-reading]").nth(1).input_value() == "0.05"
    wrong = tmp_path / "wrong.json"
    wrong.write_text('{"form": "something else", "ticks": {"cut:4": "1"}}', encoding="utf-8")
    other.locator("#load").set_input_files(wrong)
    expect(other.locator("#told")).to_contain_text("nothing was changed")
    assert not other.locator('[data-tick="cut:4"]').first.is_checked()
    assert other.locator('[data-tick="cut:6"]').first.is_checked()
    other.context.close()


def test_search_finds_a_wire_a_part_and_a_colour(pump: Page, designs: dict[str, Design]) -> None:
    search, hits = pump.get_by_label("Search"), pump.locator("#hit-list a")
    search.fill("7b")
    assert hits.first.inner_text().startswith("wire 7b:")
    search.fill("charge lamp")
    assert hits.first.inner_text().startswith("charge lamp:")
    search.fill("black")
    black = [wire for wire in designs["pump"].wires if not wire.kept and "BK" in wire.colour]
    assert hits.count() == len(black) > 0
    search.fill("no such thing")
    expect(pump.locator("#hit-count")).to_have_text("0 found")
    search.fill("7b")
    search.press("Enter")
    assert pump.evaluate("document.activeElement.dataset.piece") == "7b"


@pytest.mark.parametrize(
    ("said", "verdict", "good"),
    [
        ("13.9", "in the band", True), ("14,1", "in the band", True), ("14000 mV", "in the band", True),
        ("-14 V", "in the band", True), ("14 A", "not a number of V", False),
        ("12.9", "below the band by 0.900 V. Points to: ", False),
        ("15", "above the band by 0.600 V. Points to: ", False), ("about 14", "not a number of V", False),
    ],
)  # fmt: skip
def test_a_reading_outside_its_band_turns_red(pump: Page, said: str, verdict: str, good: bool) -> None:
    """Charging volts of a 12 V machine: 13.8 to 14.4 V, as the table test_bands has it."""
    row = pump.locator("#tests tr", has_text="battery posts in running")
    plain = row.locator("td").first.evaluate("cell => getComputedStyle(cell).backgroundColor")
    row.locator("input").fill(said)
    told = row.locator("[data-verdict]").inner_text()
    assert told == verdict or (
        verdict.endswith(": ") and told.startswith(verdict) and len(told) > len(verdict)
    )
    after = row.locator("td").first.evaluate("cell => getComputedStyle(cell).backgroundColor")
    assert (after == plain) is good
    assert row.locator("input").get_attribute("aria-invalid") == (None if good else "true")
    twin = pump.locator("#power tr", has_text="battery posts in running").locator("input")
    assert twin.input_value() == said


def test_the_switch_goes_from_light_to_dark_and_stays(pump: Page) -> None:
    pump.get_by_role("button", name="Dark").click()
    pump.reload()
    assert pump.evaluate("document.documentElement.dataset.theme") == "dark"


def test_the_keyboard_gets_past_the_head_to_the_content(pump: Page) -> None:
    pump.keyboard.press("Tab")
    assert pump.evaluate("document.activeElement.className") == "skip"
    pump.keyboard.press("Enter")
    assert pump.evaluate("document.activeElement.id") == "content"


HOSTILE = (
    "</script><script>window.hurt=1</script>",
    "<img src=x onerror=window.hurt=1>",
    "\" onmouseover=\"window.hurt=1\" x=\"",
    "<!--<script>",
    "{{ 7*7 }} {% raw %}",
    "</style><b>",
    "' data-wire='6",
    "&lt;b&gt;",
)  # fmt: skip


SURVEY = """
machine: {name: ANY, voltage: 12 V, chassis post: negative}
zones: {PLACE: {ambient: 40 °C}}
runs:
  - {from: box, to: PLACE, length: 2 m, zone: PLACE}
parts:
  battery: {is: battery, at: box, capacity: 70 Ah, cranking: 540 A}
  NAME: {is: fuse, at: box}
  NAME 2: {is: work lamp, at: PLACE, power: 55 W}
  ground: {is: ground point, at: PLACE, on: frame}
  box ground: {is: ground point, at: box, on: frame}
modes: {PLACE: {engine: stopped}}
circuits:
  ANY:
    paths: [PATH, frame > battery -]
"""


def hostile(word: str) -> Design:
    """A machine with the word for every name; in paths without the signs that mean something there."""
    part = word.translate(str.maketrans("", "", "(),>/")).strip()
    text = SURVEY.replace("PATH", json.dumps(f"battery + > {part} > {part} 2 > frame"))
    text = text.replace("NAME 2", json.dumps(f"{part} 2")).replace("NAME", json.dumps(part))
    return design_of(read("hostile.yaml", text=text.replace("ANY", json.dumps(word))))


@pytest.mark.parametrize(
    ("word", "whole"),
    [(HOSTILE[0], True), (HOSTILE[2], True), (HOSTILE[6], True), (" ".join(HOSTILE), False)],
)
def test_hostile_names_stay_text_and_run_nothing(
    word: str, whole: bool, browser: Browser, designs: dict[str, Design], tmp_path: Path
) -> None:
    """Through a survey, so that drawings hold the name too; and every sort of text in every field at once."""
    design = hostile(word) if whole else renamed(designs["pump"], word)
    path = tmp_path / "hostile.html"
    path.write_bytes(page_html(design, drawings(design if whole else designs["pump"])))
    page = opened(browser, path.as_uri())
    assert page.evaluate("window.hurt") is None
    assert page.locator("script").count() == 2
    assert page.locator("img, iframe, [onmouseover], [onerror]").count() == 0
    assert word in page.locator("h1").inner_text()
    assert page.evaluate("JSON.parse(document.getElementById('data').textContent).machine") == word
    if whole:
        page.locator(".view [data-wire]").first.click(force=True)
        page.locator(".view [data-part]").first.click(force=True)
        assert page.evaluate("window.hurt") is None
    assert page.wrong == []  # type: ignore[attr-defined]
    page.context.close()


def test_a_script_slipped_into_the_file_would_not_run(
    browser: Browser, books: dict[str, str], tmp_path: Path
) -> None:
    """The policy of the page itself, not only the escaping: a foreign script and picture are refused."""
    text = Path(books["pump"].removeprefix("file://")).read_text(encoding="utf-8")
    path = tmp_path / "slipped.html"
    foreign = "<script>window.hurt=1</script><img src='https://example.org/x.png'>"
    path.write_text(text.replace("<main", foreign + "<main"), encoding="utf-8")
    page = opened(browser, path.as_uri())
    assert page.evaluate("window.hurt") is None
    assert len(page.wrong) == 2  # type: ignore[attr-defined]
    page.context.close()
