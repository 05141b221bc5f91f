"""Fuses and loads of a design ready for looking up, and the figures that are written at a part."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from harness.digits import digits, plain
from harness.model.design import Design, Fuse, InnerLink, LoadResult, PartResult

ASSUMED = "~"


@dataclass(frozen=True, slots=True)
class Index:
    """Fuses and loads by part and way."""

    fuses: Mapping[tuple[str, str], Fuse]
    loads: Mapping[tuple[str, str], LoadResult]


def index(design: Design) -> Index:
    """Index a design's fuses and loads."""
    return Index(
        fuses={(fuse.part, fuse.link): fuse for fuse in design.fuses},
        loads={(load.part, load.link): load for load in design.loads},
    )


def amperes(value: float) -> str:
    """Write a current with two or three figures, never in powers of ten."""
    return f"{digits(value, 2) if value < 10 else plain(value)} A"


def value(known: Index, part: PartResult, link: InnerLink) -> str:
    """Return the rating of a fuse or the current of a load; "" for any other way."""
    fuse = known.fuses.get((part.name, link.name))
    if fuse is not None and link.kind == "fuse":
        return amperes(fuse.rating_a)
    load = known.loads.get((part.name, link.name))
    if load is None or link.kind != "load":
        return ""
    return f"{ASSUMED if load.assumed else ''}{amperes(load.steady_a)}"


def peak(known: Index, part: PartResult, link: InnerLink) -> str:
    """Return what a load draws at first, with its time; "" where that is no more than later."""
    load = known.loads.get((part.name, link.name))
    if load is None or link.kind != "load" or load.peak_a is None or load.peak_s is None:
        return ""
    return f"at first {amperes(load.peak_a)} for {load.peak_s:g} s"
