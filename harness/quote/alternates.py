"""Substitutions the trade allows, each with its price difference and what it changes, in words."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any

from harness.buying.plan import MARKS_PER_M
from harness.counter.choices import BOUGHT
from harness.counter.insulation import heat_c
from harness.counter.matching import line_name
from harness.model.accepted import Choice
from harness.model.pricing import Candidate, Match, Matching, Need, Offer, PriceList
from harness.quote.basket import cheapest
from harness.quote.quoting import need_words, shop
from harness.quote.result import Alternate
from harness.quote.wares import Supplier

BLACK = {
    "BK",
    "B",
}  # by IEC 60757 and by BS AU 7; grounds by common practice, whichever post is on the chassis
MOST_TOLD = 8  # changed wires, fittings or runs in one list
MOST_ROLLS = 8  # alternates of this sort, the ones that cost least
More = Callable[[Sequence[Need], Matching], tuple[int, int]]  # cents more than the quote, and what is missing


def other_colour(need: Need, near: Candidate) -> str:
    """The colour a line offers for a wire it differs from in nothing else; "" where it does not.

    Black is neither given nor taken: whoever finds a live wire in the colour of grounds trusts it.
    """
    colours = near.offer.traits.get("colour", ())
    alone = need.group == "wire" and len(near.why) == 1 and near.why[0].startswith("colour ")
    return colours[0] if alone and len(colours) == 1 and not {need.colour, *colours} & BLACK else ""


def other_insulation(need: Need, near: Candidate) -> tuple[str, tuple[str, ...]] | None:
    """The cable a line offers for a wire it differs from in nothing else, and what that means.

    None where it differs otherwise, or stands less heat by its table: that the trade forbids.
    """
    if need.group != "wire" or len(near.why) != 1 or not near.why[0].startswith("cable "):
        return None
    wanted = heat_c(need.item.removeprefix("wire, ").removesuffix(" fine-stranded"))
    offered = {cable: heat_c(cable) for cable in near.offer.traits.get("cable", ())}
    stands = [heat for heat in offered.values() if heat is not None]
    if wanted is None or len(stands) != len(offered) or not stands or min(stands) < wanted:
        return None
    cable = min(offered, key=lambda one: (offered[one] or 0.0, one))
    return cable, (
        f"the insulation stands {min(stands):g} °C, asked are {wanted:g} °C",
        "another wall changes seals and crimp dies: try one of each before you cut",
    )


def recoloured(needs: Sequence[Need], one: Need, colour: str) -> list[Need]:
    """The needs with one wire in another colour, on one spool with what has that colour already."""
    key = f"{one.group}: {one.item}; {one.size}; {colour}"
    there = next((need for need in needs if need.key == key), None)
    if there is None:
        return [replace(need, key=key, colour=colour) if need is one else need for need in needs]
    names = dict.fromkeys((*there.by_machine, *one.by_machine))
    both = replace(
        there, amount=there.amount + one.amount, pieces=(*there.pieces, *one.pieces),
        by_machine={
            name: there.by_machine.get(name, Decimal(0)) + one.by_machine.get(name, Decimal(0))
            for name in names
        },
    )  # fmt: skip
    return [both if need is there else need for need in needs if need is not one]


def other_offer(matching: Matching, need: Need, offer: Offer) -> Matching:
    """The matching with one line taken for a need, whatever served it before."""
    return Matching(
        (*(one for one in matching.matches if one.key != need.key), Match(need.key, (offer,), "by person")),
        tuple(one for one in matching.unmatched if one.key != need.key),
    )


def _beside(data: Mapping[str, Any], need: Need, colour: str) -> tuple[list[str], list[str]]:
    """The wires of a spool, and where one of them lands at one part with a wire of some colour."""
    cable = need.item.removeprefix("wire, ")
    mine: list[Mapping[str, Any]] = []
    there: dict[tuple[str, str], str] = {}
    for wire in data["wires"]:
        of = f"{wire['cable']}{' fine-stranded' if wire['fine_stranded'] else ''}"
        if not wire["kept"] and (of, wire["size"], wire["colour"]) == (cable, need.size, need.colour):
            mine.append(wire)
        elif wire["colour"] == colour:
            for end in (wire["from"], wire["to"]):
                there.setdefault((end["kind"], end["part"]), wire["number"])
    beside = [
        f"{wire['number']} beside {there[end['kind'], end['part']]} at {end['part']}"
        for wire in mine
        for end in (wire["from"], wire["to"])
        if (end["kind"], end["part"]) in there
    ]
    return [wire["number"] for wire in mine], beside


def best_colour(
    need: Need, near: Sequence[Candidate], designs: Sequence[Mapping[str, Any]]
) -> tuple[Offer, str] | None:
    """The line and colour to take for a wire: first one that lands beside no other wire of that colour."""
    found = {colour: one.offer for one in reversed(near) if (colour := other_colour(need, one))}
    if not found:
        return None
    lands = {colour: sum(len(_beside(data, need, colour)[1]) for data in designs) for colour in found}
    colour = min(found, key=lambda one: (lands[one], -list(found).index(one)))
    return found[colour], colour


def wires_of(designs: Sequence[Mapping[str, Any]], need: Need, colour: str) -> tuple[str, ...]:
    """What another colour means: which wires change, and where one lands beside others of that colour."""
    each = [_beside(data, need, colour) for data in designs]
    changed, beside = [one for mine, _ in each for one in mine], [one for _, at in each for one in at]
    like = f"of one colour at one part: {_told(beside)}" if beside else f"no other {colour} lands beside it"
    return (
        f"in drawings and lists {colour} from then on: {_told(changed)}; the labels on both ends must stay",
        like,
        "size, insulation and fittings stay as they are",
    )


def rolls(
    needs: Sequence[Need], matching: Matching, lists: Sequence[PriceList], more: More
) -> list[Alternate]:
    """Whole rolls in place of cut lengths, where the lists have them: what more it costs, what is kept."""
    free = [Supplier(one.supplier) for one in lists]
    found: list[tuple[int, Need, Offer, Decimal]] = []
    for need in needs:
        wishes, wares, behind = shop([need], matching, in_stock=False)
        whole = [ware for ware in wares if not ware.to_length]
        if not need.pieces or not whole or len(whole) == len(wares):
            continue
        now = cheapest(wishes, wares, free)
        if now.missing or not any(ware.id in now.counts for ware in wares if ware.to_length):
            continue
        rolled = cheapest([replace(wishes[0], wares=tuple(ware.id for ware in whole))], whole, free)
        if rolled.missing or len(rolled.counts) != 1:
            continue
        (name,) = rolled.counts
        bought = next(ware.amount for ware in whole if ware.id == name) * rolled.counts[name]
        kept = Decimal(bought - sum(wishes[0].pieces)) / MARKS_PER_M
        found.append((rolled.goods_cents - now.goods_cents, need, behind[name], kept))
    found.sort(key=lambda one: one[0])
    offered = []
    for _, need, offer, kept in found[:MOST_ROLLS]:
        cents, _ = more(needs, other_offer(matching, need, offer))
        words = (f"{kept:.2f} m stay with you for the next job", "the design does not change")
        what = f"{offer.sold_as} for {need_words(need)}, in place of cut lengths"
        choice = Choice(BOUGHT, need.key, line_name(offer, lists), offer.description)
        offered.append(Alternate("", what, cents, words, choice))
    return sorted(offered, key=lambda one: one.difference_cents)


def _told(items: Sequence[str]) -> str:
    more = len(items) - MOST_TOLD
    return ", ".join(items[:MOST_TOLD]) + (f" and {more} more" if more > 0 else "")


def _worst(data: Mapping[str, Any]) -> set[tuple[str, str]]:
    return {
        (one["rule"], one["subject"]) for one in data["findings"] if one["severity"] in ("danger", "fault")
    }


def redesigned(before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[str, ...] | None:
    """What a design with a substitution changes; None for no wire, or where it brings a danger or a fault.

    Both are design data of one machine.
    """
    if _worst(after) - _worst(before):
        return None
    was = {wire["number"]: wire for wire in before["wires"]}
    changed, ends = [], []
    for wire in after["wires"]:
        old = was.get(wire["number"])
        if old is None or (old["size"], old["cable"]) == (wire["size"], wire["cable"]):
            continue
        same = old["cable"] == wire["cable"]
        was_, now = (one["size"] if same else f"{one['cable']} {one['size']}" for one in (old, wire))
        changed.append(f"{wire['number']} {was_} > {now}")
        for end in ("from_end", "to_end"):
            if old[end]["terminal"] != wire[end]["terminal"]:
                ends.append(f"{wire['number']}: {wire[end]['terminal']}")
    if not changed:
        return None
    words = [f"wires: {_told(changed)}"]
    words.append(f"other terminals: {_told(ends)}" if ends else "the terminals stay as they are")
    runs = {run["name"]: run for run in before["runs"]}
    for what, title in (("grommet", "other grommets"), ("covering", "other covering")):
        others = [
            f"{run['name']}: {run[what] or 'none'}"
            for run in after["runs"]
            if run["name"] in runs and runs[run["name"]][what] != run[what]
        ]
        words.append(f"{title}: {_told(others)}" if others else f"no {title}")
    words += _other_goods(before, after)
    more = after["totals"]["copper_kg"] - before["totals"]["copper_kg"]
    words.append(f"{abs(more):.2f} kg {'more' if more >= 0 else 'less'} copper; no new danger or fault")
    return tuple(words)


def _other_goods(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[str]:
    """Fuses of other ratings, and goods besides wire that are needed now or no more."""
    words = []
    ratings = {fuse["name"]: fuse["rating_a"] for fuse in before["fuses"]}
    fuses = [
        f"{fuse['name']} {ratings[fuse['name']]:g} > {fuse['rating_a']:g} A"
        for fuse in after["fuses"]
        if ratings.get(fuse["name"], fuse["rating_a"]) != fuse["rating_a"]
    ]
    words.append(f"other fuses: {_told(fuses)}" if fuses else "the fuses stay as they are")
    was, now = (
        {line["key"]: line["key"].partition(": ")[2] for line in data["materials"] if line["group"] != "wire"}
        for data in (before, after)
    )
    for title, some, others in (("needed now", now, was), ("needed no more", was, now)):
        goods = [text for key, text in some.items() if key not in others]
        words += [f"{title}: {_told(goods)}"] if goods else []
    return words


def numbered(alternates: Sequence[Alternate]) -> tuple[Alternate, ...]:
    """The same with their names: ALT-1, ALT-2."""
    return tuple(replace(one, name=f"ALT-{at}") for at, one in enumerate(alternates, start=1))
