"""A record as one page for any browser: newest first and by subject, with photos, no script, no network."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from importlib.resources import files
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from harness.book.text import clean, one_line
from harness.record.attaching import FOLDER, is_safe
from harness.record.entry import Attachment, Damaged, Entry
from harness.record.words import damaged_words, field_lines, size_words

if TYPE_CHECKING:
    from jinja2 import Template

PICTURES = (".jpg", ".jpeg", ".png", ".gif", ".webp")
WHOLE = "The machine"  # the subject of what has none
SHORT = 80  # letters of a text in the list of a subject


@dataclass(frozen=True, slots=True)
class _File:
    named: str
    link: str  # "" where its name cannot be one of a file in the folder
    picture: bool
    size: str


@dataclass(frozen=True, slots=True)
class _Shown:
    number: int
    day: str
    kind: str
    subject: str
    facts: str
    text: str
    short: str
    fields: tuple[str, ...]
    files: tuple[_File, ...]
    sound: bool


def record_html(
    entries: Sequence[Entry], *, title: str, attachments: str = FOLDER, damaged: Sequence[Damaged] = ()
) -> str:
    """The page.

    title: the machine's name. attachments: where the folder of attachments lies as seen from the page, with /
    between folders. damaged: lines that could not be read, told at the head.
    """
    shown = [_shown(entry, attachments) for entry in reversed(entries)]
    style = _read("record.css")
    return _template().render(
        title=one_line(title),
        policy=_policy(style),
        style=_markup(style),
        summary=_summary(entries),
        entries=shown,
        subjects=_by_subject(shown),
        damaged=[damaged_words(one) for one in damaged],
    )


def _read(name: str) -> str:
    return files(__package__).joinpath(name).read_text(encoding="utf-8")


def _markup(text: str) -> Any:
    from markupsafe import Markup

    return Markup(text)


@cache
def _template() -> Template:
    from jinja2 import Environment, StrictUndefined

    made = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    return made.from_string(_read("record.html.j2"))


def _policy(style: str) -> str:
    """No script and no request at all but for pictures that lie beside the page."""
    digest = base64.b64encode(sha256(style.encode()).digest()).decode()
    pictures = "img-src 'self' file:"
    return f"default-src 'none'; {pictures}; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"


def _summary(entries: Sequence[Entry]) -> str:
    if not entries:
        return "No entries."
    days = sorted(entry.day for entry in entries)
    read = [entry for entry in entries if entry.hours is not None]
    hours = f" The hours meter last read {read[-1].hours:g} h, on {one_line(read[-1].day)}." if read else ""
    count = f"{len(entries)} entries" if len(entries) != 1 else "1 entry"
    return f"{count}, {one_line(days[0])} to {one_line(days[-1])}.{hours}"


def _by_subject(shown: Sequence[_Shown]) -> list[tuple[str, list[_Shown]]]:
    """The subjects by name, the machine itself first; within each the newest first."""
    groups: dict[str, list[_Shown]] = {}
    for one in shown:
        groups.setdefault(one.subject or WHOLE, []).append(one)
    return sorted(groups.items(), key=lambda group: (group[0] != WHOLE, group[0].casefold(), group[0]))


def _shown(entry: Entry, folder: str) -> _Shown:
    hours = f"{entry.hours:g} h" if entry.hours is not None else ""
    facts = (
        f"entry {entry.number}",
        entry.when.replace("T", " "),
        hours,
        f"by {entry.by}" if entry.by else "",
    )
    text = clean(entry.text).strip()
    short = one_line(text[: SHORT + 1])
    return _Shown(
        number=entry.number,
        day=one_line(entry.day),
        kind=one_line(entry.kind),
        subject=one_line(entry.subject).strip(),
        facts=", ".join(one_line(fact) for fact in facts if fact),
        text=text,
        short=short if len(short) <= SHORT else short[: SHORT - 3] + "...",
        fields=tuple(one_line(line) for line in field_lines(entry)),
        files=tuple(_file(one, folder) for one in entry.attachments),
        sound=entry.sound,
    )


def _file(one: Attachment, folder: str) -> _File:
    where = folder.rstrip("/").encode("utf-8", "surrogateescape")  # a folder's name need not be text
    link = f"{quote(where)}/{quote(one.file)}" if is_safe(one.file) else ""
    picture = bool(link) and one.file.lower().endswith(PICTURES)
    return _File(one_line(one.named), link, picture, size_words(one.size))
