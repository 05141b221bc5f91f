"""What a meter shall show on this machine, and the band outside of which something is wrong."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from harness.commissioning.probes import across, at_load, probes
from harness.commissioning.sources import ISOLATION_MOHM, LEAD_OHM, accepted_by
from harness.commissioning.trial import Sheet, Test
from harness.digits import plain
from harness.electric.rows import passes, row_lengths
from harness.model.bands import LoadBand
from harness.model.design import Design, LoadResult, Point
from harness.model.operating import Operating, OperatingLoad
from harness.tables import load as table

_Drawing = TypeVar("_Drawing", LoadBand, OperatingLoad)

SYSTEM_V = 12.0  # the published bands are those of a 12 V system; in proportion at others
CELL_V = 2.0  # a lead-acid cell's nominal volts
GROUND_V = 0.2  # test_acceptance, "ground circuit needs attention": above 0.2


def _band(name: str) -> tuple[float, float, str]:
    rows = table("test_bands")
    row = rows.row("name", name)
    return float(row["low"]), float(row["high"]), str(rows.cite(row))


def _scale(design: Design) -> float:
    return design.machine.voltage_v / SYSTEM_V


def dead(design: Design) -> list[Test]:
    """Return what is measured before any battery is connected."""
    post = design.machine.chassis_post
    live = "positive" if post == "negative" else "negative"
    rows = [
        Test(
            "dead:live", f"{live} battery lead to {post} battery lead", "Mohm", None, ISOLATION_MOHM, None,
            "both leads off the battery, all fuses out, every switch off, regulator and electronics "
            "unplugged",
            accepted_by("isolation of a subsystem"), "loom", "",
            "something joins live to chassis: a load still on, a wire under a clamp, a diode of the "
            "generator; measure behind each fuse",
        )
    ]  # fmt: skip
    grounds = [part for part in design.parts if part.role == "ground"]
    for part in grounds:
        body = f" on {part.body}" if part.body else ""
        rows.append(
            Test(
                f"dead:{part.name}", f"{part.name}{body}, to the lug of the {post} battery lead", "ohm", None,
                0.0, LEAD_OHM, "take off what the meter's own leads show when held together",
                accepted_by("continuity of a short lead"), part.name, "", "",
                "paint, rust or a washer under the ring, or a strap left out between this metal and the "
                "battery's",
            )
        )  # fmt: skip
    return rows


def rest(design: Design) -> list[Test]:
    """Return the volts of every battery after hours at rest, half charged to full."""
    table_ = table("battery_by_charge")
    per_cell = table_.column("charge_percent", "rest_v_per_cell")
    batteries = [part for part in design.parts if part.kind == "battery"]
    rows = _in_rows(design)
    why = str(table_.cite(table_.rows[-1]))

    def volts(battery: str) -> tuple[float, float, float]:
        cells = design.machine.voltage_v / CELL_V / rows[battery]
        low, high = per_cell["75"] * cells, per_cell["100"] * cells
        return round(high, 2), round(low, 2), round(high * 1.02, 2)

    return [
        Test(
            f"rest:{part.name}", f"{part.name}, post to post, at rest", "V", *volts(part.name),
            "nothing on for some hours; below the band: charge it first", why,
            part.name, "", "a battery that is flat or has a dead cell: charge it, and test it after a night",
            "a charge of a moment ago: load it for a minute, then measure again",
        )
        for part in batteries
    ]  # fmt: skip


def _in_rows(design: Design) -> dict[str, int]:
    """Battery -> how many stand in its row between chassis and live side."""
    grounds = {part.name for part in design.parts if part.role == "ground"}
    batteries = [part.name for part in design.parts if part.kind == "battery"]

    def at(point: Point) -> tuple[str, str, str]:
        return point.kind, point.part, point.terminal

    def is_metal(point: Point) -> bool:
        return point.kind == "part" and point.part in grounds

    joins = [
        (at(wire.from_), at(wire.to))
        for wire in design.wires
        if not (is_metal(wire.from_) or is_metal(wire.to))
    ]
    for part in design.parts:
        if passes(part.role, part.kind):
            joins += [(("part", part.name, link.a), ("part", part.name, link.b)) for link in part.links]
    return row_lengths(batteries, joins)


def _meters() -> tuple[tuple[float, float], tuple[float, float]]:
    """What a volt meter and a clamp meter may be off by: a fixed part and a share."""
    rows = table("reading_tolerances")
    volt, clamp = rows.row("quantity", "volt meter"), rows.row("quantity", "clamp meter")
    return (float(volt["weak"]), float(volt["strong"])), (float(clamp["weak"]), float(clamp["strong"]))


def _metered(band: tuple[float, float], meter: tuple[float, float]) -> tuple[float, float]:
    """A band with the meter's error on both sides; never below nought."""
    low, high = (
        each - side * (meter[0] + meter[1] * abs(each)) for each, side in zip(band, (1, -1), strict=True)
    )
    return max(low, 0.0), high


BETWEEN = (
    "two solves of this machine: longer wires, poorer joints, older battery and hungrier loads on one side, "
    "the "
    "opposite on the other (table reading_tolerances), and the meter's error (calculated)"
)


def fuse_tests(design: Design) -> list[Test]:
    """The current through every fuse with everything behind it on, in the mode in which most flows [A]."""
    before = feeding(design)
    _, clamp = _meters()
    sources = _sources(design)
    links = {(load.part, load.link): load.fuse for load in design.loads if load.part not in sources}
    above = {fuse: _above(fuse, before) for fuse in {*links.values()}}
    behind = {mode.mode: _by_fuse(mode.loads, links, above) for mode in design.bands}
    settled = {state.mode: _by_fuse(state.loads, links, above) for state in design.operating}
    stopped_v = _stopped_v(design)
    found = []
    for fuse in design.fuses:
        carry = fuse.rating_a * fuse.continuous_share
        how = "clamp meter round the wire, or an ammeter in place of the fuse, everything behind it on"
        most = (0.0, 0.0, "")
        for mode in design.bands:
            own = [band.current_a for band in behind[mode.mode].get(fuse.name, ())]
            total = (sum(low for low, _ in own), sum(high for _, high in own), mode.mode)
            most = max(most, total, key=lambda each: each[1])
        if most[2]:
            state = next(one for one in design.operating if one.mode == most[2])
            low, high = _metered(_stopped_too(stopped_v, state, most[:2]), clamp)
            expected = sum(each.current_a for each in settled[most[2]].get(fuse.name, ()))
            found.append(
                Test(
                    f"fuse:{fuse.name}", f"{fuse.name}: current", "A", round(expected, 3), round(low, 3),
                    round(high, 3), f"in {most[2]}: {how}",
                    f"{BETWEEN}; it carries {plain(carry)} A for ever ({fuse.source})", fuse.name, most[2],
                    "something behind it is off, open or not fitted", "something behind it draws too much: a "
                    "short to metal on its way, a seized motor, a bulb of more watts",
                    fuse.link.rpartition("/")[2] if "bus/" in fuse.link else fuse.part,
                )
            )  # fmt: skip
        elif fuse.load_a == 0:
            found.append(
                Test(
                    f"fuse:{fuse.name}", f"{fuse.name}: current", "A", 0.0, 0.0, round(carry, 3), how,
                    f"most it carries for ever: {fuse.rating_a:g} A x {fuse.continuous_share:.0%}, "
                    f"{fuse.source}",
                    fuse.name,
                )
            )  # fmt: skip
    return found


def feeding(design: Design) -> dict[str, str]:
    """Map each fuse to the one before it, "" where there is none: by the wire that brings its current."""
    fed: dict[str, str] = {}
    parts = {fuse.part for fuse in design.fuses}
    for wire in design.wires:
        if wire.to.part in parts:
            fed.setdefault(wire.to.part, wire.fuse)
    found = {fuse.name: fed.get(fuse.part, "") for fuse in design.fuses}
    return {name: "" if before == name else before for name, before in found.items()}


def _stopped_v(design: Design) -> float | None:
    """The least volts of the batteries at rest; None without one."""
    rows = _in_rows(design)
    rested = [test.low * rows[test.subject] for test in rest(design) if test.low is not None]
    return min(rested, default=None)


def _stopped_too(stopped_v: float | None, state: Operating, band: tuple[float, float]) -> tuple[float, float]:
    """A band of currents of a running mode that also holds with the key on and the engine stopped.

    Nothing draws less than in proportion to its volts (by the laws of loads); those are a battery's then.
    """
    if state.engine != "running" or stopped_v is None or state.posts_v <= 0:
        return band
    return band[0] * min(1.0, stopped_v / state.posts_v), band[1]


def _above(fuse: str, before: Mapping[str, str]) -> list[str]:
    """A fuse and all before it, to the battery."""
    seen: dict[str, None] = {}
    while fuse and fuse not in seen:
        seen[fuse] = None
        fuse = before.get(fuse, "")
    return [*seen]


def _by_fuse(
    loads: Sequence[_Drawing], links: Mapping[tuple[str, str], str], above: Mapping[str, Sequence[str]]
) -> dict[str, list[_Drawing]]:
    """What hangs behind each fuse, in the order of the loads."""
    found: dict[str, list[_Drawing]] = {}
    for load in loads:
        for fuse in above.get(links.get((load.part, load.link), ""), ()):
            found.setdefault(fuse, []).append(load)
    return found


def _sources(design: Design) -> set[str]:
    return {part.name for part in design.parts if part.role == "source"}


@dataclass(frozen=True, slots=True)
class _Readings:
    """What loads do, found by mode, part and link."""

    settled: Mapping[tuple[str, str, str], OperatingLoad]
    bands: Mapping[tuple[str, str, str], LoadBand]
    stopped_v: float | None

    @classmethod
    def of(cls, design: Design) -> _Readings:
        return cls(
            {(one.mode, each.part, each.link): each for one in design.operating for each in one.loads},
            {(one.mode, each.part, each.link): each for one in design.bands for each in one.loads},
            _stopped_v(design),
        )


def _load_tests(design: Design, load: LoadResult, readings: _Readings) -> Iterator[Test]:
    """Current, volts and lost volts of one load in every mode that works it."""
    volt, clamp = _meters()
    name = f"{load.part} {load.link}"
    red, black = at_load(design, load.part, load.link)
    for state in design.operating:
        own = (state.mode, load.part, load.link)
        settled, band = readings.settled.get(own), readings.bands.get(own)
        if settled is None or band is None:
            continue
        low, high = _metered(_stopped_too(readings.stopped_v, state, band.current_a), clamp)
        yield Test(
            f"load:{name}:{state.mode}:A", f"{name}: current", "A", round(settled.current_a, 3),
            round(low, 3),
            round(high, 3), f"in {state.mode}", BETWEEN, load.part, state.mode,
            "a bad joint on its way, or a part of fewer watts", "a part of more watts, a motor that is "
            "tight, or a "
            "winding that is short",
        )  # fmt: skip
        low, high = _metered(band.volts_v, volt)
        yield Test(
            f"load:{name}:{state.mode}:V", f"{name}: volts", "V", round(settled.volts_v, 2), round(low, 2),
            round(high, 2), f"in {state.mode}, with {state.posts_v:.2f} V at the battery posts; "
            f"{probes(red, black)}",
            BETWEEN, load.part, state.mode, "a bad joint or contact on its way there or back, or a weak "
            "battery",
            "the generator's regulator, or a circuit that is open behind the load",
            across(design, load.part, load.link),
        )  # fmt: skip
        low, high = _metered(band.lost_v, volt)
        yield Test(
            f"load:{name}:{state.mode}:lost", f"{name}: volts lost, feed and return", "V",
            round(max(state.posts_v - settled.volts_v, 0.0), 3), 0.0, round(high, 3),
            f"in {state.mode}: volts at the battery posts less volts at the load, measured at once; designed "
            "to lose "
            f"no more than {load.allowance_v:.3g} V by itself",
            BETWEEN, load.part, state.mode, "", "a bad joint or contact: measure along its way",
            across(design, load.part, load.link), state.posts_v,
        )  # fmt: skip


def loads(design: Design) -> list[Sheet]:
    """Current and volts of every load, by circuit."""
    by_circuit: defaultdict[str, list[Test]] = defaultdict(list)
    sources, readings = _sources(design), _Readings.of(design)
    for load in design.loads:
        if load.part not in sources:
            by_circuit[load.circuit].extend(_load_tests(design, load, readings))
    fuses: defaultdict[str, dict[str, None]] = defaultdict(dict)
    for load in design.loads:
        fuses[load.circuit][load.fuse or "no fuse"] = None
    return [
        Sheet(f"circuit:{circuit}", circuit, tuple(rows), f"Fuse: {', '.join(fuses[circuit])}.")
        for circuit, rows in by_circuit.items()
        if rows
    ]


def charging(design: Design) -> list[Test]:
    """Return the volts that charge the battery, and what the line from the alternator loses."""
    low, high, why = _band("charging volts of a 12 V system")
    scale = _scale(design)
    charged = {mode.name for mode in design.modes if mode.charge_a > 0}  # a magneto charges nothing
    found = [
        Test(
            f"charge:{state.mode}", f"battery posts in {state.mode}", "V", round(state.posts_v, 2),
            round(low * scale, 2), round(high * scale, 2), "engine at working speed", why, "battery",
            state.mode, "a generator that is not woken (charge lamp, exciter wire), a slack belt, a bad "
            "joint in the charging line, or more on than it gives",
            "a regulator that does not hold, or its sensing wire or ground lost: stop, it boils the battery",
        )
        for state in design.operating
        if state.mode in charged and state.speed != "idle"
    ]  # fmt: skip
    for line in design.charge_lines:
        if line.allowance_v is not None:
            found.append(
                Test(
                    f"charge:{line.part}", f"lost from {line.part} to the battery, there and back", "V", None,
                    0.0, round(line.allowance_v, 3), f"at full output, {line.output_a:g} "
                    f"A", "allowance of the design", line.part, "", "",
                    "a bad joint or fuse contact in the charging line, or no good strap from engine to "
                    "battery",
                )
            )  # fmt: skip
    for one in design.charge_balance:
        found.append(
            Test(
                f"balance:{one.mode}:{one.speed}", f"battery current in {one.mode}, {one.speed} speed", "A",
                round(one.battery_a, 2), round(min(0.0, 1.2 * one.battery_a), 2), None,
                "into the battery; below nought it is being emptied", one.formula, "battery", one.mode,
                "the generator gives less than it should, or more is on than was surveyed",
            )
        )  # fmt: skip
    return found


def starting(design: Design) -> list[Test]:
    """Return the volts of every starter while it turns, and what its cables lose."""
    found = []
    for start in design.starts:
        found.append(
            Test(
                f"start:{start.part}", f"{start.part} {start.link}: volts while it turns", "V",
                round(start.volts_v, 2), round(start.least_v, 2), None,
                f"expected figure is for {start.battery_c:g} °C", start.source, start.part, start.mode,
                "a weak battery if the posts are low too; else the drops of live and ground side show where",
            )
        )  # fmt: skip
    for load in design.loads:
        for start in design.starts:
            if (load.part, load.link) == (start.part, start.link):
                found.append(
                    Test(
                        f"start:{load.part}:lost", f"{load.part} {load.link}: lost in live and chassis "
                        f"cables", "V",
                        None, 0.0, round(load.allowance_v, 3), "both legs added while it "
                        "turns", load.allowance_source, load.part, start.mode, "",
                        "a bad joint or cable: the drop of each joint shows which",
                    )
                )  # fmt: skip
    return found


def straps(design: Design) -> list[Test]:
    """Return what every strap and ground cable loses at its worst."""
    _, high, why = _band("cold copper")
    least = GROUND_V * _scale(design)
    return [
        Test(
            f"strap:{cable.wire}:{cable.start}", f"wire {cable.wire}, {cable.start} to {cable.end}", "V",
            round(cable.drop_v, 3), 0.0, round(max(high * cable.drop_v, least), 3),
            f"in {cable.mode} with {plain(cable.current_a)} A, lug to lug",
            f"{why}, or {accepted_by('ground circuit needs attention')}, in proportion to the volts",
            f"wire {cable.wire}", cable.mode, "", "paint or rust under a lug, or broken strands",
        )
        for cable in design.ground_cables
    ]  # fmt: skip


def parked(design: Design) -> list[Test]:
    """Return what the machine draws when it stands."""
    _, high, why = _band("parked drain")
    return [
        Test(
            f"parked:{stand.mode}", f"battery current in {stand.mode}", "A", round(stand.drawn_a, 4), 0.0,
            round(max(high, 1.2 * stand.drawn_a), 3), "meter in the chassis lead, everything off", why,
            "battery", stand.mode, "",
            "something stays on, or leaks: take fuses out one by one until it drops, then look behind it",
        )
        for stand in design.standing
    ]  # fmt: skip
