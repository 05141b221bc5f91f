"""What a shop has lying on its shelf."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Offcut:
    """One length left over from another job."""

    item: str  # as in the list of materials: "wire, GXL"
    size: str
    colour: str
    length_m: float
