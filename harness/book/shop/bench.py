"""The chapters for the bench: cut list and hook-up, both to be ticked off."""

from __future__ import annotations

from itertools import groupby

from harness.book.shop.blocks import Chapter, CutPiece, Cuts, CutSpool, Hooks, Words
from harness.book.shop.colours import colour_words
from harness.book.text import fuse_words
from harness.digits import digits, plain
from harness.lists.cutlist import CutEnd, CutLine, Spool, cut_list, made
from harness.lists.hookup import hook_up
from harness.lists.tally import count_of
from harness.model.design import Design, Wire


def _end_words(end: CutEnd) -> str:
    return f"{end.part} {end.terminal} {end.place}"


def _carries(wire: Wire) -> str:
    if not wire.limits:
        return "nothing: spare, capped at both ends"
    short = f", {plain(wire.short_a)} A for {wire.short_s:g} s" if wire.short_s else ""
    carries = f"{plain(wire.continuous_a)} A{short}; may carry {plain(wire.ampacity_a)} A"
    return f"{carries}; loses {digits(wire.drop_v, 2)} V"


def _piece(line: CutLine, wire: Wire, words: str) -> CutPiece:
    find = (
        f"{wire.number} {wire.circuit} {_end_words(line.from_)} {_end_words(line.to)} {wire.colour} {words}"
    )
    return CutPiece(
        line=line,
        colour=wire.colour,
        words=words,
        size=wire.size,
        cable=wire.cable,
        fuse=fuse_words(wire.fuse, wire.fuse_a) or "none",
        runs=", ".join(wire.runs),
        carries=_carries(wire),
        find=f"{find} {wire.size}",
    )


def _spool(spool: Spool, wires: dict[str, Wire], scheme: str) -> CutSpool:
    words = colour_words(spool.colour, scheme)
    return CutSpool(spool, words, tuple(_piece(line, wires[line.number], words) for line in spool.lines))


def cuts(design: Design) -> Chapter:
    """Return the cut list; wires that are kept close it, for nobody cuts them."""
    wires = {wire.number: wire for wire in made(design)}
    scheme = design.machine.colours
    spools = tuple(_spool(spool, wires, scheme) for spool in cut_list(design))
    kept = tuple(wire for wire in design.wires if wire.kept)
    words = (
        "One spool at a time, longest piece first. Thread label, boot and heat-shrink before the terminal is "
        "crimped. Tick a piece when it is cut, an end when it is crimped and pulled by hand."
    )
    pieces = count_of(sum(len(spool.pieces) for spool in spools), "piece")
    head = f"{pieces} off {count_of(len(spools), 'spool')}. {words}"
    return Chapter("cuts", "Cut list", (Words(head), Cuts(spools, kept)))


def hooks(design: Design) -> Chapter:
    """Return what lands on every terminal, by place, so that nobody walks twice."""
    parts = sorted(hook_up(design), key=lambda part: part.place)
    places = tuple((place, tuple(group)) for place, group in groupby(parts, key=lambda part: part.place))
    words = (
        "By place. Thickest wire nearest the part; ground rings on bright metal, toothed washer under, "
        "grease "
        "over. Tick a wire when it sits and its nut is tight."
    )
    return Chapter("hookup", "Hook-up", (Words(words), Hooks(places)))
