"""Size questions as machines ask them: loads on panels, panels on a trunk, other loads on in each mode."""

from __future__ import annotations

from random import Random

from harness.electric.optimum import Choice
from harness.electric.program import DropLimit

AREAS_MM2 = (0.5, 0.8, 1.2, 1.9, 3.0, 4.7, 7.5, 12.0, 20.0, 30.0, 50.0)
OHM_MM2_PER_M = 0.0176
KG_PER_M_MM2 = 0.00889


def tree(seed: int, loads: int) -> tuple[list[DropLimit], dict[int, list[Choice]]]:
    """Tight limits of so many loads in two modes, and the sizes of every wire; the same for a seed."""
    random = Random(seed)
    choices: dict[int, list[Choice]] = {}

    def wires(most: int) -> list[int]:
        made = []
        for _ in range(random.randint(1, most)):
            length_m = random.uniform(0.3, 4)
            made.append(len(choices))
            choices[len(choices)] = [
                Choice(area * length_m * KG_PER_M_MM2, OHM_MM2_PER_M / area * length_m)
                for area in AREAS_MM2[random.randint(0, 2) :]
            ]
        return made

    trunk = wires(3)
    panels: list[list[int]] = []
    for _ in range(max(1, loads // 6)):
        base = random.choice(panels) if panels and random.random() < 0.3 else trunk
        panels.append(base + wires(2))
    ways = [(random.choice(panels) + wires(3), random.uniform(1, 12)) for _ in range(loads)]
    limits = []
    for _ in range(2):
        on = [way for way in ways if random.random() < 0.7]
        amps: dict[int, float] = {}
        for way, load_a in on:
            for wire in way:
                amps[wire] = amps.get(wire, 0.0) + load_a
        for way, _ in on:
            thin = sum(amps[wire] * choices[wire][0].ohm for wire in way)
            fat = sum(amps[wire] * choices[wire][-1].ohm for wire in way)
            limits.append(
                DropLimit({wire: amps[wire] for wire in way}, fat + (thin - fat) * random.uniform(0.02, 0.5))
            )
    return limits, choices
