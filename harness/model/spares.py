"""How much more is bought and laid than is needed, and the spare wires and fuse ways that come of it."""

from __future__ import annotations

from dataclasses import dataclass

from harness.model.problem import Where


@dataclass(frozen=True, slots=True)
class Extra:
    """So many more of a thing than are counted: a share of the count, and how many at least."""

    share: float  # 0.1 is a tenth of the count
    least: int
    assumed: bool = True  # the survey does not say


@dataclass(frozen=True, slots=True)
class SpareRules:
    """Extra pieces by what they are. What the survey leaves out is common practice (memory).

    5 to 10 % extra terminals, at least 2, and one spare fuse of each rating, at least 2 in a box; the figures
    are the same for whatever else is lost or spoilt at the bench. What is fitted once needs no extra.
    """

    terminals: Extra = Extra(0.10, 2)
    splices: Extra = Extra(0.10, 2)
    seals: Extra = Extra(0.10, 2)
    ties: Extra = Extra(0.10, 2)
    labels: Extra = Extra(0.10, 2)
    grommets: Extra = Extra(0.0, 0)
    clamps: Extra = Extra(0.0, 0)
    relays: Extra = Extra(0.0, 0)
    fuses: Extra = Extra(0.0, 1)  # of each rating in a box
    fuse_ways: Extra = Extra(0.20, 2)  # of all ways, left empty; 20 to 25 %, at least 2


USUAL = SpareRules()


@dataclass(frozen=True, slots=True)
class SpareWireRule:
    """How many spare wires lie in a long branch, and of what; common practice (memory) where assumed."""

    per: int = 10  # one for so many wires, to the nearest; 0: none by rule
    size: str | None = None  # None: the commonest thin one of its way
    colour: str | None = None  # None: as the scheme has it for spares
    assumed: bool = True  # the survey does not say how many


LONG_BRANCHES = SpareWireRule()


@dataclass(frozen=True, slots=True)
class SpareAsk:
    """Spare wires that the survey asks for by name."""

    start: str  # place
    end: str
    count: int
    size: str | None
    colour: str | None
    where: Where


@dataclass(frozen=True, slots=True)
class PanelWays:
    """A fuse panel and the ways of it that nothing hangs on."""

    panel: str
    place: str
    ways: int
    spare: list[str]
    label: str  # what is written beside each of them
