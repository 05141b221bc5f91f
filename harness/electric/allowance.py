"""What drop each load may see: the circuit's own figure, else the table's row for its kind."""

from __future__ import annotations

from dataclasses import dataclass

from harness.model.machine import Circuit, Link, Part
from harness.tables import load

LAMP_LIMIT_W = 15.0
SET = "set in the survey"  # who says so, where no table does
_ROWS = {
    "headlamp line": "head lamp",
    "starter main line": "starter motor",
    "charging line": "charging",
    # The handbook lets control lines lose 1.5 V of 12; the general 7 % is the safer.
    "other control line": "any",
    "alternator control line": "any",
}


@dataclass(frozen=True, slots=True)
class Allowance:
    """Volts a load may lose, feed and return together, and who says so."""

    drop_v: float
    source: str


def table_allowance(row: str, *, system_v: float) -> Allowance:
    """An allowance of the table at a system voltage [V].

    6 V machines get half the 12 V figure (NAVEDTRA 14050 halves its 12 V figures, read); above 24 V the
    24 V figure in proportion.
    """
    found = next(entry for entry in load("allowances").rows if entry["row"] == row)
    at_12, at_24 = float(found["drop_12v_v"]), float(found["drop_24v_v"])
    drop = at_12 * system_v / 12 if system_v < 18 else at_24 * max(1.0, system_v / 24)
    return Allowance(round(drop, 4), f"{found['source']} ({found['certainty']})")


def _row(part: Part, link: Link) -> str:
    if part.allowance == "lamp line":
        watts = link.load.power_w if link.load is not None and link.load.power_w is not None else 0.0
        return "lamp over 15 W" if watts > LAMP_LIMIT_W else "lamp under 15 W"
    return _ROWS.get(part.allowance, "any")


def _is_main(part: Part, link: Link) -> bool:
    """Whether a link is what the part is there for: its first, or a load of that nature, as main beam is."""
    first = part.links[0]
    alike = link.load is not None and first.load is not None and link.load.nature == first.load.nature
    return link == first or alike


def steady_allowance(circuit: Circuit, part: Part, link: Link, *, system_v: float) -> Allowance:
    """What a load may lose while it is on; lamps take the smaller of their row and the general one.

    ``system_v``: of the side that feeds it: the machine's, or behind a voltage converter what that gives [V].
    """
    if circuit.allowance_v is not None:
        return Allowance(circuit.allowance_v, SET)
    found = table_allowance(_row(part, link) if _is_main(part, link) else "any", system_v=system_v)
    if part.allowance != "lamp line":
        return found
    return min(found, table_allowance("any", system_v=system_v), key=lambda one: one.drop_v)


def peak_allowance(part: Part, link: Link, *, system_v: float) -> Allowance | None:
    """What a coil may lose while it pulls in; None for loads whose inrush nothing hangs on."""
    if link.load is None or link.load.peak_a is None or link.load.nature != "coil":
        return None
    row = "starter solenoid" if part.kind == "starter motor" else "coil pull-in"
    return table_allowance(row, system_v=system_v)
