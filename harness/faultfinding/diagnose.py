"""Which single faults explain what was read, how well, and how large they would have to be.

Each suspect is put into the network and the readings are compared with what a meter would show then. What
is not known by measuring may stray a little: the battery's volts by some tenths, the wiring's losses by some
per cent. The likelihood of the readings under a fault, times how often such a fault is met, ranks it (Bayes).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import exp, log

from harness.electric.graph import EdgeKey, Node
from harness.electric.settle import Floats
from harness.faultfinding.faults import Suspect, shorts, suspects
from harness.faultfinding.patient import OPEN_OHM, Patient, State
from harness.faultfinding.readings import DIM, WHOLE, Amps, Blown, Reading, Seen, Volts

BATTERY_SHARE = 0.03  # how far the volts of the whole may be from those assumed, as a share of the system's
FELT = 0.5  # a fault that moves no reading by half of what it may stray explains nothing
STEPS = 6  # between two values that were solved
PARTS = (0.15, 0.4, 0.7, 0.92)  # of the volts a fault can take: what its resistances are chosen by
SCREEN = 0.2  # as FELT, for what is only estimated
FREE = 0.5  # what a fault pays that may choose its value, beside one that may not
HIGHER = 3.0  # strays above healthy from which on a foreign feed is thought of
NO_CURRENT_A = 1e-4


Near = tuple[tuple[float, State], ...]  # solved states with their weights


@dataclass(frozen=True)
class Trial:
    """The states a suspect was solved in, along a scale on which volts go about straight between them."""

    states: tuple[tuple[float, State], ...]
    value: Callable[[float], float | None]  # of a point on the scale


@dataclass(frozen=True)
class Explanation:
    """One fault that the readings allow."""

    suspect: Suspect | None  # None: nothing is wrong
    value: float | None  # ohm, share or factor by its kind; None where it has none
    misfit: float  # sum of squares of strays; about one for each reading when it is right
    share: float  # of all explanations' likelihood
    near: Near  # the solved states to both sides

    def volts(self, node: Node) -> float:
        """What a meter would show at a point if this is it [V]."""
        return sum(weight * state.volts(node) for weight, state in self.near)

    def amps(self, key: EdgeKey) -> float:
        """What a meter for current would show in a wire or fuse if this is it [A]."""
        return sum(weight * abs(state.amps(key)) for weight, state in self.near)


class Ward:
    """A patient with all its suspects; solved states are kept from one question to the next."""

    def __init__(self, patient: Patient) -> None:
        self.patient = patient
        self._suspects = tuple(suspects(patient))
        self._states: dict[tuple[Suspect, float], State] = {}

    def state(self, suspect: Suspect, value: float) -> State:
        """The network with this fault."""
        key = (suspect, value)
        if key not in self._states:
            self._states[key] = self.patient.under(suspect.change(value))
        return self._states[key]

    def explanations(self, readings: Sequence[Reading]) -> list[Explanation]:
        """Every fault that the readings allow, likeliest first; and health itself where they allow it."""
        found = [_fit(None, Trial(((0.0, self.patient.healthy),), lambda _: None), readings, self.patient)]
        higher = _higher(readings, self.patient)
        leaks = any(isinstance(one, Amps) for one in readings)
        blown = [one for one in readings if isinstance(one, Blown)]
        again = {one.key for one in blown if one.again}
        behind = [each for one in blown for each in shorts(self.patient, one.key)]
        for suspect in (*self._suspects, *behind):
            if suspect.fault.kind == "open fuse" and suspect.fault.key in again:
                continue  # of nothing but itself a new one does not blow
            # A solve for each point of the machine is spared where nothing that was read calls for it.
            if (suspect.lifts and not higher) or (suspect.fault.kind == "leak" and not leaks):
                continue
            if self._felt(suspect, readings):
                found.append(_fit(suspect, self._trial(suspect), readings, self.patient))
        return _ranked(found)

    def _trial(self, suspect: Suspect) -> Trial:
        """The states a suspect is judged by."""
        if suspect.adds_ohm:
            return self._resistances(suspect)
        if not suspect.values:
            return Trial(((0.0, self.state(suspect, 0.0)),), lambda _: None)
        return Trial(tuple((log(value), self.state(suspect, value)) for value in suspect.values), exp)

    def _resistances(self, suspect: Suspect) -> Trial:
        """A joint that takes a little to nearly all it can.

        Of a straight network the volts are a straight line in r / (r + R), R what the network shows at the
        joint (Thevenin), so that few solves do.
        """
        key = suspect.fault.key
        assert key is not None
        edge, gone = self.patient.edges[key], self._open(suspect)
        inner = abs(gone.volts(edge.a, edge.b)) / abs(self.patient.healthy.amps(key))

        def value(part: float) -> float:
            return inner * part / (1 - part)

        solved = ((part, self.state(suspect, value(part))) for part in PARTS)
        return Trial(((0.0, self.patient.healthy), *solved), value)

    def _open(self, suspect: Suspect) -> State:
        return self.state(suspect, OPEN_OHM)

    def _felt(self, suspect: Suspect, readings: Sequence[Reading]) -> bool:
        """Whether the fault at its worst moves any of the readings."""
        if not self._may_be_felt(suspect, readings):
            return False
        healthy = self.patient.healthy
        if suspect.adds_ohm and abs(healthy.amps(suspect.fault.key or 0)) < NO_CURRENT_A:
            return False  # a joint in which nothing flows takes nothing
        worst = self.state(suspect, suspect.values[-1]) if suspect.values else self._open(suspect)
        return any(abs(_step(one, worst, healthy, self.patient)) > FELT for one in readings)

    @cached_property
    def _opened(self) -> tuple[dict[EdgeKey, Floats], dict[Node, int]]:
        return self.patient.opened()

    def _may_be_felt(self, suspect: Suspect, readings: Sequence[Reading]) -> bool:
        """By a straight network's measure; where that cannot tell, True."""
        moved = self._opened[0].get(suspect.fault.key) if suspect.fault.key is not None else None
        if moved is None:
            return True
        index, posts = self._opened[1], posts_v(self.patient)
        for one in readings:
            if not isinstance(one, Volts):
                return True
            shift = moved[index[one.node]] - (moved[index[one.against]] if one.against else 0.0)
            calm = one.expected(self.patient.healthy)
            if abs(shift) > SCREEN * one.sigma(calm, posts):
                return True
        return False


def posts_v(patient: Patient, state: State | None = None) -> float:
    """Volts at the source that feeds the machine [V]."""
    point = (state or patient.healthy).point
    return max((abs(point.volts[one.a] - point.volts[one.b]) for one in point.model.givers), default=1.0)


def _step(one: Reading, state: State, healthy: State, patient: Patient) -> float:
    if isinstance(one, Seen):
        return (one.share(state) - one.share(healthy)) / 0.1
    if isinstance(one, Blown):
        return WHOLE * (one.whole(state) - one.whole(healthy))
    calm = one.expected(healthy)
    return (one.expected(state) - calm) / one.sigma(calm, posts_v(patient))


def _higher(readings: Sequence[Reading], patient: Patient) -> bool:
    """Whether something has more than it should."""
    healthy = patient.healthy
    for one in readings:
        if isinstance(one, Seen):
            off = one.share(healthy) < DIM
            if one.look == "dead" or (one.off(healthy) > 0 and (off or one.look == "works")):
                return True  # dead too: both its ends may be live
        elif not isinstance(one, Blown):
            calm = one.expected(healthy)
            if abs(one.value) - abs(calm) > HIGHER * one.sigma(calm, posts_v(patient)):
                return True
    return False


def _between(states: Sequence[tuple[float, State]]) -> Iterator[tuple[float, Near]]:
    """Points of a scale with the solved states they lie between and the weight of each."""
    for (low, before), (high, after) in pairwise(states):
        for step in range(STEPS):
            way = step / STEPS
            yield (1 - way) * low + way * high, ((1 - way, before), (way, after))
    yield states[-1][0], ((1.0, states[-1][1]),)


def _fit(suspect: Suspect | None, trial: Trial, readings: Sequence[Reading], patient: Patient) -> Explanation:
    """The value that explains the readings best."""
    fits = ((_misfit(near, readings, patient), at, near) for at, near in _between(trial.states))
    misfit, at, near = min(fits, key=lambda each: each[0])
    return Explanation(suspect, trial.value(at), misfit, 0.0, near)


def _misfit(near: Near, readings: Sequence[Reading], patient: Patient) -> float:
    """Sum of squares of how far the readings stray, with the volts of the whole chosen best."""
    total, rows = 0.0, []
    volts = sum(weight * posts_v(patient, state) for weight, state in near) or 1.0
    for one in readings:
        if isinstance(one, Blown):
            total += (WHOLE * sum(weight * one.whole(state) for weight, state in near)) ** 2
            continue
        if isinstance(one, Seen):
            total += one.off_by(sum(weight * one.share(state) for weight, state in near)) ** 2
            continue
        expected = sum(weight * one.expected(state) for weight, state in near)
        sigma = one.sigma(expected, volts)
        rows.append(((one.value - expected) / sigma, expected / volts / sigma))
    # Everything follows the battery, so a battery that stands higher shifts all volts by the same share.
    allowed = BATTERY_SHARE * patient.plant.machine.voltage_v
    shift = sum(stray * slope for stray, slope in rows) / (
        sum(slope * slope for _, slope in rows) + 1 / allowed**2
    )
    return total + sum((stray - shift * slope) ** 2 for stray, slope in rows) + (shift / allowed) ** 2


def _ranked(found: Sequence[Explanation]) -> list[Explanation]:
    """The same with their shares, likeliest first; ties in the order of the survey."""
    least = min(one.misfit for one in found)

    def weight(one: Explanation) -> float:
        often = 20.0 if one.suspect is None else one.suspect.often * (1.0 if one.value is None else FREE)
        return often * exp(-(one.misfit - least) / 2)

    total = sum(weight(one) for one in found)
    shared = [Explanation(one.suspect, one.value, one.misfit, weight(one) / total, one.near) for one in found]
    return sorted(shared, key=lambda one: -one.share)
