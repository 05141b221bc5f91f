"""The sample pump set while it cranks: volts at the starter by hand, for the sizes and lengths it got."""

from __future__ import annotations

from pathlib import Path

import pytest

from harness.model.design import Design, Wire
from harness.pipeline import design
from harness.survey import read

SAMPLE = Path(__file__).parents[2] / "samples" / "pump.yaml"
# SAE least areas in circular mils (read-from-secondary from 4 gauge up but 1 and 3/0, 6 gauge memory); where
# SAE J1128 has a smaller area in mm2 (memory) that one counts: 10 gauge 4.65, 8 gauge 7.23.
AREA_MM2 = {
    "10 AWG": 4.65, "8 AWG": 7.23, "6 AWG": 25910 * 5.0671e-4, "4 AWG": 37360 * 5.0671e-4,
    "2 AWG": 62450 * 5.0671e-4, "1 AWG": 77790 * 5.0671e-4, "1/0 AWG": 98980 * 5.0671e-4,
    "2/0 AWG": 125100 * 5.0671e-4,
}  # fmt: skip


@pytest.fixture(scope="module")
def result() -> Design:
    return design(read(SAMPLE))


def mohm(wire: Wire) -> float:
    """17.241 ohm mm2/km with 2 % for lay, at the conductor's temperature by the 234.5 rule."""
    return 17.241 * 1.02 / AREA_MM2[wire.size] * wire.length_m * (234.5 + wire.conductor_c) / 254.5


def test_volts_at_the_starter_while_it_cranks(result: Design) -> None:
    """150 A main, 8 A hold-in winding, 1.2 A fuel valve, 3 W and 2 W lamps: 150 + 8 + 1.2 + 0.25 + 0.167 A
    all come home through the strap. Battery 450 A: 6 x 0.9 / 450 = 12 mohm, so 12.6 V falls to 10.68 V at
    the posts. Joints in mohm: post clamp 0.05, lug on M8 or larger 0.05, bolted ground point 0.174."""
    home_a = 150 + 8 + 1.2 + 3 / 12 + 2 / 12
    assert home_a == pytest.approx(159.617, abs=0.001)
    live = next(
        w
        for w in result.wires
        if (w.from_.part, w.to.terminal) == ("battery", "30") and w.to.part == "starter"
    )
    strap = next(w for w in result.wires if (w.from_.part, w.to.part) == ("engine ground", "battery"))
    out = 150 * (0.05 + mohm(live) + 0.05) / 1000
    back = home_a * (0.174 + 0.05 + mohm(strap) + 0.05) / 1000
    posts_v = 12.6 - home_a * 0.012
    main = next(load for load in result.loads if load.part == "starter" and load.steady_a == 150)
    (cranking,) = main.modes
    assert live.current_a["cranking"] == pytest.approx(150)
    assert strap.current_a["cranking"] == pytest.approx(home_a, abs=1e-4)
    assert cranking.source_v == pytest.approx(posts_v, abs=1e-3)
    assert posts_v == pytest.approx(10.685, abs=0.001)
    assert cranking.volts_v == pytest.approx(posts_v - out - back, abs=1e-3)


def test_the_starter_keeps_its_two_allowances(result: Design) -> None:
    """Battery tester maker's manual p. 15 (read): 0.5 V live side, 0.3 V ground side, cranking at 12 V."""
    live = next(w for w in result.wires if w.from_.part == "battery" and w.to.part == "starter")
    strap = next(w for w in result.wires if w.from_.part == "engine ground" and w.to.part == "battery")
    assert 150 * (0.05 + mohm(live) + 0.05) / 1000 <= 0.5
    assert 159.617 * (0.174 + 0.05 + mohm(strap) + 0.05) / 1000 <= 0.3
