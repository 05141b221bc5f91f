"""How finished looms go onto the machine: drawn through, clamped, coupled, landed, the battery last."""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Mapping, Sequence

from harness.lists.branches import Branch
from harness.lists.measure import natural
from harness.lists.steps import LAST, MACHINE, Draft, words
from harness.lists.tally import count_of
from harness.model.assembly import OldWire
from harness.model.design import Design, PartResult, RunResult
from harness.model.machine import Machine

OTHER_POST = {"negative": "positive", "positive": "negative"}
NEAR = {
    "exhaust": "keep it 100 to 150 mm off the exhaust, or behind a shield in sleeve for the heat",
    "edge": "guard the edge that it passes",
    "hose": "do not tie it to the hose",
    "fuel line": "lay it above the fuel line and do not tie it to that",
}  # AC 43.13-1B and common practice, as in the table support_rules


def fitting_steps(machine: Machine, design: Design, branches: Sequence[Branch]) -> Iterator[Draft]:
    """Yield the steps on the machine, then those at the end."""
    post = design.machine.chassis_post
    yield Draft(
        MACHINE, "", "battery",
        f"take the battery off, the {post} lead first, and leave it off until the last step",
        caution=f"rings and watch off; never the {OTHER_POST[post]} lead first: a spanner from it to the "
        "frame is a dead short of thousands of amperes",
    )  # fmt: skip
    runs = {run.name: run for run in design.runs}
    yield from _drawing(machine, runs, branches)
    near = {run.name: run.near for run in machine.runs}
    for branch in branches:
        yield from _leading(branch, runs, near)
    yield from _coupling(design)
    yield from _landing(design, branches)
    yield from _closing(design)


# ------------------------------------------------------------------------------------------------ old wires


def ways_of(old: OldWire, runs: Mapping[str, RunResult]) -> list[str]:
    """The runs an old wire goes through: as the survey names them, else the shortest way."""
    if old.through:
        return list(old.through)
    around: dict[str, list[tuple[str, RunResult]]] = {}
    for run in runs.values():
        around.setdefault(run.start, []).append((run.end, run))
        around.setdefault(run.end, []).append((run.start, run))
    done: set[str] = set()
    waiting: list[tuple[float, str, tuple[str, ...]]] = [(0.0, old.start, ())]
    while waiting:
        far_m, place, way = heapq.heappop(waiting)
        if place == old.end:
            return list(way)
        if place in done:
            continue
        done.add(place)
        for other, run in around.get(place, ()):
            if other not in done:
                heapq.heappush(waiting, (far_m + run.length_m, other, (*way, run.name)))
    return []


def _drawing(machine: Machine, runs: Mapping[str, RunResult], branches: Sequence[Branch]) -> Iterator[Draft]:
    """What each old wire can draw through: the new wires of every loom in the runs it goes through."""
    owner = {line.number: branch.loom for branch in branches for line in branch.lines}
    for old in machine.old_wires:
        if old.kept:
            continue
        if not old.pulls:
            yield Draft(
                MACHINE, "", old.title,
                f"take the {old.title} out, in pieces if need be: it is not said to hold a pull",
            )  # fmt: skip
            continue
        drawn: dict[str, dict[str, None]] = {}
        shared: dict[str, list[str]] = {}
        for name in ways_of(old, runs):
            new = [number for number in (*runs[name].wires, *runs[name].spares) if number in owner]
            for loom in dict.fromkeys(owner[number] for number in new):
                shared.setdefault(loom, []).append(name)
                drawn.setdefault(loom, {}).update((n, None) for n in new if owner[n] == loom)
        for loom, names in shared.items():
            yield _draw(old, loom, [runs[name] for name in names], list(drawn[loom]))
        if not shared:
            yield Draft(
                MACHINE, "", old.title,
                f"no new wire takes the way of the {old.title}: take it out, or seal its ends",
                source="unused wires cut flush and sealed: common practice",
            )  # fmt: skip


def _draw(old: OldWire, loom: str, along: Sequence[RunResult], wires: list[str]) -> Draft:
    holes = [f"the {run.hole_mm:g} mm hole of {run.name}" for run in along if run.hole_mm]
    through = f", through {words(holes)} with the grommet on the bundle already" if holes else ""
    return Draft(
        MACHINE, loom, old.title,
        f"with the {old.title} draw in {count_of(len(wires), 'wire')} along "
        f"{words([run.name for run in along])}{through}: tape the new bundle to the old one in a slim "
        "cone, a little washing-up liquid helps; one feeds while one draws",
        wires,
        source="old loom as pull-through: common practice",
    )  # fmt: skip


# ------------------------------------------------------------------------------------------------ loom


def _leading(
    branch: Branch, runs: Mapping[str, RunResult], near: Mapping[str, tuple[str, ...]]
) -> Iterator[Draft]:
    """One branch led along its runs: holes with their grommets, clamps, what moves, what it must keep off."""
    parts: list[str] = []
    beware: list[str] = []
    for name in branch.runs:
        run = runs[name]
        if run.hole_mm:
            seat = f"seat the grommet ({run.grommet})" if run.grommet else "no grommet fits: see the findings"
            plate = f" in the {run.plate_mm:g} mm plate" if run.plate_mm else ""
            parts.append(f"through the {run.hole_mm:g} mm hole{plate} of {name}, {seat}")
        if run.clamps and run.clamp:
            parts.append(f"{run.clamps} x {run.clamp} along {name}")
        if run.moves:
            beware.append(f"{name} moves: full travel by hand before the last clamp, so that it twists and "
                          "never pulls")  # fmt: skip
        beware += [f"{name}: {NEAR[what]}" for what in near.get(name, ()) if what in NEAR]
    if not branch.runs:
        return
    what = f"lead the {branch.title.replace(': ', ' ', 1)}, from {branch.places[0]} outwards"
    yield Draft(
        MACHINE, branch.loom, branch.title,
        what + (f": {'; '.join(parts)}" if parts else ""),
        [line.number for line in branch.lines],
        caution="; ".join(beware),
    )  # fmt: skip


def _coupling(design: Design) -> Iterator[Draft]:
    for coupler in design.couplers:
        ways = ", ".join(f"{way.way} ({way.wire_a} - {way.wire_b})" for way in coupler.ways
                         if way.wire_a and way.wire_b)  # fmt: skip
        past = f"; past it uncut: {'; '.join(coupler.past)}" if coupler.past else ""
        yield Draft(
            MACHINE, "", coupler.name,
            f"mate {coupler.name} at {coupler.place} until it locks: ways {ways or 'none'}{past}; look that "
            "no seal is rolled up",
            [number for way in coupler.ways for number in (way.wire_a, way.wire_b) if number],
        )  # fmt: skip


# ------------------------------------------------------------------------------------------------ landing


def _order_of_places(design: Design, branches: Sequence[Branch]) -> list[str]:
    """Far ends first, the main junction last: the ends are landed while the middle still gives."""
    laid = [place for branch in branches for place in branch.places]
    places = dict.fromkeys(reversed(laid))
    rest = sorted({part.place for part in design.parts} - set(places), key=natural)
    return [*places, *rest]


def _landing(design: Design, branches: Sequence[Branch]) -> Iterator[Draft]:
    batteries = {part.name for part in design.parts if part.kind == "battery"}
    by_place: dict[str, list[PartResult]] = {}
    for part in design.parts:
        by_place.setdefault(part.place, []).append(part)
    order = _order_of_places(design, branches)
    grounds = [part for place in order for part in by_place.get(place, ()) if part.role == "ground"]
    for part in grounds:
        mine = [number for use in part.terminals for number in use.wires]
        if mine:
            yield Draft(
                MACHINE, "", f"{part.name} ({part.place})",
                f"scrape {part.name} at {part.place} to bare metal, land {words(mine)} with a serrated "
                "washer under the lowest, and coat the joint when it is tight",
                mine,
                source="bare metal, serrated washer, then coat: common practice",
            )  # fmt: skip
    for place in order:
        parts = [
            part
            for part in by_place.get(place, ())
            if part.role not in ("ground", "coupler") and part.name not in batteries
        ]
        numbers = sorted({n for part in parts for use in part.terminals for n in use.wires}, key=natural)
        if numbers:
            yield Draft(
                MACHINE, "", place,
                f"at {place} land by the sheet Hook-up: {words([part.name for part in parts])}",
                numbers,
            )  # fmt: skip


def _at_batteries(design: Design) -> tuple[list[str], list[str], list[str]]:
    """Wires that link batteries, those on live posts, and those on the chassis posts."""
    batteries = {part.name for part in design.parts if part.kind == "battery"}
    chassis = "-" if design.machine.chassis_post == "negative" else "+"
    links: list[str] = []
    live: list[str] = []
    home: list[str] = []
    for wire in design.wires:
        ends = [end for end in (wire.from_, wire.to) if end.kind == "part" and end.part in batteries]
        if len(ends) == 2:
            links.append(wire.number)
        elif ends:
            (home if ends[0].terminal == chassis else live).append(wire.number)
    return links, live, home


def _closing(design: Design) -> Iterator[Draft]:
    post = design.machine.chassis_post
    links, live, home = _at_batteries(design)
    fuses = [fuse.name for fuse in design.fuses]
    kept = [wire.number for wire in design.wires if wire.kept]
    if kept:
        yield Draft(
            LAST, "", "kept cables",
            f"look over the old cables that stay, {words(kept)}: lugs tight, insulation whole, label on",
            kept,
        )  # fmt: skip
    if fuses:
        yield Draft(
            LAST, "", "fuses",
            f"every fuse out ({count_of(len(fuses), 'fuse')}) and every switch off; a meter from the live "
            "side to the chassis shows nothing but what the open switches leave",
        )  # fmt: skip
    yield Draft(
        LAST, "", "battery",
        "battery last: " + (f"first what links the batteries ({words(links)}), then " if links else "first ")
        + f"the {OTHER_POST[post]} side" + (f" ({words(live)})" if live else "")
        + f", then the {post} lead" + (f" ({words(home)})" if home else "")
        + " through a filament lamp in series; dark or dim is well, bright is a short circuit: off again at "
        "once",
        [*links, *live, *home],
        caution="the battery gives thousands of amperes and its gas explodes: rings off, insulated spanner, "
        "eyes covered, no flame; a licensed person where the law wants one",
        source="current-limited first connection: common practice",
    )  # fmt: skip
    if fuses:
        yield Draft(
            LAST, "", "fuses",
            "fit the fuses one at a time, the smallest rating first; work each circuit, measure its current "
            "and write it beside the designed one; the starter last, with the fuel off",
            source="one fuse at a time: common practice",
        )  # fmt: skip
    yield Draft(
        LAST, "", "covers",
        "when the machine has passed, cover the last 100 mm before each end, seat the last clamps, and "
        "tighten every stud once more after the first hot hour",
        source="last covers after the test, studs after one hot hour: common practice",
    )  # fmt: skip
