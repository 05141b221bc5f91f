"""Survey text made harmless, and the few phrases that every output writes alike."""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal

from harness.lists.tally import count_of
from harness.model.buying import BuyingTotal
from harness.model.design import Design, Finding, Point, Severity, Totals, Wire
from harness.signs import shown

WAY_WORDS = {"splice": "splice", "chain": "daisy-chain", "stud": "side by side"}  # how a branch is made
SEVERITIES: tuple[Severity, ...] = ("danger", "fault", "advice")  # worst first

_BREAKS = re.compile("[\t\n]+")
_FORMULA = re.compile(r"\s*[-=+@\uff0d\uff1d\uff0b\uff20]")


def clean(text: str) -> str:
    """Return the text with what nobody sees, turns a line round or fits into no file as its number."""
    return shown(text.replace("\r\n", "\n"))


def one_line(text: str) -> str:
    """Return the cleaned text with every tab and line break as one space."""
    return _BREAKS.sub(" ", clean(text))


def csv_cell(text: str) -> str:
    """Return the text as a CSV file may hold it: on one line, and nothing a spreadsheet works out.

    Before what begins like a formula, behind blanks and in wide signs too, stands an apostrophe (OWASP, CSV
    Injection, from memory).

    >>> csv_cell("=1+1"), csv_cell("a-1")
    ("'=1+1", 'a-1')
    """
    plain = one_line(text)
    return f"'{plain}" if _FORMULA.match(plain) else plain


def point_text(point: Point) -> str:
    """Write one end of a wire: "key 15 (dash)" or "splice S1 (front)"."""
    return f"{point} ({point.place})" if point.place else str(point)


def fuse_words(name: str, rating_a: float | None) -> str:
    """Write a fuse and its rating: "panel F3, 15 A"."""
    return f"{name}, {rating_a:g} A" if name and rating_a is not None else name


def copper_words(copper_kg: float, baseline_kg: float, unfit: int) -> str:
    """Write the copper beside what the plain wire-by-wire rule would take."""
    words = f", {count_of(unfit, 'wire')} too thick for the terminals" if unfit else ""
    return f"{copper_kg:.2f} kg (sized wire by wire: {baseline_kg:.2f} kg{words})"


def money_words(totals: Totals) -> str:
    """Write what new wire costs beside what the plain wire-by-wire rule would come to; "" without prices."""
    if not totals.wire_cost:
        return ""
    cost, plain = Decimal(totals.wire_cost), Decimal(totals.baseline_wire_cost)
    return f"{cost:.2f} {totals.currency}".rstrip() + f" (sized wire by wire: {plain:.2f})"


def picked_words(totals: Totals) -> str:
    """Write by what method sizes were picked, what that saves, and how well it is proven."""
    if totals.proven_gap is None:
        return f"wire by wire; {totals.spools} spools; nothing is proven of the copper"
    unbuildable = ", some of which fits no terminal" if totals.baseline_unfit else ""
    best = "cheapest" if totals.wire_cost else "lightest, lugs counted"
    if totals.method == "as wired":
        best = "least new wire beside what is in the machine"
    proof = f"proven {best}" if totals.proven_gap == 0 else f"within {totals.proven_gap:.2%} of the {best}"
    saved = totals.baseline_copper_kg - totals.copper_kg
    fewer = totals.baseline_spools - totals.spools
    than = f"{abs(saved):.2f} kg {'less' if saved >= 0 else 'more'} copper{_money_saved(totals)}"
    spools = f"{abs(fewer)} {'fewer' if fewer >= 0 else 'more'}" if fewer else "as many"
    starved = (
        f"; wire by wire {count_of(totals.baseline_starved, 'load')} would starve"
        if totals.baseline_starved
        else ""
    )
    return f"{proof}; {than} than wire by wire{unbuildable}{starved}; {totals.spools} spools, {spools}"


def _money_saved(totals: Totals) -> str:
    if not totals.wire_cost:
        return ""
    saved = Decimal(totals.baseline_wire_cost) - Decimal(totals.wire_cost)
    words = f"{abs(saved):.2f} {totals.currency}".rstrip()
    return f" and {words} {'less' if saved >= 0 else 'more'}"


def buying_words(total: BuyingTotal) -> str:
    """Write what one group comes to when it is bought by plan, and when it is bought naively."""
    shelf = f", {total.from_shelf_m:.1f} m from the shelf" if total.from_shelf_m else ""
    unplanned = f"; {total.unplanned} not planned" if total.unplanned else ""
    return (
        f"{total.bought_m:.1f} m bought for {total.need_m:.1f} m{shelf}, {total.waste_share:.1%} left over; "
        f"naive buying {total.naive_m:.1f} m, {total.naive_waste_share:.1%}{unplanned}"
    )


def margin_words(margin: float) -> str:
    """Write how much more a wire may carry than it does; beyond some point the figure says nothing."""
    return "ample" if margin >= 9.99 else f"{margin:.0%}"


def worst_drop_words(design: Design) -> str:
    """Write which load loses most volts on its way: "0.41 V of 12 V (3.4 %), left lamp"."""
    totals = design.totals
    lost = f"{totals.worst_drop_v:.2f} V"
    if totals.worst_drop_share >= 1:
        return f"{lost}, all there is: nothing is left for {totals.worst_drop_load}"
    share = f"{lost} of {design.machine.voltage_v:g} V ({totals.worst_drop_share:.1%})".replace("%", " %")
    return f"{share}, {totals.worst_drop_load}" if totals.worst_drop_load else share


def spare_wire_words(spares: list[Wire]) -> str:
    """Write how many spare wires there are: "2, 6.4 m, capped at both ends"."""
    return f"{len(spares)}, {sum(wire.length_m for wire in spares):.1f} m, capped at both ends"


def by_severity(findings: Iterable[Finding]) -> list[Finding]:
    """Return the findings with danger first, otherwise in their own order."""
    return sorted(findings, key=lambda finding: SEVERITIES.index(finding.severity))
