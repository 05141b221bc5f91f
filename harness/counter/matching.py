"""Which lines of price lists serve a need: for certain, or not at all; what is near is only offered.

A line serves for certain where it is of the same kind, states everything that matters about that kind, agrees
in all of it, contradicts nothing, and says no word that is not understood. Where several lines of one list
do so and differ in anything but pack and price, a person has to say which is meant.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from math import log

from harness.counter.grammar import KIND, UNKNOWN, Kind, kinds, stated
from harness.model.cables import BATTERY_CABLES
from harness.model.pricing import Candidate, Match, Matching, Need, Offer, PriceList, Unmatched

MOST_CANDIDATES = 3
SEVERAL = (
    "size",
    "range",
    "stud",
    "thread",
    "hole",
    "bolt hole",
    "bore",
)  # stated in several systems at once
Traits = Mapping[str, tuple[str, ...]]
_NUMBER = re.compile(r"[0-9]*\.?[0-9]+")


@dataclass(frozen=True, slots=True)
class Choices:
    """What a person has settled: need -> part numbers, none of them for "none"; words that say nothing."""

    lines: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    silent: frozenset[str] = frozenset()


def traits_of(need: Need) -> Traits:
    """What a need asks for, read by the same grammar as a list's lines."""
    return stated(", ".join(word for word in (need.item, need.size, need.colour) if word), pack=False)


def unlike_numbers(lists: Sequence[PriceList]) -> dict[str, list[str]]:
    """Part numbers that several suppliers use, not for the very same thing -> how to name each line."""
    by_number: dict[str, list[Offer]] = {}
    for one in lists:
        for offer in one.offers:
            by_number.setdefault(offer.part_number, []).append(offer)
    return {
        number: [offer.id for offer in offers]
        for number, offers in by_number.items()
        if len(offers) > 1
        and (len({_said(offer) for offer in offers}) > 1 or any(UNKNOWN in offer.traits for offer in offers))
    }


def line_name(offer: Offer, lists: Sequence[PriceList]) -> str:
    """What a file calls a line: its part number, with the supplier before it where another has that too."""
    others = (one for each in lists for one in each.offers if one.part_number == offer.part_number)
    return offer.part_number if sum(1 for _ in others) == 1 else offer.id


class Matcher:
    """Lists that are looked through for many needs; what was found for one is not looked for again."""

    def __init__(self, lists: Sequence[PriceList]) -> None:
        self._offers = [offer for one in lists for offer in one.offers]
        self._by_number: dict[str, list[Offer]] = {}
        self._by_kind: dict[str, list[Offer]] = {}
        for offer in self._offers:
            self._by_number.setdefault(offer.part_number, []).append(offer)
            self._by_number.setdefault(offer.id, []).append(offer)
            self._by_kind.setdefault(next(iter(offer.traits.get(KIND, ("",)))), []).append(offer)
        self._known: dict[tuple[str, str, frozenset[str]], Match | Unmatched] = {}

    def matched(self, needs: Sequence[Need], choices: Choices | None = None) -> Matching:
        """What serves every need: by hand where a person has settled it, else for certain, else nothing."""
        choices = choices or Choices()
        matches: list[Match] = []
        left: list[Unmatched] = []
        for need in needs:
            settled = choices.lines.get(need.key)
            if settled is None:
                found = self._looked_for(need, choices.silent)
            elif chosen := tuple(offer for number in settled for offer in self._by_number.get(number, ())):
                found = Match(need.key, chosen, "by person")
            else:
                why = "none of the lists, by hand" if not settled else "not in these lists"
                found = Unmatched(need.key, why)
            if isinstance(found, Match):
                matches.append(found)
            else:
                left.append(found)
        return Matching(tuple(matches), tuple(left))

    def differing(self, need: Need, silent: frozenset[str] = frozenset()) -> list[Candidate]:
        """Every line that one thing alone speaks against, such as its colour, the nearest first."""
        wanted = traits_of(need)
        kind = kinds().get(next(iter(wanted.get(KIND, ("",)))))
        if kind is None:
            return []
        offers = self._by_kind.get(kind.name, ())
        near = (_compared(need, wanted, kind, offer, silent) for offer in offers)
        return sorted((one for one in near if len(one.why) == 1), key=lambda one: (one.score, one.offer.id))

    def _looked_for(self, need: Need, silent: frozenset[str]) -> Match | Unmatched:
        key = (need.key, need.unit, silent)
        if key not in self._known:
            self._known[key] = _found(need, self._by_kind, self._offers, silent)
        return self._known[key]


def matched(needs: Sequence[Need], lists: Sequence[PriceList], choices: Choices | None = None) -> Matching:
    """What of these lists serves every need, as ``Matcher`` finds it."""
    return Matcher(lists).matched(needs, choices)


def _found(
    need: Need, by_kind: Mapping[str, Sequence[Offer]], offers: Sequence[Offer], silent: frozenset[str]
) -> Match | Unmatched:
    wanted = traits_of(need)
    kind = kinds().get(next(iter(wanted.get(KIND, ("",)))))
    if kind is None:
        return Unmatched(need.key, "what this is, is not understood", _alike(need, offers))
    compared = [_compared(need, wanted, kind, offer, silent) for offer in by_kind.get(kind.name, ())]
    certain = [one.offer for one in compared if not one.why]
    exact = [offer for offer in certain if set(wanted.get("cable", ())) <= set(offer.traits.get("cable", ()))]
    certain = exact or certain
    if certain:
        unlike = _unlike(certain)
        if not unlike:
            return Match(need.key, tuple(certain), "exact")
        several = tuple(Candidate(offer, (), 0.0) for offer in unlike)
        return Unmatched(need.key, f"{len(unlike)} lines of one list may be meant", several)
    near = sorted(compared, key=lambda one: (one.score, one.offer.id))[:MOST_CANDIDATES]
    missing = [trait for trait in kind.matters if trait not in wanted]
    why = f"the design leaves {', '.join(missing)} open" if missing else "no line says all of this"
    return Unmatched(
        need.key, why if near else f"no {kind.name} in the lists", tuple(near) or _alike(need, offers)
    )


def _unlike(certain: Sequence[Offer]) -> list[Offer]:
    """The lines of a supplier that say unlike things; none where all say the same but for pack and price."""
    by_supplier: dict[str, list[Offer]] = {}
    for offer in certain:
        by_supplier.setdefault(offer.supplier, []).append(offer)
    for offers in by_supplier.values():
        if len({_said(offer) for offer in offers}) > 1:
            return offers
    return []


def _said(offer: Offer) -> tuple[object, ...]:
    return tuple(
        sorted((name, frozenset(values)) for name, values in offer.traits.items() if name != UNKNOWN)
    )


def _compared(need: Need, wanted: Traits, kind: Kind, offer: Offer, silent: frozenset[str]) -> Candidate:
    """What speaks against a line, and how far it is from what is needed."""
    why: list[str] = []
    score = 0.0
    for trait in (*kind.matters, *kind.maybe):
        mine, theirs = wanted.get(trait, ()), offer.traits.get(trait, ())
        if not mine or not theirs:
            if trait in kind.matters:
                lacking = "the line does not say" if mine else "the design leaves open"
                why.append(f"{lacking} the {trait}")
                score += 1.0
            continue
        if not _agree(trait, mine, theirs):
            why.append(f"{trait} {' '.join(theirs)}, wanted {' '.join(mine)}")
            score += 1.0 + _apart(mine[0], theirs[0])
    strange = [word for word in offer.traits.get(UNKNOWN, ()) if word not in silent]
    asked = wanted.get(UNKNOWN, ())
    more = [word for word in strange if word not in asked]
    less = [word for word in asked if word not in strange]
    if more:
        why.append(f"it also says {' '.join(more[:4])!r}")
        score += 0.3 * len(more[:4])
    if less:
        why.append(f"it does not say {' '.join(less[:4])!r}")
        score += 0.3 * len(less[:4])
    if need.unit != offer.unit:
        sold = "by length" if offer.unit == "m" else "by the piece"
        why.append(f"sold {sold}")
        score += 0.5
    return Candidate(offer, tuple(why), score)


def _agree(trait: str, mine: Iterable[str], theirs: Iterable[str]) -> bool:
    """Whether a line offers what is wanted: one of the values it states, or a span that holds it."""
    mine, theirs = set(mine), set(theirs)
    if trait == "colour":
        return mine == theirs
    if trait == "material":
        return "any" in mine or mine == theirs
    if trait == "outside":
        return all(any(_holds(span, value) for span in theirs) for value in mine)
    if trait == "cable":
        return any(one in theirs or theirs & set(BATTERY_CABLES.get(one, ())) for one in mine)
    if trait in SEVERAL:  # a terminal may be marked in both systems: 16-14 AWG and 1.5-2.5 mm2
        return mine <= theirs and len({_system(one) for one in theirs}) == len(theirs)
    return mine == theirs


def _system(value: str) -> str:
    """What a value counts in: "AWG", "mm2", "M", "in"."""
    return "".join(letter for letter in value if letter.isalpha() or letter == "#")


def _holds(span: str, value: str) -> bool:
    low, dash, high = span.partition("-")
    if not dash:
        return span == value
    return float(low) <= float(value.partition("-")[0]) <= float(high)


@lru_cache(maxsize=20_000)
def _apart(mine: str, theirs: str) -> float:
    """How far two values are from each other, 0 to 1, by the first number in each."""
    numbers = [float(found[0]) if (found := _NUMBER.search(value)) else 0.0 for value in (mine, theirs)]
    if min(numbers) <= 0:
        return 1.0
    return min(1.0, abs(log(numbers[0] / numbers[1])))


def _alike(need: Need, offers: Sequence[Offer]) -> tuple[Candidate, ...]:
    """Lines that share words with a need, where nothing better is known."""
    words = set(f"{need.item} {need.size} {need.colour}".casefold().replace(",", " ").split())
    shared = [
        (len(words & set(offer.description.casefold().replace(",", " ").split())), offer) for offer in offers
    ]
    best = sorted((one for one in shared if one[0] >= 2), key=lambda one: (-one[0], one[1].id))
    return tuple(
        Candidate(offer, ("only some words are the same",), 5.0 - count)
        for count, offer in best[:MOST_CANDIDATES]
    )
