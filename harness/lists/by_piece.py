"""What is bought by the piece to build the loom: terminals, splices, grommets, ties, clamps and labels."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Literal

from harness.lists.cutlist import made
from harness.lists.tally import by_key, once, told, with_spares
from harness.model.design import Design, Material, Point, RunResult, WireEnd
from harness.model.spares import Extra, SpareRules


def _new_ends(design: Design) -> Iterator[tuple[str, Point, WireEnd]]:
    for wire in design.wires:
        if not wire.kept:
            yield wire.number, wire.from_, wire.from_end
            yield wire.number, wire.to, wire.to_end


def _pigtails(design: Design) -> set[tuple[str, str]]:
    """Return part and terminal of every flying lead: what goes on there is a splice, not a terminal."""
    return {
        (part.name, use.terminal)
        for part in design.parts
        for use in part.terminals
        if use.fitting == "pigtail"
    }


def terminals(design: Design, spares: SpareRules) -> list[Material]:
    """Return what is crimped on new wires where they land on parts, by catalogue text and stud or blade."""
    pigtails = _pigtails(design)
    crimped = [
        (number, end)
        for number, point, end in _new_ends(design)
        if end.terminal and point.kind == "part" and (point.part, point.terminal) not in pigtails
    ]
    sources = by_key(((end.terminal, end.stud), end.source) for _, end in crimped)
    used = by_key(((end.terminal, end.stud), number) for number, end in crimped)
    return [
        Material(
            group="terminals",
            item=text,
            size=stud,
            colour="",
            quantity=len(numbers),
            with_waste=with_spares(len(numbers), spares.terminals),
            unit="each",
            longest_m=None,
            used_on=once(numbers),
            source=told("; ".join(filter(None, once(sources[text, stud]))), spares.terminals),
        )
        for (text, stud), numbers in used.items()
    ]


def _joints(design: Design) -> Iterator[tuple[str, str]]:
    """Yield catalogue text and place of use of every splice fitting that joins a new wire."""
    kept = {wire.number for wire in design.wires if wire.kept}
    for splice in design.splices:
        if splice.fitting and not kept.issuperset(splice.wires):
            yield splice.fitting, splice.name
    pigtails = _pigtails(design)
    for number, point, end in _new_ends(design):
        if end.terminal and point.kind == "part" and (point.part, point.terminal) in pigtails:
            yield end.terminal, number


def splices(design: Design, spares: SpareRules) -> list[Material]:
    """Return splice fittings by catalogue text: one a joint, and one for each flying lead of a part."""
    return [
        Material(
            "splices",
            text,
            "",
            "",
            len(names),
            with_spares(len(names), spares.splices),
            "each",
            None,
            once(names),
            told("", spares.splices),
        )
        for text, names in by_key(_joints(design)).items()
    ]


def grommets(design: Design, spares: SpareRules) -> list[Material]:
    """Return one grommet for every hole that has one, by catalogue text."""
    used = by_key((run.grommet, run.name) for run in design.runs if run.grommet)
    return [
        Material(
            "grommets", text, "", "", len(runs), with_spares(len(runs), spares.grommets), "each", None, runs,
            told("one for each hole", spares.grommets),
        )
        for text, runs in used.items()
    ]  # fmt: skip


Counted = dict[
    tuple[str, str, str], tuple[int, list[str]]
]  # item, size and source -> how many, on which runs


def _per_run(
    design: Design,
    text_of: Callable[[RunResult], str],
    count_of: Callable[[RunResult], int],
    source: str = "",
) -> Counted:
    found: Counted = {}
    for run in design.runs:
        if text_of(run) and count_of(run):
            _count(found, (text_of(run), "", source), count_of(run), run)
    return found


def _count(found: Counted, key: tuple[str, str, str], more: int, run: RunResult) -> None:
    count, runs = found.get(key, (0, []))
    found[key] = (count + more, [*runs, run.name])


def _of_runs(group: Literal["ties", "clamps"], used: Counted, extra: Extra) -> list[Material]:
    return [
        Material(
            group, item, size, "", count, with_spares(count, extra), "each", None, runs, told(source, extra)
        )
        for (item, size, source), (count, runs) in used.items()
    ]


def ties(design: Design, spares: SpareRules) -> list[Material]:
    """Return cable ties by catalogue text, with spares: many are cut off again while building."""
    return _of_runs("ties", _per_run(design, lambda run: run.tie, lambda run: run.ties), spares.ties)


def clamps(design: Design, spares: SpareRules) -> list[Material]:
    """Return clamps by catalogue text, as many as the runs need."""
    used = _per_run(design, lambda run: run.clamp, lambda run: run.clamps, "counted along the runs")
    return _of_runs("clamps", used, spares.clamps)


def clamp_fasteners(design: Design, spares: SpareRules) -> list[Material]:
    """Return what bolts the clamps on, by item and thread: bolt, washers and nut of each."""
    used: Counted = {}
    for run in design.runs:
        for each in run.fasteners:
            _count(used, (each.item, each.size, each.source), each.count, run)
    return _of_runs("clamps", used, spares.clamps)


def labels(design: Design, spares: SpareRules) -> list[Material]:
    """Return label sleeves for both ends of every new wire, by the wire they are slid on."""
    used = by_key(
        ((wire.size, wire.cable, wire.outside_mm), wire.number)
        for wire in made(design)
        if not wire.kept
        for end in (wire.from_end, wire.to_end)
        if end.label
    )
    return [
        Material(
            group="labels",
            item=f"label sleeve for {size} {cable}",
            size=f"{outside_mm:.2g} mm outside",
            colour="",
            quantity=len(numbers),
            with_waste=with_spares(len(numbers), spares.labels),
            unit="each",
            longest_m=None,
            used_on=once(numbers),
            source=told("one for each end", spares.labels),
        )
        for (size, cable, outside_mm), numbers in used.items()
    ]
