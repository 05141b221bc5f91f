"""The cautions every output carries, in the order the work meets them."""

from __future__ import annotations

from harness.model.machine import Machine


def _battery(machine: Machine) -> str:
    post, other = machine.chassis_post, "positive" if machine.chassis_post == "negative" else "negative"
    return (
        f"Battery off before you touch a wire: on this machine the {post.upper()} post goes to the chassis, "
        f"so take the {post} lead off first and put it back last. Never the {other} one first: a spanner "
        "from it to the frame is a dead short."
    )


def _polarity(machine: Machine) -> list[str]:
    if machine.chassis_post == "negative":
        return []
    return [
        "The POSITIVE post is on the chassis: fuses and switches stand in the negative wires, and the live "
        "wires are negative. Alternators, electronic flashers, radios and LED lamps made for the usual "
        "polarity burn here."
    ]


def cautions(machine: Machine) -> list[str]:
    """Safety cautions in plain words, the one on the battery worded for the machine's chassis post."""
    return [
        "Engine off, key out, wheels chocked, drum, bucket or blade on the ground, engine cold, before any "
        "work.",
        _battery(machine),
        *_polarity(machine),
        "A battery gives thousands of amperes into a short circuit and its gas explodes: rings and watch "
        "off, insulated tools, eye protection, no sparks or flame, air moving.",
        "Fuel and sparks: no wiring work over leaking fuel or oil; keep wires off fuel lines, and do not "
        "test by touching wires together to see a spark.",
        "Starting by surprise kills: before you feed terminal 50, a start relay or the key, put the drive "
        "in neutral, stop the fuel, and see that no one stands by wheels, drum, belts or fan.",
        "First power through a filament lamp in the chassis lead, all fuses out; then fuse by fuse, the "
        "smallest first. A lamp that burns bright means a short circuit: take the battery off and find it.",
        "Never fit a larger fuse than the list says: the fuse is what keeps the wire from burning. Find out "
        "why it blew. The starter cable has no fuse as a rule: its clamps, boots and way are its protection.",
        "With the engine running, never open the battery isolator or take a battery lead off: the "
        "alternator and the electronics do not survive it.",
        "Before arc welding: battery off, alternator and electronics unplugged, the welder's clamp beside "
        "the weld, and no bearing, hinge or loom in its way back.",
        "Hot and moving parts: run the loom clear of exhaust, belts and joints, and try full steering and "
        "lift travel by hand before you tie it down.",
        "Everything here is worked out from the survey: what the survey has wrong, the design has wrong. "
        "Items marked assumed were not measured. Check currents and volts on the machine against the sheet.",
        "These results do not replace the machine maker's instructions, the law and codes of the place, or "
        "a licensed person where one is required. Where they differ, those come first.",
    ]
