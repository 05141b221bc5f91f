"""What must refuse: starting with a guard open, and an engine that feeds itself with the key off."""

from __future__ import annotations

from harness.commissioning.flooding import reaches, spot
from harness.commissioning.probes import at_terminal, probes
from harness.commissioning.trial import Test
from harness.electric.starterways import is_guard
from harness.model.design import Design

# Of the machine's volts: a relay lets go by then. Common practice, after what makers of relays state.
LETS_GO = 0.1
WHY = "less than a relay needs to stay in: a tenth of its volts (common practice)"


def interlocks(design: Design) -> list[Test]:
    """Volts at the starter's small terminal with each guard open and the key at start [V]."""
    found = []
    most = LETS_GO * design.machine.voltage_v
    for start in design.starts:
        trigger = _trigger(design, start.part)
        if trigger is None:
            continue
        for guard in guards(design):
            found.append(
                Test(
                    f"interlock:{guard}:{start.part}", f"{start.part} {trigger}, {guard} open, key at start",
                    "V", 0.0, 0.0, round(most, 2),
                    f"small wire off the solenoid, fuel off; {guard} held open; "
                    f"{_to_chassis(design, start.part, trigger)}",
                    WHY, guard, start.mode, "",
                    f"{guard} does not open, is bridged, or does not stand in the way: `harness trace` shows "
                    "the way",
                )
            )  # fmt: skip
        found.append(
            Test(
                f"interlock:key:{start.part}", f"{start.part} {trigger}, key on and not at start", "V",
                0.0, 0.0, round(most, 2),
                "small wire off the solenoid, every guard closed; "
                f"{_to_chassis(design, start.part, trigger)}",
                WHY, start.part, start.mode, "",
                "the key switch or the start relay hangs, or its wires are changed over: it would crank by "
                "itself",
            )
        )  # fmt: skip
    return found


def _to_chassis(design: Design, part: str, terminal: str) -> str:
    here, metal = at_terminal(design, part, terminal), "bare metal of the chassis"
    negative = design.machine.chassis_post == "negative"
    return probes(here, metal) if negative else probes(metal, here)


def _trigger(design: Design, starter: str) -> str | None:
    """The starter's terminal that the small wire lands on: 50 (DIN 72552); None where none is wired."""
    part = next((one for one in design.parts if one.name == starter), None)
    names = [use.terminal for use in part.terminals if use.wires] if part else []
    return next((name for name in names if name.startswith("50")), None)


def guards(design: Design) -> list[str]:
    """Guards without which a starter cannot be worked: neutral, clutch, seat, brake; in the survey's order.

    Worked by its small wire; where it has none, by the relay or switch in its cable.
    """
    parts = {part.name: part for part in design.parts}
    ends = [
        spot(parts[start.part], _trigger(design, start.part) or start.link.partition("/")[0])
        for start in design.starts
    ]
    able = [end for end in ends if reaches(design, end)]
    return [
        part.name
        for part in design.parts
        if is_guard(part.role, part.kind, f"{part.name} / {part.kind} / {part.title}")
        and any(not reaches(design, end, (part.name,)) for end in able)
    ]


def backfeeds(design: Design) -> list[Test]:
    """Volts that are left on what the key turns on, key off and the engine still turning [V]."""
    if not any(part.kind in ("alternator", "dynamo") for part in design.parts):
        return []
    found = []
    most = LETS_GO * design.machine.voltage_v
    for part in design.parts:
        if part.kind != "key switch":
            continue
        for use in part.terminals:
            if use.terminal != "15" or not use.wires:
                continue
            found.append(
                Test(
                    f"backfeed:{part.name} {use.terminal}",
                    f"{part.name} {use.terminal}, key turned off with the engine running", "V", 0.0, 0.0,
                    round(most, 2),
                    f"within the second in which it runs down, or does not stop; "
                    f"{_to_chassis(design, part.name, use.terminal)}", WHY, part.name, "", "",
                    "the alternator's exciter feeds back through the charge lamp, or a live feed reaches it "
                    "past the key: pull the small wire off D+, then fuse by fuse",
                )
            )  # fmt: skip
    return found
