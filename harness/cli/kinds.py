"""Words and JSON for the kinds of part."""

from __future__ import annotations

from dataclasses import asdict
from difflib import get_close_matches

import click

from harness.kinds import Kind, KindLink, aliases, find, kinds
from harness.signs import json_text


def kinds_text() -> str:
    """Every kind with its words, one a line."""
    found = kinds()
    width = max(len(name) for name in found)
    return "\n".join(f"{name:<{width}}  {', '.join(kind.aliases)}".rstrip() for name, kind in found.items())


def kinds_json(wanted: str | None = None) -> str:
    """Every kind for a program, or one; raises click.UsageError for a kind that is not there."""
    found = kinds().values() if wanted is None else (_meant(wanted),)
    rows = {kind.name: asdict(kind) for kind in found}
    return json_text({"kinds": rows}, default=sorted)


def _link_text(link: KindLink) -> str:
    words = f"  {link.a} to {link.b}: {link.kind}"
    if link.resistance_ohm:
        words += f", {link.resistance_ohm * 1000:g} mohm"
    if link.load is not None:
        load = link.load
        draw = f"{load.watts:g} W" if load.watts is not None else f"{load.amps_at_12v or 0:g} A at 12 V"
        words += f", {draw}"
        if load.steady_s is not None:
            words += f" for {load.steady_s:g} s"
        if load.peak_amps_at_12v is not None:
            words += f", peak {load.peak_amps_at_12v:g} A for {load.peak_s or 0:g} s"
    return f"{words} [{link.source}]" if link.source else words


def _lines(kind: Kind) -> list[str]:
    terminals = [f"  {term.name}: {term.fitting} {term.size}".rstrip() for term in kind.terminals]
    return [
        f"{kind.name} ({kind.title})",
        f"in a path a bare name enters at {kind.inlet or '-'} and leaves at {kind.outlet or '-'}",
        "terminals:",
        *terminals,
        "inside:",
        *[_link_text(link) for link in kind.links],
        f"the survey may say: {', '.join(sorted(kind.accepts))}",
    ]


def _meant(name: str) -> Kind:
    """The kind of a name or another word for it; raises click.UsageError."""
    found = find(name)
    if found is None:
        near = get_close_matches(name.lower(), [*kinds(), *aliases()], n=3)
        hint = f"did you mean {' or '.join(map(repr, near))}?" if near else "`harness kinds` lists them."
        raise click.UsageError(f"there is no kind {name!r}; {hint}")
    return found


def kind_text(name: str) -> str:
    """What is known about one kind; raises click.UsageError for a kind that is not there."""
    return "\n".join(_lines(_meant(name)))
