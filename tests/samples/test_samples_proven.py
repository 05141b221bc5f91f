"""The sizes of every sample against the same question put plainly to the general solver (HiGHS)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import pytest

from harness.electric import sizing
from harness.electric.optimum import Choice, Picked, pick_sizes
from harness.electric.program import DropLimit, Entry, Strap, solve
from harness.pipeline import design
from harness.survey import read

SAMPLES = Path(__file__).parents[2] / "samples"
UNFIT_KG = 1000.0  # a size unfit for its terminal only where nothing else does


@pytest.mark.parametrize("name", ["pump", "orchard", "grader", "roller"])
def test_the_general_solver_finds_nothing_lighter(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing merged, nothing left out: every wire, every size, every limit, straps as constraints."""
    asked: list[tuple[Sequence[DropLimit], Mapping[int, Sequence[Choice]], Sequence[Strap], Picked]] = []

    def listen(limits: Sequence[DropLimit], choices: Mapping[int, Sequence[Choice]], **more: Any) -> Picked:
        found = pick_sizes(limits, choices, **more)
        asked.append((limits, choices, more["straps"], found))
        return found

    monkeypatch.setattr(sizing, "pick_sizes", listen)
    made = design(read(f"{name}.yaml", text=(SAMPLES / f"{name}.yaml").read_bytes()))
    assert made.totals.proven_gap == 0
    assert made.totals.baseline_copper_kg >= made.totals.copper_kg
    limits, choices, straps, found = asked[-1]
    entries = {
        wire: [Entry(one.cost + UNFIT_KG * one.unfit, one.ohm, one.area_mm2) for one in own]
        for wire, own in choices.items()
    }
    plain = solve([DropLimit(one.share_a, one.left_v - 1e-7) for one in limits], entries, straps=straps)
    assert plain is not None
    unfit = sum(UNFIT_KG * own[found.at[wire]].unfit for wire, own in choices.items())
    assert found.cost + unfit == pytest.approx(plain.cost, rel=1e-6)
    for limit in limits:
        lost = sum(amps * choices[wire][found.at[wire]].ohm for wire, amps in limit.share_a.items())
        assert lost <= limit.left_v
