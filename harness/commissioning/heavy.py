"""Drop tests of the heavy cables: every cable lug to lug and every joint on it, while the starter turns."""

from __future__ import annotations

from collections.abc import Iterator

from harness.commissioning.probes import probes
from harness.commissioning.sources import accepted_by
from harness.commissioning.trial import Test
from harness.model.design import Design, Point, Wire
from harness.tables import load as table

JOINT_V = 0.1  # test_acceptance, "ring terminal joint, trade": below 100 mV at rated load
POST_V = 0.02  # at a battery post any reading is a bad joint (test_acceptance); two digits of the meter
SYSTEM_V = 12.0


def starter_wires(design: Design) -> dict[str, list[Wire]]:
    """Cranking mode -> the wires the starter's own current flows in: half of it or more."""
    found: dict[str, list[Wire]] = {}
    for start in design.starts:
        half = start.current_a / 2
        wires = [wire for wire in design.wires if wire.current_a.get(start.mode, 0.0) >= half]
        known = found.setdefault(start.mode, [])
        known += [wire for wire in wires if wire not in known]
    return found


def heavy_tests(design: Design) -> list[Test]:
    """Drop of every cable and joint in the starter's way [V], along the way and back."""
    found: list[Test] = []
    for mode, wires in starter_wires(design).items():
        for wire in wires:
            found += _of_wire(design, wire, mode)
    return found


def _of_wire(design: Design, wire: Wire, mode: str) -> Iterator[Test]:
    rows = table("test_bands")
    cold = rows.row("name", "cold copper")
    state = next((one for one in design.operating if one.mode == mode), None)
    flows = abs(state.wires_a.get(wire.number, 0.0)) if state else 0.0
    amps = flows or wire.current_a[mode]
    drop = amps * wire.resistance_ohm
    ends = [f"the lug at {_point(point)}" for point in (wire.from_, wire.to)]
    yield Test(
        f"cable:{wire.number}:{mode}", f"wire {wire.number}, lug to lug", "V", round(drop, 3), 0.0,
        round(float(cold["high"]) * drop + POST_V, 3),
        f"in {mode}, while it turns with {amps:.0f} A; {probes(*ends)}", str(rows.cite(cold)),
        f"wire {wire.number}", mode, "",
        "broken strands, a crimp that slipped, or a thinner cable than designed",
    )  # fmt: skip
    batteries = {part.name for part in design.parts if part.kind == "battery"}
    for point, end in ((wire.from_, "from"), (wire.to, "to")):
        if point.kind == "splice":
            continue
        post = point.part in batteries
        most = POST_V if post else round(JOINT_V * design.machine.voltage_v / SYSTEM_V, 3)
        why = "starter circuit, battery post to its clamp" if post else "ring terminal joint, trade"
        yield Test(
            f"joint:{wire.number}:{end}:{mode}", f"{_point(point)}: "
            f"{'post to clamp' if post else 'stud to lug'}, "
            f"wire {wire.number}", "V", 0.0, 0.0, most,
            f"in {mode}, while it turns: one probe on the metal of the {'post' if post else 'stud'} itself, "
            "one on "
            "the lug", accepted_by(why), point.part, mode, "",
            "this joint is dirty, loose or painted: undo it, clean it, tighten it",
        )  # fmt: skip


def _point(point: Point) -> str:
    return f"{point.part} {point.terminal}".strip()
