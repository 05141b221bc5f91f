"""Which battery cable (SAE J1127) has the insulation of a light type (SAE J1128): its heavy sizes."""

from __future__ import annotations

from collections.abc import Mapping

BATTERY_CABLES: Mapping[str, tuple[str, ...]] = {
    **dict.fromkeys(("TXL", "GXL", "SXL"), ("SGX", "STX")),  # cross-linked, as the table sae_j1128_types says
    **dict.fromkeys(("GPT", "HDT"), ("SGT", "STT")),  # PVC
}
