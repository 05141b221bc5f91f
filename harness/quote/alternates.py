"""Substitutions the trade allows, each with its price difference and what it changes, in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from harness.model.pricing import Candidate, Match, Matching, Need, PriceList
from harness.quote.basket import cheapest
from harness.quote.quoting import MARKS_PER_M, need_words, shop
from harness.quote.result import Alternate
from harness.quote.wares import Basket, Supplier
from harness.tables import load

MOST_TOLD = 8  # changed wires, fittings or runs in one list
MOST_ROLLS = 8  # alternates of this sort, the ones that cost least
BOUGHT, SIZES = "bought instead", "leave out sizes"  # sections of a file of choices


def _heat(word: str) -> float | None:
    """What a type or class of cable stands [°C]; None where no table says."""
    for row in load("sae_j1128_types").rows:
        if row["type"] == word:
            return float(row["temp_max_C"])
    for row in load("cable_temperature_class_iso").rows:
        if f"class {row['class']}" == word:
            return float(row["temp_max_C"])
    return None


def _other_words(need: Need, near: Candidate) -> tuple[str, ...] | None:
    """What it means to take this line for a need; None where the trade forbids it or more differs."""
    if need.group != "wire" or len(near.why) != 1:
        return None
    if near.why[0].startswith("colour "):
        return (
            f"drawings, cut list and labels still say {need.colour}: only if the label on both ends stays",
            "size and insulation are as designed",
        )
    if near.why[0].startswith("cable "):
        asked = need.item.removeprefix("wire, ").removesuffix(" fine-stranded")
        wanted, offered = _heat(asked), [_heat(one) for one in near.offer.traits.get("cable", ())]
        stands = [heat for heat in offered if heat is not None]
        if wanted is None or len(stands) != len(offered) or not stands or min(stands) < wanted:
            return None  # insulation for less heat: never
        return (
            f"the insulation stands {min(stands):g} °C, asked are {wanted:g} °C",
            "another wall changes seals and crimp dies: try one of each before you cut",
        )
    return None


def other_lines(
    needs: Sequence[Need], matching: Matching, lists: Sequence[PriceList], missing: Sequence[str]
) -> Iterator[Alternate]:
    """For wire the counter cannot supply: another colour, or insulation that stands as much heat or more."""
    open_ = {one.key: one for one in matching.unmatched}
    free = [Supplier(one.supplier) for one in lists]
    for need in needs:
        if need.key not in missing or need.key not in open_:
            continue
        for near in open_[need.key].candidates:
            words = _other_words(need, near)
            if words is None:
                continue
            instead = Matching((Match(need.key, (near.offer,), "by person"),), ())
            wishes, wares, _ = shop([need], instead, in_stock=False)
            found = cheapest(wishes, wares, free)
            if not found.missing:
                what = f"{near.offer.part_number} {near.offer.description} for {need_words(need)}"
                yield Alternate(
                    "", what, found.goods_cents, ("supplied, where now it is missing", *words),
                    (need.key, near.offer.part_number),
                )  # fmt: skip
                break


def rolls(
    needs: Sequence[Need], matching: Matching, lists: Sequence[PriceList], basket: Basket
) -> list[Alternate]:
    """Whole rolls in place of cut lengths, where the lists have them: what more it costs, what is kept."""
    free = [Supplier(one.supplier) for one in lists]
    found = []
    for need in needs:
        wishes, wares, behind = shop([need], matching, in_stock=False)
        lengths = [ware for ware in wares if ware.to_length]
        whole = [ware for ware in wares if not ware.to_length]
        if not need.pieces or not whole or not any((need.key, ware.id) in basket.shares for ware in lengths):
            continue
        now = cheapest(wishes, wares, free)
        rolled = cheapest([replace(wishes[0], wares=tuple(ware.id for ware in whole))], whole, free)
        if now.missing or rolled.missing:
            continue
        bought = sum(ware.amount * rolled.counts.get(ware.id, 0) for ware in whole)
        kept = (bought - sum(wishes[0].pieces)) / MARKS_PER_M
        numbers = [behind[name].part_number for name in rolled.counts]
        words = (f"{kept:.2f} m stay with you for the next job", "the design does not change")
        what = f"{behind[next(iter(rolled.counts))].sold_as} for {need_words(need)}, in place of cut lengths"
        choice = (need.key, numbers[0]) if len(numbers) == 1 else ("", "")
        found.append(Alternate("", what, rolled.goods_cents - now.goods_cents, words, choice))
    return sorted(found, key=lambda one: one.difference_cents)[:MOST_ROLLS]


def _told(items: Sequence[str]) -> str:
    more = len(items) - MOST_TOLD
    return ", ".join(items[:MOST_TOLD]) + (f" and {more} more" if more > 0 else "")


def _worst(data: Mapping[str, Any]) -> set[tuple[str, str]]:
    return {
        (one["rule"], one["subject"]) for one in data["findings"] if one["severity"] in ("danger", "fault")
    }


def redesigned(before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[str, ...] | None:
    """What a design without some size changes; None where it brings a danger or a fault, or no thicker wire.

    Both are design data of one machine.
    """
    if _worst(after) - _worst(before):
        return None
    was = {wire["number"]: wire for wire in before["wires"]}
    changed, ends = [], []
    for wire in after["wires"]:
        old = was.get(wire["number"])
        if old is None or old["size"] == wire["size"]:
            continue
        changed.append(f"{wire['number']} {old['size']} > {wire['size']}")
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
    more = after["totals"]["copper_kg"] - before["totals"]["copper_kg"]
    words.append(f"{abs(more):.2f} kg {'more' if more >= 0 else 'less'} copper; no new danger or fault")
    return tuple(words)


def numbered(alternates: Sequence[Alternate]) -> tuple[Alternate, ...]:
    """The same with their names: ALT-1, ALT-2."""
    return tuple(replace(one, name=f"ALT-{at}") for at, one in enumerate(alternates, start=1))


def _quoted(word: str) -> str:
    plain = "".join(letter if letter.isprintable() else " " for letter in word)
    return "'" + plain.replace("'", "''") + "'"


def choices_text(bought: Mapping[str, str], sizes: Sequence[str]) -> str:
    """A file of choices: what is bought in place of what the lists would serve, and sizes left out."""
    lines = [
        "# Substitutions accepted in a quote; give this file as --choices. Delete a line to take one back.",
        f"{BOUGHT}:" + ("" if bought else " {}"),
        *(f"  {_quoted(key)}: {_quoted(number)}" for key, number in bought.items()),
        f"{SIZES}:" + ("" if sizes else " []"),
        *(f"  - {_quoted(size)}" for size in sizes),
    ]
    return "\n".join(lines) + "\n"
