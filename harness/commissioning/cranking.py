"""Volts while the starter turns: at the battery's posts, and what either side of its circuit loses."""

from __future__ import annotations

from harness.commissioning.probes import at_terminal, probes
from harness.commissioning.trial import Test
from harness.model.design import Design
from harness.model.operating import Operating, StartResult
from harness.tables import load as table

SYSTEM_V = 12.0
# test_acceptance, "starter positive / ground / total" of a 12 V system; in proportion at others
LIVE_V, GROUND_V = 0.5, 0.3
METER_V, METER_SHARE = "weak", "strong"  # columns of the volt meter in reading_tolerances


def cranking_tests(design: Design) -> list[Test]:
    """Volts at the posts and the drop of live and ground side while each starter turns [V]."""
    found: list[Test] = []
    for start in design.starts:
        state = next((one for one in design.operating if one.mode == start.mode), None)
        if state is not None:
            found += _posts(design, state)
            found += _sides(design, state, start)
    return list({test.key: test for test in found}.values())


def _posts(design: Design, state: Operating) -> list[Test]:
    band = next((one.posts_v for one in design.bands if one.mode == state.mode), None)
    if band is None:
        return []
    meter = table("reading_tolerances").row("quantity", "volt meter")
    low, high = (
        volts + side * (float(meter[METER_V]) + float(meter[METER_SHARE]) * volts)
        for volts, side in zip(band, (-1, 1), strict=True)
    )
    return [
        Test(
            f"crank:{state.mode}:posts", "battery, highest post to chassis post, while the starter turns",
            "V", round(state.posts_v, 2), round(low, 2), round(high, 2),
            f"in {state.mode}: on the posts, not on the clamps; fuel off, 5 s; expected at "
            f"{state.battery_c:g} °C",
            "two solves of this machine, cold with an older battery three quarters charged, and warm with a "
            "new one (table reading_tolerances), and the meter's error (calculated)",
            "battery", state.mode, "a battery that is flat, old or too small, or a starter that drags or is "
            "short inside",
            "a starter that does not turn or has a bad joint in its way: look at the drops of both sides",
        )
    ]  # fmt: skip


def _sides(design: Design, state: Operating, start: StartResult) -> list[Test]:
    chassis = design.machine.chassis_post
    live = "positive" if chassis == "negative" else "negative"
    feeds = [
        end.terminal
        for wire in design.wires
        for end in (wire.from_, wire.to)
        if end.part == start.part and wire.current_a.get(start.mode, 0.0) >= start.current_a / 2
    ]
    own = {part.name for part in design.parts if part.kind == "battery"}
    batteries = [one.part for one in state.sources if one.part in own]
    weak = _weak_share(design, state, start)
    if not feeds or weak is None or len(batteries) != 1:
        return []  # batteries in a row or side by side: their cables and joints are measured one by one
    posts = {side: f"{batteries[0]} {sign}" for side, sign in (("positive", "+"), ("negative", "-"))}
    body = next((part.body for part in design.parts if part.name == start.part), None)
    case = f"body {body}" if body else f"{start.part} {start.link.partition('/')[2]}"
    rows = table("test_acceptance")
    said = rows.cite(rows.row("test", "starter positive / ground / total"))
    meter_v = float(table("reading_tolerances").row("quantity", "volt meter")[METER_V])
    found = []
    for side, a, b, limit in (
        ("live", posts[live], f"{start.part} {feeds[0]}", LIVE_V),
        ("ground", case, posts[chassis], GROUND_V),
    ):
        if a not in state.points_v or b not in state.points_v:
            continue
        lost = abs(state.points_v[a] - state.points_v[b])
        one, other = _words(design, a), _words(design, b)
        red, black = (one, other) if chassis == "negative" else (other, one)
        asked = (b, a) if chassis == "negative" else (a, b)  # the black probe's first
        most = limit * design.machine.voltage_v / SYSTEM_V
        found.append(
            Test(
                f"crank:{start.part}:{start.mode}:{side}", f"{start.part}: lost on the {side} side", "V",
                round(lost, 3), 0.0, round(lost * weak + meter_v, 3),
                f"in {start.mode}, while it turns: {probes(red, black)}; fuel off, 5 s",
                f"its share of what the weak machine of two solves loses (first order, calculated), and the "
                f"meter's digits; beside it a published limit of {most:.2g} V in proportion to the volts: "
                f"{said}", start.part, start.mode, "",
                "a bad joint or cable on that side: the drop of each joint and cable shows which",
                " to ".join(map(_asked, asked)),
            )
        )  # fmt: skip
    return found


def _weak_share(design: Design, state: Operating, start: StartResult) -> float | None:
    """What the starter loses at most on a weak machine, as a multiple of what it loses as designed."""
    own = (start.part, start.link)
    loads = [one for mode in design.bands if mode.mode == state.mode for one in mode.loads]
    band = next((one for one in loads if (one.part, one.link) == own), None)
    settled = next((one for one in state.loads if (one.part, one.link) == own), None)
    if band is None or settled is None or state.posts_v - settled.volts_v <= 0:
        return None
    return max(band.lost_v[1] / (state.posts_v - settled.volts_v), 1.0)


def _asked(point: str) -> str:
    return f"bare metal of {point.removeprefix('body ')}" if point.startswith("body ") else point


def _words(design: Design, point: str) -> str:
    if point.startswith("body "):
        return f"bare metal of the {point.removeprefix('body ')} at the starter"
    part, _, terminal = point.rpartition(" ")
    return at_terminal(design, part, terminal)
