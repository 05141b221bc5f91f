"""Sizes every wire and rates every fuse: currents, limits and least copper in turns until nothing changes."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from harness.electric.aswired import as_wired
from harness.electric.conductor import COPPER_KG_PER_M_MM2
from harness.electric.currents import (
    ModeSolution,
    Plant,
    way_drop_v,
    wire_share_a,
)
from harness.electric.droplimits import LoadLimit, drop_limit, load_limits
from harness.electric.fuses import FuseLoad, Rating, fuse_loads, rate_fuses
from harness.electric.graph import Edge, Node, edges
from harness.electric.guards import FuseKey, Guards, guards
from harness.electric.landing import thickest_mm2
from harness.electric.limits import COLDEST_C, Duty, Surroundings, least_size, wire_ohm
from harness.electric.links import least_cable_mm2
from harness.electric.optimum import Choice, Picked, pick_sizes
from harness.electric.prices import NoPrice
from harness.electric.repeated import carried_currents, continuous_currents, repeated_loads
from harness.electric.ruleset import RuleSet, Size, rule_set
from harness.electric.starterways import strap_areas, straps
from harness.electric.surroundings import bundling, lies_alone, surroundings
from harness.electric.turns import Turn, even, same_duties, same_program
from harness.electric.wanted import Wanted, rules_of_wires, wire_price
from harness.electric.warming import Looms, RunWarmth
from harness.model.machine import Machine
from harness.model.stages import Routed
from harness.tables import load

ENDS_M = 0.2  # two lugs weigh about as much as this much of their cable (common practice)
ROUNDS = 20  # currents only shift where returns share a mesh of straps, so two or three do; heat adds two
COLD = (COLDEST_C, COLDEST_C)
ALIKE_K = 0.5  # a wire this much warmer is not worth another turn: 0.2 % of its resistance
UNFIT_MOST = 2.0  # times what a terminal takes: a short thinner piece leads on; beyond, copper is no answer
GROW_AFTER = 6  # from here on sizes may only grow, so that the rounds end


@dataclass(frozen=True, slots=True)
class Sizing:
    """Everything the sizing found."""

    rules: tuple[RuleSet, ...]  # of each wire: one set, but an odd cable has limits of its own
    edges: tuple[Edge, ...]
    guards: Guards
    ratings: Mapping[FuseKey, Rating]
    sizes: tuple[Size, ...]
    near: tuple[Surroundings, ...]
    duties: tuple[Duty, ...]
    ohms: Mapping[int, float]
    solutions: tuple[ModeSolution, ...]
    drop_limits: tuple[LoadLimit, ...]
    copper_kg: float  # of new wire
    baseline_kg: float
    baseline_unfit: int  # wires the plain rule makes too thick for their terminals
    routed: Routed
    looms: Looms
    warm: Mapping[str, RunWarmth]  # every run with wires, in the mode that is hardest on it
    baseline_sizes: tuple[Size, ...] = ()
    proven_gap: float | None = None  # None: the plain rule proves nothing
    wanted: Wanted = field(default_factory=Wanted)
    price: int | None = None  # of new wire, in ten-millionths of the currency; None without a price list
    baseline_price: int | None = None
    baseline_starved: int = 0  # loads the plain rule leaves short, at the currents it was given


def fuse_name(machine: Machine, key: FuseKey) -> str:
    """What a fuse is called: its part, or the part and the way of a panel."""
    part = machine.parts[key[0]]
    ways = [link for link in part.links if link.kind == "fuse"]
    if len(ways) == 1:
        return part.name
    return f"{part.name} {next(link.b for link in ways if link.name == key[1])}"


def _short_spells(solutions: Iterable[ModeSolution]) -> dict[int, tuple[float, float]]:
    """Wire -> its hardest short spell (current [A], time [s]) by current squared times time."""
    found: dict[int, tuple[float, float]] = {}
    for solution in solutions:
        spells = [load.load.steady_s for load in solution.activity.loads if load.load.steady_s is not None]
        for case in solution.cases:
            seconds = (case.peak.load.peak_s or 0.0) if case.peak else max(spells, default=0.0)
            if (case.what != "steady" and case.peak is None) or not seconds:
                continue
            for wire, amps in case.moved_a().items():
                spell = (abs(amps), seconds)
                found[wire] = max(
                    found.get(wire, (0.0, 0.0)), spell, key=lambda one: (one[0] ** 2 * one[1], one[0])
                )
    return found


def _duties(
    machine: Machine, routed: Routed, found: Guards, ratings: Mapping[FuseKey, Rating],
    solutions: Sequence[ModeSolution], rules: Sequence[RuleSet],
) -> list[Duty]:  # fmt: skip
    steady = continuous_currents(solutions)
    again = [repeated_loads(solution) for solution in solutions]
    spells = _short_spells(solutions)
    alone = lies_alone(machine, routed)
    duties = []
    for spec in machine.wires:
        amps = max((mode.get(spec.index, 0.0) for mode in steady.values()), default=0.0)
        short_a, short_s = spells.get(spec.index, (0.0, 0.0))
        if short_a <= amps * 1.001:
            short_a, short_s = amps, 0.0
        nearest: frozenset[FuseKey | None] = frozenset().union(
            *(group.get(spec.index, frozenset()) for group in (found.live, found.back, found.ahead))
        )
        fuses = sorted(key for key in nearest if key is not None and key in ratings)
        top = max(fuses, key=lambda key: ratings[key].asks_a, default=None)
        rating = ratings[top].asks_a if top is not None else None
        name = fuse_name(machine, top) if top is not None else ""
        slow = ratings[top].slow if top is not None else ()
        guard = max(
            (
                least_cable_mm2(sized, rules[spec.index])
                for sized in (ratings[key].size for key in fuses)
                if sized is not None
            ),
            default=0.0,
        )
        repeated = tuple(own[spec.index] for own in again if spec.index in own)
        duties.append(
            Duty(
                amps, short_a, short_s, rating, name, alone[spec.index], spec.size, guard, slow, repeated,
                spec.mate_mm2,
            )
        )  # fmt: skip
    return duties


def _with_fuses(ways: Iterable[Edge], ratings: Mapping[FuseKey, Rating]) -> tuple[Edge, ...]:
    """Edges with every fuse's resistance set by its rating, its holder added."""
    holder = load("contact_resistance").column("item", "resistance_mohm")["fuse holder"] / 1000

    def one(edge: Edge) -> Edge:
        rating = ratings.get(edge.key) if isinstance(edge.key, tuple) and edge.kind == "fuse" else None
        return replace(edge, ohm=rating.ohm + holder) if rating else edge

    return tuple(one(edge) for edge in ways)


def _chassis_side(machine: Machine, plant: Plant) -> list[Node]:
    """Where current has come home: chassis-side posts and ground points."""
    points = [
        Node("terminal", part.name, terminal.name)
        for part in machine.parts.values()
        if part.role == "ground"
        for terminal in part.terminals
    ]
    return [battery.ground for battery in plant.batteries] + points


class _Sizer:
    """The turns of sizing for one machine; holds what stays the same between them."""

    def __init__(self, machine: Machine, routed: Routed, rules: RuleSet, wanted: Wanted) -> None:
        self.machine, self.routed, self.wanted = machine, routed, wanted
        self.rules = rules_of_wires(machine, rules, wanted)
        self.looms = Looms(machine, routed, self.rules)
        self.wired = as_wired(machine).sizes
        self.cool: dict[int, Size] = {}  # least sizes that hot looms ask for, growing only
        self.warm_c: dict[
            int, tuple[float, float]
        ] = {}  # what its looms heat a wire to: hottest, on the whole
        self.takes_mm2 = [thickest_mm2(machine, wire) for wire in routed.wires]
        bare = edges(machine, routed)
        plant = Plant(machine, bare)
        first = [
            own.size(spec.size) if spec.size else own.sizes[0]
            for own, spec in zip(self.rules, machine.wires, strict=True)
        ]
        guess = {wire.index: first[wire.index].r20_ohm_per_m * wire.length_m * 1.2 for wire in routed.wires}
        self.guards = guards(bare, plant.starts, _chassis_side(machine, plant))
        self.ratings = rate_fuses(machine, bare, fuse_loads(plant.solve(guess)), self.guards)
        self.edges = _with_fuses(bare, self.ratings)
        self.plant = Plant(machine, self.edges)
        self.guess = guess

    def surroundings(self, duties: Sequence[Duty], solutions: Sequence[ModeSolution]) -> list[Surroundings]:
        """Settle bundle factors and least sizes against each other, never on a factor they do not earn."""
        currents = carried_currents(solutions)
        found = bundling(self.machine, self.routed, self.rules, None, currents)
        for turn in range(6):
            near = surroundings(self.machine, self.routed, self.rules, found)
            sizes = [least_size(*one) for one in zip(self.rules, near, duties, strict=True)]
            earned = bundling(self.machine, self.routed, self.rules, sizes, currents)
            if turn and all(earned[run][1] >= found[run][1] for run in found):
                break
            found = (
                earned
                if turn == 0
                else {run: min(found[run], earned[run], key=lambda one: one[1]) for run in found}
            )
        near = surroundings(self.machine, self.routed, self.rules, found)
        return self.warmed(near)

    def warmed(self, near: Sequence[Surroundings]) -> list[Surroundings]:
        """Surroundings with what is known of the warmth of the looms."""
        found = []
        for wire, place in enumerate(near):
            warm_c, mean_c = self.warm_c.get(wire, COLD)
            found.append(replace(place, warm_c=warm_c, mean_c=mean_c))
        return found

    def choices(
        self, near: Sequence[Surroundings], duties: Sequence[Duty], only: Collection[int] | None = None
    ) -> dict[int, list[tuple[Size, Choice]]]:
        """Sizes each wire may take, from the least its other limits allow upward; of some wires or of all."""
        found = {}
        for wire, place, duty in zip(self.routed.wires, near, duties, strict=True):
            if only is not None and wire.index not in only:
                continue
            rules = self.rules[wire.index]
            least = least_size(rules, place, duty)
            if (cool := self.cool.get(wire.index, least)).area_mm2 > least.area_mm2:
                least = cool
            if self.wanted.prices is not None and not duty.fixed:
                self._has_price(wire.index, least, place, duty)
            most_mm2 = max(UNFIT_MOST * self.takes_mm2[wire.index], least.area_mm2)
            sizes = (
                [least]
                if duty.fixed
                else [size for size in rules.sizes if least.area_mm2 <= size.area_mm2 <= most_mm2]
            )
            found[wire.index] = [
                (
                    size,
                    Choice(
                        self.cost(wire.index, size),
                        wire_ohm(rules, size, place, duty, wire.length_m),
                        self.kind(wire.index, size),
                        size.area_mm2 > self.takes_mm2[wire.index] + 1e-9,
                        size.area_mm2,
                    ),
                )
                for size in sizes
            ]
        return found

    def _has_price(self, wire: int, least: Size, place: Surroundings, duty: Duty) -> None:
        """Raises NoPrice where a wire needs a thicker size than any that is listed."""
        spec, rules = self.machine.wires[wire], self.rules[wire]
        cable = spec.cable or self.machine.cable
        needs = least_size(rule_set(rules.name, cable), place, duty)
        if needs.area_mm2 > rules.sizes[-1].area_mm2 and self.wanted.stock is None:
            raise NoPrice(
                f"{spec.a.name} > {spec.b.name} needs at least {cable} {needs.label}; the thickest"
                f" with a price is {least.label}"
            )

    def cost(self, wire: int, size: Size) -> float:
        """What a wire costs in a size: by the price list, else copper, its lugs with it [kg].

        A wire that is in the machine already costs nothing as it is, so that it stays where it will do.
        """
        if size.label in self.wired.get(wire, ()):
            return 0.0
        if self.wanted.prices is not None:
            return float(self.price(wire, size))
        return size.area_mm2 * COPPER_KG_PER_M_MM2 * (self.routed.wires[wire].length_m + ENDS_M)

    def price(self, wire: int, size: Size) -> int:
        length_m = self.routed.wires[wire].length_m
        return wire_price(self.machine, self.wanted, self.rules[wire], wire, size, length_m)

    def kind(self, wire: int, size: Size) -> tuple[str, ...] | None:
        """As what a size of a wire is bought; a kept cable is not."""
        if self.wanted.most_kinds is None or self.machine.wires[wire].keep:
            return None
        if self.wanted.most_spools is None or self.wanted.colours is None:
            return (size.label,)
        return (size.label, self.machine.wires[wire].cable or "", self.wanted.colour(wire, size))

    def strapped(self, sizes: list[Size], solutions: Sequence[ModeSolution]) -> list[Size]:
        """No cable on a starter's way home may be thinner than its live cable (common practice)."""
        found = list(sizes)
        for wire, least in strap_areas(self.machine, sizes, solutions).items():
            if self.machine.wires[wire].size is None and found[wire].area_mm2 < least:
                found[wire] = next(
                    (size for size in self.rules[wire].sizes if size.area_mm2 >= least - 1e-9),
                    self.rules[wire].sizes[-1],
                )
        return found

    def turn(self, ohms: Mapping[int, float], before: Turn | None = None) -> Turn:
        """Everything that follows from one set of resistances, up to what each wire may take.

        Where no wire's currents changed since the turn before, what hangs on them alone is kept.
        """
        solutions = self.plant.solve(ohms)
        duties = _duties(self.machine, self.routed, self.guards, self.ratings, solutions, self.rules)
        limits, ways = load_limits(self.machine, solutions), straps(self.machine, solutions)
        carried = carried_currents(solutions)
        self.looms.repeated = {
            solution.activity.mode.name: repeated_loads(solution) for solution in solutions
        }
        if before is not None and same_duties(before, duties, carried):
            return replace(before, ohms=ohms, solutions=solutions, limits=limits, straps=ways)
        near = self.surroundings(duties, solutions)
        choices = self.choices(near, duties)
        return Turn(ohms, solutions, duties, near, choices, limits, ways, carried)

    def warmed_turn(self, sizes: Sequence[Size], turn: Turn) -> Turn | None:
        """The turn with what its looms make of these sizes; None where that is known already.

        Wires are as warm as their looms, and grow where one is too hot. Warmth and growth only rise from one
        choice to the next, so that the turns end.
        """
        found = self.looms.warm(sizes, turn.carried)
        need = self.looms.least(sizes, turn.carried, found)
        warmer = {
            wire: warm
            for wire, warm in self.looms.warm_c(found).items()
            if any(new > old + ALIKE_K for new, old in zip(warm, self.warm_c.get(wire, COLD), strict=True))
        }
        if not need and not warmer:
            return None
        self.cool |= need
        for wire, warm in warmer.items():
            old = self.warm_c.get(wire, COLD)
            self.warm_c[wire] = (max(warm[0], old[0]), max(warm[1], old[1]))
        near = self.warmed(turn.near)
        anew = self.choices(near, turn.duties, need.keys() | warmer.keys())
        return replace(turn, near=near, choices={**turn.choices, **anew})

    def ohms(self, turn: Turn, sizes: Sequence[Size]) -> dict[int, float]:
        """Resistance of every wire in a size, at its working temperature [ohm]."""
        return {
            wire.index: wire_ohm(
                self.rules[wire.index], sizes[wire.index], turn.near[wire.index], turn.duties[wire.index],
                wire.length_m,
            )
            for wire in self.routed.wires
        }  # fmt: skip

    def picked(self, turn: Turn) -> Picked:
        """The best sizes of a turn, starter straps among them."""
        plain = {wire: [choice for _, choice in own] for wire, own in turn.choices.items()}
        drops = [drop_limit(limit) for limit in turn.limits]
        return pick_sizes(drops, plain, most_kinds=self.wanted.most_kinds, straps=turn.straps)

    def run(self) -> Sizing:
        """Take turns until sizes repeat; raises nothing, a starved load becomes a finding."""
        table = self.wanted.method == "table"
        sizes: list[Size] = []
        found = Picked({}, 0.0, 0.0)
        turn, asked = self.turn(self.guess), None
        for number in range(ROUNDS):
            before = sizes
            if table:
                sizes = self.strapped(self._plain(turn.choices, turn.limits), turn.solutions)
            elif asked is None or not same_program(asked, turn):
                asked, found = turn, self.picked(turn)
                sizes = [turn.choices[wire.index][found.at[wire.index]][0] for wire in self.routed.wires]
            if (warm := self.warmed_turn(sizes, turn)) is not None:
                turn = warm
                continue
            if number >= GROW_AFTER:
                sizes = [max(pair, key=lambda one: one.area_mm2) for pair in zip(before, sizes, strict=True)]
            ohms = self.ohms(turn, sizes)
            if sizes == before and even(ohms, turn.ohms):
                break
            turn = self.turn(ohms, turn)
        baseline = sizes if table else self.strapped(self._plain(turn.choices, turn.limits), turn.solutions)
        if not table and asked is not None and not same_program(asked, turn):
            found = self.picked(turn)  # the proof is for the currents of the sizes shown
        return Sizing(
            tuple(self.rules), self.edges, self.guards, self.ratings, tuple(sizes), tuple(turn.near),
            tuple(turn.duties), turn.ohms, tuple(turn.solutions), tuple(turn.limits), self._copper(sizes),
            self._copper(baseline), self._unfit(baseline), self.routed, self.looms,
            self.looms.warm(sizes, turn.carried), tuple(baseline),
            None if table else self.gap(sizes, found), self.wanted, self._prices(sizes),
            self._prices(baseline), self._starved(turn, baseline),
        )  # fmt: skip

    def gap(self, sizes: Sequence[Size], best: Picked) -> float:
        """Share of the cost that sizes other than these could save at most, under their own currents."""
        cost = sum(self.cost(wire.index, sizes[wire.index]) for wire in self.routed.wires)
        return Picked({}, cost, min(best.bound, cost)).gap

    def _starved(self, turn: Turn, sizes: Sequence[Size]) -> int:
        """Loads that lose more than they may with these sizes, at the currents of a turn."""
        ohms = self.ohms(turn, sizes)
        short = {
            (limit.part, limit.link)
            for limit in turn.limits
            if way_drop_v(limit.way, limit.case, ohms) > limit.allowance.drop_v * (1 + 1e-6)
        }
        return len(short)

    def _prices(self, sizes: Sequence[Size]) -> int | None:
        """What all new wire costs, in ten-millionths; None without a price list."""
        if self.wanted.prices is None:
            return None
        return sum(self.price(wire.index, sizes[wire.index]) for wire in self.routed.wires)

    def _copper(self, sizes: Sequence[Size]) -> float:
        return sum(
            sizes[wire.index].area_mm2 * COPPER_KG_PER_M_MM2 * wire.length_m
            for wire in self.routed.wires
            if not self.machine.wires[wire.index].keep
        )

    def _plain(
        self, choices: Mapping[int, list[tuple[Size, Choice]]], limits: Sequence[LoadLimit]
    ) -> list[Size]:
        """Sizes by the plain rule: each wire loses at most its share, by length, of what a load may."""
        least = dict.fromkeys(choices, 0)
        length = {wire.index: wire.length_m for wire in self.routed.wires}
        for limit in limits:
            share = wire_share_a(limit.way, limit.case)
            total = sum(length[wire] for wire in share)
            held = drop_limit(limit)
            for wire, amps in share.items():
                part = length[wire] / total if total else 0.0
                volts = [amps * choice.ohm for _, choice in choices[wire]]
                left = held.left_v if volts[-1] <= held.left_v * part else max(held.left_v, held.instead_v)
                fits = [at for at, one in enumerate(volts) if one <= left * part]
                least[wire] = max(least[wire], fits[0] if fits else len(volts) - 1)
        return [choices[wire.index][least[wire.index]][0] for wire in self.routed.wires]

    def _unfit(self, sizes: Sequence[Size]) -> int:
        """New wires too thick for the terminals they land on."""
        return sum(
            size.area_mm2 > takes + 1e-9 and not self.machine.wires[at].keep
            for at, (size, takes) in enumerate(zip(sizes, self.takes_mm2, strict=True))
        )


def size_machine(machine: Machine, routed: Routed, rules: RuleSet, wanted: Wanted | None = None) -> Sizing:
    """Size every wire of a routed machine by a rule set. Raises BadStock, NoPrice and TooFewKinds."""
    return _Sizer(machine, routed, rules, wanted or Wanted()).run()


__all__ = ["FuseLoad", "LoadLimit", "Sizing", "fuse_name", "size_machine"]
