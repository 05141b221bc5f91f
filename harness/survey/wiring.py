"""From paths to wires and joints: every ``>`` is one wire, every branch one splice, a hop twice one wire."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from harness.model.limits import LIMITS
from harness.model.machine import Body, End, SpliceSpec
from harness.model.problem import SurveyWrong
from harness.survey.counts import FIX
from harness.survey.ledger import Ledger
from harness.survey.located import Spot, Text, Word, canonical
from harness.survey.names import At, Names, Stop
from harness.survey.parts import Draft
from harness.survey.paths import Branch, Chain, Item, PathWrong, Ref, parse, with_signs
from harness.survey.words import hint

Signature = tuple[object, ...]
MOST_WIRES = LIMITS["wires"].most
JOINT = re.compile(r"S\d+")  # as joints are named in the outputs, in the order of the paths


@dataclass(slots=True)
class Hop:
    """One wire as the paths call for it."""

    a: End
    b: End
    circuit: str
    spot: Spot


@dataclass(frozen=True, slots=True)
class Pass:
    """A way through a part that a path takes, or the end of a path at a terminal (``b`` is "")."""

    part: str
    a: str
    b: str
    single: bool = False  # the path ends at a terminal that it names


@dataclass(slots=True)
class Trace:
    """One path resolved: its wires by index and its ways through parts, in the order of the text."""

    text: str
    spot: Spot
    steps: list[int | Pass] = field(default_factory=list)


@dataclass(slots=True)
class _Tails:
    """Where a path stands: the ends that current leaves from next. Empty before the first item."""

    ends: list[End] = field(default_factory=list)
    place: Ref | None = None  # `at` of a branch that opens the path: the joint comes after it
    lost: bool = False  # the item before could not be resolved
    begun: bool = False
    straight: bool = False  # a wire came in at the very terminal the next one leaves from


class Wiring:
    """Collects wires and splices while paths are walked."""

    def __init__(
        self,
        drafts: Mapping[str, Draft],
        bodies: Mapping[str, Body],
        places: Mapping[str, str],
        ledger: Ledger,
    ) -> None:
        self.hops: list[Hop] = []
        self.splices: dict[str, SpliceSpec] = {}
        self.body_spots: dict[str, Spot] = {}  # where each body is first named in a path
        self._names = Names(drafts, bodies, ledger)
        self._drafts = drafts
        self._places = places
        self._ledger = ledger
        self._index: dict[frozenset[End], int] = {}
        self._joints: dict[Signature, str] = {}
        self._word = Word("", _no_text())
        self._circuit = ""
        self._trace = Trace("", Spot(1, 1))
        self._whole = True  # no path failed, so every wire that should be there is

    # ------------------------------------------------------------------------------------------ walking

    def trace(self, text: str, circuit: str) -> Trace:
        """Walk one path, adding the wires and splices it calls for."""
        self._word = text if isinstance(text, Word) else Word(text, _no_text())
        self._circuit = circuit
        self._trace = Trace(" ".join(with_signs(text).split()), self._word.spot)
        try:
            chain = parse(text)
        except PathWrong as wrong:
            self._ledger.say(self._spot(wrong.offset), wrong.what, wrong.fix)
            self._whole = False
            return self._trace
        self._chain(chain, _Tails(), goes_on=False)
        return self._trace

    def _at(self, ref: Ref) -> At:
        text = self._word.text
        return lambda letter: text.at(ref.offset + letter)

    def _spot(self, offset: int) -> Spot:
        return self._word.text.at(offset)

    def _chain(self, chain: Chain, tails: _Tails, *, goes_on: bool) -> _Tails:
        for number, item in enumerate(chain.items):
            more = goes_on or number + 1 < len(chain.items)
            tails = self._item(item, tails, more)
        return tails

    def _item(self, item: Item, tails: _Tails, more: bool) -> _Tails:
        if isinstance(item, Branch):
            return self._branch(item, tails, more)
        stop = self._names.stop(item, self._at(item), passed=tails.begun and more, first=not tails.begun)
        if stop is None:
            self._whole = False
            return _Tails(lost=True, begun=True)
        if stop.arrives.kind == "body":
            self.body_spots.setdefault(stop.arrives.name, stop.spot)
        if tails.begun and not tails.lost:
            self._arrive(stop, tails)
        self._pass(stop, tails.begun, more)
        return _Tails([stop.leaves], begun=True, straight=tails.begun and stop.single)

    def _arrive(self, stop: Stop, tails: _Tails) -> None:
        if len(tails.ends) == 1:
            if tails.straight and stop.arrives.kind == "body":
                self._check_passed_by(tails.ends[0], stop)
            self._wire(tails.ends[0], stop.arrives, stop.spot)
            return
        if any(end.kind == "body" for end in tails.ends):
            self._ledger.say(
                stop.spot,
                "a branch before this already ended on a body and cannot go on",
                "close the parenthesis earlier, or write a path of its own",
            )
            return
        if stop.arrives.kind == "body":
            if tails.place is not None:
                self._no_joint(tails.place)
            for end in tails.ends:
                self._wire(end, stop.arrives, stop.spot)
            return
        joint = self._joint(("in", frozenset(tails.ends), stop.arrives), tails.place, stop.spot)
        for end in tails.ends:
            self._wire(end, joint, stop.spot)
        self._wire(joint, stop.arrives, stop.spot)

    def _check_passed_by(self, end: End, stop: Stop) -> None:
        """A wire to a load's live terminal that goes on from there to a body shorts the load out."""
        links = self._drafts[end.name].part.links if end.kind == "part" else ()
        load = next((link for link in links if link.kind == "load" and link.a == end.terminal), None)
        if load is not None:
            self._ledger.say(
                stop.spot,
                f"the path goes from {end} to body {stop.arrives} without passing through {end.name!r}",
                f"write {end.name} {load.name}",
            )

    def _no_joint(self, place: Ref) -> None:
        self._ledger.say(
            self._spot(place.offset),
            "there is no joint here to put anywhere: each of these gets a wire of its own to the body",
            "leave out 'at' and the place",
        )

    def _pass(self, stop: Stop, begun: bool, more: bool) -> None:
        """Note the way through a part, or where in it the path ends."""
        if stop.arrives.kind != "part":
            return
        name = stop.arrives.name
        if stop.through is not None and (more or not stop.bare):
            self._trace.steps.append(Pass(name, *stop.through))
        elif begun and not more:
            self._trace.steps.append(Pass(name, stop.arrives.terminal, "", single=stop.single))

    def _branch(self, branch: Branch, tails: _Tails, more: bool) -> _Tails:
        spot = self._spot(branch.offset)
        joint: End | None = None
        if tails.begun and not tails.lost:
            joint = self._part_at(branch, tails, spot)
        exits: list[End] = []
        lost = False
        for chain in branch.chains:
            start = _Tails([joint] if joint else [], lost=tails.lost, begun=tails.begun)
            done = self._chain(chain, start, goes_on=more)
            exits += done.ends
            lost = lost or done.lost
        if not tails.begun and branch.place is not None and not more:
            self._no_joint(branch.place)
        place = branch.place if not tails.begun else None
        return _Tails(list(dict.fromkeys(exits)), place, lost=lost, begun=True)

    def _part_at(self, branch: Branch, tails: _Tails, spot: Spot) -> End:
        """The joint that a branch parts from, with the wires that lead to it."""
        key = ("out", frozenset(tails.ends), self._signature(branch))
        joint = self._joint(key, branch.place, spot)
        for end in tails.ends:
            self._wire(end, joint, spot)
        return joint

    def _signature(self, branch: Branch) -> Signature:
        """What makes a branch the same branch: the ends its alternatives begin at, in any order."""
        return ("branch", frozenset(self._first(chain.items[0]) for chain in branch.chains))

    def _first(self, item: Item) -> object:
        if isinstance(item, Branch):
            return self._signature(item)
        return " ".join(item.text.split())

    # ----------------------------------------------------------------------------------- wires and joints

    def _wire(self, a: End, b: End, spot: Spot) -> None:
        if a == b:
            self._ledger.say(spot, f"this would be a wire from {a} to itself", "name two different ends")
            return
        key = frozenset((a, b))
        if key not in self._index:
            if len(self.hops) >= MOST_WIRES:
                self._ledger.say(
                    spot, f"this is one wire more than {LIMITS['wires']}, which is the most", FIX
                )
                raise SurveyWrong(self._ledger.problems)
            self._index[key] = len(self.hops)
            self.hops.append(Hop(a, b, self._circuit, spot))
            self._check_short(a, b, spot)
        self._trace.steps.append(self._index[key])

    def _check_short(self, a: End, b: End, spot: Spot) -> None:
        """A wire from a live battery post straight to a body is a dead short, whatever it was meant to be."""
        for here, there in ((a, b), (b, a)):
            if here.kind != "part" or there.kind != "body":
                continue
            draft = self._drafts[here.name]
            if draft.kind.capacity_ah is not None and here.terminal == draft.part.outlet:
                right = f"{here.name} {draft.part.inlet}"
                self._ledger.say(
                    spot,
                    f"{here} straight to body {there} is a dead short",
                    f"write {right!r}, or correct 'chassis post'",
                )

    def _joint(self, key: Signature, place: Ref | None, spot: Spot) -> End:
        name = self._joints.get(key)
        if name is None:
            name = self._free_name()
            self._joints[key] = name
            self.splices[name] = SpliceSpec(name, None, self._circuit, self._ledger.where(spot))
        if place is not None:
            self._put(name, place)
        return End("splice", name)

    def _free_name(self) -> str:
        number = len(self.splices) + 1
        while f"S{number}" in self._drafts or f"S{number}" in self.splices:
            number += 1
        return f"S{number}"

    def _put(self, name: str, place: Ref) -> None:
        spot, known = self._spot(place.offset), self.splices[name]
        at = canonical(place.text)
        if at not in self._places:
            if not self._ledger.damage.lost("places", at):
                self._ledger.say(spot, f"no run leads to a place {at!r}", hint(at, self._places))
        elif known.place not in (None, at):
            self._ledger.say(
                spot,
                f"the same joint is put at {known.place!r} in another path",
                "write the same place in both, or in one only",
            )
        else:
            self.splices[name] = SpliceSpec(name, at, known.circuit, known.where)

    # ------------------------------------------------------------------------------------------- look-up

    def find(self, text: str) -> int | None:
        """The wire that a hop "A > B", "A > (B, C)" or "S1 > B" names; complains, None when there is none."""
        self._word = text if isinstance(text, Word) else Word(text, _no_text())
        try:
            items = parse(text).items
        except PathWrong as wrong:
            self._ledger.say(self._spot(wrong.offset), wrong.what, wrong.fix)
            return None
        if len(items) != 2 or not isinstance(items[0], Ref):
            self._ledger.say(
                self._word, "this names more than one wire", "name one hop, as in battery + > starter 30"
            )
            return None
        ends = self._ends(items[0], items[1])
        if ends is None:
            return None
        index = self._index.get(frozenset(ends))
        if index is None and self._whole:
            known = [f"{hop.a} > {hop.b}" for hop in self.hops]
            self._ledger.say(
                self._word,
                f"no path has the wire {' '.join(text.split())!r}",
                hint(text, known, "write a path first"),
            )
        return index

    def _ends(self, first: Ref, second: Item) -> tuple[End, End] | None:
        left = self._end(first, first=True)
        if left is None:
            return None
        if isinstance(second, Branch):
            key = ("out", frozenset((left,)), self._signature(second))
            return left, End("splice", self._joints.get(key, ""))
        right = self._end(second, first=False)
        return None if right is None else (left, right)

    def _end(self, ref: Ref, *, first: bool) -> End | None:
        """One end of a wire that is named: a terminal, a body, or a joint by the name the outputs give it."""
        name = canonical(ref.text)
        if name in self.splices:
            return End("splice", name)
        if JOINT.fullmatch(name) and name not in self._drafts:
            fix = hint(name, self.splices, "no path branches")
            if self._whole:
                self._ledger.say(self._spot(ref.offset), f"no path has a joint {name!r}", fix)
            return None
        stop = self._names.stop(ref, self._at(ref), passed=False, first=first)
        if stop is None:
            return None
        return stop.leaves if first else stop.arrives


def _no_text() -> Text:
    return Text("", Spot(1, 1), "")


def touched(hops: Iterable[Hop]) -> dict[str, set[str]]:
    """Terminals that have wires, by part."""
    found: dict[str, set[str]] = {}
    for hop in hops:
        for end in (hop.a, hop.b):
            if end.kind == "part":
                found.setdefault(end.name, set()).add(end.terminal)
    return found
