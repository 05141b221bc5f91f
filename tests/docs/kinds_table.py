"""The table of part kinds that the guide prints."""

from __future__ import annotations

from harness.kinds import Kind, KindLink, kinds


def _draw(link: KindLink) -> str:
    load = link.load
    if load is None:
        return ""
    steady = f"{load.watts:g} W" if load.watts is not None else f"{load.amps_at_12v:g} A"
    if load.steady_s is not None:
        steady += f" for {load.steady_s:g} s"
    if load.peak_amps_at_12v is not None:
        steady += f", at first {load.peak_amps_at_12v:g} A for {load.peak_s:g} s"
    return steady


def row(kind: Kind) -> str:
    """One row of the table."""
    terminals = " ".join(f"`{terminal.name}`" for terminal in kind.terminals)
    draws = "; ".join(text for text in map(_draw, kind.links) if text)
    return f"| `{kind.name}` | {', '.join(kind.aliases)} | {terminals} | {draws} |"


def table() -> list[str]:
    """The whole table, heading and all."""
    head = ["| kind | other words | terminals | draws at 12 V |", "|---|---|---|---|"]
    return head + [row(kind) for kind in kinds().values()]
