"""What a part is to a design rule: battery, starter, isolator, interlock; from role, kind and words."""

from __future__ import annotations

import re

from harness.electric.starterways import is_guard
from harness.model.machine import Link, Machine, Part

_HEAD = re.compile(r"\bhead[ -]?(lamp|light)", re.IGNORECASE)
_BRAKE = re.compile(r"\b(brake|stop)[ -]?(lamp|light)", re.IGNORECASE)
_DRIVES_OFF = re.compile(
    r"\b(reverse|reversing|brake|neutral|clutch|travel|indicator|flasher|steering|seat|gear|transmission|"
    r"head[ -]?(lamp|light)s?|tail[ -]?(lamp|light)s?|horn)\b",
    re.IGNORECASE,
)
_RUNS_ENGINE = re.compile(r"\b(stop solenoid|fuel (stop )?(solenoid|valve)|ignition coil)\b", re.IGNORECASE)
_ISOLATOR = re.compile(r"isolator|battery switch|master switch", re.IGNORECASE)
_BAR = re.compile(r"\bbus ?bar|terminal block|distribution", re.IGNORECASE)


def words(part: Part) -> str:
    """Name, kind and title in one line, for looking up a word."""
    return f"{part.name} / {part.kind} / {part.title}"


def is_battery(part: Part) -> bool:
    gives = any(link.kind == "source" for link in part.links)
    return part.role == "source" and part.output_a is None and gives and not is_converter(part)


def is_converter(part: Part) -> bool:
    """A source that is fed as a load: what hangs on it sees its own rated volts."""
    return part.role == "source" and any(link.load is not None for link in part.links)


def is_alternator(part: Part) -> bool:
    """An alternator or a dynamo: a source that gives a rated current."""
    return part.role == "source" and part.output_a is not None


def is_starter(part: Part) -> bool:
    names = {terminal.name for terminal in part.terminals}
    return part.role == "load" and ("starter" in part.kind or {"30", "50"} <= names)


def starter_trigger(starter: Part) -> Link | None:
    """The load of a starter's solenoid: terminal 50."""
    return next((link for link in starter.links if link.load is not None and link.a == "50"), None)


def is_starter_switch(part: Part) -> bool:
    return part.kind == "starter foot switch"


def is_isolator(part: Part) -> bool:
    return part.role == "switch" and _ISOLATOR.search(words(part)) is not None


def is_ammeter(part: Part) -> bool:
    return "ammeter" in part.kind


def is_diode(part: Part) -> bool:
    return part.kind == "diode"


def is_bar(part: Part) -> bool:
    """A bar or block with a screw for every wire, named so in the survey."""
    return part.role == "stud" and _BAR.search(part.name) is not None


def is_key(part: Part) -> bool:
    return part.role == "switch" and ("key" in part.kind or any(t.name == "15" for t in part.terminals))


def is_warning_lamp(part: Part) -> bool:
    return "warning" in part.kind or "tell-tale" in part.kind


def is_head_lamp(part: Part) -> bool:
    return part.role == "load" and not is_warning_lamp(part) and _HEAD.search(words(part)) is not None


def is_brake_lamp(part: Part) -> bool:
    return part.role == "load" and not is_warning_lamp(part) and _BRAKE.search(words(part)) is not None


def is_horn(part: Part) -> bool:
    return part.role == "load" and part.kind == "horn"


def is_interlock(part: Part) -> bool:
    """A switch that stands between the key and the starter for safety: neutral, clutch, seat, brake, PTO."""
    return not is_key(part) and is_guard(part.role, part.kind, words(part))


def keeps_engine_running(part: Part) -> bool:
    """A part that keeps the engine alive while it has current: fuel or stop solenoid, ignition coil."""
    return part.role == "load" and _RUNS_ENGINE.search(words(part)) is not None


def drives_off(machine: Machine) -> list[str]:
    """What shows that the machine can move off by itself; empty for a pump or generator set.

    The survey's own word goes first: a trailer has tail lamps and a horn too.
    """
    if machine.self_propelled is not None:
        return ["`self-propelled: yes`"] if machine.self_propelled else []
    moving = [f"hinge {run.name}" for run in machine.runs if run.moves]
    return [part.name for part in machine.parts.values() if _DRIVES_OFF.search(words(part))] + moving


def main_load(part: Part) -> Link | None:
    """The load of a part that draws most, steady."""
    loads = [link for link in part.links if link.load is not None]
    return max(loads, key=lambda link: link.load.steady_a if link.load else 0.0, default=None)
