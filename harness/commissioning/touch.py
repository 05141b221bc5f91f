"""The first touch of the battery through a filament lamp: what its volts say."""

from __future__ import annotations

from harness.commissioning.trial import Test
from harness.digits import plain
from harness.model.design import Design
from harness.tables import load as table

LAMP_W = 5.0  # the smallest bulb that every shop has; common practice
GROWS = 1.2  # of the designed drain: test_bands, "current beside the designed one"


def first_touch(design: Design) -> list[Test]:
    """Volts across the smallest lamp in the chassis lead, fuses out and then fuses in [V].

    A filament has its rated resistance when it glows and much less cold, so that the rated one gives the most
    that the lamp can show for a current.
    """
    volts, post = design.machine.voltage_v, design.machine.chassis_post
    hot_ohm = volts**2 / LAMP_W
    bands, meter = table("test_bands"), table("reading_tolerances").row("quantity", "volt meter")
    drain = max((stand.drawn_a for stand in design.standing), default=0.0)
    row = bands.row("name", "parked drain")
    most_a = max(float(row["high"]), GROWS * drain)
    most_v = round(min(most_a * hot_ohm, volts / 2), 2)
    short = f"a short shows {volts:g} V and full light"
    return [
        Test(
            "lamp:fuses out", f"across a {LAMP_W:g} W lamp in the {post} lead, every fuse out", "V", 0.0, 0.0,
            round(2 * float(meter["weak"]), 3), f"probes on the two contacts of the lamp; {short}",
            "twice the last digits of a meter (table reading_tolerances): nothing may flow", "battery",
            "", "",
            "a short or a leak before the fuses: the battery's own cables, starter, isolator",
        ),
        Test(
            "lamp:fuses in", f"across a {LAMP_W:g} W lamp in the {post} lead, every fuse in, all off", "V",
            round(min(drain * hot_ohm, most_v), 3), 0.0, most_v,
            f"probes on the two contacts of the lamp; {short}; then take the fuses out again",
            f"{plain(most_a)} A at most through {hot_ohm:.3g} ohm of a lamp that glows (calculated); "
            f"{bands.cite(row)}", "battery", "", "",
            "something is on or shorted: take fuses out one by one until it is dark; `harness without` that "
            "fuse says what hangs on it",
        ),
    ]  # fmt: skip
