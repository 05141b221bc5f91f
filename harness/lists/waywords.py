"""The way to a part in words and as rows: what to see, to pass and to measure at every point."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from harness.lists.wayto import Atlas, Key, Leg, Spot, Stretch, WayTo, point_name
from harness.model.design import Splice, Wire, WireEnd

MOST_NAMED = 6  # of those that share a stretch


@dataclass(frozen=True, slots=True)
class PointRow:
    """One point to hold a probe on."""

    point: str  # "key 15", "splice S1", "bare metal of cab"
    place: str
    volts_v: float | None  # from the chassis post, when all is well; None: none there


@dataclass(frozen=True, slots=True)
class LegRow:
    """What lies between one point and the next."""

    kind: str  # wire, fuse, contact, coupler, bus, ground, load
    what: str  # "wire 30a", "F3 (15 A)", "light switch 30/56"
    wire: str  # its number, "" where it is none
    size: str
    colour: str
    lugs: tuple[str, str]  # at the end it comes from, at the end it goes to
    length_m: float | None
    passes: tuple[str, ...]  # runs with their holes and hinges
    amps_a: float | None
    fuse: str  # that guards it
    open: bool  # a contact that is open in the mode
    shared: tuple[str, ...]  # other parts whose current passes here in the mode


def named_point(spot: Spot) -> str:
    """A point in the words that a person and `harness diagnose` use."""
    return f"bare metal of {spot[1]}" if spot[0] == "body" else point_name(spot)


def point_row(atlas: Atlas, spot: Spot) -> PointRow:
    """A point with its place and volts."""
    return PointRow(named_point(spot), atlas.place(spot), atlas.volts(spot))


def _lug(end: WireEnd) -> str:
    """What is on an end, in few words: "ring terminal M8", "bare end" at a splice or pigtail."""
    if not end.terminal:
        return "bare end"
    return f"{end.terminal.partition(',')[0]} {end.stud}".rstrip()


def _passes(atlas: Atlas, wire: Wire) -> tuple[str, ...]:
    runs = {run.name: run for run in atlas.design.runs}
    found = []
    for name in wire.runs:
        run = runs.get(name)
        if run is None:
            continue
        said = [f"{run.hole_mm:g} mm hole"] if run.hole_mm else []
        said += ["moves"] if run.moves else []
        found.append(name + (f" ({', '.join(said)})" if said else ""))
    return tuple(found)


def inside_name(atlas: Atlas, stretch: Stretch) -> str:
    """What the inside of a part is called."""
    part, link = stretch.key
    fuse = atlas.fuses.get(stretch.key)
    if fuse is not None:
        return f"{fuse.name} ({fuse.rating_a:g} A)"
    if stretch.kind == "ground":
        return f"{part} on bare metal of {stretch.b[1]}"
    way = link.rpartition("/")[2] if link.startswith("bus/") else link
    return f"{part} {way}"


def leg_row(atlas: Atlas, leg: Leg, own: str) -> LegRow:
    """A stretch as it is passed; ``own``: the part asked for, left out of those that share it."""
    stretch, wire = leg.stretch, leg.stretch.wire
    shared = tuple(name for name in atlas.sharing.get(stretch.key, ()) if name != own)
    is_open = stretch.kind == "contact" and stretch.key not in atlas.closed
    if wire is None:
        return LegRow(
            stretch.kind, inside_name(atlas, stretch), "", "", "", ("", ""), None, (), None, "", is_open,
            shared,
        )  # fmt: skip
    ends = (wire.from_end, wire.to_end) if leg.forward else (wire.to_end, wire.from_end)
    return LegRow(
        "wire", f"wire {wire.number}", wire.number, wire.size, wire.colour,
        ("", "") if wire.kept else (_lug(ends[0]), _lug(ends[1])),
        wire.length_m, _passes(atlas, wire), atlas.amps(stretch), wire.fuse, False, shared,
    )  # fmt: skip


def shared_words(names: Sequence[str]) -> str:
    """Those that share a stretch: "a, b and 3 more"."""
    if len(names) <= MOST_NAMED:
        return ", ".join(names)
    return f"{', '.join(names[: MOST_NAMED - 1])} and {len(names) - MOST_NAMED + 1} more"


def volts_words(row: PointRow) -> str:
    """What a meter shows there."""
    return "no volts" if row.volts_v is None else f"{row.volts_v:.2f} V"


def leg_words(row: LegRow) -> str:
    """A stretch in one line."""
    said = [row.what]
    if row.kind == "wire":
        said[0] += f", {row.size} {row.colour}, {row.length_m:.2f} m"
        said += [f"{row.lugs[0]} to {row.lugs[1]}" if row.lugs[0] else "kept"]
        said += [f"{row.amps_a:.1f} A"] if row.amps_a is not None else []
        said += [f"along {', '.join(row.passes)}"] if row.passes else []
        said += [f"guarded by {row.fuse}" if row.fuse else "no fuse guards it"]
    if row.open:
        said.append("open in this mode")
    if row.shared:
        said.append(f"shared with {shared_words(row.shared)}")
    return "; ".join(said)


def way_rows(atlas: Atlas, way: WayTo) -> tuple[PointRow, list[tuple[LegRow, PointRow]]]:
    """The live post, and every stretch with the point behind it."""
    rows = [(leg_row(atlas, leg, way.part), point_row(atlas, leg.at)) for leg in way.legs]
    return point_row(atlas, way.start), rows


def state_words(atlas: Atlas, way: WayTo) -> str:
    """Whether the way is live in the mode."""
    if (way.part, way.link) in atlas.on:
        return f"on in mode {atlas.mode}"
    if shut := atlas.open(way):
        names = ", ".join(" ".join(key) for key in shut)
        return f"not fed in mode {atlas.mode}: {names} open"
    return f"not on in mode {atlas.mode}"


def way_lines(atlas: Atlas, way: WayTo, marked: frozenset[Key] = frozenset()) -> list[str]:
    """The way as text, one line a point and one a stretch; those asked for are marked."""
    start, rows = way_rows(atlas, way)
    lines = [f"{way.part} {way.link}: {state_words(atlas, way)}", _point_line(1, start)]
    for at, (leg, (row, point)) in enumerate(zip(way.legs, rows, strict=True), start=2):
        sign = ">" if leg.stretch.key in marked else " "
        lines.append(f"   {sign}   {'the load: ' if row.kind == 'load' else ''}{leg_words(row)}")
        lines.append(_point_line(at, point))
    if not way.whole:
        lines.append("      no way back to the battery is drawn from here")
    return lines


def _point_line(at: int, row: PointRow) -> str:
    place = f", {row.place}" if row.place else ""
    return f"  {at:2}. {volts_words(row):>9}  {row.point}{place}"


def way_data(atlas: Atlas, way: WayTo) -> dict[str, Any]:
    """The way for a program."""
    start, rows = way_rows(atlas, way)
    return {
        "part": way.part, "link": way.link, "mode": atlas.mode,
        "on": (way.part, way.link) in atlas.on, "whole": way.whole,
        "open": [" ".join(key) for key in atlas.open(way)],
        "start": _point_data(start),
        "legs": [
            {
                "kind": row.kind, "what": row.what, "wire": row.wire, "size": row.size, "colour": row.colour,
                "lugs": list(row.lugs), "length_m": row.length_m, "passes": list(row.passes),
                "amps_a": row.amps_a, "fuse": row.fuse, "open": row.open, "shared": list(row.shared),
                "to": _point_data(point),
            }
            for row, point in rows
        ],
    }  # fmt: skip


def _point_data(row: PointRow) -> dict[str, Any]:
    return {"point": row.point, "place": row.place, "volts_v": row.volts_v}


# ------------------------------------------------------------------------------------------------ what is it


def wire_about(wire: Wire) -> str:
    """What a found wire is."""
    ends = [
        named_point((end.kind, end.part, end.terminal)) + (f" ({end.place})" if end.place else "")
        for end in (wire.from_, wire.to)
    ]
    guard = f"guarded by {wire.fuse}" if wire.fuse else "no fuse guards it"
    return (
        f"wire {wire.number}: {wire.size} {wire.colour} {wire.cable}, from {ends[0]} to {ends[1]}, "
        f"circuit {wire.circuit}, {guard}, {wire.length_m:.2f} m"
    )


def splice_about(splice: Splice) -> str:
    """What a found splice is."""
    where = splice.spot or splice.place
    return f"splice {splice.name}: joins wires {', '.join(splice.wires)}, {where}, circuit {splice.circuit}"
