"""The cut list: every new wire by the spool it comes off, longest first, with what goes on both ends.

Fields follow the wiring list of NAVEDTRA 14329 (code, gauge, length, from component and terminal, to
component and terminal); longest first off one spool at a time, and threading before crimping, are common
practice.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from math import fsum

from harness.letters import letters_of
from harness.lists.measure import feet_inches, natural
from harness.model.buying import CutFrom, Purchase
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
    label_near_mm: float | None = None  # from the terminal; None: in the middle
    label_far_mm: float | None = None


@dataclass(frozen=True, slots=True)
class CutLine:
    """One piece to cut."""

    number: str
    circuit: str
    length_m: float
    length_ft_in: str  # the same, rounded up to the next quarter inch
    from_: CutEnd
    to: CutEnd
    batch: str = ""  # the same for pieces of one spool, length and pair of fittings; "" where none is alike
    roll: str = ""  # what it is cut from: "roll of 25 ft, no. 2", "offcut of 2.3 m from the shelf"
    left_m: float | None = None  # that remains on it after the cut; None where nothing is planned


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
        label_near_mm=end.label_near_mm,
        label_far_mm=end.label_far_mm,
    )


def _line(wire: Wire, batch: str, roll: tuple[str, float | None]) -> CutLine:
    return CutLine(
        number=wire.number,
        circuit=wire.circuit,
        length_m=wire.length_m,
        length_ft_in=feet_inches(wire.length_m),
        from_=_end(wire.from_, wire.from_end),
        to=_end(wire.to, wire.to_end),
        batch=batch,
        roll=roll[0],
        left_m=roll[1],
    )


def after_each_cut(cut: CutFrom) -> Iterator[tuple[str, float]]:
    """Yield every piece of a roll in the order of cutting, and what is left on the roll behind it [m]."""
    left_m = cut.length_m
    for piece in cut.pieces:
        left_m = max(0.0, left_m - piece.length_m)
        yield piece.name, left_m


def _rolls(plan: Iterable[Purchase]) -> dict[str, tuple[str, float | None]]:
    """Wire -> the roll or offcut it is cut from, and what is left on that then."""
    found: dict[str, tuple[str, float | None]] = {}
    for line in plan:
        if line.group != "wire":
            continue
        of_a_kind = Counter(cut.stock for cut in line.cuts)
        at: Counter[str] = Counter()
        for cut in line.cuts:
            at[cut.stock] += 1
            words = f"{cut.stock} from the shelf" if cut.shelf else cut.stock
            if of_a_kind[cut.stock] > 1:
                words += f", no. {at[cut.stock]}"
            found.update((name, (words, left_m)) for name, left_m in after_each_cut(cut))
    return found


def _fittings(wire: Wire) -> tuple[tuple[str, str], ...]:
    return tuple(sorted((end.terminal, end.stud) for end in (wire.from_end, wire.to_end)))


def _batches(ordered: Iterable[Wire]) -> dict[str, str]:
    """Wire -> batch mark, for wires that are alike in spool, length and both fittings; marks as they come."""
    alike: dict[tuple[object, ...], list[str]] = {}
    for wire in ordered:
        alike.setdefault((*_spool_key(wire), wire.length_m, _fittings(wire)), []).append(wire.number)
    many = [numbers for numbers in alike.values() if len(numbers) > 1]
    return {number: letters_of(at) for at, numbers in enumerate(many) for number in numbers}


def cable_words(wire: Wire) -> str:
    """The cable as it is asked for: "GXL", or "GXL fine-stranded" where it has to bend."""
    return f"{wire.cable} fine-stranded" if wire.fine_stranded else wire.cable


def _spool_key(wire: Wire) -> tuple[str, float, str, str]:
    return cable_words(wire), wire.area_mm2, wire.size, wire.colour


def _longest_first(wire: Wire) -> tuple[float, tuple[tuple[int, int, str], ...]]:
    return -wire.length_m, natural(wire.number)


def _spool(key: tuple[str, float, str, str], lines: Sequence[CutLine]) -> Spool:
    cable, area_mm2, size, colour = key
    lengths_m = [line.length_m for line in lines]
    return Spool(
        cable=cable,
        size=size,
        area_mm2=area_mm2,
        colour=colour,
        lines=tuple(lines),
        total_m=fsum(lengths_m),
        longest_m=max(lengths_m),
    )


def made(design: Design) -> list[Wire]:
    """Return the wires of the circuits and the spare ones, in that order."""
    return [*design.wires, *design.spares]


def cut_list(design: Design) -> list[Spool]:
    """Return what to cut, by spool, thinnest first; wires that are kept are left out.

    Which roll a piece is cut from stands there once the design has its buying plan.
    """
    new = [wire for wire in made(design) if not wire.kept]
    ordered = sorted(new, key=lambda wire: (_spool_key(wire), _longest_first(wire)))
    batches, rolls = _batches(ordered), _rolls(design.buying)
    return [
        _spool(
            key,
            [_line(wire, batches.get(wire.number, ""), rolls.get(wire.number, ("", None))) for wire in wires],
        )
        for key, wires in groupby(ordered, key=_spool_key)
    ]
