"""What the parts of a kit draw, near enough to choose a generator and a way through the key."""

from __future__ import annotations

from collections.abc import Callable

from harness.kinds import KindLink
from harness.kinds import find as find_kind
from harness.kits.form import KitPart
from harness.survey.loads import TYPICAL_V
from harness.survey.units import spell


def part_a(text: str) -> float:
    """Amperes of a text such as "35 A" or "1 A hold"."""
    return spell("current", text).value


def draws_a(part: KitPart, ends: set[str], value: Callable[[str], str], volts: float) -> float:
    """What a part draws for as long as it is on [A]; nothing for what is on for seconds only.

    ``ends``: terminals that paths enter it by.
    """
    kind = find_kind(part.kind)
    if kind is None or kind.name in ("starter motor", "alternator", "dynamo"):
        return 0.0
    used = {end or kind.inlet for end in ends}
    loads = [link for link in kind.links if link.load is not None and (link.a in used or kind.role != "load")]
    return sum(_link_a(link, part, value, volts) for link in loads)


def _link_a(link: KindLink, part: KitPart, value: Callable[[str], str], volts: float) -> float:
    load = link.load
    assert load is not None
    if "duty" in part.figures:
        return 0.0
    keys = ("current", "power") if load.takes == "main" else ("coil",)
    for key in keys:
        if key in part.figures:
            said = spell(key, value(key))
            brief = said.seconds_s is not None or (load.steady_s is not None and not said.lasting)
            return 0.0 if brief else said.value / (volts if key == "power" else 1.0)
    if load.steady_s is not None:
        return 0.0
    if load.watts is not None:
        return load.watts / volts
    return (load.amps_at_12v or 0.0) * TYPICAL_V / volts
