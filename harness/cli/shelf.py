"""What may lie on a shop's shelf: cables with their sizes, heat-shrink and covering by the tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from harness.survey.offcuts import Known


def known() -> Known:
    """Every cable, tube and covering that an offcut may be of."""
    from harness.electric.ruleset import rule_set
    from harness.fitout import covering, shrink
    from harness.survey.offcuts import Known
    from harness.survey.words import ISO_CLASSES, SAE_BATTERY_CABLES, SAE_CABLES

    cables: dict[str, list[str]] = {}
    for cable in (*SAE_CABLES, *SAE_BATTERY_CABLES, *ISO_CLASSES):
        kind = cable if cable not in SAE_BATTERY_CABLES else "GXL"  # whose list of sizes holds the heavy ones
        sizes = [size.label for rules in ("sae", "iso") for size in rule_set(rules, kind).sizes]
        cables[cable] = sizes
        cables[f"{cable} fine-stranded"] = sizes
    return Known(cables, [*shrink.catalogue(), *covering.catalogue()])
