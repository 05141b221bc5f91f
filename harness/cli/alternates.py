"""The alternates of a quote: which may be taken, and designs made anew to see what each changes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from harness.cli.yard import Each
from harness.model.accepted import Choice

if TYPE_CHECKING:
    from harness.cli.prices import Pairing
    from harness.model.pricing import Candidate, Matching, Need, Offer
    from harness.quote.result import Alternate, Quote

MOST_DESIGNS = 3  # made anew to see what an alternate changes; each takes as long as a build without drawings


def picked(alternates: Sequence[Alternate], names: Sequence[str]) -> list[Choice]:
    """The alternates of these names, as lines of a file of choices. Raises click.UsageError."""
    offered = {one.name: one for one in alternates}
    taken = []
    for name in names:
        one = offered.get(name.upper())
        if one is None or not one.choice.section:
            there = ", ".join(each.name for each in alternates if each.choice.section) or "none"
            raise click.UsageError(f"--accept: {name!r} is no alternate of this quote; there are: {there}")
        taken.append(one.choice)
    return taken


def marked(yard: Sequence[Each], names: Sequence[str]) -> list[tuple[str, Mapping[str, Any]]]:
    """Each machine's name and design data, pieces to cut marked by machine where there are several."""
    from harness.quote.quoting import labelled

    if len(yard) == 1:
        return [(names[0], yard[0].data)]
    numbered = enumerate(zip(names, yard, strict=True), start=1)
    return [(name, labelled(each.data, str(at))) for at, (name, each) in numbered]


def bought_of(yard: Sequence[Each]) -> Mapping[str, str]:
    """Material -> part number accepted for any of the machines."""
    from harness.counter.choices import joined

    return joined([each.accepted for each in yard]).bought


class Paid:
    """What goods come to under the terms of one quote, set against that quote."""

    def __init__(
        self, pairing: Pairing, yard: Sequence[Each], found: Quote, *, in_stock: bool, one_supplier: bool
    ) -> None:
        """Take the terms of a quote."""
        self.pairing, self.bought, self.found = pairing, bought_of(yard), found
        self.terms = {"in_stock": in_stock, "one_supplier": one_supplier}

    def more(self, needs: Sequence[Need], matching: Matching | None = None) -> tuple[int, int]:
        """Cents more than the quote, and how many materials are missing."""
        from harness.quote.quoting import basket_of

        matching = matching or self.pairing.matched(needs, self.bought)
        basket = basket_of(needs, matching, self.pairing.lists, **self.terms)
        return basket.cents - self.found.basket_cents, len(basket.missing)


def alternates_of(
    yard: Sequence[Each], names: Sequence[str], needs: Sequence[Need], matching: Matching, paid: Paid
) -> tuple[Alternate, ...]:
    """What may stand in for what, with what it costs and what it changes."""
    from harness.quote.alternates import numbered, rolls

    missing = {one.key for one in paid.found.open}
    wires = [need for need in needs if need.key in missing and need.group == "wire"]
    near = {need.key: paid.pairing.differing(need) for need in wires}
    offered: list[Alternate] = []
    if all(each.machine is not None for each in yard):
        designs = [*_sizes(wires, needs, paid), *_cables(wires, near)]
        for choice, what, words in designs[:MOST_DESIGNS]:
            made = _designed(yard, names, choice, paid, what, words)
            offered += [made] if made is not None else []
    offered += _bought_otherwise(yard, near, needs, matching, paid)
    offered += rolls(needs, matching, paid.pairing.lists, paid.more)
    return numbered(offered)


def _sizes(
    wires: Sequence[Need], needs: Sequence[Need], paid: Paid
) -> Iterator[tuple[Choice, str, tuple[str, ...]]]:
    """Sizes to leave out, in one colour or altogether, where a thicker one is in the lists."""
    from harness.counter.choices import FINE, SIZES
    from harness.electric.ruleset import rule_set

    missing = {need.key for need in wires}
    seen = set()
    for need in wires:
        cable = need.item.removeprefix("wire, ")
        plain = cable.removesuffix(FINE)
        rules = "iso" if plain.startswith("class ") else "sae"
        labels = [size.label for size in rule_set(rules, plain).sizes]
        if need.size not in labels:
            continue
        thicker = [replace(need, size=label) for label in labels[labels.index(need.size) + 1 :]]
        if not any(_key_matched(other, paid) for other in thicker):
            continue
        alike = [one for one in needs if (one.item, one.size) == (need.item, need.size)]
        whole = len(alike) > 1 and all(one.key in missing for one in alike)
        name = f"{plain} {need.size}" + ("" if whole else f" {need.colour}")
        if name not in seen:
            seen.add(name)
            yield Choice(SIZES, name), f"thicker wire in place of {name}, the design made anew", ()


def _key_matched(need: Need, paid: Paid) -> bool:
    """Whether a line of the lists is this wire."""
    key = f"{need.group}: {need.item}; {need.size}; {need.colour}"
    return bool(paid.pairing.matched([replace(need, key=key)]).matches)


def _cables(
    wires: Sequence[Need], near: Mapping[str, Sequence[Candidate]]
) -> Iterator[tuple[Choice, str, tuple[str, ...]]]:
    """Other cable for a spool, in the same size and colour, that stands as much heat or more."""
    from harness.counter.choices import CABLES
    from harness.quote.alternates import other_insulation

    for need in wires:
        for candidate in near.get(need.key, ()):
            found = other_insulation(need, candidate)
            if found is not None:
                cable, words = found
                spool = f"{need.item.removeprefix('wire, ')} {need.size} {need.colour}"
                yield (
                    Choice(CABLES, spool, cable),
                    f"{cable} in place of {spool}, the design made anew",
                    words,
                )
                break


def _designed(
    yard: Sequence[Each], names: Sequence[str], choice: Choice, paid: Paid, what: str, words: Sequence[str]
) -> Alternate | None:
    """Every machine it concerns designed anew; None where that cannot be or brings a danger or fault."""
    from harness.counter.choices import with_choice
    from harness.counter.needs import needs_of
    from harness.quote.alternates import redesigned
    from harness.quote.result import Alternate

    other: list[Each] = []
    told: list[str] = []
    for name, each in zip(names, yard, strict=True):
        if not each.concerns(choice):
            other.append(each)
            continue
        try:
            data = each.design_data(accepted=with_choice(each.accepted, choice))
        except click.ClickException:
            return None  # without it no wire or no load is served
        changed = redesigned(each.data, data)
        if changed is None:
            return None
        told += [f"{name}: {text}" if len(names) > 1 else text for text in changed]
        other.append(replace(each, data=data))
    cents, missing = paid.more(needs_of(marked(other, names)))
    served = len(paid.found.open) - missing
    if served <= 0:
        return None
    return Alternate(
        "", what, cents, (f"{served} more of the materials can be supplied", *words, *told), choice
    )


def _bought_otherwise(
    yard: Sequence[Each], near: Mapping[str, Sequence[Candidate]], needs: Sequence[Need], matching: Matching,
    paid: Paid,
) -> Iterator[Alternate]:  # fmt: skip
    """Wire in another colour; where only design data is there, other insulation too, bought as it is."""
    from harness.counter.choices import BOUGHT, COLOURS
    from harness.counter.matching import line_name
    from harness.quote.alternates import (
        best_colour,
        other_insulation,
        other_offer,
        recoloured,
        wires_of,
    )
    from harness.quote.quoting import need_words
    from harness.quote.result import Alternate

    surveyed = all(each.machine is not None for each in yard)
    designs = [each.data for each in yard]
    for need in needs:
        if need.key not in near:
            continue
        ways: list[tuple[Offer, Choice, tuple[int, int], tuple[str, ...]]] = []
        found = best_colour(need, near[need.key], designs)
        if found is not None:
            offer, colour = found
            spool = f"{need.item.removeprefix('wire, ')} {need.size} {need.colour}"
            if surveyed:
                comes_to = paid.more(recoloured(needs, need, colour))
                choice, words = Choice(COLOURS, spool, colour), wires_of(designs, need, colour)
            else:
                comes_to = paid.more(needs, other_offer(matching, need, offer))
                choice = Choice(BOUGHT, need.key, line_name(offer, paid.pairing.lists), offer.description)
                still = f"drawings, cut list and labels still say {need.colour}"
                words = (f"{still}: only if the label on both ends stays",)
            ways.append((offer, choice, comes_to, words))
        for candidate in near[need.key] if not surveyed else ():
            better = other_insulation(need, candidate)
            if better is not None:
                offer = candidate.offer
                choice = Choice(BOUGHT, need.key, line_name(offer, paid.pairing.lists), offer.description)
                ways.append((offer, choice, paid.more(needs, other_offer(matching, need, offer)), better[1]))
                break
        for offer, choice, (cents, missing), words in ways:
            if missing < len(paid.found.open):
                what = f"{offer.part_number} {offer.description} for {need_words(need)}"
                yield Alternate("", what, cents, ("supplied, where now it is missing", *words), choice)
