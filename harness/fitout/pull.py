"""The least pull a crimp has to hold, tried on a trial piece of the same wire, terminal and die.

Sizes in AWG are held to UL 486A-486B (commercial column, read up to 2/0), those in mm2 to IEC 60352-2 (from
memory; a weaker copy has lower figures, the higher are used). The military column is for terminals of its own
standard, and the boat column, held for a minute, is lower: neither is used. A size that the table does not
print has no figure here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from harness.model.design import Wire
from harness.tables import load, remembered

N_PER_LBF = 4.4482216  # exact to the digits shown: 0.45359237 kg x 9.80665 m/s2
AWG_SCHEME = "UL486A_commercial"
MOST_BY_HAND_N = 225.0  # 50 lb, the end of a common spring balance


@dataclass(frozen=True, slots=True)
class Pull:
    """What a crimp must hold [N], 0 where no table says, and who asks it."""

    least_n: float
    source: str


NO_PULL = Pull(0.0, "")


def _row(size: str) -> tuple[str, Mapping[str, str]] | None:
    number, _, unit = size.partition(" ")
    if unit == "AWG":
        rows = load("crimp_pull_force_awg").rows
        return next(
            (
                ("crimp_pull_force_awg", row)
                for row in rows
                if row["scheme"] == AWG_SCHEME and row["wire_awg"] == number
            ),
            None,
        )
    for row in load("crimp_pull_force_mm2").rows:
        if float(row["wire_mm2"]) == float(number):
            return "crimp_pull_force_mm2", row
    return None


@remembered
def pull_of(size: str) -> Pull:
    """The least pull for one size ("14 AWG", "2.5 mm2"), in newtons."""
    found = _row(size)
    if found is None:
        return Pull(0.0, f"no table has a pull for {size}: ask the maker of the terminal")
    name, row = found
    force_n = float(row["min_pull_lbf"]) * N_PER_LBF if "min_pull_lbf" in row else float(row["min_pull_N"])
    return Pull(round(force_n, 1), str(load(name).cite(row)))


def pull_in_one_barrel(wires: Sequence[Wire]) -> Pull:
    """Wires that share a barrel are judged by the thinnest: a terminal maker's handbook, crimp_prep_rules."""
    return pull_of(min(wires, key=lambda wire: wire.area_mm2).size)


def pull_words(pull: Pull) -> str:
    """What to do about it: a pull by the spring balance, or by hand where that is not strong enough."""
    if not pull.least_n:
        return "pull by hand"
    words = f"{pull.least_n:.0f} N ({pull.least_n / N_PER_LBF:.0f} lb)"
    return f"pull {words}" if pull.least_n <= MOST_BY_HAND_N else f"pull by hand, trial piece {words}"
