"""What a coupler takes beside its contacts: both halves, seals on the wires, plugs in spare ways."""

from __future__ import annotations

from collections import Counter

from harness.lists.tally import by_key, told, with_spares
from harness.model.design import Design, Material
from harness.model.looms import CouplerResult
from harness.model.spares import SpareRules

SOURCE = "counted from the pin lists"


def _title(coupler: CouplerResult) -> str:
    """The coupler in words, with how many contacts of each size it holds."""
    used = Counter(way.contact for way in coupler.ways if way.contact)
    sizes = ", ".join(f"{count} of {size}" for size, count in sorted(used.items()))
    return f"{len(coupler.ways)} ways, {sizes}" if sizes else f"{len(coupler.ways)} ways"


def couplers(design: Design, spares: SpareRules) -> list[Material]:
    """Return halves, wire seals and sealing plugs; contacts are counted with the terminals."""
    halves = by_key((_title(one), one.name) for one in design.couplers if one.ways)
    found = [
        Material(
            "holders", "sealed coupler, both halves with locks", title, "", len(names), len(names),
            "each", None, names, "counted in the survey",
        )
        for title, names in halves.items()
    ]  # fmt: skip
    sealed = [
        (way.contact, number)
        for one in design.couplers
        for way in one.ways
        for number in (way.wire_a, way.wire_b)
        if number and way.contact
    ]
    for size, numbers in by_key(sealed).items():
        found.append(
            Material(
                "terminals", f"wire seal for coupler contact, {size}", "", "", len(numbers),
                with_spares(len(numbers), spares.seals), "each", None, numbers, told(SOURCE, spares.seals),
            )
        )  # fmt: skip
    spare = {
        one.name: sum((not way.wire_a) + (not way.wire_b) for way in one.ways) for one in design.couplers
    }
    plugs = sum(spare.values())  # one for each hole of either half that no wire closes
    if plugs:
        names = [name for name, count in spare.items() if count]
        found.append(
            Material(
                "terminals", "sealing plug for a spare way of a coupler", "", "", plugs,
                with_spares(plugs, spares.seals), "each", None, names, told(SOURCE, spares.seals),
            )
        )  # fmt: skip
    return found
