"""The paint that stands for a colour code of a wire: IEC 60757 letters, and those of BS AU 7a."""

from __future__ import annotations

_PAINT = {
    "BK": "#1a1a1a", "BN": "#7b4a21", "RD": "#d0021b", "OG": "#f5821f", "YE": "#f7d417", "GN": "#1f8a3b",
    "BU": "#1f5fbf", "VT": "#7a3fa0", "GY": "#8a8f94", "WH": "#ffffff", "PK": "#f49ac1", "TQ": "#2ab7b0",
    "GD": "#c9a227", "SR": "#c0c4c8", "TN": "#d2b48c",
    "B": "#1a1a1a", "N": "#7b4a21", "R": "#d0021b", "O": "#f5821f", "Y": "#f7d417", "G": "#1f8a3b",
    "LG": "#8edb5a", "U": "#1f5fbf", "P": "#7a3fa0", "S": "#8a8f94", "W": "#ffffff", "K": "#f49ac1",
}  # fmt: skip
_TWO_IN_ONE = {"GNYE": ("GN", "YE")}
UNKNOWN = "#b9b2a6"  # neither grey nor silver nor tan, so that it is not taken for one of them


def paints(colour: str) -> tuple[str, str | None]:
    """Paint of the base and of the tracer, None for a plain wire; an unknown code gives ``UNKNOWN``."""
    base, _, tracer = colour.strip().upper().partition("/")
    if base in _TWO_IN_ONE and not tracer:
        base, tracer = _TWO_IN_ONE[base]
    found = _PAINT.get(base.strip(), UNKNOWN)
    return found, _PAINT.get(tracer.strip(), UNKNOWN) if tracer else None
