"""The page of `harness watch` follows the book and says above it what is wrong with the survey."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Browser, expect

from harness.cli.live import Live


def test_the_book_in_the_browser_follows_and_mistakes_stand_above_it(
    tmp_path: Path, browser: Browser
) -> None:
    (tmp_path / "book.html").write_text("<!doctype html><title>b</title><p id=v>first", encoding="utf-8")
    live = Live(tmp_path)
    page = browser.new_page()
    complaints: list[str] = []
    page.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
    page.goto(live.address)
    shown = page.frame_locator("#book").locator("#v")
    expect(shown).to_have_text("first")
    expect(page.locator("#said")).to_be_hidden()

    live.news.wrong("1 problem", ["survey.yaml:1:1: <script>bad()</script>"])
    expect(page.locator("#said")).to_have_text("1 problem\nsurvey.yaml:1:1: <script>bad()</script>")
    expect(shown).to_have_text("first")

    (tmp_path / "book.html").write_text("<!doctype html><title>b</title><p id=v>second", encoding="utf-8")
    live.news.made()
    expect(shown).to_have_text("second")
    expect(page.locator("#said")).to_be_hidden()

    live.news.wrong("many", [str(number) for number in range(100)])
    expect(page.locator("#said")).to_contain_text("and 60 more")
    assert complaints == []
    page.close()
    live.stop()
