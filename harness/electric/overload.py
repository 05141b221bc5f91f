"""What a wire stands between its ampacity and a dead short: currents that last seconds to hours."""

from __future__ import annotations

from harness.electric import limits
from harness.electric.sizing import Sizing
from harness.tables import load

PVC_END_C, XLPE_END_C = 160.0, 250.0  # adiabatic_constants, IEC 60364-5-54 (read-from-secondary)


def short_end_c(cable: str) -> float:
    """Temperature insulation may reach in a short circuit [°C]; the lower one where its material is unknown.

    Source: adiabatic_constants (IEC 60364-5-54); cross-linked by sae_j1128_types (SAE J1128, J1127) and, by
    their 125 °C and more, ISO 6722 classes from C up (common practice).
    """
    kinds = {row["type"]: row["insulation"] for row in load("sae_j1128_types").rows}
    high = kinds.get(cable) == "XLPE" or (cable.startswith("class ") and cable[-1] in "CDEFGH")
    return XLPE_END_C if high else PVC_END_C


def overload_a(sizing: Sizing, wire: int, seconds_s: float) -> float:
    """Current a wire of a sized machine stands for a time [A]: :func:`harness.electric.limits.overload_a`."""
    return limits.overload_a(
        sizing.rules[wire], sizing.sizes[wire], sizing.near[wire], sizing.duties[wire], seconds_s
    )
