"""The figures the rules compare with, and the documents they come from, with how sure that is."""

from __future__ import annotations

PRACTICE = "common practice"

# --- where a fuse has to sit --------------------------------------------------------------------------------
BARE_M = 0.178  # 7 in, along the wire
SHEATHED_M = 1.016  # 40 in, in a sheath or enclosure all the way
FROM_BATTERY_M = 1.829  # 72 in, sheathed, straight from a battery post
FUSE_PLACE = (
    "33 CFR 183.455(b): fuse at the source, else within 7 in, or 40 in when sheathed (read; written for "
    "boats); ABYC E-11: 72 in straight from a battery (read-from-secondary)"
)
EVERY_CONDUCTOR = (
    "33 CFR 183.455(a): every ungrounded conductor has a fuse or manually reset breaker (read; written for "
    "boats)"
)
CRANKING_EXEMPT = (
    "46 CFR 111.15-25: overload protection in each battery conductor except of engine cranking (read)"
)
GROUND_UNFUSED = "46 CFR 111.05-37: no overcurrent device in a grounded conductor unless it opens both (read)"
FUSE_GUARDS_WIRE = (
    "fuse no larger than the wire's corrected ampacity; 33 CFR 183.455(c) would allow 150 % (read)"
)

# --- how full a fuse is run ---------------------------------------------------------------------------------
FUSE_SHARE_SOURCE = (
    "continuous load at most 80 % of the rating of most fuse types (read), 75 % for glass at 25 °C (read), "
    "0.2 % less per K above (read): fuse_continuous_share"
)
INRUSH = "bands of ISO 8820-3, ISO 8820-5 and SAE J1888 (memory), UL 248-14 (read): fuse_time_current"
SLOW_OVERLOAD = (
    "rows of fuse_time_current that take longer than 5 s (ISO and SAE rows memory, UL rows read); insulation "
    "50 K above its class for 6 h, ISO 6722-1 (cable_overload, memory); warming by one time constant "
    "(calculated)"
)
BREAKING = (
    "ISO 8820-3 and -5: 1000 A for blades, 2000 A for strip fuses at 32 V (fuse_breaking_capacity, read)"
)

# --- joints and loom ----------------------------------------------------------------------------------------
WIRES_ON = {"stud": 4, "post": 4, "screw": 2, "blade": 2, "pin": 1, "pigtail": 2}
WIRES_ON_SOURCE = (
    "four terminals on one stud: ABYC E-11 (read-from-secondary), AC 43.13-1B (memory); two to a blade (one "
    "receptacle crimped on both, or a piggyback), screw or pigtail, one to a pin: common practice"
)
CLAMPS_M, TIES_M = 0.61, 0.305  # 24 in and 12 in
CLEAR_OF_EDGE_MM = 9.5  # 3/8 in
GROMMET = "AC 43.13-1B 11-115: grommet in every hole unless clamped 3/8 in (9.5 mm) clear of its edge (read)"
FLUID_LINE = "AC 43.13-1B 11-96 w: 6 in (152 mm) from fuel and oil lines, never under 2 in (51 mm) (read)"
HINGE = "AC 43.13-1B 11-115: at a hinge, lay the bundle so that it twists instead of bends (read)"
EXHAUST = (
    "100 to 150 mm from exhaust and manifold, or a shield (common practice; no standard's figure was found)"
)
BREAKER = "SAE J553: type I resets by itself and cycles on a fault (read-from-secondary)"

# --- starting and charging ----------------------------------------------------------------------------------
TRIGGER_DROP_V = {12.0: 1.0, 24.0: 2.0, 32.0: 2.6}
TRIGGER_DROP = (
    "US Army TM 5-2420-230-24-2 p. 13-33: solenoid control circuit, both legs: 1.0 V at 12 V, 2.0 V at 24 "
    "V, 2.6 V at 32 V (read)"
)
STARTER_GROUND_V = 0.3
STARTER_GROUND = (
    "a battery tester maker's manual p. 15: 0.3 V on the ground side while cranking at 12 V (read); in "
    "proportion at other volts (common practice)"
)
GROUND_V = 0.2
LIFTED = (
    "a garden tractor maker's service manuals: a ground circuit above 0.2 V needs attention (read, 12 V); in "
    "proportion at other volts (common practice)"
)
ALTERNATOR_SHARE = 0.80
FLAT_DAYS = 21.0
LEAST_BATTERY_SHARE = 0.5  # of capacity that a parked machine may lose and still crank
NOTICED_V = 0.001  # no workshop meter shows less


def amps(value_a: float) -> str:
    return f"{value_a:.0f} A" if value_a >= 100 else f"{value_a:.3g} A"


def may_carry(value_a: float) -> str:
    """What a wire may carry, in words; none in a place too hot for it, or below the ampacity table."""
    return (
        f"may carry {amps(value_a)}"
        if value_a > 0
        else "may carry nothing: it is too hot there, or thinner than the table of ampacities goes"
    )


def volts(value_v: float) -> str:
    return f"{value_v:.2f} V"


def metres(value_m: float) -> str:
    return f"{value_m:.2f} m"


def square(value_mm2: float) -> str:
    return f"{value_mm2:.3g} mm²"
