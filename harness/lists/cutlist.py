"""The cut list: every new wire by the spool it comes off, longest first, with what goes on both ends.

Fields follow the wiring list of NAVEDTRA 14329 (code, gauge, length, from component and terminal, to
component and terminal); longest first off one spool at a time, and threading before crimping, are common
practice.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from math import fsum

from harness.lists.measure import feet_inches, natural
from harness.model.design import Design, Point, Wire, WireEnd


@dataclass(frozen=True, slots=True)
class CutEnd:
    """One end of a piece: where it goes, and what is threaded on it, in that order."""

    part: str
    terminal: str  # "" at a splice
    place: str
    label: str
    shrink: str  # catalogue text, "" when none
    shrink_mm: float
    strip_mm: float
    fitting: str  # catalogue text of the terminal, "" when none is crimped on
    notes: str
    threading: tuple[str, ...] = ()  # what to do at this end, in this order


@dataclass(frozen=True, slots=True)
class CutLine:
    """One piece to cut."""

    number: str
    circuit: str
    length_m: float
    length_ft_in: str  # the same, rounded up to the next quarter inch
    from_: CutEnd
    to: CutEnd


@dataclass(frozen=True, slots=True)
class Spool:
    """All pieces of one cable, size and colour, longest first."""

    cable: str
    size: str
    area_mm2: float
    colour: str
    lines: tuple[CutLine, ...]
    total_m: float  # of the cut lengths, without waste
    longest_m: float

    @property
    def title(self) -> str:
        """The spool in words: "GXL 14 AWG RD"."""
        return " ".join(word for word in (self.cable, self.size, self.colour) if word)


def _end(point: Point, end: WireEnd) -> CutEnd:
    return CutEnd(
        part=point.part,
        terminal=point.terminal,
        place=point.place,
        label=end.label,
        shrink=end.shrink,
        shrink_mm=end.shrink_mm,
        strip_mm=end.strip_mm,
        fitting=end.terminal,
        notes=end.notes,
        threading=tuple(end.threading),
    )


def _line(wire: Wire) -> CutLine:
    return CutLine(
        number=wire.number,
        circuit=wire.circuit,
        length_m=wire.length_m,
        length_ft_in=feet_inches(wire.length_m),
        from_=_end(wire.from_, wire.from_end),
        to=_end(wire.to, wire.to_end),
    )


def cable_words(wire: Wire) -> str:
    """The cable as it is asked for: "GXL", or "GXL fine-stranded" where it has to bend."""
    return f"{wire.cable} fine-stranded" if wire.fine_stranded else wire.cable


def _spool_key(wire: Wire) -> tuple[str, float, str, str]:
    return cable_words(wire), wire.area_mm2, wire.size, wire.colour


def _longest_first(wire: Wire) -> tuple[float, tuple[tuple[int, int, str], ...]]:
    return -wire.length_m, natural(wire.number)


def _spool(key: tuple[str, float, str, str], wires: list[Wire]) -> Spool:
    cable, area_mm2, size, colour = key
    lengths_m = [wire.length_m for wire in wires]
    return Spool(
        cable=cable,
        size=size,
        area_mm2=area_mm2,
        colour=colour,
        lines=tuple(_line(wire) for wire in sorted(wires, key=_longest_first)),
        total_m=fsum(lengths_m),
        longest_m=max(lengths_m),
    )


def cut_list(design: Design) -> list[Spool]:
    """Return what to cut, by spool, thinnest first; wires that are kept are left out."""
    new = sorted((wire for wire in design.wires if not wire.kept), key=_spool_key)
    return [_spool(key, list(wires)) for key, wires in groupby(new, key=_spool_key)]
