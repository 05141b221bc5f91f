"""The questions a survey is started with, and what their answers mean in kits."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from harness.kits.form import Kit, Sort

ENGINES = {
    "glow": "diesel with glow plugs",
    "intake": "diesel with a heater in the intake",
    "diesel": "diesel without preheat",
    "spark": "petrol engine with spark ignition",
}
CHARGING = {
    "alternator": "alternator woken by its charge lamp",
    "self-exciting": "alternator that wakes by itself, one wire",
    "dynamo": "dynamo with regulator and cut-out",
    "none": "nothing charges the battery on the machine",
}
STOPS = {
    "run": "solenoid energised to run (no current, no fuel)",
    "pull": "the same, with a strong pull and a weak hold winding",
    "stop": "solenoid energised to stop",
    "cable": "pull cable; nothing electric",
}
ENGINE_KITS = ("battery", "key and fuses", "starting", "charging", "preheat", "stop", "spark ignition")
_PREHEAT = {"glow": "glow plugs", "intake": "intake heater"}
_CHARGING = {"alternator": "alternator", "self-exciting": "self-exciting alternator", "dynamo": "dynamo"}
_STOPS = {
    "run": "energised to run",
    "pull": "pull and hold",
    "stop": "energised to stop",
    "cable": "pull cable",
}
USUAL = "all usual"


def engine_picks(engine: str, charging: str, stop: str) -> dict[str, str]:
    """The kits of the engine with their variants."""
    picks = {"starting": ""}
    if charging != "none":
        picks["charging"] = _CHARGING[charging]
    if engine in _PREHEAT:
        picks["preheat"] = _PREHEAT[engine]
    if engine == "spark":
        picks["spark ignition"] = ""
    else:
        picks["stop"] = _STOPS[stop]
    return picks


def usual_charging(volts: float, post: str) -> str:
    """What such a machine charges with as a rule; an alternator has its minus on its case."""
    return "dynamo" if volts < 12 or post == "positive" else "alternator"


def offered(kits: Mapping[str, Kit], volts: float, post: str) -> list[Kit]:
    """The kits a person chooses from: all but those that the engine's answers settle."""
    return [kit for kit in kits.values() if kit.name not in ENGINE_KITS and kit.suits(volts, post)]


def usual(kits: Iterable[Kit], sort: Sort) -> list[str]:
    """The kits that are usual on a sort of machine."""
    return [kit.name for kit in kits if sort.name in kit.usual_on]
