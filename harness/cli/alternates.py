"""The alternates of a quote, the file of those accepted, and designs made anew with them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from harness.counter.choices import Accepted

if TYPE_CHECKING:
    from harness.electric.wanted import Wanted
    from harness.model.machine import Machine
    from harness.model.pricing import Matching, Need, PriceList
    from harness.quote.result import Alternate, Quote

MOST_SIZES = 2  # left out one after the other; each is a whole design more


def _cables(machine: Machine) -> dict[str, list[str]]:
    """Every cable of a machine with the labels of its sizes."""
    from harness.electric.ruleset import rule_set

    names = dict.fromkeys([machine.cable, *(spec.cable for spec in machine.wires if spec.cable)])
    return {name: [size.label for size in rule_set(machine.rules, name).sizes] for name in names if name}


def without(machine: Machine, sizes: Sequence[str]) -> Wanted:
    """How to size a machine when these sizes, as "GXL 12 AWG", are not to be had."""
    from harness.electric.wanted import Wanted

    if not sizes:
        return Wanted()
    return Wanted(
        stock={
            name: tuple(label for label in labels if f"{name} {label}" not in sizes)
            for name, labels in _cables(machine).items()
        }
    )


def accepted_of(
    path: Path, wanted_there: bool, machines: Sequence[Path], lists: Sequence[PriceList], *, as_json: bool
) -> Accepted:
    """What a file of choices says, nothing where it need not be there; exits 2 where it is wrong."""
    from harness.cli.read import MOST_BYTES, content_of, machine_of, tell
    from harness.counter.choices import read_choices
    from harness.model.problem import Problem, SurveyWrong, Where

    if not wanted_there and not path.exists():
        return Accepted()
    name, content = content_of(path, MOST_BYTES)
    known: dict[str, None] = {}
    for each in machines:
        if each.suffix.lower() != ".json" and str(each) != "-":
            for cable, labels in _cables(machine_of(each, as_json=as_json)).items():
                known |= dict.fromkeys(f"{cable} {label}" for label in labels)
    try:
        return read_choices(content.decode("utf-8-sig"), name, lists, tuple(known))
    except UnicodeDecodeError:
        tell([Problem(Where(name), "is not UTF-8 text", "save it in UTF-8")], as_json=as_json)
    except SurveyWrong as wrong:
        tell(wrong.problems, as_json=as_json)
    raise SystemExit(2)


def merged(accepted: Accepted, alternates: Sequence[Alternate], names: Sequence[str]) -> Accepted:
    """What was accepted with these alternates taken as well. Raises click.UsageError."""
    from harness.quote.alternates import SIZES

    offered = {one.name: one for one in alternates}
    bought, sizes = dict(accepted.bought), list(accepted.sizes)
    for name in names:
        one = offered.get(name.upper())
        if one is None or not one.choice[0]:
            there = ", ".join(each.name for each in alternates if each.choice[0]) or "none"
            raise click.UsageError(f"--accept: {name!r} is no alternate of this quote; there are: {there}")
        if one.choice[0] == SIZES:
            sizes.append(one.choice[1])
        else:
            bought[one.choice[0]] = one.choice[1]
    return Accepted(bought, tuple(dict.fromkeys(sizes)))


def alternates_of(
    designs: Sequence[tuple[Path, Any, Mapping[str, Any]]], names: Sequence[str], needs: Sequence[Need],
    matching: Matching, lists: Sequence[PriceList], found: Quote, accepted: Accepted, *, in_stock: bool,
    bought: Callable[[Sequence[tuple[str, Any]]], tuple[int, int]],
) -> tuple[Alternate, ...]:  # fmt: skip
    """What may stand in for what: other lines, rolls, and designs without a size that cannot be supplied.

    ``bought``: cents and missing materials of designs' basket.
    """
    from harness.quote.alternates import numbered, other_lines, rolls
    from harness.quote.quoting import basket_of

    missing = [one.key for one in found.open]
    basket = basket_of(needs, matching, lists, in_stock=in_stock)
    offered = [
        *_thicker(designs, names, needs, missing, found, accepted, bought),
        *other_lines(needs, matching, lists, missing),
        *rolls(needs, matching, lists, basket),
    ]
    return numbered(offered)


def _thicker(
    designs: Sequence[tuple[Path, Any, Mapping[str, Any]]], names: Sequence[str], needs: Sequence[Need],
    missing: Sequence[str], found: Quote, accepted: Accepted,
    bought: Callable[[Sequence[tuple[str, Any]]], tuple[int, int]],
) -> list[Alternate]:  # fmt: skip
    """Every machine designed anew without a size of wire that the counter has not got."""
    from harness.book.data import design_dict
    from harness.cli.build import design_of
    from harness.quote.alternates import SIZES, redesigned
    from harness.quote.result import Alternate

    wires = [need for need in needs if need.key in missing and need.group == "wire"]
    sizes = dict.fromkeys(
        f"{need.item.removeprefix('wire, ').removesuffix(' fine-stranded')} {need.size}" for need in wires
    )
    if any(machine is None for _, machine, _ in designs):
        return []
    offered = []
    for size in list(sizes)[:MOST_SIZES]:
        told: list[tuple[str, Any]] = []
        words: list[str] = []
        for name, (_, machine, data) in zip(names, designs, strict=True):
            try:
                made = design_of(machine, without(machine, (*accepted.sizes, size)), quiet=True)
            except click.ClickException:
                break  # without this size no wire or no load is served
            after = design_dict(made)
            told.append((name, after))
            if any(f"{wire['cable']} {wire['size']}" == size for wire in data["wires"] if not wire["kept"]):
                changed = redesigned(data, after)
                if changed is None:
                    break
                words += [f"{name}: {text}" if len(names) > 1 else text for text in changed]
        else:
            cents, lacking = bought(told)
            if lacking < len(found.open):
                words.insert(0, f"{len(found.open) - lacking} more of the materials can be supplied")
                what = f"thicker wire in place of {size}, the design made anew"
                offered.append(Alternate("", what, cents - found.net_cents, tuple(words), (SIZES, size)))
    return offered
