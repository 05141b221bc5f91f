"""A comparison in words, line by line, and as plain data for programs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from harness.comparing.change import Change, Comparison, Goods, Side
from harness.comparing.telling import TERMINAL, TITLES

FORMAT = "harness comparison 1"


def side_words(side: Side) -> str:
    """Name one design as its title block does."""
    revision = f"revision {side.revision}" if side.revision else "no revision"
    return f"{side.name}, {revision} ({side.file}, digest {side.digest})"


def change_words(change: Change) -> str:
    """One change as a sentence without its full stop."""
    if change.group in ("dangers", "advice"):
        return f"{change.subject}: {change.now or change.was}"
    if change.act == "added":
        return f"{change.subject}: {change.now}"
    if change.act == "removed":
        return f"{change.subject}: {change.was}"
    if change.what in ("number", "name") and change.group == "numbers":
        return f"{change.subject} was {change.was} before"
    return f"{_called(change)}: {_what(change)}"


def _called(change: Change) -> str:
    other = change.old_name not in ("", change.new_name)
    return f"{change.subject} (was {change.old_name})" if other else change.subject


def _what(change: Change) -> str:
    words = f"{change.what} from {change.was} to {change.now}"
    return f"{words}, because {' and '.join(change.because)}" if change.because else words


def told(changes: Sequence[Change]) -> list[tuple[str, list[Change]]]:
    """Changes in their order, in words behind their sign; all that is otherwise of one thing on one line."""
    found: dict[tuple[str, str, str], list[Change]] = {}
    for at, change in enumerate(changes):
        one = change.act == "changed" and change.group != "numbers"
        found.setdefault((change.group, change.subject, "" if one else str(at)), []).append(change)
    rows = []
    for same in found.values():
        if len(same) == 1:
            rows.append((f"{sign(same[0])} {change_words(same[0])}", same))
            continue
        short = [each for each in same if each.what == TERMINAL]
        parts = [_what(each) for each in same if each.what != TERMINAL]
        if any(each.what == "size" for each in same) and short:  # a lug of the other size goes without saying
            parts.append("with terminals to suit")
        else:
            parts += [_what(each) for each in short]
        rows.append((f"* {_called(same[0])}: {'; '.join(parts)}", same))
    return rows


def sign(change: Change) -> str:
    """The sign before a change: it came, it went, it is otherwise."""
    return {"added": "+", "removed": "-", "changed": "*"}[change.act]


def goods_words(each: Goods) -> str:
    """One thing to buy or bring back."""
    named = ", ".join(filter(None, (each.item, each.size, each.colour)))
    amount = f"{each.amount:.2f} m" if each.unit == "m" else f"{each.amount:g}"
    return f"{amount}  {named}"


def lines(found: Comparison) -> Iterator[str]:
    """The whole comparison; nothing at all where the two are the same and there is nothing to note."""
    if not found.same:
        yield f"old: {side_words(found.old)}"
        yield f"new: {side_words(found.new)}"
        yield "+ is new, - is gone, * is otherwise"
    for note in found.notes:
        yield f"note: {note}"
    for group, title in TITLES.items():
        rows = [change for change in found.changes if change.group == group]
        if rows:
            yield ""
            told_rows = told(rows)
            yield f"{title} ({len(told_rows)})"
            yield from (f"  {row}" for row, _ in told_rows)
    for title, wares in (("To buy", found.buy), ("Left over, to bring back or keep", found.bring_back)):
        if wares:
            yield ""
            yield f"{title} ({len(wares)}); with waste and spares, before packs and rolls"
            yield from (f"  {goods_words(each)}" for each in wares)


def data(found: Comparison) -> dict[str, Any]:
    """The comparison as plain values; keys are the names of the fields."""

    def side(each: Side) -> dict[str, str]:
        return {"name": each.name, "revision": each.revision, "file": each.file, "digest": each.digest}

    def ware(each: Goods) -> dict[str, Any]:
        return {
            "item": each.item, "size": each.size, "colour": each.colour,
            "amount": each.amount, "unit": each.unit,
        }  # fmt: skip

    return {
        "format": FORMAT,
        "old": side(found.old),
        "new": side(found.new),
        "same": found.same,
        "notes": list(found.notes),
        "changes": [
            {
                "group": each.group, "act": each.act, "subject": each.subject, "old_name": each.old_name,
                "new_name": each.new_name, "what": each.what, "was": each.was, "now": each.now,
                "because": list(each.because), "text": change_words(each),
            }
            for each in found.changes
        ],
        "buy": [ware(each) for each in found.buy],
        "bring_back": [ware(each) for each in found.bring_back],
    }  # fmt: skip
