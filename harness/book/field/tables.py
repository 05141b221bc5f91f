"""What stands on the sheets: tables with the known filled in and blanks to write in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from harness.model.machine import Machine, Part
from harness.model.sensitivity import Weighed

CAUTIONS = (
    "Engine off and cold, key out and in your pocket, wheels chocked, drum, bucket or blade on the ground.",
    "Battery off before you touch a wire: first the lead of the post that goes to the chassis. Rings and "
    "watch off: a battery gives thousands of amperes, and its gas explodes.",
    "Exhaust, radiator and hydraulic pipes stay hot for long: feel with the back of the hand, from a "
    "distance. Feel or measure zones in work only from where nothing turns or moves, and never alone.",
    "Never work under what is held up by hydraulics alone. The maker's instructions and the rules of the "
    "place come before this sheet; where a licensed person is required, have one.",
)
USE = (
    "Bring: string and tape measure, calliper, numbered tags, a meter, wire brush, lamp, camera, pencil.",
    "*** is asked for first: if that figure is wrong by 30 %, a wire or a fuse changes, or something is "
    "dangerous or faulty. * changes an advice only. Figures in brackets are assumed, not measured.",
    "Lay the string along the real way, round the bends, with steering and lift at the far end of their "
    "travel. Write what you read and its unit; a blank is better than a guess.",
    "Tag every old wire at both ends before it comes off; photograph each place before and after.",
)
T = TypeVar("T")
SPARE_ROWS = 8  # blank rows below what is known
BLANK_ROWS = 22  # of a sheet on which nothing is known
TAGS = 48
MOST_SKETCHES = 18
BLANK_SKETCHES = 6


@dataclass(frozen=True, slots=True)
class Sheet:
    """One table on a sheet: a column with a weight, a row a list of cells; "" is to be written in."""

    title: str
    hint: str
    columns: tuple[tuple[str, float], ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Sketch:
    """Room to sketch a part's terminals and to copy its rating plate."""

    name: str
    about: str


def sheets(machine: Machine | None, weighed: Sequence[Weighed]) -> tuple[Sheet, ...]:
    """Every table in the order of a walk round the machine; blank ones where nothing is known."""
    marks = _marks(weighed)
    asked = (_asked(weighed),) if weighed else ()
    return (
        *asked, _runs(machine, marks), _zones(machine, marks), _holes(machine), _parts(machine, marks),
        _old(machine),
    )  # fmt: skip


def sketches(machine: Machine | None, weighed: Sequence[Weighed]) -> tuple[Sketch, ...]:
    """Parts of which something weighty is assumed, the heaviest first, then blank ones."""
    found: list[Sketch] = []
    if machine is not None:
        names = dict.fromkeys(one.assumption.name for one in weighed if one.assumption.section == "parts")
        found = [_sketch(machine.parts[name]) for name in names if name in machine.parts][:MOST_SKETCHES]
    return (*found, *[Sketch("", "")] * BLANK_SKETCHES)


def _sketch(part: Part) -> Sketch:
    ends = ", ".join(f"{one.name} ({one.fitting} {one.size})".replace(" )", ")") for one in part.terminals)
    return Sketch(part.name, f"{part.title}, {part.place}; {ends}")


def _marks(weighed: Sequence[Weighed]) -> dict[tuple[str, str], str]:
    """The heaviest mark of each entry of a section."""
    found: dict[tuple[str, str], str] = {}
    for one in weighed:
        mark = "***" if one.high else "*" if one.effects else ""
        key = one.assumption.section, one.assumption.name
        found[key] = max(found.get(key, ""), mark, key=len)
    return found


def _blank(columns: int, rows: int) -> list[tuple[str, ...]]:
    return [("",) * columns] * rows


def _filled(rows: list[tuple[str, ...]], columns: int) -> tuple[tuple[str, ...], ...]:
    return tuple(rows + _blank(columns, SPARE_ROWS if rows else BLANK_ROWS))


def _asked(weighed: Sequence[Weighed]) -> Sheet:
    rows: list[tuple[str, ...]] = []
    for one in weighed:
        if one.assumption.figured:
            about = one.assumption
            mark = "***" if one.high else "*" if one.effects else ""
            figure = f"{about.name or 'machine'}: {about.what}"
            rows.append((mark, figure, f"({about.value})", _hangs(one), ""))
    return Sheet(
        "Assumed: measure or read these first",
        "From the one that changes most to those that change nothing.",
        (("", 0.5), ("figure", 3.2), ("assumed", 1.4), ("hangs on it", 2.2), ("measured", 1.6)),
        tuple(rows),
    )


def _hangs(one: Weighed) -> str:
    """What hangs on a figure in few words: "wires 7, 11; fuse panel F2"."""
    words = []
    for about, plural in (("wire", "wires"), ("fuse", "fuses"), ("finding", "")):
        names = list(dict.fromkeys(each.subject for each in one.effects if each.about == about))
        if names:
            rest = f" and {len(names) - 4} more" if len(names) > 4 else ""
            head = plural if len(names) > 1 else about if plural else ""
            words.append(f"{head} {', '.join(names[:4])}{rest}".strip())
    return "; ".join(words)


def _doubted(machine: Machine, section: str, name: str, key: str, value: str) -> str:
    """A known figure, in brackets when the survey marks it as not measured."""
    hit = any((each.section, each.name, each.key) == (section, name, key) for each in machine.doubts)
    return f"({value})" if hit else value


def _runs(machine: Machine | None, marks: dict[tuple[str, str], str]) -> Sheet:
    columns = (("", 0.5), ("from", 2.0), ("to", 2.0), ("length", 1.1), ("string", 1.1), ("zone", 1.3),
               ("passes: hinge, edge, hose, hot pipe", 2.4))  # fmt: skip
    rows: list[tuple[str, ...]] = []
    for run in _first(machine.runs if machine else (), marks, "runs"):
        assert machine is not None
        length = _doubted(machine, "runs", run.name, "length", f"{run.length_m:.3g} m")
        passes = ", ".join((*(("hinge",) if run.moves else ()), *run.near))
        rows.append((marks.get(("runs", run.name), ""), run.start, run.end, length, "", run.zone, passes))
    hint = "Runs: the way between two places where something branches, passes a hole or ends."
    return Sheet("Runs to measure with a string", hint, columns, _filled(rows, len(columns)))


def _first(several: Sequence[T], marks: dict[tuple[str, str], str], section: str) -> Iterator[T]:
    """Those with the heaviest mark first, else in the order of the survey."""
    yield from sorted(several, key=lambda one: -len(marks.get((section, getattr(one, "name", "")), "")))


def _zones(machine: Machine | None, marks: dict[tuple[str, str], str]) -> Sheet:
    columns = (("", 0.5), ("zone", 2.2), ("known", 1.1), ("hottest, measured or felt", 2.0),
               ("wet?", 0.9), ("closed?", 0.9), ("sun?", 0.8), ("shakes?", 0.9))  # fmt: skip
    rows: list[tuple[str, ...]] = []
    for zone in _first(tuple(machine.zones.values()) if machine else (), marks, "zones"):
        assert machine is not None
        known = _doubted(machine, "zones", zone.name, "ambient", f"{zone.ambient_c:g} °C")
        known = f"({zone.ambient_c:g} °C)" if zone.assumed else known
        said = tuple("yes" if flag else "" for flag in (zone.wet, zone.closed, zone.sun, zone.shakes))
        rows.append((marks.get(("zones", zone.name), ""), zone.name, known, "", *said))
    hint = "Zones: a thermometer taped beside the loom for an hour of work tells more than a hand."
    return Sheet("Zones to feel or measure", hint, columns, _filled(rows, len(columns)))


def _holes(machine: Machine | None) -> Sheet:
    columns = (("on the run", 3.2), ("bore", 1.0), ("calliper", 1.2), ("plate", 1.0), ("calliper", 1.2),
               ("edge sharp, bushed, torn", 2.2))  # fmt: skip
    rows: list[tuple[str, ...]] = []
    for run in machine.runs if machine else ():
        if run.hole_mm is not None:
            assert machine is not None
            bore = _doubted(machine, "runs", run.name, "hole", f"{run.hole_mm:.4g} mm")
            plate = f"{run.plate_mm:g} mm" if run.plate_mm is not None else ""
            plate = _doubted(machine, "runs", run.name, "plate", plate) if plate else ""
            rows.append((run.name, bore, "", plate, "", ""))
    hint = "Bore and thickness of the plate decide the grommet; measure across the narrowest."
    return Sheet("Holes to calliper", hint, columns, _filled(rows, len(columns)))


def _parts(machine: Machine | None, marks: dict[tuple[str, str], str]) -> Sheet:
    columns = (("", 0.5), ("part", 2.0), ("what it is", 1.6), ("where", 1.5), ("known", 1.3),
               ("on its plate: V, W, A", 1.9), ("studs, blades", 1.5))  # fmt: skip
    rows: list[tuple[str, ...]] = [
        (marks.get(("parts", part.name), ""), part.name, part.title, part.place, _known(part), "", "")
        for part in _first(tuple(machine.parts.values()) if machine else (), marks, "parts")
    ]
    hint = "No plate: write what is cast or stamped on it, or measure what it draws on the bench."
    return Sheet("Parts to identify", hint, columns, _filled(rows, len(columns)))


def _known(part: Part) -> str:
    """What a part draws, gives or is set to, in brackets when its kind said so."""
    assumed = any(word.split(" ")[0] in ("current", "output", "capacity") or "(marked ?" in word
                  for word in part.assumed)  # fmt: skip
    for link in part.links:
        if link.load is not None and link.load.nature != "signal":
            load = link.load
            said = f"{load.power_w:g} W" if load.power_w is not None else f"{load.steady_a:.3g} A"
            return f"({said})" if assumed else said
    said = f"{part.output_a:g} A" if part.output_a is not None else ""
    said = f"{part.capacity_ah:g} Ah" if part.capacity_ah is not None else said
    return f"({said})" if said and assumed else said


def _old(machine: Machine | None) -> Sheet:
    columns = (("tag", 0.6), ("colour", 1.1), ("from: part, terminal", 2.4), ("to: part, terminal", 2.4),
               ("size", 0.9), ("stays?", 0.8), ("pulls?", 0.8), ("photo", 0.9))  # fmt: skip
    rows: list[tuple[str, ...]] = [
        (str(at), old.colour, old.start, old.end, "", "", "yes" if old.pulls else "", "")
        for at, old in enumerate(machine.old_wires if machine else (), 1)
    ]
    rows += [(str(at), *[""] * 7) for at in range(len(rows) + 1, TAGS + 1)]
    hint = "One tag at each end, with this number. Pulls: whole and loose enough to draw a new bundle in."
    return Sheet("Old wires to tag", hint, columns, tuple(rows))
