"""The frame of every page of an export: one style, no script, nothing fetched from anywhere."""

from __future__ import annotations

from base64 import b64encode
from functools import cache
from hashlib import sha256
from html import escape
from importlib.resources import files

from harness.book.text import one_line

GENERATOR = "harness export 1"


@cache
def _style() -> str:
    return files(__package__).joinpath("page.css").read_text(encoding="utf-8").replace("\n", "")


def _policy() -> str:
    digest = b64encode(sha256(_style().encode()).digest()).decode()
    return f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"


def page(title: str, body: str) -> bytes:
    """A whole page; ``title`` is text, ``body`` markup."""
    head = escape(one_line(title))
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_policy()}">\n'
        f'<meta name="generator" content="{GENERATOR}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{head}</title><style>{_style()}</style></head>\n<body><main>\n{body}\n</main></body></html>\n"
    ).encode()
