"""Surveys that say anything a survey may say: every kind of part, every key of every section, all volts.

Kinds come from the table of kinds, keys from the forms of the survey: what is new there is drawn by itself.
What is drawn is meant to be read; what the rules find in it does not matter.
"""

from __future__ import annotations

import json
import random
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from harness.kinds import Kind, kinds
from harness.survey.schema import SECTION_FORMS, survey_schema

VOLTS = (6, 12, 12, 24, 24, 32, 36, 48)
CONVERTED = (24, 36, 48)  # volts that a converter takes down to 12
# Where the forms have no example, or one is too few. Names of things that are there are drawn in place of "".
WORDS: Mapping[tuple[str, str], tuple[str, ...]] = {
    ("machine", "slack"): ("0 %", "5 %", "12 %"),
    ("machine", "waste"): ("0 %", "20 %"),
    ("machine", "spare"): ("two spares by the panel",),
    ("machine", "revision"): ("B, 2026-11-25", "C"),
    ("machine", "coldest"): ("-25 °C", "5 °F"),
    ("machine", "altitude"): ("900 m", "8000 ft"),
    ("zones", "ambient"): ("-20 °C", "45 °C", "105 °F", "95 °C"),
    ("places", "reach"): ("0.1 m", "0.3 m", "2 ft"),
    ("runs", "hole"): ("9 mm", "22 mm", "38 mm", "60 mm"),
    ("runs", "edge"): ("0.1 m",),
    ("runs", "plate"): ("1.5 mm", "6 mm", "20 mm"),
    ("runs", "near"): ("exhaust", "edge", "hose", "fuel line"),
    ("parts", "duty"): ("10 s in 60 s", "0.5 s in 1 s"),
    ("parts", "notes"): ("seen on 3 May",),
    ("parts", "power"): ("1.2 W", "21 W", "55 W?"),
    ("parts", "current"): ("0.2 A", "4.5 A?", "8 A for 30 s"),
    ("parts", "rating"): ("10 A", "25 A"),
    ("parts", "stud"): ("M6", "M8", "3/8"),
    ("parts", "capacity"): ("45 Ah", "100 Ah?"),
    ("parts", "cranking"): ("400 A", "750 A"),
    ("parts", "output"): ("35 A", "65 A"),
    ("parts", "charge"): ("60 %", "100 %"),
    ("parts", "resistance"): ("1.5 ohm", "470 ohm"),
    ("parts", "idle output"): ("5 A", "12 A"),
    ("circuits", "drop"): ("3 %", "0.4 V", "12 %"),
    ("circuits", "colour"): ("BU/WH", "red", "GN"),
    ("wires", "length"): ("0.7 m", "12 ft"),
    ("spares", "wires"): ("1 in 3", "1 in 10", "none"),
    ("spares", "fuses"): ("none", "2 of each", "10 % at least 2"),
    ("allowances", "re-terminate"): ("0", "2", "5"),
    ("old wires", "tag"): ("12a",),
    ("old wires", "why"): ("sound, and under the floor",),
    ("old wires", "photo"): ("left side.jpg",),
}
SIZES = {
    "AWG": ("18 AWG", "14 AWG", "10 AWG", "4 AWG", "2/0 AWG"),
    "mm2": ("1 mm2", "2.5 mm2", "16 mm2", "70 mm2"),
}
HARD = {
    "machine": ("name", "voltage", "chassis post", "cable", "rules", "catalogue"),
    "places": ("zone", "loom"), "runs": ("from", "to", "length", "zone", "name"),
    "parts": ("is", "at", "on", "ways", "terminals", "rated", "form", "range"),
    "circuits": ("works in", "paths", "via", "avoid"), "wires": ("via", "avoid"),
    "old wires": ("from", "to", "through"), "spare wires": ("from", "to"),
}  # fmt: skip
FUSES = ("fuse", "breaker", "fusible link", "main fuse")


@cache
def _schema() -> Mapping[str, Any]:
    found: Mapping[str, Any] = survey_schema()["$defs"]
    return found


def _offered(field: Any, key: str) -> list[str]:
    found: list[str] = []
    if isinstance(field, dict):
        found += [str(word) for word in field.get(key, ()) if not isinstance(word, bool)]
        for below in (*field.get("anyOf", ()), field.get("items")):
            found += _offered(below, key)
    return found


@cache
def words(section: str, key: str) -> tuple[str, ...]:
    """What may stand under a key; nothing where that follows from the rest of the survey."""
    field = _schema()[SECTION_FORMS[section].__name__]["properties"][key]
    return WORDS.get((section, key)) or tuple(_offered(field, "enum") or _offered(field, "examples"))


class _Drawing:
    """One survey as it comes about."""

    def __init__(self, seed: int) -> None:
        self.chance = random.Random(seed)
        self.volts = self.pick(VOLTS)
        self.post = self.pick(("negative", "negative", "positive"))
        self.sizes = self.pick(("AWG", "mm2"))
        self.places = [
            "battery box",
            "panel place",
            *(f"place {at}" for at in range(self.chance.randint(1, 4))),
        ]
        self.bodies = ["frame", *(["engine"] if self.odds(0.6) else [])]
        self.runs: list[dict[str, Any]] = []
        self.parts: dict[str, dict[str, Any]] = {}
        self.paths: list[tuple[str, str]] = []
        self.ways = 0
        self.looped = False
        self.live, self.back = ("+", "-") if self.post == "negative" else ("-", "+")

    def pick(self, some: Iterable[Any]) -> Any:
        return self.chance.choice(list(some))

    def odds(self, share: float) -> bool:
        return self.chance.random() < share

    def said(self, section: str, share: float, *, without: Iterable[str] = ()) -> dict[str, Any]:
        """Some of the keys of a section, each with something it takes."""
        found: dict[str, Any] = {}
        for key in _schema()[SECTION_FORMS[section].__name__]["properties"]:
            if key in (*HARD.get(section, ()), *without) or not self.odds(share):
                continue
            some = SIZES[self.sizes] if key in ("size", "wire size") else words(section, key)
            if some:
                found[key] = self.pick(some)
        return found

    # ------------------------------------------------------------------------------------------ ground

    def ground(self) -> dict[str, Any]:
        zones = {name: self.said("zones", 0.5) for name in ("dry", "wet", "hot")}
        for at in range(1, len(self.places)):
            above, here = self.pick(self.places[:at]), self.places[at]
            if self.odds(0.15):
                self.parts[f"coupler {at}"] = {"is": "multi-way coupler", "at": f"joint {at}"}
                self.runs.append(self.run(above, f"joint {at}"))
                above = f"joint {at}"
            self.runs.append(self.run(above, here))
        self.looped = len(self.places) > 2 and self.odds(0.5)
        if self.looped:  # a second way, the last of the runs
            self.runs.append({**self.run(*self.chance.sample(self.places, 2)), "name": "second way"})
        places = {
            place: self.said("places", 0.4) | ({"zone": "dry"} if self.odds(0.3) else {})
            for place in self.places
            if self.odds(0.4)
        }
        if self.odds(0.4):
            places.setdefault(self.places[0], {})["loom"] = "main loom"
        return {"zones": zones, "places": places}

    def run(self, a: str, b: str) -> dict[str, Any]:
        more = self.said("runs", 0.2)
        length = f"{self.chance.randint(20, 500) / 100} m{self.pick(('', '', '?'))}"
        if "hole" not in more:
            more = {key: value for key, value in more.items() if key not in ("grommet", "plate")}
        if self.odds(0.2):
            more["name"] = f"rail {len(self.runs)}"
        return {"from": a, "to": b, "length": length, "zone": self.pick(("dry", "wet", "hot")), **more}

    # ------------------------------------------------------------------------------------------- parts

    def part(self, kind: Kind, name: str = "", **more: Any) -> str:
        """A part of that kind with some of its keys."""
        name = name or f"{kind.name} {len(self.parts) + 1}"
        said = self.said("parts", 0.25)
        said = {key: value for key, value in said.items() if key in kind.accepts}
        if "power" in said:
            said.pop("current", None)
            said.pop("peak", None)
        if "peak" in said:
            said["current"], said["peak"] = "2 A", "22 A for 0.5 s"
        if "duty" in said and "for" in said.get("current", ""):
            said["current"] = "4 A"
        if "idle output" in said:
            said["output"] = "45 A"
        if "coil peak" in said:
            said["coil"] = "1 A"
        if "range" in kind.accepts and self.odds(0.4):
            said["range"] = self.pick(("240 to 33 ohm", "10 to 180 ohm"))
        if kind.name == "fuse" and self.odds(0.4):
            said["form"] = self.pick(("blade", "small blade", "large blade", "glass", "glass cartridge"))
        if "terminals" in kind.accepts and self.odds(0.15):
            fitting = self.pick(("blade 6.3", "stud M6", "screw M4", "pin", "pigtail"))
            said["terminals"] = {self.pick(kind.terminals).name: fitting}
        if self.odds(0.05):
            said["rated"] = f"{self.volts} V"
        self.parts[name] = {"is": kind.name, "at": self.pick(self.places), **said, **more}
        return name

    def fused(self) -> str:
        """Where a circuit starts: at a way of the panel, or at a fuse of its own behind the battery."""
        if self.odds(0.7):
            self.ways += 1
            return f"panel F{self.ways}"
        return f"battery {self.live} > {self.part(kinds()[self.pick(FUSES)])}"

    def ends(self) -> str:
        """One to three loads, each with its way back."""
        found = []
        for _ in range(self.pick((1, 1, 1, 2, 3))):
            kind = self.pick([kind for kind in kinds().values() if kind.role in ("load", "gauge")])
            name = self.part(kind)
            cased = "on" in kind.accepts and self.odds(0.3)
            if cased:
                self.parts[name]["on"] = self.pick(self.bodies)
            found.append((name, cased))
            if any(each.name == "S" for each in kind.terminals) and self.odds(0.7):
                sender = self.part(self.pick([kind for kind in kinds().values() if kind.role == "sender"]))
                self.paths.append((sender, f"{name} S > {sender} > frame"))
        names = [name if cased else f"{name} > frame" for name, cased in found]
        place = f" at {self.pick(self.places)}" if self.odds(0.2) else ""
        if all(not cased for _, cased in found) and len(found) > 1:
            return f"({', '.join(name for name, _ in found)}) > frame"
        return names[0] if len(names) == 1 else f"({', '.join(names)}){place}"

    def circuit(self) -> None:
        """A way of current: a feed, what switches it or lies in it, and what takes it."""
        between = [kind for kind in kinds().values() if kind.role in ("switch", "stud", "coupler", "fuse")]
        between = [
            kind for kind in between if kind.way is None and kind.couple is None and kind.name != "spare"
        ]
        steps = [self.fused()]
        for _ in range(self.pick((0, 1, 1, 2))):
            kind = self.pick(between)
            name = self.part(kind)
            through = [link for link in kind.links if link.kind != "load"]
            if kind.pins:
                self.parts[name]["terminals"] = {"7": "pin"}
                steps.append(f"{name} 7")
            elif through and self.odds(0.4):
                link = self.pick(through)
                steps.append(f"{name} {link.a}/{link.b}")
            elif len(kind.terminals) > 1 and not through:
                steps.append(f"{name} {self.pick(kind.terminals).name}")
            else:
                steps.append(name)
        if self.odds(0.35):
            relay = self.part(self.pick([k for k in kinds().values() if k.role == "relay" and k.has_coil]))
            coil = next((link for link in kinds()[self.parts[relay]["is"]].links if link.load), None)
            if coil is not None:
                button = self.part(kinds()["push button"])
                self.paths.append((relay, f"{self.fused()} > {button} > {relay} {coil.a}/{coil.b} > frame"))
            steps.append(relay)
        self.paths.append((self.ends_named(), " > ".join([*steps, self.ends()])))

    def ends_named(self) -> str:
        return f"Way {len(self.paths) + 1}"

    def sources(self) -> None:
        """The battery with its way to the chassis, and now and then what else gives current."""
        self.part(kinds()["battery"], "battery", at="battery box")
        self.part(kinds()["main fuse"], "first fuse", at="battery box")
        self.part(kinds()["fuse panel"], "panel", at="panel place")
        self.paths.append(("Feed", f"battery {self.live} > first fuse > panel"))
        if self.volts == 24 and self.post == "negative" and self.odds(0.6):
            self.pair()
        else:
            self.paths.append(("Return", f"frame > battery {self.back}"))
        if "engine" in self.bodies and self.odds(0.5):
            starter = self.part(kinds()["starter motor"], "starter", on="engine")
            key, fuse = self.part(kinds()["key switch"]), self.part(kinds()["fuse"])
            self.paths.append(("Cable", f"battery {self.live} > {starter} 30"))
            self.paths.append(("Strap", "engine > frame"))
            self.paths.append(("Start", f"battery {self.live} > {fuse} > {key} 30/50 > {starter} 50"))
        if "engine" in self.bodies and self.odds(0.5):
            kind = kinds()[self.pick(("alternator", "self-exciting alternator", "dynamo"))]
            if self.post == "negative" or kind.name == "dynamo":
                name, fuse = self.part(kind, "generator", on="engine"), self.part(kinds()["main fuse"])
                outlet = f"{kind.outlet}" if self.post == "negative" else "D-"
                if kind.name == "dynamo" and self.post == "negative":
                    box = self.part(kinds()["regulator"])
                    self.paths.append(("Charge", f"{name} D+ > {box} D+/B+ > {fuse} > battery {self.live}"))
                    self.paths.append(("Field", f"{box} DF > {name} DF"))
                elif self.post == "negative":
                    self.paths.append(("Charge", f"{name} {outlet} > {fuse} > battery {self.live}"))
                else:
                    del self.parts[name], self.parts[fuse]
        if self.volts in CONVERTED and self.post == "negative" and self.odds(0.5):
            name, radio = (
                self.part(kinds()["converter"], rated="12 V"),
                self.part(kinds()["radio"], rated="12 V"),
            )
            fuse = self.part(kinds()["fuse"])
            self.paths.append(("Converter", f"{self.fused()} > {name} 24/- > frame"))
            self.paths.append(("Low volts", f"{name} + > {fuse} > {radio} > frame"))

    def pair(self) -> None:
        """The 24 V of two batteries of 12 V, and what shares the charge between them."""
        half = self.part(kinds()["battery"], "low battery", at="battery box", rated="12 V")
        self.parts["battery"]["rated"] = "12 V"
        self.paths.append(("Return", f"frame > {half} -"))
        self.paths.append(("Link", f"{half} + > battery -"))
        if self.odds(0.7):
            name, fuse = self.part(kinds()["charge equaliser"], rated="12 V"), self.part(kinds()["fuse"])
            self.paths.append(("Middle", f"battery + > {fuse} > {name} 24/- > frame"))
            self.paths.append(("Half", f"{name} 12 > {half} +"))

    # ------------------------------------------------------------------------------------------- whole

    def survey(self) -> dict[str, Any]:
        ground = self.ground()
        self.sources()
        for _ in range(self.chance.randint(1, 5)):
            self.circuit()
        self.parts["panel"]["ways"] = self.pick(
            (self.ways + 2, {f"F{at}": self.pick(("10 A", "15 A", None)) for at in range(1, self.ways + 3)})
        )
        for at, place in enumerate(self.places):
            self.part(kinds()["ground point"], f"ground {at}", at=place, on="frame")
        if "engine" in self.bodies:
            self.part(kinds()["ground point"], "engine stud", on="engine")
        if self.odds(0.1):
            self.part(kinds()["spare"])
        modes = {
            "parked": {"engine": "stopped"},
            "cranking": {"engine": "cranking"},
            "work": {"engine": "running"},
        }
        if self.odds(0.5):
            modes["waiting"] = {"engine": "running", "speed": "idle"}
        bodies = {body: self.said("bodies", 0.5) for body in self.bodies}
        return {
            "machine": self.machine(), **ground, "runs": self.runs,
            **({"bodies": bodies} if self.odds(0.7) else {}),
            "parts": self.parts, "allowances": self.said("allowances", 0.15), "modes": modes,
            "circuits": self.circuits(list(modes)), "wires": self.wires(), "old wires": self.old_wires(),
            "spares": self.said("spares", 0.15), "spare wires": self.spare_wires(), "notes": ["free text"],
        }  # fmt: skip

    def machine(self) -> dict[str, Any]:
        own = self.said("machine", 0.3)
        if self.odds(0.5):
            own["cable"] = self.cable()
            own["rules"] = "sae" if self.sizes == "AWG" else "iso"
        head = {"name": "Any machine", "voltage": f"{self.volts} V", "chassis post": self.post}
        return {**head, **own, "sizes": self.sizes}

    def cable(self) -> str:
        """A type of the standard that the sizes belong to."""
        metric = self.sizes == "mm2"
        return str(self.pick(word for word in words("machine", "cable") if ("class" in word) == metric))

    def circuits(self, modes: list[str]) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for at, (name, path) in enumerate(self.paths):
            more = self.said("circuits", 0.15)
            if self.odds(0.3) and at > 1:
                more["works in"] = self.chance.sample(modes, self.chance.randint(1, len(modes)))
            if self.odds(0.05):
                more["via"] = [self.pick(self.places)]
            if self.looped and self.odds(0.1):
                more["avoid"] = ["second way"]
            found[f"{name} {at}"] = {**more, "paths": [path]}
        return found

    def wires(self) -> dict[str, Any]:
        feed = f"battery {self.live} > first fuse"
        size = {"size": self.pick(SIZES[self.sizes])}
        kept = self.said("wires", 0.4, without=("joint", "keep", "cable"))
        if self.odds(0.3):
            kept["cable"] = self.cable()
        if self.odds(0.5):
            return {feed: {**kept, **size, "keep": "yes"}}
        new = {key: value for key, value in kept.items() if key not in ("ends", "labels")}
        found: dict[str, Any] = {"first fuse > panel": new}
        for _, path in self.paths:
            head, arrow, rest = path.partition(" > (")
            before = head.split(" > ")[-1]
            if arrow and self.odds(0.5) and "/" not in before and " 7" not in before:
                found[f"{before} > ({rest.partition(')')[0]})"] = {
                    "joint": self.pick(words("wires", "joint"))
                }
        return found

    def old_wires(self) -> list[dict[str, Any]]:
        found = []
        for _ in range(self.pick((0, 0, 1, 2))):
            run = self.pick(self.runs)
            through = {"through": [run.get("name", f"{run['from']} - {run['to']}")]} if self.odds(0.5) else {}
            found.append({"from": run["from"], "to": run["to"], **through, **self.said("old wires", 0.5)})
        return found

    def spare_wires(self) -> list[dict[str, Any]]:
        if self.odds(0.6):
            return []
        return [{"from": self.places[0], "to": self.pick(self.places[1:]), **self.said("spare wires", 0.5)}]


def wide_tree(seed: int) -> dict[str, Any]:
    """What the survey of that seed says, by sections."""
    return _Drawing(seed).survey()


def wide_survey(seed: int) -> str:
    """The survey of that seed: sections below one another, an entry a line."""
    lines = []
    for section, below in wide_tree(seed).items():
        if isinstance(below, dict) and section not in ("machine", "allowances", "spares"):
            lines += [f"{section}:" if below else f"{section}: {{}}"]
            lines += [f"  {_flow(name)}: {_flow(entry)}" for name, entry in below.items()]
        elif isinstance(below, list):
            lines += [f"{section}:" if below else f"{section}: []", *(f"  - {_flow(item)}" for item in below)]
        else:
            lines.append(f"{section}: {_flow(below)}")
    return "\n".join(lines) + "\n"


def _flow(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_flow(key)}: {_flow(each)}" for key, each in value.items()) + "}"
    if isinstance(value, list):
        return f"[{', '.join(map(_flow, value))}]"
    if value is None:
        return ""
    text = str(value)
    plain = text[:1].isalnum() and not any(sign in text for sign in "{}[],:#\"'>?")
    return text if plain else json.dumps(text, ensure_ascii=False)
