"""The shop book as one HTML file: nothing is fetched, no script but its own runs, texts stay texts."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Mapping
from importlib.resources import files
from typing import Any

from jinja2 import DictLoader, Environment, StrictUndefined
from markupsafe import Markup, escape

from harness.book.sheet import metres_and_feet
from harness.book.shop.blocks import Book
from harness.book.shop.book import book_of
from harness.book.shop.plates import with_own_ids
from harness.book.shop.words import anchors, number, unit
from harness.book.text import clean
from harness.drawing.paint import paints
from harness.lists.measure import CENTIMETRE, round_up
from harness.lists.traces import trace, ways_of
from harness.model.design import Design

PAGES = ("blocks.html.j2", "book.html.j2")
_PLAIN = re.compile(r"[A-Za-z0-9]")


def _read(name: str) -> str:
    return files(__package__).joinpath("pages", name).read_text(encoding="utf-8")


def css_string(text: str) -> str:
    """Write any text as a CSS string: all but letters and digits by number, so that none can end it.

    >>> css_string('a"b')
    '"a\\\\000022b"'
    """
    return '"' + "".join(one if _PLAIN.match(one) else f"\\{ord(one):06x}" for one in text) + '"'


def script_json(value: object) -> str:
    """Write data for a script element: no character that could end it or open a comment."""
    text = json.dumps(value, ensure_ascii=True, separators=(",", ":"), sort_keys=True)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _hash(text: str) -> str:
    return "'sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode() + "'"


def policy(style: str, script: str) -> str:
    """Return the content security policy: this style and this script, and no request at all."""
    allowed = f"style-src {_hash(style)}; script-src {_hash(script)}"
    return f"default-src 'none'; {allowed}; base-uri 'none'; form-action 'none'"


def _harmless(value: Any) -> Any:
    """What every printed value goes through before it is escaped."""
    return clean(value) if isinstance(value, str) and not isinstance(value, Markup) else value


def _drawing(svg: str, own: str, name: str) -> Markup:
    """The drawing as part of the page; what it holds of the survey was escaped when it was drawn."""
    inline = with_own_ids(svg, f"{own}-")
    return Markup(inline.replace("<svg ", f'<svg role="img" aria-label="{escape(clean(name))}" ', 1))


def _environment(design: Design) -> Environment:
    wires, parts = anchors(design)
    made = Environment(
        loader=DictLoader({name: _read(name) for name in PAGES}),
        autoescape=True, undefined=StrictUndefined, finalize=_harmless, trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    made.globals.update(
        wire_id=lambda name: wires.get(name, ""), part_id=lambda name: parts.get(name, ""), paints=paints,
        num=number, unit=unit, zip=zip, length=metres_and_feet,
        ceil=lambda length_m: round_up(length_m, step=CENTIMETRE), drawing=_drawing,
    )  # fmt: skip
    return made


def _style(book: Book) -> str:
    text = _read("book.css").replace("PRINTED_NAME", css_string(f"{clean(book.machine)[:80]}, {book.system}"))
    return text.replace("PRINTED_DIGEST", css_string(f"survey {book.digest}"))


def _data(design: Design) -> str:
    ways = ways_of(design)
    traces = {wire.number: trace(ways, wire) for wire in design.wires}
    return script_json(
        {
            "machine": clean(design.machine.name),
            "digest": design.machine.digest,
            "ways": {number_: [each.wires, each.parts] for number_, each in traces.items()},
        }
    )


def page_html(design: Design, drawings: Mapping[str, str]) -> bytes:
    """Return the book as one HTML file; ``drawings`` are the SVG files of the design by name."""
    book = book_of(design, drawings)
    style, script = _style(book), _read("book.js")
    text = (
        _environment(design)
        .get_template("book.html.j2")
        .render(
            book=book,
            policy=policy(style, script),
            style=Markup(style),
            script=Markup(script),
            data=Markup(_data(design)),
        )
    )
    return text.encode("utf-8", "replace")
