"""The ways a survey forces and forbids: their names, and whether they leave every wire and joint a way."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Mapping, Sequence

from harness.model.laying import FREE, Laying
from harness.model.machine import End, Run, WireSpec
from harness.survey.ledger import Ledger
from harness.survey.located import Word
from harness.survey.schema import CircuitForm, SurveyForm, WireForm
from harness.survey.words import hint

Areas = frozenset[int]  # numbers of the stretches of ground that a place touches under one Laying


class Names:
    """What may be written after via and avoid: every place, and every run by its name read either way."""

    def __init__(self, laid: Iterable[Run], places: Iterable[str]) -> None:
        self._known = {place: place for place in places}
        for run in laid:
            self._known.setdefault(run.name, run.name)
        for run in laid:
            if run.name == f"{run.start} - {run.end}":
                self._known.setdefault(f"{run.end} - {run.start}", run.name)

    def read(self, words: Sequence[str], ledger: Ledger) -> tuple[str, ...]:
        """The places and runs some words name, each with its spot; complains of those that name nothing."""
        found = []
        for word in words:
            known = self._known.get(word)
            if known is not None:
                found.append(Word(known, word.text) if isinstance(word, Word) else known)
            elif not ledger.damage.sections & {"runs", "places"}:
                ledger.say(word, f"there is no place or run {word!r}", hint(word, self._known))
        return tuple(dict.fromkeys(found))


def layings(
    form: SurveyForm,
    circuits_of: Sequence[str],
    facts: Mapping[int, WireForm],
    names: Names,
    ledger: Ledger,
) -> list[Laying]:
    """The Laying of every wire: its own ``via`` before its circuit's, both ``avoid`` together.

    ``circuits_of``: circuit of every wire, in their order.
    """
    of_circuit = {name: _laying(each, names, ledger, loose=True) for name, each in form.circuits.items()}
    found = []
    for index, circuit in enumerate(circuits_of):
        general = of_circuit.get(circuit, FREE)
        said = facts.get(index)
        if said is None or not (said.via or said.avoid):
            found.append(general)
            continue
        own = _laying(said, names, ledger, loose=False)
        avoid = tuple(dict.fromkeys((*own.avoid, *general.avoid)))
        both = Laying(own.via or general.via, avoid, general.loose and not own.via)
        _check_both(both, ledger)
        found.append(both)
    return found


def _laying(said: CircuitForm | WireForm, names: Names, ledger: Ledger, *, loose: bool) -> Laying:
    via, avoid = names.read(said.via, ledger), names.read(said.avoid, ledger)
    if not via and not avoid:
        return FREE
    found = Laying(via, avoid, loose and bool(via))
    _check_both(found, ledger)
    return found


def _check_both(laying: Laying, ledger: Ledger) -> None:
    for word in laying.via:
        if word in laying.avoid:
            say_once(
                ledger,
                word,
                f"{str(word)!r} stands under via and under avoid",
                "leave it out of one of them",
            )


class Ground:
    """The runs of a machine cut into the stretches that one set of avoided places and runs leaves."""

    def __init__(self, laid: Sequence[Run], places: Iterable[str]) -> None:
        self._around: dict[str, list[Run]] = {place: [] for place in places}
        for run in laid:
            self._around.setdefault(run.start, []).append(run)
            self._around.setdefault(run.end, []).append(run)
        self._runs = {run.name: run for run in laid}
        self._areas: dict[frozenset[str], dict[str, Areas]] = {}

    def areas(self, avoid: Iterable[str]) -> Mapping[str, Areas]:
        """Place -> the stretches it touches; one for a place that may be passed, any number for others."""
        barred = frozenset(avoid)
        if barred not in self._areas:
            self._areas[barred] = self._stretches(barred)
        return self._areas[barred]

    def _stretches(self, barred: frozenset[str]) -> dict[str, Areas]:
        number = 0
        inner: dict[str, int] = {}
        touched: dict[str, set[int]] = {place: set() for place in self._around}
        for first in self._around:
            if first in inner or first in barred:
                continue
            number += 1
            todo = [first]
            while todo:
                place = todo.pop()
                if place in inner:
                    continue
                inner[place] = number
                touched[place].add(number)
                for run in self._around[place]:
                    if run.name in barred:
                        continue
                    there = run.end if run.start == place else run.start
                    if there in barred:
                        touched[there].add(number)
                    else:
                        todo.append(there)
        for run in self._runs.values():  # a run between two places that may not be passed, as a whole way
            if run.name not in barred and run.start in barred and run.end in barred:
                number += 1
                touched[run.start].add(number)
                touched[run.end].add(number)
        return {place: frozenset(found) for place, found in touched.items()}

    def via_areas(self, via: str, avoid: Iterable[str]) -> Areas:
        """The stretches from which a place or run can be passed."""
        areas = self.areas(avoid)
        run = self._runs.get(via)
        if via in self._around or run is None:
            return areas.get(via, frozenset())
        return areas.get(run.start, frozenset()) & areas.get(run.end, frozenset())


class Reach:
    """Whether wires have ways, and where their joints may sit, under what is forced and forbidden."""

    def __init__(
        self, ground: Ground, spots: Mapping[End, frozenset[str]], anywhere: Iterable[str], ledger: Ledger
    ) -> None:
        """``spots``: the places of every end but joints the tool places; those may sit ``anywhere``."""
        self._ground = ground
        self._fixed = spots
        self._open_to: dict[End, frozenset[str]] = {}
        self._anywhere = frozenset(anywhere)
        self._ledger = ledger
        self._touched: dict[tuple[frozenset[str], tuple[str, ...]], Areas] = {}
        self._inside: dict[tuple[Areas, tuple[str, ...]], frozenset[str]] = {}

    def check(self, wires: Sequence[WireSpec]) -> dict[str, tuple[str, ...]]:
        """Complain of every wire without a way; returns the places left open to joints, where not any.

        Joints are narrowed along the wires between them until nothing changes. A joint branches from one
        other at most, so they make trees, and what is left of them fits together.
        """
        bound = [wire for wire in wires if wire.laying != FREE]
        at: dict[End, list[WireSpec]] = {}
        for wire in wires if bound else ():
            for end in (wire.a, wire.b):
                if end.kind == "splice":
                    at.setdefault(end, []).append(wire)
        todo = deque(bound)
        waiting = {wire.index for wire in todo}
        while todo:
            wire = todo.popleft()
            waiting.discard(wire.index)
            for end in self._narrow(wire):
                fresh = [each for each in at[end] if each.index not in waiting and each is not wire]
                waiting |= {each.index for each in fresh}
                todo.extend(fresh)
        sorted_ = {found: tuple(sorted(found)) for found in set(self._open_to.values())}
        return {end.name: sorted_[found] for end, found in self._open_to.items()}

    def _spots(self, end: End) -> frozenset[str]:
        known = self._fixed.get(end)
        return self._open_to.get(end, self._anywhere) if known is None else known

    def _narrow(self, wire: WireSpec) -> list[End]:
        """Leave the joints at both ends only places with a way; those that lost any."""
        found = self._left(wire, wire.laying)
        if found is None:
            self._blame(wire)
            return []
        changed = []
        for end, places in zip((wire.a, wire.b), found, strict=True):
            if end not in self._fixed and places != self._spots(end):
                self._open_to[end] = places
                changed.append(end)
        return changed

    def _left(self, wire: WireSpec, laying: Laying) -> tuple[frozenset[str], frozenset[str]] | None:
        """The places of both ends between which a way is left; None when there is none."""
        barred = frozenset(laying.avoid)
        sides = [
            spots if end in self._fixed or not spots & barred else spots - barred
            for end, spots in ((end, self._spots(end)) for end in (wire.a, wire.b))
        ]
        shared = self._touch(sides[0], laying.avoid) & self._touch(sides[1], laying.avoid)
        if not laying.loose:
            for via in laying.via:
                shared &= self._ground.via_areas(via, laying.avoid)
        inside = self._within(shared, laying.avoid)
        same = sides[0] & sides[1] if laying.loose or not laying.via else frozenset()
        a, b = (side if side <= inside else side & inside | same for side in sides)
        return (a, b) if a and b else None

    def _touch(self, places: frozenset[str], avoid: tuple[str, ...]) -> Areas:
        """The stretches that some places touch."""
        key = (places, avoid)
        if key not in self._touched:
            areas = self._ground.areas(avoid)
            self._touched[key] = frozenset().union(*(areas.get(place, frozenset()) for place in places))
        return self._touched[key]

    def _within(self, shared: Areas, avoid: tuple[str, ...]) -> frozenset[str]:
        """Every place that touches one of some stretches."""
        key = (shared, avoid)
        if key not in self._inside:
            areas = self._ground.areas(avoid)
            self._inside[key] = frozenset(place for place, found in areas.items() if found & shared)
        return self._inside[key]

    def _blame(self, wire: WireSpec) -> None:
        """Complain at the word that leaves the wire no way: the first without which it has one."""
        if self._left(wire, FREE) is None:
            return  # no run leads there at all: said elsewhere
        via, avoid, loose = wire.laying.via, wire.laying.avoid, wire.laying.loose
        forced = () if loose else via
        for at, word in enumerate(forced):
            if self._left(wire, Laying(via[:at] + via[at + 1 :], avoid)) is not None:
                self._say_forced(word, wire)
                return
        for at, word in enumerate(avoid):
            if self._left(wire, Laying(via, avoid[:at] + avoid[at + 1 :], loose)) is not None:
                self._say_avoided(word, wire)
                return
        if forced:
            self._say_forced(forced[0], wire)
        else:
            self._say_avoided(avoid[0], wire)

    def _say_forced(self, word: str, wire: WireSpec) -> None:
        say_once(
            self._ledger,
            word,
            f"no way is left through {str(word)!r} for the wire {wire.a} > {wire.b}",
            "name a place or run that its way can pass, or leave out what it must avoid",
        )

    def _say_avoided(self, word: str, wire: WireSpec) -> None:
        say_once(
            self._ledger,
            word,
            f"without {str(word)!r} no way is left for the wire {wire.a} > {wire.b}",
            "leave it out, or measure a run that leads round it",
        )


def say_once(ledger: Ledger, word: str, what: str, fix: str) -> None:
    """Complain of a word, unless it was complained of already."""
    spot = ledger.where(word)
    if all(problem.where != spot for problem in ledger.problems):
        ledger.say(word, what, fix)
