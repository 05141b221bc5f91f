"""The facts of each kind of thing that a comparison looks at, in words; a new fact is one new line here."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Generic, TypeVar

from harness.model.design import (
    CircuitResult,
    Design,
    Fuse,
    LoadResult,
    ModeResult,
    PartResult,
    RunResult,
    Splice,
    Wire,
)
from harness.model.looms import CouplerResult

T = TypeVar("T")

LENGTH_M = 0.02  # a wire cut so much longer or shorter is not told: less than the allowance at one end
RUN_M = 0.0005  # a run is what was measured, so any other figure is told
BUNDLE = 0.05  # share by which a bundle may be thicker and its covering still go over it
DRAW = 0.005  # share of a current
TERMINAL = "terminal on an end"
VOLTS = 0.005  # share of system volts, 0.06 V at 12 V: about what a hand meter can tell


@dataclass(frozen=True, slots=True)
class Fact(Generic[T]):
    """One fact of a thing: what it is called, how it reads, and how far apart two may be untold."""

    group: str
    what: str
    words: Callable[[T], str]
    value: Callable[[T], float | None] | None = None  # of what is measured or worked out
    within: float = 0.0
    share: bool = False  # ``within`` is a share of the larger value

    def differ(self, old: T, new: T) -> bool:
        """Whether there is a difference to tell."""
        if self.value is None:
            return self.words(old) != self.words(new)
        a, b = self.value(old), self.value(new)
        if a is None or b is None:
            return a != b
        room = self.within * max(abs(a), abs(b)) if self.share else self.within
        return abs(a - b) > room and not math.isclose(a, b, rel_tol=1e-5, abs_tol=1e-9)


def metres(length_m: float | None) -> str:
    """Write a length: "1.15 m"."""
    return "none" if length_m is None else f"{round(length_m, 3):g} m"


def _with(value: float | None, unit: str, digits: int = 2) -> str:
    return "none" if value is None else f"{round(value, digits):g} {unit}"


def yes(flag: bool) -> str:
    """Write a flag."""
    return "yes" if flag else "no"


def listed(names: list[str] | tuple[str, ...]) -> str:
    """Write names in a row."""
    return ", ".join(names) or "none"


def wire_words(wire: Wire) -> str:
    """Name a wire by number and by what it joins."""
    return f"wire {wire.number} ({wire.from_} to {wire.to})"


def fused(fuse: Fuse) -> str:
    """Write what a fuse is: "10 A" or "18 AWG"."""
    return f"{fuse.rating_a:g} A" if fuse.rating_a else fuse.size


WIRE: tuple[Fact[Wire], ...] = (
    Fact("wires", "size", lambda wire: wire.size),
    Fact("wires", "colour", lambda wire: wire.colour),
    Fact("wires", "insulation", lambda wire: wire.cable),
    Fact("wires", "way", lambda wire: listed(wire.runs)),
    Fact("wires", "length", lambda wire: metres(wire.length_m), lambda wire: wire.length_m, LENGTH_M),
    Fact("wires", "fuse that guards it", lambda wire: wire.fuse or "none"),
    Fact("wires", "kept from the old loom", lambda wire: yes(wire.kept)),
    Fact("wires", "fine-stranded", lambda wire: yes(wire.fine_stranded)),
    Fact("wires", "circuit", lambda wire: wire.circuit),
)
PART: tuple[Fact[PartResult], ...] = (
    Fact("parts", "kind", lambda part: part.title),
    Fact("parts", "place", lambda part: part.place),
    Fact("parts", "body its case sits on", lambda part: part.body or "none"),
    Fact(
        "parts",
        "terminals",
        lambda part: listed(
            [f"{use.terminal} ({use.fitting} {use.size})".replace(" )", ")") for use in part.terminals]
        ),
    ),
    Fact("parts", "notes", lambda part: part.notes or "none"),
)
FUSE: tuple[Fact[Fuse], ...] = (
    Fact("fuses", "rating", fused),
    Fact("fuses", "form", lambda fuse: fuse.form),
    Fact("fuses", "colour of its body", lambda fuse: fuse.colour or "none"),
    Fact("fuses", "place", lambda fuse: fuse.place),
    Fact("fuses", "length", lambda fuse: metres(fuse.length_m), lambda fuse: fuse.length_m, RUN_M),
    Fact("fuses", "rating given by the survey", lambda fuse: yes(fuse.fixed)),
)
RUN: tuple[Fact[RunResult], ...] = (
    Fact("runs", "length", lambda run: metres(run.length_m), lambda run: run.length_m, RUN_M),
    Fact("runs", "zone", lambda run: run.zone),
    Fact("runs", "air", lambda run: _with(run.ambient_c, "°C"), lambda run: run.ambient_c),
    Fact("runs", "hole", lambda run: _with(run.hole_mm, "mm"), lambda run: run.hole_mm),
    Fact("runs", "plate", lambda run: _with(run.plate_mm, "mm"), lambda run: run.plate_mm),
    Fact("runs", "crosses a joint that moves", lambda run: yes(run.moves)),
    Fact("fit-out", "grommet", lambda run: run.grommet or "none"),
    Fact("fit-out", "covering", lambda run: run.covering or "none"),
    Fact("fit-out", "heat-shrink over it", lambda run: run.stretch.text if run.stretch else "none"),
    Fact(
        "fit-out", "bundle", lambda run: _with(run.bundle_mm, "mm", 1), lambda run: run.bundle_mm, BUNDLE,
        share=True,
    ),
    Fact("fit-out", "ties", lambda run: str(run.ties)),
    Fact("fit-out", "tie", lambda run: run.tie or "none"),
    Fact("fit-out", "clamps", lambda run: str(run.clamps)),
    Fact("fit-out", "clamp", lambda run: run.clamp or "none"),
    Fact(
        "fit-out", "edge trim",
        lambda run: listed([f"{each.text}, {each.length_m:g} m" for each in run.trims]),
    ),
    Fact("fit-out", "spare wires", lambda run: str(len(run.spares))),
)  # fmt: skip
CIRCUIT: tuple[Fact[CircuitResult], ...] = (
    Fact("circuits", "works in", lambda circuit: listed(circuit.modes)),
    Fact("circuits", "function", lambda circuit: circuit.function or "none"),
    Fact("circuits", "colour", lambda circuit: circuit.colour or "none"),
    Fact("circuits", "paths", lambda circuit: "; ".join(circuit.texts)),
)
LOAD: tuple[Fact[LoadResult], ...] = (
    Fact(
        "loads", "draws", lambda load: _with(load.steady_a, "A"), lambda load: load.steady_a, DRAW, share=True
    ),
    Fact("loads", "peak", lambda load: _with(load.peak_a, "A"), lambda load: load.peak_a, DRAW, share=True),
    Fact("loads", "time of its peak", lambda load: _with(load.peak_s, "s"), lambda load: load.peak_s),
    Fact(
        "loads", "drop it may have", lambda load: _with(load.allowance_v, "V"), lambda load: load.allowance_v
    ),
)  # fmt: skip
SPLICE: tuple[Fact[Splice], ...] = (
    Fact("splices", "place", lambda splice: splice.spot or splice.place),
    Fact("splices", "fitting", lambda splice: splice.fitting),
    Fact("splices", "heat-shrink", lambda splice: splice.shrink or "none"),
    Fact("splices", "wires it joins", lambda splice: str(len(splice.wires))),
)
MODE: tuple[Fact[ModeResult], ...] = (Fact("modes", "engine", lambda mode: mode.engine),)
COUPLER: tuple[Fact[CouplerResult], ...] = (
    Fact("couplers", "place", lambda each: each.place),
    Fact("couplers", "ways", lambda each: str(len(each.ways))),
    Fact("couplers", "half A faces", lambda each: each.half_a),
    Fact("couplers", "half B faces", lambda each: each.half_b),
    Fact(
        "couplers",
        "contacts",
        lambda each: listed(
            [
                f"{count} {kind}"
                for kind, count in sorted(Counter(way.contact or "spare" for way in each.ways).items())
            ]
        ),
    ),
)
MACHINE: tuple[Fact[Design], ...] = (
    Fact("machine", "name", lambda each: each.machine.name),
    Fact("machine", "revision", lambda each: each.machine.revision or "none"),
    Fact("machine", "volts", lambda each: f"{each.machine.voltage_v:g} V"),
    Fact("machine", "post on the chassis", lambda each: each.machine.chassis_post),
    Fact("machine", "cable", lambda each: each.machine.cable),
    Fact("machine", "sizes", lambda each: each.machine.sizes),
    Fact("machine", "rules", lambda each: each.machine.rules_title),
    Fact("machine", "colours", lambda each: each.machine.colours),
    Fact("machine", "numbering", lambda each: each.machine.numbering),
    Fact("machine", "catalogue", lambda each: each.machine.catalogue or "none"),
    Fact("machine", "what was settled", lambda each: listed(each.machine.choices[1:])),
    Fact(
        "totals", "copper of the new wire", lambda each: _with(each.totals.copper_kg, "kg"),
        lambda each: each.totals.copper_kg, DRAW, share=True,
    ),
    Fact(
        "totals", "new wire", lambda each: _with(each.totals.wire_length_m, "m", 1),
        lambda each: each.totals.wire_length_m, DRAW, share=True,
    ),
)  # fmt: skip

# What a heading of the terminal, the drawing's list and the guide call each group.
TITLES: Mapping[str, str] = {
    "dangers": "Dangers and faults",
    "machine": "The machine as a whole",
    "fuses": "Fuses",
    "wires": "Wires",
    "splices": "Splices",
    "circuits": "Circuits",
    "parts": "Parts",
    "runs": "Runs",
    "places": "Places",
    "modes": "Modes",
    "loads": "What loads draw and get",
    "sources": "Starting, charging and standing",
    "couplers": "Couplers",
    "fit-out": "Grommets, coverings, ties and clamps",
    "numbers": "Only called otherwise",
    "advice": "Advice",
    "totals": "Totals",
    "small": "Small figures",
}
