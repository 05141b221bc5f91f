"""Every quantity a survey may state: its name, an example, and the limits beyond which it is absurd."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Dimension = Literal[
    "length", "temperature", "voltage", "power", "current", "time", "charge", "resistance", "area", "share"
]

# What one SI-named unit of each dimension is called in our field names, and in pint.
BASE_UNITS: dict[Dimension, tuple[str, str]] = {
    "length": ("m", "metre"),
    "temperature": ("°C", "degC"),
    "voltage": ("V", "volt"),
    "power": ("W", "watt"),
    "current": ("A", "ampere"),
    "time": ("s", "second"),
    "charge": ("Ah", "ampere_hour"),
    "resistance": ("ohm", "ohm"),
    "area": ("mm2", "millimetre**2"),
    "share": ("%", "percent"),
}

DIMENSION_WORDS: dict[Dimension, str] = {
    "length": "a length",
    "temperature": "a temperature",
    "voltage": "a voltage",
    "power": "a power",
    "current": "a current",
    "time": "a time",
    "charge": "a battery capacity",
    "resistance": "a resistance",
    "area": "a cross-section",
    "share": "a share",
}


@dataclass(frozen=True, slots=True)
class Measure:
    """One quantity a survey may state; limits are in the dimension's base unit and both are accepted."""

    words: str
    dimension: Dimension
    example: str
    least: float
    most: float


# The limits are ours: wide enough for any working machine up to 48 V, narrow enough to catch a slipped unit.
MEASURES: dict[str, Measure] = {
    "run length": Measure("run length", "length", "1.15 m", 0.01, 200.0),
    "wire length": Measure("wire length", "length", "1.9 m", 0.01, 200.0),
    "allowance": Measure("added length", "length", "50 mm", 0.0, 2.0),
    "offcut": Measure("length of the offcut", "length", "2.3 m", 0.01, 1000.0),
    "clamps every": Measure("distance between clamps", "length", "0.4 m", 0.05, 1.22),
    "ties every": Measure("distance between ties", "length", "0.25 m", 0.03, 0.61),
    "edge": Measure("length of an edge", "length", "0.3 m", 0.01, 200.0),
    "hole": Measure("hole bore", "length", "32 mm", 0.003, 0.3),
    "board side": Measure("side of the board", "length", "2.4 m", 0.6, 12.0),
    "plate": Measure("plate thickness", "length", "3 mm", 0.0003, 0.1),
    "ambient": Measure("ambient temperature", "temperature", "85 °C", -60.0, 200.0),
    "altitude": Measure("altitude", "length", "1500 m", -430.0, 6000.0),
    "duty time": Measure("time", "time", "10 s", 0.01, 86_400.0),
    "coldest": Measure("coldest start", "temperature", "-15 °C", -60.0, 40.0),
    "voltage": Measure("system voltage", "voltage", "12 V", 1.0, 60.0),
    "rated": Measure("rated voltage", "voltage", "12 V", 1.0, 60.0),
    "drop": Measure("voltage drop", "voltage", "0.4 V", 0.01, 10.0),
    "power": Measure("power", "power", "55 W", 0.01, 10_000.0),
    "current": Measure("current", "current", "4.5 A", 0.0001, 2_000.0),
    "peak": Measure("peak current", "current", "22 A for 0.5 s", 0.001, 3_000.0),
    "coil": Measure("coil current", "current", "0.15 A", 0.001, 200.0),
    "coil peak": Measure("peak coil current", "current", "60 A for 0.3 s", 0.001, 500.0),
    "rating": Measure("rating", "current", "15 A", 0.1, 1_000.0),
    "cranking": Measure("cold-cranking current", "current", "750 A", 20.0, 3_000.0),
    "output": Measure("generator output", "current", "55 A", 1.0, 500.0),
    "idle output": Measure("generator output at idle", "current", "20 A", 0.0, 500.0),
    "spell": Measure("time", "time", "0.5 s", 0.001, 3_600.0),
    "capacity": Measure("battery capacity", "charge", "100 Ah", 1.0, 2_000.0),
    "resistance": Measure("resistance", "resistance", "10 ohm", 0.0001, 100_000.0),
    "sender": Measure("resistance of a sender", "resistance", "240 ohm", 0.0, 100_000.0),
    "item size": Measure("size", "length", "27 mm", 0.0001, 2.0),
    "area": Measure("cross-section", "area", "2.5 mm2", 0.1, 300.0),
    "share": Measure("share", "share", "5 %", 0.0, 100.0),
    "charge": Measure("state of charge", "share", "80 %", 1.0, 100.0),
    "drop share": Measure("share of the system voltage", "share", "3 %", 0.1, 25.0),
}

# Units read without pint: dimension and factor to its base unit. Tests hold every one against pint.
UNITS: dict[str, tuple[Dimension, float]] = {
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), ("length", 1.0)),
    **dict.fromkeys(("cm", "centimetre", "centimetres"), ("length", 0.01)),
    **dict.fromkeys(("mm", "millimetre", "millimetres"), ("length", 0.001)),
    **dict.fromkeys(("km", "kilometre", "kilometres"), ("length", 1000.0)),
    **dict.fromkeys(("in", "inch", "inches"), ("length", 0.0254)),
    **dict.fromkeys(("ft", "foot", "feet"), ("length", 0.3048)),
    **dict.fromkeys(("yd", "yard", "yards"), ("length", 0.9144)),
    **dict.fromkeys(("V", "volt", "volts"), ("voltage", 1.0)),
    **dict.fromkeys(("mV", "millivolt", "millivolts"), ("voltage", 0.001)),
    **dict.fromkeys(("W", "watt", "watts"), ("power", 1.0)),
    **dict.fromkeys(("kW", "kilowatt", "kilowatts"), ("power", 1000.0)),
    **dict.fromkeys(("A", "amp", "amps", "ampere", "amperes"), ("current", 1.0)),
    **dict.fromkeys(("mA", "milliamp", "milliamps", "milliampere"), ("current", 0.001)),
    **dict.fromkeys(("s", "sec", "second", "seconds"), ("time", 1.0)),
    **dict.fromkeys(("ms", "millisecond", "milliseconds"), ("time", 0.001)),
    **dict.fromkeys(("min", "minute", "minutes"), ("time", 60.0)),
    **dict.fromkeys(("Ah", "amp hours", "ampere_hour"), ("charge", 1.0)),
    **dict.fromkeys(("ohm", "ohms", "Ω"), ("resistance", 1.0)),
    **dict.fromkeys(("mohm", "milliohm", "milliohms", "mΩ"), ("resistance", 0.001)),
    **dict.fromkeys(("kohm", "kiloohm", "kΩ"), ("resistance", 1000.0)),
    **dict.fromkeys(("mm2", "mm²", "mm^2", "sq mm"), ("area", 1.0)),
    **dict.fromkeys(("%", "percent", "per cent"), ("share", 1.0)),
}

# Temperatures have a zero of their own, so they are not factors. K and R are left to pint.
CELSIUS_WORDS = frozenset({"°C", "C", "degC", "deg C", "degrees C", "celsius"})
FAHRENHEIT_WORDS = frozenset({"°F", "F", "degF", "deg F", "degrees F", "fahrenheit"})
