"""What is bought by the metre: wire, heat-shrink and covering, exact and with the waste the survey allows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import fsum
from typing import Literal

from harness.lists.cutlist import cut_list, made
from harness.lists.measure import round_up
from harness.lists.tally import count_of, once, span
from harness.model.design import Design, Material, WireEnd

BUY_STEP_M = 0.1
EXACT_STEP_M = 0.001


def _to_buy_m(length_m: float, waste: float) -> float:
    """Return what to ask for [m]: the need with its share of waste, rounded up to the next 0.1 m."""
    return round_up(length_m * (1 + waste), step=BUY_STEP_M)


def _waste_words(waste: float) -> str:
    return f"{waste * 100:g} % waste as surveyed"


def wire(design: Design, *, waste: float) -> list[Material]:
    """Return the new wire by cable, size and colour; ``waste`` is a share, 0.12 for 12 %."""
    return [
        Material(
            group="wire",
            item=f"wire, {spool.cable}",
            size=spool.size,
            colour=spool.colour,
            quantity=round_up(spool.total_m, step=EXACT_STEP_M),
            with_waste=_to_buy_m(spool.total_m, waste),
            unit="m",
            longest_m=spool.longest_m,
            used_on=[line.number for line in spool.lines],
            source=f"cut lengths; {_waste_words(waste)}",
        )
        for spool in cut_list(design)
    ]


def _new_ends(design: Design) -> Iterator[tuple[str, WireEnd]]:
    for each in made(design):
        if not each.kept:
            yield each.number, each.from_end
            yield each.number, each.to_end


def shrink_pieces(design: Design) -> Iterator[tuple[str, float, str]]:
    """Yield catalogue text, cut length [m] and what it goes on, for every piece of heat-shrink."""
    for number, end in _new_ends(design):
        if end.shrink and end.shrink_mm > 0:
            yield end.shrink, end.shrink_mm / 1000, number
    for run in design.runs:
        if run.stretch is not None:
            for _ in range(run.stretch.pieces):
                yield run.stretch.text, run.stretch.cut_mm / 1000, run.name
    kept = {each.number for each in design.wires if each.kept}
    for splice in design.splices:
        if splice.shrink and splice.shrink_mm > 0 and not kept.issuperset(splice.wires):
            yield splice.shrink, splice.shrink_mm / 1000, splice.name


def covering_pieces(design: Design) -> Iterator[tuple[str, float, str]]:
    """Yield catalogue text, length to cut [m] and run, for every run that is covered."""
    for run in design.runs:
        if run.covering and (run.wires or run.spares) and run.stretch is None:
            yield run.covering, run.covering_m or run.length_m, run.name


def trim_pieces(design: Design) -> Iterator[tuple[str, float, str]]:
    """Yield catalogue text, cut length [m] and run, for every piece of edge trim."""
    for run in design.runs:
        for trim in run.trims:
            yield trim.text, trim.length_m, run.name


def _by_text(pieces: Iterable[tuple[str, float, str]]) -> dict[str, list[tuple[float, str]]]:
    found: dict[str, list[tuple[float, str]]] = {}
    for text, length_m, name in pieces:
        found.setdefault(text, []).append((length_m, name))
    return found


def _line(
    group: Literal["heat-shrink", "covering", "grommets"],
    text: str,
    size: str,
    pieces: list[tuple[float, str]],
    waste: float,
    source: str,
) -> Material:
    """What all its pieces come to, and the longest of them."""
    lengths_m = [length_m for length_m, _ in pieces]
    total_m = fsum(lengths_m)
    return Material(
        group=group,
        item=text,
        size=size,
        colour="",
        quantity=round_up(total_m, step=EXACT_STEP_M),
        with_waste=_to_buy_m(total_m, waste),
        unit="m",
        longest_m=max(lengths_m),
        used_on=once(name for _, name in pieces),
        source=f"{source}; {_waste_words(waste)}",
    )


def heat_shrink(design: Design, *, waste: float) -> list[Material]:
    """Return heat-shrink by catalogue text: metres, with the number and length of its pieces as the size."""

    def size(pieces: list[tuple[float, str]]) -> str:
        return f"{count_of(len(pieces), 'piece')} of {span([1000 * each for each, _ in pieces], 'mm')}"

    return [
        _line("heat-shrink", text, size(pieces), pieces, waste, "cut pieces")
        for text, pieces in _by_text(shrink_pieces(design)).items()
    ]


def covering(design: Design, *, waste: float) -> list[Material]:
    """Return covering by catalogue text: the length of the runs it goes round, longest run in one piece."""
    return [
        _line("covering", text, count_of(len(runs), "run"), runs, waste, "runs as measured")
        for text, runs in _by_text(covering_pieces(design)).items()
    ]


def edge_trim(design: Design, *, waste: float) -> list[Material]:
    """Return edge trim by catalogue text: round holes no grommet lines, and along edges."""
    source = "circumference of the hole, length of the edge as surveyed"
    return [
        _line("grommets", text, count_of(len(pieces), "piece"), pieces, waste, source)
        for text, pieces in _by_text(trim_pieces(design)).items()
    ]
