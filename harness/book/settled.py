"""What sources and loads settle at, in words: for a sheet of the workbook, and for one mode or load."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from harness.book.sheet import Column, Row, Sheet
from harness.digits import plain
from harness.model.design import Design
from harness.model.operating import Dimming, Operating, OperatingLoad, Standing, StartResult

LEAST_A = 0.0005  # what a meter in the battery lead still shows; below it the solve's own noise begins

Words = list[tuple[str, str]]


def _volts(value_v: float) -> str:
    return f"{value_v:.2f} V"


def _amps(value_a: float) -> str:
    return f"{plain(value_a)} A"


def _point(state: Operating) -> Words:
    cold = f", at {state.battery_c:g} °C" if state.engine == "cranking" else ""
    speed = f", {state.speed} speed" if state.speed else ""
    rest = "" if state.settled else "; no rest was found, a load breaks down"
    found = [("engine", f"{state.engine}{speed}{cold}; {_volts(state.posts_v)} at the battery{rest}")]
    for source in state.sources:
        does = "gives" if source.gives_a >= 0 else "takes"
        much = _amps(abs(source.gives_a)) if abs(source.gives_a) >= LEAST_A else "next to nothing"
        found.append((source.part, f"{does} {much} at {_volts(source.volts_v)}"))
    down = [load.part for load in state.loads if not load.works]
    return found + ([("breaks down", ", ".join(down))] if down else [])


def _start(start: StartResult) -> Words:
    least = (
        "not even now"
        if start.least_charge is None
        else f"down to {start.least_charge:.0%} charge at that temperature"
    )
    inrush = "" if start.inrush_v is None else f", {_volts(start.inrush_v)} at its inrush"
    return [
        ("cold start", start.formula),
        (start.part, f"{_volts(start.volts_v)}{inrush}; needs {_volts(start.least_v)}: {least}"),
    ]


def _stand(stand: Standing) -> Words:
    return [
        ("may stand", f"{stand.days:.0f} days until it no longer cranks: {stand.formula}"),
    ]


def _dims(dip: Dimming) -> Words:
    by = f"{dip.by} coming on leaves {dip.light_share:.0%} of its light" if dip.by else "nothing else on it"
    return [
        (
            "lamp that dims most",
            f"{dip.part}: {_volts(dip.alone_v)} by itself, {_volts(dip.volts_v)} with everything on; {by}",
        )
    ]


def mode_words(design: Design, mode: str) -> Words:
    """What a mode comes to: sources, charge balance, start, time to stand, dimming; names and words."""
    balance = [
        ("charge balance" if one.speed == "rated" else "charge balance at idle", one.formula)
        for one in design.charge_balance
        if one.mode == mode
    ]
    return [
        *chain.from_iterable(_point(one) for one in design.operating if one.mode == mode),
        *balance,
        *chain.from_iterable(_start(one) for one in design.starts if one.mode == mode),
        *chain.from_iterable(_stand(one) for one in design.standing if one.mode == mode),
        *chain.from_iterable(_dims(one) for one in design.dimming if one.mode == mode),
    ]


def _load(load: OperatingLoad) -> str:
    more = "" if load.alone_v is None else f", {_volts(load.alone_v)} with its own circuit alone on"
    more += "" if load.peak_v is None else f", {_volts(load.peak_v)} at its peak"
    down = "" if load.works else "; breaks down"
    return (
        f"draws {_amps(load.current_a)} at {_volts(load.volts_v)} (rated {_amps(load.rated_a)} at "
        f"{_volts(load.rated_v)}){more}{down}"
    )


def load_words(design: Design, part: str) -> Words:
    """What every load of a part settles at in every mode, and what it was sized with."""
    found: Words = []
    for load in design.loads:
        if load.part == part:
            found += [
                (
                    f"{load.link} in {seen.mode}",
                    f"sized with {_amps(seen.current_a)}: loses {_volts(seen.judged_v)} of "
                    f"{_volts(load.allowance_v)} allowed",
                )
                for seen in load.modes
            ]
    if not found:
        return part_words(design, part)
    settled = [
        (f"{load.link} in {state.mode}", _load(load))
        for state in design.operating
        for load in state.loads
        if load.part == part
    ]
    return settled + found + part_words(design, part)


def part_words(design: Design, part: str) -> Words:
    """Volts of a part's terminals in every mode, against the chassis post."""
    terminals = [one.terminal for each in design.parts if each.name == part for one in each.terminals]
    found = []
    for terminal in terminals:
        seen = [
            f"{state.mode} {_volts(state.points_v[f'{part} {terminal}'])}"
            for state in design.operating
            if f"{part} {terminal}" in state.points_v
        ]
        if seen:
            found.append((terminal, ", ".join(seen)))
    return found


def _rows(design: Design) -> Iterator[Row]:
    for mode in design.modes:
        yield from (Row((mode.name, about, words)) for about, words in mode_words(design, mode.name))


def supply_sheet(design: Design) -> Sheet:
    """Return what every mode comes to: what sources give, whether the battery is charged, how it starts."""
    columns = (Column("Mode", 16), Column("About", 24), Column("What it comes to", 100))
    return Sheet("Supply", columns, tuple(_rows(design)))
