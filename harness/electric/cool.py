"""What a metre of each run counts where the wires are to keep out of the heat."""

from __future__ import annotations

from math import fsum, log

from harness.electric.limits import ambient_share
from harness.electric.ruleset import RuleSet, rule_set
from harness.electric.surroundings import zone_c
from harness.model.machine import Machine

# A choice of ours: nobody measured how hot it is beside the exhaust, so a metre there counts as two.
BESIDE_EXHAUST = 2.0
LEAST_SHARE = 0.05  # of the ampacity in the coldest zone: what is counted where a zone leaves none


def area_exponent(rules: RuleSet) -> float:
    """How fast the rule set's own ampacities grow with area: the slope of their logarithms, least squares."""
    points = [(log(size.area_mm2), log(size.base_a)) for size in rules.sizes if size.base_a > 0]
    mean_x = fsum(x for x, _ in points) / len(points)
    mean_y = fsum(y for _, y in points) / len(points)
    return fsum((x - mean_x) * (y - mean_y) for x, y in points) / fsum((x - mean_x) ** 2 for x, _ in points)


def run_weights(machine: Machine) -> dict[str, float]:
    """Run -> how many metres of the coldest run a metre of it counts; empty where the way need not be cool.

    A wire that lies in a hotter zone may carry only a share of what it may in the coldest (square-root law
    of the insulation class, the rule set's own correction). By the rule set's ampacities, which grow as area
    to the power p, it takes 1 / share^(1/p) times the copper to carry the same: that is what a metre counts.
    """
    if machine.route != "cool":
        return {}
    rules = rule_set(machine.rules, machine.cable)
    share = {zone: ambient_share(rules, zone_c(machine, zone)) for zone in {run.zone for run in machine.runs}}
    coldest = max(share.values(), default=1.0) or 1.0
    power = 1 / area_exponent(rules)
    return {
        run.name: (BESIDE_EXHAUST if "exhaust" in run.near else 1.0)
        / max(share[run.zone] / coldest, LEAST_SHARE) ** power
        for run in machine.runs
    }
