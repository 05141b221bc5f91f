"""What a meter shall show on this machine, and the band outside of which something is wrong."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from harness.book.shop.blocks import Reading, Readings
from harness.model.design import Design, Fuse, LoadResult
from harness.tables import load as table

SYSTEM_V = 12.0  # the published bands are those of a 12 V system; in proportion at others
CELL_V = 2.0  # a lead-acid cell's nominal volts
ISOLATION_MOHM = 1.0  # test_acceptance, "isolation of a subsystem": 1 minimum
LEAD_OHM = 0.1  # test_acceptance, "continuity of a short lead": 0.10 maximum
GROUND_V = 0.2  # test_acceptance, "ground circuit needs attention": above 0.2


def _why(test: str) -> str:
    rows = table("test_acceptance")
    return str(rows.cite(rows.row("test", test)))


def _band(name: str) -> tuple[float, float, str]:
    rows = table("test_bands")
    row = rows.row("name", name)
    return float(row["low"]), float(row["high"]), str(rows.cite(row))


def _scale(design: Design) -> float:
    return design.machine.voltage_v / SYSTEM_V


def current(key: str, what: str, amps: float, how: str = "") -> Reading:
    """Return a current to expect [A]."""
    low, high, why = _band("current beside the designed one")
    return Reading(key, what, "A", amps, low * amps, high * amps, how, why)


def dead(design: Design) -> Readings:
    """Return what is measured before any battery is connected."""
    post = design.machine.chassis_post
    live = "positive" if post == "negative" else "negative"
    rows = [
        Reading(
            "dead:live", f"{live} battery lead to {post} battery lead", "Mohm", None, ISOLATION_MOHM, None,
            "both leads off the battery, all fuses out, every switch off, regulator and electronics "
            "unplugged",
            _why("isolation of a subsystem"),
        )
    ]  # fmt: skip
    grounds = [part for part in design.parts if part.role == "ground"]
    for part in grounds:
        body = f" on {part.body}" if part.body else ""
        rows.append(
            Reading(
                f"dead:{part.name}", f"{part.name}{body}, to the lug of the {post} battery lead", "ohm", None,
                0.0, LEAD_OHM, "take off what the meter's own leads show when held together",
                _why("continuity of a short lead"),
            )
        )  # fmt: skip
    return Readings("Dead tests", tuple(rows), "Battery leads off, all fuses out.")


def rest(design: Design) -> list[Reading]:
    """Return the volts of every battery after hours at rest, half charged to full."""
    table_ = table("battery_by_charge")
    per_cell = table_.column("charge_percent", "rest_v_per_cell")
    batteries = [part for part in design.parts if part.kind == "battery"]
    cells = design.machine.voltage_v / CELL_V / max(len(_in_series(design)), 1)
    why = str(table_.cite(table_.rows[-1]))
    low, high = per_cell["75"] * cells, per_cell["100"] * cells
    return [
        Reading(
            f"rest:{part.name}", f"{part.name}, post to post, at rest", "V", round(high, 2), round(low, 2),
            round(high * 1.02, 2), "nothing on for some hours; below the band: charge it first", why,
        )
        for part in batteries
    ]  # fmt: skip


def _in_series(design: Design) -> set[str]:
    """Batteries that stand on one another: one's live post feeds the other's chassis post."""
    batteries = {part.name for part in design.parts if part.kind == "battery"}
    found: set[str] = set()
    for wire in design.wires:
        ends = (wire.from_, wire.to)
        if {ends[0].part, ends[1].part} <= batteries and ends[0].terminal != ends[1].terminal:
            found |= {ends[0].part, ends[1].part}
    return found


def fuse_reading(fuse: Fuse) -> Reading:
    """Return the current through one fuse with everything behind it on."""
    most = fuse.rating_a * fuse.continuous_share
    return Reading(
        f"fuse:{fuse.name}", f"current through {fuse.name}, all behind it "
        f"on", "A", round(fuse.load_a, 3), 0.0,
        round(most, 3), "clamp meter round the wire, or an ammeter in place of the fuse",
        f"most it carries for ever: {fuse.rating_a:g} A x {fuse.continuous_share:.0%}, {fuse.source}",
    )  # fmt: skip


def _sources(design: Design) -> set[str]:
    return {part.name for part in design.parts if part.role == "source"}


def _load_rows(design: Design, load: LoadResult) -> Iterator[Reading]:
    name = f"{load.part} {load.link}"
    worst = max(load.modes, key=lambda seen: seen.judged_v, default=None)
    if worst is None:
        return
    yield current(f"load:{name}:A", f"{name}: current", worst.current_a, f"in {worst.mode}")
    yield Reading(
        f"load:{name}:lost", f"{name}: volts lost, feed and return", "V", round(worst.judged_v, 3), 0.0,
        round(load.allowance_v, 3), f"in {worst.mode}: volts at the battery posts less volts at the load, "
        f"by itself on",
        load.allowance_source,
    )  # fmt: skip
    settled = {
        (state.mode, each.part, each.link): (each.volts_v, state.posts_v)
        for state in design.operating
        for each in state.loads
    }
    for seen in load.modes:
        volts, posts = settled.get((seen.mode, load.part, load.link), (seen.volts_v, seen.source_v))
        low = min(volts, posts - load.allowance_v)
        yield Reading(
            f"load:{name}:{seen.mode}", f"{name}: volts in {seen.mode}", "V", round(volts, 2), round(low, 2),
            round(posts + 0.02 * design.machine.voltage_v, 2), f"with {posts:.2f} V at the battery posts",
            "from the posts' volts, less what it may lose, to the posts' volts and 2 % for the meter "
            "(calculated)",
        )  # fmt: skip


def loads(design: Design) -> list[Readings]:
    """Return current and volts of every load, by circuit."""
    by_circuit: defaultdict[str, list[Reading]] = defaultdict(list)
    sources = _sources(design)
    for load in design.loads:
        if load.part not in sources:
            by_circuit[load.circuit].extend(_load_rows(design, load))
    fuses: defaultdict[str, dict[str, None]] = defaultdict(dict)
    for load in design.loads:
        fuses[load.circuit][load.fuse or "no fuse"] = None
    return [
        Readings(circuit, tuple(rows), f"Fuse: {', '.join(fuses[circuit])}.")
        for circuit, rows in by_circuit.items()
        if rows
    ]


def charging(design: Design) -> list[Reading]:
    """Return the volts that charge the battery, and what the line from the alternator loses."""
    low, high, why = _band("charging volts of a 12 V system")
    scale = _scale(design)
    found = [
        Reading(
            f"charge:{state.mode}", f"battery posts in {state.mode}", "V", round(state.posts_v, 2),
            round(low * scale, 2), round(high * scale, 2), "engine at working speed", why,
        )
        for state in design.operating
        if state.engine == "running" and state.speed != "idle"
    ]  # fmt: skip
    for line in design.charge_lines:
        if line.allowance_v is not None:
            found.append(
                Reading(
                    f"charge:{line.part}", f"lost from {line.part} to the battery, there and back", "V", None,
                    0.0, round(line.allowance_v, 3), f"at full output, {line.output_a:g} "
                    f"A", "allowance of the design",
                )
            )  # fmt: skip
    for one in design.charge_balance:
        found.append(
            Reading(
                f"balance:{one.mode}:{one.speed}", f"battery current in {one.mode}, {one.speed} speed", "A",
                round(one.battery_a, 2), round(min(0.0, 1.2 * one.battery_a), 2), None,
                "into the battery; below nought it is being emptied", one.formula,
            )
        )  # fmt: skip
    return found


def starting(design: Design) -> list[Reading]:
    """Return the volts of every starter while it turns, and what its cables lose."""
    found = []
    for start in design.starts:
        found.append(
            Reading(
                f"start:{start.part}", f"{start.part} {start.link}: volts while it turns", "V",
                round(start.volts_v, 2), round(start.least_v, 2), None,
                f"expected figure is for {start.battery_c:g} °C", start.source,
            )
        )  # fmt: skip
    for load in design.loads:
        for start in design.starts:
            if (load.part, load.link) == (start.part, start.link):
                found.append(
                    Reading(
                        f"start:{load.part}:lost", f"{load.part} {load.link}: lost in live and chassis "
                        f"cables", "V",
                        None, 0.0, round(load.allowance_v, 3), "both legs added while it "
                        "turns", load.allowance_source,
                    )
                )  # fmt: skip
    return found


def straps(design: Design) -> list[Reading]:
    """Return what every strap and ground cable loses at its worst."""
    _, high, why = _band("cold copper")
    least = GROUND_V * _scale(design)
    return [
        Reading(
            f"strap:{cable.wire}:{cable.start}", f"wire {cable.wire}, {cable.start} to {cable.end}", "V",
            round(cable.drop_v, 3), 0.0, round(max(high * cable.drop_v, least), 3),
            f"in {cable.mode} with {cable.current_a:.3g} A, lug to lug",
            f"{why}, or {_why('ground circuit needs attention')}, in proportion to the volts",
        )
        for cable in design.ground_cables
    ]  # fmt: skip


def parked(design: Design) -> list[Reading]:
    """Return what the machine draws when it stands."""
    _, high, why = _band("parked drain")
    return [
        Reading(
            f"parked:{stand.mode}", f"battery current in {stand.mode}", "A", round(stand.drawn_a, 4), 0.0,
            round(max(high, 1.2 * stand.drawn_a), 3), "meter in the chassis lead, everything off", why,
        )
        for stand in design.standing
    ]  # fmt: skip
