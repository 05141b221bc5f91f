"""Pages of ours as a browser parts them, and opened in one that tells of every breach of their policy."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

from playwright.sync_api import Browser
from playwright.sync_api import Page as Tab


class Page(HTMLParser):
    """Texts, tags and attributes of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: list[str] = []
        self.tags: set[str] = set()
        self.keys: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.keys |= {key for key, _ in attrs}

    def handle_data(self, data: str) -> None:
        self.texts.append(data)

    def holds_nothing_that_acts(self) -> None:
        assert not self.tags & {"iframe", "object", "embed", "foreignobject", "textarea", "base"}
        assert not {key for key in self.keys if key.startswith("on")}


@contextmanager
def opened(browser: Browser, file: Path) -> Iterator[Tab]:
    """The page or drawing open in Chromium: no script but ours runs, and nothing but what lies beside it is
    asked for. A page has its own strict policy; in a drawing there is no script at all."""
    told = file.read_text(encoding="utf-8")
    if file.suffix == ".svg":
        for each in ElementTree.fromstring(told).iter():
            assert not each.tag.endswith("script")
            assert all(value.startswith("#") for key, value in each.attrib.items() if "href" in key)
    else:
        (policy,) = re.findall(r'http-equiv="Content-Security-Policy" content="([^"]*)"', told)
        assert policy.replace("&#39;", "'").startswith("default-src 'none'")
    context = browser.new_context()
    tab = context.new_page()
    wrong: list[str] = []
    asked: list[str] = []
    tab.on("console", lambda said: wrong.append(said.text) if said.type == "error" else None)
    tab.on("pageerror", lambda error: wrong.append(str(error)))
    tab.on("request", lambda request: asked.append(request.url))
    tab.on("dialog", lambda dialog: wrong.append(dialog.message))
    try:
        tab.goto(file.as_uri())
        yield tab
        assert tab.evaluate("window.hurt") is None
        assert tab.locator("[onerror], [onload], [onmouseover], [onfocus], [autofocus]").count() == 0
        assert [each for each in asked if not each.startswith(file.parent.as_uri())] == []
        assert wrong == []
    finally:
        context.close()
