"""Which assumed figure, if wrong, would change a wire, a fuse or a finding: the design made again with it.

Wires are never made thinner than they were designed: the question is what a loom that is built would fall
short of. Without that floor the sizes of coupled wires change places for a milliohm, and tell nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from harness.model.design import Design
from harness.model.machine import Machine
from harness.model.sensitivity import Effect, Way, Weighed
from harness.pipeline import designed, judged
from harness.sensitivity.effects import effects, weight
from harness.sensitivity.figures import Figure, figures

WRONG = 0.3  # share a figure is taken to be wrong by, up and down: a choice of ours
FACTORS: dict[Way, float] = {"more": 1 + WRONG, "less": 1 - WRONG}
Tell = Callable[[int, int], None]  # how many figures are settled, of how many


def as_built(machine: Machine) -> tuple[Machine, Design]:
    """The machine as it was designed, no wire of which may become thinner, and its design."""
    whole, found = designed(machine)
    floor = [
        wire if wire.keep else replace(wire, mate_mm2=max(wire.mate_mm2, made.area_mm2))
        for wire, made in zip(whole.wires, found.wires, strict=True)
    ]
    held = replace(whole, wires=tuple(floor))
    return held, judged(held)


def weighed(machine: Machine, *, tell: Tell | None = None) -> tuple[Weighed, ...]:
    """Every assumption of a machine with what hangs on it, the heaviest first.

    tell: called as figures are settled, with how many are, of how many.
    Raises what ``pipeline.design`` raises.

    Figures of one sort are first made wrong together, all one way. More resistance in any contact loses
    more volts, more current asks for more copper: figures of one sort pull the same way, so where all
    together change nothing, none of them does. Where something changes they are halved, down to one.
    """
    machine, found = as_built(machine)
    every = figures(machine)
    moving = [at for at, each in enumerate(every) if each.change is not None]
    hit: dict[int, list[Effect]] = {at: [] for at in moving}
    settled = 0
    for way in FACTORS:
        for group in _groups(every, moving):
            for at, seen in _searched(machine, found, every, group, way):
                hit[at] = [*hit[at], *seen]
                settled += 1
                if tell is not None:
                    tell(settled, 2 * len(moving))
    answers = [
        Weighed(
            each.assumption,
            tuple(hit.get(at, ())),
            weight(hit.get(at, ())),
            any(
                one.about != "finding" or {one.before, one.after} & {"danger", "fault"}
                for one in hit.get(at, ())
            ),
        )
        for at, each in enumerate(every)
    ]
    return tuple(sorted(answers, key=lambda one: (not one.high, -one.weight, not one.assumption.marked)))


def changed(machine: Machine, several: Iterable[Figure], factor: float) -> Machine:
    """The machine with every one of the figures multiplied by a factor."""
    for figure in several:
        if figure.change is not None:
            machine = figure.change(machine, factor)
    return machine


def _groups(every: Sequence[Figure], moving: Sequence[int]) -> list[list[int]]:
    sorts: dict[str, list[int]] = {}
    for at in moving:
        sorts.setdefault(every[at].sort, []).append(at)
    return list(sorts.values())


def _searched(
    machine: Machine, base: Design, every: Sequence[Figure], group: Sequence[int], way: Way
) -> Iterable[tuple[int, list[Effect]]]:
    """Every figure of a group with what it changes by itself."""
    waiting = [list(group)]
    while waiting:
        some = waiting.pop()
        other = changed(machine, (every[at] for at in some), FACTORS[way])
        seen = effects(base, judged(other), way) if other != machine else []
        if len(some) == 1 or not seen:
            yield from ((at, seen) for at in some)
            continue
        middle = len(some) // 2
        waiting += [some[middle:], some[:middle]]
