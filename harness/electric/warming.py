"""The looms of a machine with their real currents: how warm each run gets, which wires must grow for it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from harness.electric.covers import form_of
from harness.electric.heat import Cable, cable_of, figure, time_constant_s
from harness.electric.looms import Filling, Place, Warmth, exchanged_c, filling, warmth
from harness.electric.repeated import Repeated, together_a
from harness.electric.ruleset import RuleSet, Size
from harness.electric.surroundings import LOADED_A, ModeCurrents
from harness.model.design import Limit
from harness.model.machine import Machine, Run
from harness.model.stages import Routed

ROOM_C = 30.0  # ambient of a wire's time constant; hotter air only makes it quicker by a few percent
AT_ONCE = 20  # a hot loom grows a twentieth of its wires at a time
FORM_WORDS = {
    "corrugated": "in corrugated tube",
    "braid": "in braided sleeve",
    "tape": "taped",
    "spiral": "in spiral wrap",
    "glass": "in glass-fibre sleeve",
    "shrink": "shrunk over",
    "": "bare",
}
SOURCE = (
    "heat balance of the loom with its real currents: surface as for a single wire, inside a mixture of wires"
    " and air that touch nowhere (Hashin and Shtrikman's lower bound, textbook, memory); 84 % to 124 % of the"
    " MIL-W-5088L bundle curve when bare"
)


@dataclass(frozen=True, slots=True)
class RunWarmth:
    """The worst mode of a run: how hot its hottest conductor gets, by which currents."""

    run: str
    mode: str
    loaded: int
    place: Place
    amps: tuple[float, ...]  # of its wires, in order
    warmth: Warmth

    @property
    def hottest_c(self) -> float:
        return self.warmth.hottest_c


@dataclass(frozen=True, slots=True)
class Spot:
    """Where on its way a wire gets hottest."""

    run: RunWarmth
    at: int  # place of the wire in the run
    warm_c: float

    @property
    def amps(self) -> float:
        return self.run.amps[self.at]


@dataclass(frozen=True, slots=True)
class Held:
    """A loom in sum."""

    filling: Filling
    r20_w_per_m: float  # heat of all its wires with copper at 20 °C
    wires: int


class Looms:
    """The runs of a machine that hold wires, each with what goes round it."""

    def __init__(self, machine: Machine, routed: Routed, rules: Sequence[RuleSet]) -> None:
        self.rules = rules
        self.wires = {run.name: routed.in_run[run.name] for run in machine.runs if routed.in_run[run.name]}
        self.places = {
            run.name: _place(machine, routed, run) for run in machine.runs if run.name in self.wires
        }
        self.repeated: Mapping[str, Mapping[int, Repeated]] = {}  # by mode and wire, as the turn has them
        self.lengths_m = {run.name: run.length_m for run in machine.runs}
        self.fixed = {wire.index for wire in machine.wires if wire.size is not None}

    def _cables(self, run: str, sizes: Sequence[Size]) -> list[Cable]:
        return [cable_of(self.rules[wire], sizes[wire]) for wire in self.wires[run]]

    def _over_c(self, run: str, found: Warmth) -> float:
        """By how much the worst wire is above what its insulation stands [K]; negative when none is."""
        return max(
            warm - self.rules[wire].insulation_c
            for wire, warm in zip(self.wires[run], found.wire_c, strict=True)
        )

    def run(self, run: str, sizes: Sequence[Size], currents: ModeCurrents) -> RunWarmth:
        """One run in the mode that is hardest on it."""
        cables, place = self._cables(run, sizes), self.places[run]
        patterns = {
            tuple(self._amps(wire, sizes, mode, amps) for wire in self.wires[run]): mode
            for mode, amps in currents.items()
        } or {(0.0,) * len(cables): ""}
        found = [
            RunWarmth(
                run,
                mode,
                sum(each >= LOADED_A for each in amps),
                place,
                amps,
                warmth(cables, amps, place),
            )
            for amps, mode in patterns.items()
        ]
        return max(found, key=lambda one: self._over_c(run, one.warmth))

    def _amps(self, wire: int, sizes: Sequence[Size], mode: str, amps: Mapping[int, float]) -> float:
        """What a wire carries for good [A]; repeated loads by the wire's own time constant.

        A loom is slower than any of its wires, so that is the safe side.
        """
        if (again := self.repeated.get(mode, {}).get(wire)) is None:
            return amps.get(wire, 0.0)
        rules = self.rules[wire]
        cable = cable_of(rules, sizes[wire])
        return together_a(*again, time_constant_s(cable, ambient_c=ROOM_C, limit_c=rules.insulation_c))

    def warm(self, sizes: Sequence[Size], currents: ModeCurrents) -> dict[str, RunWarmth]:
        """Every run in the mode that is hardest on it."""
        return {run: self.run(run, sizes, currents) for run in self.wires}

    def by_wire(self, found: Mapping[str, RunWarmth]) -> dict[int, Spot]:
        """Wire -> where on its way it gets hottest."""
        worst: dict[int, Spot] = {}
        for run, one in found.items():
            for at, (wire, warm) in enumerate(zip(self.wires[run], one.warmth.wire_c, strict=True)):
                if wire not in worst or warm > worst[wire].warm_c:
                    worst[wire] = Spot(one, at, warm)
        return worst

    def warm_c(self, found: Mapping[str, RunWarmth]) -> dict[int, tuple[float, float]]:
        """Wire -> what its hottest loom heats it to, and its looms on the whole, by length [°C].

        At most what its insulation stands.
        """
        hottest: dict[int, float] = {}
        sums: dict[int, tuple[float, float]] = {}
        for run, one in found.items():
            length_m = self.lengths_m[run]
            for wire, warm in zip(self.wires[run], one.warmth.wire_c, strict=True):
                kept = min(warm, self.rules[wire].insulation_c)
                hottest[wire] = max(hottest.get(wire, kept), kept)
                way_m, area = sums.get(wire, (0.0, 0.0))
                sums[wire] = (way_m + length_m, area + length_m * kept)
        return {wire: (warm, sums[wire][1] / sums[wire][0]) for wire, warm in hottest.items()}

    def least(
        self, sizes: Sequence[Size], currents: ModeCurrents, found: Mapping[str, RunWarmth]
    ) -> dict[int, Size]:
        """Wires that must be thicker for their looms to stay within what the insulation stands.

        In a loom that is too hot the wires of the highest current density grow first, since a unit of copper
        takes away most heat there (calculated: heat goes with I2/S). Where not even the largest sizes help,
        nothing grows; the limit on each wire then says so.
        """
        need: dict[int, Size] = {}
        for run, one in found.items():
            if self._over_c(run, one.warmth) > 0:
                for wire, size in self._cooled(run, sizes, currents).items():
                    if wire not in need or size.area_mm2 > need[wire].area_mm2:
                        need[wire] = size
        return need

    def _cooled(self, run: str, sizes: Sequence[Size], currents: ModeCurrents) -> dict[int, Size]:
        trial = list(sizes)
        grown: dict[int, Size] = {}
        while self._over_c(run, (one := self.run(run, trial, currents)).warmth) > 0:
            carried = dict(zip(self.wires[run], one.amps, strict=True))
            free = [
                wire
                for wire in self.wires[run]
                if carried[wire] and self._next(wire, trial[wire]) is not None
            ]
            if not free:
                return {}
            free.sort(key=lambda wire: -carried[wire] / trial[wire].area_mm2)
            for wire in free[: 1 + len(free) // AT_ONCE]:
                thicker = self._next(wire, trial[wire])
                assert thicker is not None
                trial[wire] = grown[wire] = thicker
        return grown

    def _next(self, wire: int, size: Size) -> Size | None:
        """The next thicker size a wire may take."""
        if wire in self.fixed:
            return None
        return next((one for one in self.rules[wire].sizes if one.area_mm2 > size.area_mm2 + 1e-9), None)

    def limits(self, sizes: Sequence[Size], found: Mapping[str, RunWarmth]) -> dict[int, Limit]:
        """The limit "loom heat" of every wire that carries current where it gets hottest.

        The least size is that of the wire alone, the rest of the loom as chosen.
        """
        states = {}
        for run, one in found.items():
            cables = self._cables(run, sizes)
            heat = sum(cable.r20_ohm_per_m * amp**2 for cable, amp in zip(cables, one.amps, strict=True))
            states[run] = Held(filling(cables), heat, len(cables))
        return {
            wire: self._limit(wire, sizes[wire], spot, states[spot.run.run])
            for wire, spot in self.by_wire(found).items()
            if spot.amps > 0 or spot.warm_c > self.rules[wire].insulation_c
        }

    def _limit(self, wire: int, size: Size, spot: Spot, held: Held) -> Limit:
        rules, one = self.rules[wire], spot.run
        least = self._least(rules, size, spot, held)
        high = f", {one.place.altitude_m:g} m up" if one.place.altitude_m else ""
        sun = ", in the sun" if one.place.sun_w_per_m2 else ""
        return Limit(
            "loom heat", least.label if least else "", least.area_mm2 if least else None, spot.warm_c,
            rules.insulation_c, "°C",
            f"{one.run} in {one.mode}: {held.wires} wires, {one.loaded} loaded, {FORM_WORDS[one.place.form]},"
            f" air of {one.place.ambient_c:g} °C{high}{sun}: core {one.warmth.core_c:.1f} °C, this wire with"
            f" {spot.amps:.2f} A {spot.warm_c:.1f} °C",
            SOURCE,
        )  # fmt: skip

    def _least(self, rules: RuleSet, size: Size, spot: Spot, held: Held) -> Size | None:
        """The thinnest size with which the wire stays within its insulation, sought from the chosen one."""
        old, place = cable_of(rules, size), spot.run.place

        def fits(other: Size) -> bool:
            new = cable_of(rules, other)
            warm = (
                warmth([new], [spot.amps], place).hottest_c
                if held.wires == 1
                else exchanged_c(held.filling, held.r20_w_per_m, old, new, spot.amps, place)
            )
            return warm <= rules.insulation_c

        if not fits(size):
            return next((one for one in rules.sizes if one.area_mm2 > size.area_mm2 and fits(one)), None)
        least = size
        for thinner in reversed([one for one in rules.sizes if one.area_mm2 < size.area_mm2]):
            if not fits(thinner):
                break
            least = thinner
        return least


def _place(machine: Machine, routed: Routed, run: Run) -> Place:
    zone = machine.zones[run.zone]
    sun = figure("sun on a surface") if zone.sun else 0.0
    return Place(zone.ambient_c, form_of(machine, routed, run), machine.sizes, machine.altitude_m, sun)
