"""What a metre of each cable, size and colour costs, and what that makes of a wire."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from harness.electric.ruleset import HEAVY_MM2, RuleSet, Size

STEP = Decimal("0.0001")  # prices are counted in whole such steps
PER_M = 1000  # lengths count in millimetres, so that a wire's price is a whole number
HEAVY_TYPES = ("SGT", "SGX", "STX", "STT", "SGR")  # battery cable, J1127: the heavy sizes of any light type


class NoPrice(Exception):
    """Something that has to be bought has no price; the message names it."""


@dataclass(frozen=True, slots=True)
class Prices:
    """What a metre costs, in ten-thousandths: cable, size and colour ("": any) -> whole steps."""

    file: str
    currency: str  # "" where the list does not say
    steps: Mapping[tuple[str, str, str], int]

    def of(self, rules: RuleSet, cable: str, size: Size, colour: str) -> int | None:
        """Steps a metre of a wire's cable costs, None where the list has none.

        Light cable is listed under its own type, its heavy sizes also under a battery-cable type.
        """
        kinds = [cable]
        if rules.name == "sae" and size.area_mm2 > HEAVY_MM2:
            kinds += [kind for kind in HEAVY_TYPES if kind != cable]
        found = (self.steps.get((kind, size.label, shade)) for kind in kinds for shade in (colour, ""))
        return next((steps for steps in found if steps is not None), None)


def wire_steps(steps_per_m: int, length_m: float) -> int:
    """What a wire costs, in ten-millionths of the currency: whole, so that sums are exact."""
    return steps_per_m * round(length_m * PER_M)


def money(wire_steps_: int) -> str:
    """An amount as a decimal number with four digits behind the point, rounded up.

    >>> money(12_345_001)
    '1.2346'
    """
    units = -(-wire_steps_ // PER_M)
    return f"{Decimal(units) * STEP:.4f}"


def priced(rules: RuleSet, prices: Prices, cable: str, light: str, heavy: str, heavy_mm2: float) -> RuleSet:
    """A rule set with only the sizes that have a price in a wire's colour, as light and as heavy cable.

    Thinner and thicker ones than any listed are taken as not sold. Raises NoPrice where none is left, and
    where a size between two listed ones is missing: that is more likely forgotten than not sold.
    """

    def has(size: Size) -> bool:
        colour = heavy if size.area_mm2 > heavy_mm2 else light
        return prices.of(rules, cable, size, colour) is not None

    found = [at for at, size in enumerate(rules.sizes) if has(size)]
    if not found:
        raise NoPrice(f"{prices.file} has no price for any {cable} in {light}")
    for at in range(found[0], found[-1]):
        if at not in found:
            size = rules.sizes[at]
            colour = heavy if size.area_mm2 > heavy_mm2 else light
            raise NoPrice(
                f"{prices.file} has no price for {cable} {size.label} in {colour}; give it, or say with"
                " --stock what is to be used"
            )
    return replace(rules, sizes=tuple(rules.sizes[at] for at in found))
