"""One thing to measure on the machine and one step of the procedure, as plain values."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Test:
    """One thing to measure: what the design expects, and the band outside of which something is wrong.

    The key names what is measured and never changes with the order: ``load:left head lamp 56b/31:lost``.
    """

    __test__ = False  # no test of pytest's

    key: str
    what: str
    unit: str
    expected: float | None
    low: float | None
    high: float | None
    how: str = ""
    why: str = ""  # where the band comes from
    subject: str = ""  # the part, wire or fuse it is about
    mode: str = ""  # the machine has to be in; "" where that does not matter
    too_low: str = ""  # what a reading below the band points to
    too_high: str = ""
    asks: str = ""  # the point or points that a fault-finding is asked about, in its words; "" for none
    asks_from: float | None = None  # volts that the reading is taken from, where it is not those volts itself

    @property
    def signed(self) -> bool:
        """Whether the sign of a reading tells something; else its amount counts, whichever way round."""
        return self.low is not None and self.low < 0


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a procedure: cautions first, then what to do, then what the meter has to say."""

    key: str
    title: str
    cautions: tuple[str, ...] = ()
    do: tuple[str, ...] = ()
    readings: tuple[Test, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """Tests under one head, with what the machine has to be in."""

    key: str
    title: str
    rows: tuple[Test, ...]
    note: str = ""
