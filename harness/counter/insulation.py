"""What heat a type or class of cable stands, by the tables of its standard."""

from __future__ import annotations

from harness.tables import load


def heat_c(cable: str) -> float | None:
    """The highest temperature a type (SAE J1128) or class (ISO 6722-1) stands [°C]; None: no table says."""
    for row in load("sae_j1128_types").rows:
        if row["type"] == cable:
            return float(row["temp_max_C"])
    for row in load("cable_temperature_class_iso").rows:
        if f"class {row['class']}" == cable:
            return float(row["temp_max_C"])
    return None
