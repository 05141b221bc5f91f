"""Commands for price lists: what was understood of one, and which line of it is which material."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from harness.cli.listoptions import CHOICES, DECIMAL, LISTS, MACHINES, MATCHES, default_matches
from harness.cli.options import JSON
from harness.signs import file_shown, json_text

if TYPE_CHECKING:
    from harness.counter.matchfile import MatchFile
    from harness.model.pricing import Candidate, Matching, Need, PriceList

MOST_SHOWN = 12


@click.group()
def prices() -> None:
    """Price lists: read one, and pair its lines with what machines need (`harness guide prices`)."""


@prices.command()
@click.argument("lists", metavar="LIST...", nargs=-1, required=True, type=click.Path(path_type=Path))
@DECIMAL
@JSON
def check(lists: tuple[Path, ...], decimal: str | None, as_json: bool) -> None:
    """Read each LIST (CSV or XLSX) and say what was understood: columns, units, counts, notes."""
    from harness.book.text import one_line

    found = read_lists(lists, decimal=decimal or "", as_json=as_json)
    if as_json:
        click.echo(json_text({"problems": [], "lists": [_list_data(one) for one in found]}))
        return
    for one in found:
        click.echo("\n".join(one_line(line) for line in _list_lines(one)))


@prices.command()
@MACHINES
@LISTS
@MATCHES
@CHOICES
@DECIMAL
@JSON
def match(
    machines: tuple[Path, ...],
    lists: tuple[Path, ...],
    matches: Path | None,
    choices: Path | None,
    decimal: str | None,
    as_json: bool,
) -> None:
    """Pair what each MACHINE (survey or design.json) needs with lines of price lists.

    What is certain is written down; what is not is listed with the nearest lines, for you to settle in the
    file of matches.
    """
    from harness.book.text import one_line
    from harness.cli.files import file_behind, write_file
    from harness.cli.yard import yard_of
    from harness.counter.matchfile import matches_text
    from harness.counter.needs import needs_of

    read = read_lists(lists, decimal=decimal or "", as_json=as_json)
    yard = yard_of(machines, choices, as_json=as_json)
    needs = needs_of([(str(each.path), each.data) for each in yard])
    path = matches or default_matches(lists)
    file_behind(path)  # it is read first: a pipe would be waited for
    pairing = Pairing(read, path, as_json=as_json)
    matching = pairing.matched(needs)
    text = matches_text(needs, matching, pairing.file_for(needs))
    write_file(path, text.encode())
    if as_json:
        click.echo(json_text({"problems": [], "matches": str(path), **_matching_data(matching)}))
        return
    click.echo("\n".join(one_line(line) for line in _matching_lines(needs, matching, path)))


def read_lists(paths: tuple[Path, ...], *, decimal: str = "", as_json: bool = False) -> list[PriceList]:
    """The price lists; prints every problem in all of them and exits 2 when there are any."""
    from harness.cli.read import content_of, tell
    from harness.counter.grid import MOST_BYTES
    from harness.counter.pricelist import read_price_list
    from harness.model.problem import Problem, SurveyWrong, Where
    from harness.signs import alike, difference

    found: list[PriceList] = []
    problems: list[Problem] = []
    for path in paths:
        name, content = content_of(path, MOST_BYTES)
        try:
            one = read_price_list(content, name, decimal=decimal)
        except SurveyWrong as wrong:
            problems += wrong.problems
            continue
        twin = next((each for each in found if alike(each.supplier) == alike(one.supplier)), None)
        if twin is not None:
            what = f"two lists are of the supplier {one.supplier!r}"
            if one.supplier != twin.supplier:
                what += f", which looks like {twin.supplier!r} ({twin.file}), but differs in "
                what += difference(one.supplier, twin.supplier)
            problems.append(Problem(Where(name), what, "write 'Supplier: name' above the headings of each"))
        currencies = {one.currency, *(other.currency for other in found)} - {""}
        if len(currencies) > 1:
            what = f"prices in {one.currency}, but another list has {', '.join(currencies - {one.currency})}"
            problems.append(Problem(Where(name), what, "lists that are compared need one currency"))
        found.append(one)
    if problems:
        tell(problems, as_json=as_json)
        raise SystemExit(2)
    return found


class Pairing:
    """Price lists and the file that says which of their lines is what, read once for many needs."""

    def __init__(self, lists: Sequence[PriceList], path: Path, *, as_json: bool = False) -> None:
        """Read the file of matches, if it is there; exits 2 where it is wrong."""
        from harness.cli.read import text_of
        from harness.counter.matchfile import MatchFile, read_matches
        from harness.counter.matching import Matcher

        self.lists, self._matcher = lists, Matcher(lists)
        self._file = MatchFile()
        if path.exists():
            self._file = text_of(path, lambda text, name: read_matches(text, name, lists), as_json=as_json)

    def matched(self, needs: Sequence[Need], bought: Mapping[str, str] | None = None) -> Matching:
        """What serves each need; ``bought``: material -> part number that goes before everything else."""
        choices = self.file_for(needs).choices()
        taken = {key: (number,) for key, number in (bought or {}).items()}
        return self._matcher.matched(needs, replace(choices, lines={**choices.lines, **taken}))

    def differing(self, need: Need) -> list[Candidate]:
        """Lines that could stand in for a need: one thing alone speaks against them."""
        return self._matcher.differing(need, self._file.choices().silent)

    def file_for(self, needs: Sequence[Need]) -> MatchFile:
        """The file of matches with what a person has changed among these needs taken as theirs."""
        from harness.counter.matchfile import settled

        certain = self._matcher.matched(needs, replace(self._file.choices(), lines={}))
        return settled(self._file, certain, self.lists)


def _counts(one: PriceList) -> dict[str, int]:
    units: dict[str, int] = {}
    for offer in one.offers:
        units[offer.sold_as] = units.get(offer.sold_as, 0) + 1
    return dict(sorted(units.items(), key=lambda item: (-item[1], item[0])))


def _list_lines(one: PriceList) -> list[str]:
    from harness.counter.grammar import KIND

    known = sum(KIND in offer.traits for offer in one.offers)
    money = f" in {one.currency}" if one.currency else ", no currency said"
    lines = [f"{one.file}: {len(one.offers)} lines of {one.supplier}{money}; {known} say what they are."]
    lines += [f"  column {heading!r}: {meaning}" for heading, meaning in one.columns]
    lines.append(
        "  sold " + ", ".join(f"{name} ({count})" for name, count in list(_counts(one).items())[:MOST_SHOWN])
    )
    terms = [("minimum order", one.least_order), ("order charge", one.order_charge)]
    lines += [f"  {name} {amount:f}" for name, amount in terms if amount]
    lines += [f"  note: {note}" for note in one.notes]
    return lines


def _list_data(one: PriceList) -> dict[str, Any]:
    return {
        "file": one.file, "supplier": one.supplier, "currency": one.currency, "lines": len(one.offers),
        "columns": [{"heading": heading, "meaning": meaning} for heading, meaning in one.columns],
        "sold": _counts(one), "least_order": f"{one.least_order:f}", "order_charge": f"{one.order_charge:f}",
        "notes": list(one.notes),
    }  # fmt: skip


def _matching_lines(needs: tuple[Need, ...], matching: Matching, path: Path) -> list[str]:
    by_hand = sum(one.how == "by person" for one in matching.matches)
    hand = f", {by_hand} of them by hand" if by_hand else ""
    lines = [
        f"{len(matching.matches)} of {len(needs)} materials have a line{hand}; "
        f"{len(matching.unmatched)} are open."
    ]
    for one in matching.unmatched:
        lines.append(f"open: {one.key}: {one.why}")
        for candidate in one.candidates:
            against = f" ({'; '.join(candidate.why)})" if candidate.why else ""
            lines.append(f"    {candidate.offer.part_number}  {candidate.offer.description}{against}")
    return [*lines, f"wrote {file_shown(str(path))}"]


def _matching_data(matching: Matching) -> dict[str, Any]:
    return {
        "matched": [
            {"key": one.key, "how": one.how, "part_numbers": [offer.part_number for offer in one.offers]}
            for one in matching.matches
        ],
        "open": [
            {
                "key": one.key, "why": one.why,
                "candidates": [
                    {
                        "part_number": near.offer.part_number, "description": near.offer.description,
                        "why": list(near.why),
                    }
                    for near in one.candidates
                ],
            }
            for one in matching.unmatched
        ],
    }  # fmt: skip
