"""What the trade knows about each kind of part, read from kinds.toml: a new kind is a new entry, no code."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal, cast

Role = Literal["source", "load", "switch", "relay", "fuse", "stud", "ground", "sender", "gauge", "coupler"]
Fitting = Literal["stud", "blade", "post", "pigtail", "pin", "screw"]
LinkKind = Literal["contact", "fuse", "load", "bus", "source"]
Nature = Literal["lamp", "motor", "heater", "coil", "electronics", "signal"]
Takes = Literal["main", "coil", ""]

KEYS_OF_EVERY_KIND = ("is", "at", "terminals", "rated", "notes")
FITTINGS = ("stud", "blade", "post", "pigtail", "pin", "screw")
FORMS = (
    "blade",
    "small blade",
    "large blade",
    "bolt-in 30 mm",
    "bolt-in 51 mm",
    "glass",
    "glass cartridge",
    "breaker",
    "fusible link",
)


@dataclass(frozen=True, slots=True)
class KindLoad:
    """What a load of this kind typically draws: watts, or amperes at 12 V."""

    watts: float | None
    amps_at_12v: float | None
    steady_s: float | None
    peak_amps_at_12v: float | None
    peak_s: float | None
    nature: Nature
    takes: Takes


@dataclass(frozen=True, slots=True)
class KindLink:
    """A way for current inside the part; ``a`` is the end nearer the live post, ``b`` nearer the chassis."""

    a: str
    b: str
    kind: LinkKind
    resistance_ohm: float
    rating_a: float | None
    form: str | None
    output_a: float | None
    load: KindLoad | None
    source: str  # where the figures come from, with certainty


@dataclass(frozen=True, slots=True)
class KindTerminal:
    """Where a wire can land: the fitting and its size ("M8", "6.3", "")."""

    name: str
    fitting: Fitting
    size: str


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of part."""

    name: str
    title: str
    role: Role
    letter: str  # IEC 81346-2 class letter
    symbol: str
    inlet: str
    outlet: str
    return_terminal: str  # the terminal whose place the case takes when nothing is wired to it, "" when none
    terminals: tuple[KindTerminal, ...]
    links: tuple[KindLink, ...]
    ways: str  # prefix of the names of counted fuse ways, "" when the kind has none
    way: KindLink | None  # what each way is; its ``b`` is replaced by the way's name
    way_terminal: KindTerminal | None
    pins: bool  # the survey may name further terminals
    couple: KindLink | None  # what each way of a coupler is, its ends still unnamed
    function: str
    allowance: str
    accepts: frozenset[str]  # survey keys
    polarised: bool
    capacity_ah: float | None
    aliases: tuple[str, ...]
    pin_a: float | None = None  # what one pin of a connector may carry
    pin_source: str = ""

    @property
    def has_coil(self) -> bool:
        """Whether switching it off throws a voltage back: some load in it is a coil."""
        return any(link.load is not None and link.load.nature == "coil" for link in self.links)


def terminal(name: str, text: str) -> KindTerminal:
    """Read "stud M8" as the fitting and size of terminal ``name``; raises KeyError for an unknown fitting."""
    word, _, size = text.partition(" ")
    if word not in FITTINGS:
        raise KeyError(word)
    return KindTerminal(name, cast(Fitting, word), size.strip())


def _load(raw: Mapping[str, Any]) -> KindLoad | None:
    if raw["kind"] != "load":
        return None
    return KindLoad(
        watts=raw.get("watts"),
        amps_at_12v=raw.get("amps"),
        steady_s=raw.get("steady_s"),
        peak_amps_at_12v=raw.get("peak"),
        peak_s=raw.get("peak_s"),
        nature=raw["nature"],
        takes=raw.get("takes", ""),
    )


def _link(raw: Mapping[str, Any]) -> KindLink:
    return KindLink(
        a=raw["a"],
        b=raw["b"],
        kind=raw["kind"],
        resistance_ohm=raw.get("mohm", 0) / 1000,
        rating_a=raw.get("rating"),
        form=raw.get("form"),
        output_a=raw.get("output"),
        load=_load(raw),
        source=raw["source"],
    )


def _return(raw: Mapping[str, Any]) -> str:
    """The terminal whose place the case can take: the outlet of what works bolted to metal, else none."""
    default = raw["out"] if raw["role"] in ("load", "gauge", "sender") else ""
    return str(raw.get("return", default))


def _keys(
    raw: Mapping[str, Any], links: tuple[KindLink, ...], terminals: tuple[KindTerminal, ...]
) -> frozenset[str]:
    """Survey keys a kind accepts: those of every kind, those that follow from its links, those it lists."""
    keys = {*KEYS_OF_EVERY_KIND, *raw.get("accepts", ())}
    if _return(raw) or raw["role"] == "ground":
        keys.add("on")
    takes = {link.load.takes for link in links if link.load}
    if "main" in takes:
        keys |= {"power", "current", "peak", "duty", "polarised"}
    if "coil" in takes:
        keys |= {"coil", "coil peak"}
    if any(link.load and link.load.nature == "coil" for link in links):
        keys.add("suppressed")
    if raw["role"] == "sender" or (raw["role"] == "gauge" and any(each.name == "S" for each in terminals)):
        keys.add("range")
    if _return(raw) and raw["role"] in ("sender", "source"):
        keys.add("insulated")
    if "pin_rating" in raw or any(link.kind in ("contact", "fuse") for link in links):
        keys.add("rating")
    if any(link.kind == "fuse" for link in links) or "ways" in raw:
        keys.add("form")
    if "ways" in raw:
        keys.add("ways")
    if "couples" in raw:
        keys |= {"ways", "rating"}
    if any(each.fitting == "stud" for each in terminals):
        keys.add("stud")
    return frozenset(keys)


def _kind(name: str, raw: Mapping[str, Any]) -> Kind:
    terminals = tuple(terminal(each, text) for each, text in raw["terminals"].items())
    links = tuple(_link(each) for each in raw.get("links", ()))
    way = raw.get("way")
    return Kind(
        name=name,
        title=raw["title"],
        role=raw["role"],
        letter=raw["letter"],
        symbol=raw["symbol"],
        inlet=raw["in"],
        outlet=raw["out"],
        return_terminal=_return(raw),
        terminals=terminals,
        links=links,
        ways=raw.get("ways", ""),
        way=_link({"a": raw["in"], "b": "", **way}) if way else None,
        way_terminal=terminal("", way["fitting"]) if way else None,
        pins=raw.get("pins", False),
        couple=_link({"a": "", "b": "", "kind": "bus", **raw["couples"]}) if "couples" in raw else None,
        function=raw["function"],
        allowance=raw.get("allowance", ""),
        accepts=_keys(raw, links, terminals),
        polarised=raw.get("polarised", False),
        capacity_ah=raw.get("capacity"),
        aliases=tuple(raw.get("aliases", ())),
        pin_a=raw.get("pin_rating"),
        pin_source=raw.get("pin_source", ""),
    )


def parse(text: str) -> Mapping[str, Kind]:
    """The kinds that a text in the form of kinds.toml describes."""
    return {name: _kind(name, raw) for name, raw in tomllib.loads(text).items()}


@cache
def kinds() -> Mapping[str, Kind]:
    """Every kind by its name, in the order of the file."""
    return parse(files(__package__).joinpath("kinds.toml").read_text(encoding="utf-8"))


@cache
def aliases() -> Mapping[str, str]:
    """Every other word for a kind, in small letters, with the kind's own name."""
    return {alias.lower(): kind.name for kind in kinds().values() for alias in kind.aliases}


def find(word: str) -> Kind | None:
    """The kind that ``word`` names, by its own name or another word for it; None when there is none."""
    lowered = " ".join(word.lower().split())
    return kinds().get(aliases().get(lowered, lowered))
