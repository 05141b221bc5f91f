"""Ferrules under clamp screws: sizes typed from a maker's sheet of insulated wire ferrules p. 3 (read)."""

from __future__ import annotations

import pytest

from harness.fitout.ferrules import ferrule
from harness.kinds import kinds
from harness.pipeline import design
from harness.survey import read
from tests.fitout.small_loom import wire

BENCH = """\
machine: {name: Bench, voltage: 12 V, chassis post: negative, cable: TXL}
zones: {shed: {ambient: 20 °C}}
runs: [{from: box, to: wall, length: 1 m, zone: shed}]
parts:
  battery: {is: battery, at: box, capacity: 60 Ah}
  F1: {is: fuse, at: box}
  block: {is: bus stud, at: wall, terminals: {stud: screw clamp}}
  lamp: {is: lamp, at: wall, power: 5 W}
  ground: {is: ground point, at: box, on: frame}
circuits:
  Lamp:
    paths:
      - battery + > F1 > block > lamp > frame
      - frame > battery -
"""


@pytest.mark.parametrize(
    ("size", "area_mm2", "words"),
    [
        ("16 AWG", 1.31, "1.5 mm2 (16 AWG), 8 mm barrel"),
        ("14 AWG", 2.08, "2.5 mm2 (14 AWG), 10 mm barrel"),
        ("1.5 mm2", 1.5, "1.5 mm2 (16 AWG), 8 mm barrel"),
        ("2 mm2", 2.0, "2.5 mm2 (14 AWG), 10 mm barrel"),
        ("2/0 AWG", 67.4, "70 mm2 (2/0 AWG), 25 mm barrel"),
    ],
)
def test_a_wire_gets_the_ferrule_of_its_size(size: str, area_mm2: float, words: str) -> None:
    found = ferrule([wire("1", "a 1 > b 1", size=size, area_mm2=area_mm2)])
    assert found is not None
    assert found.text == f"wire ferrule, insulated, for {words}"


def test_two_wires_share_one_that_holds_both() -> None:
    """1.5 and 1.0 mm2 together are 2.5 mm2."""
    found = ferrule(
        [
            wire("1", "a 1 > b 1", size="1.5 mm2", area_mm2=1.5),
            wire("2", "a 1 > b 1", size="1 mm2", area_mm2=1.0),
        ]
    )
    assert found is not None
    assert "2.5 mm2" in found.text
    assert found.strip_mm == 12.0  # 10 mm barrel and 2 mm into the collar (common practice)


def test_nothing_beyond_the_table() -> None:
    assert ferrule([wire("1", "a 1 > b 1", size="95 mm2", area_mm2=95.0)]) is None
    assert ferrule([wire("1", "a 1 > b 1", size="4/0 AWG", area_mm2=107.0)]) is None


def test_two_wires_under_one_screw_of_a_machine_are_in_one_ferrule() -> None:
    made = design(read("bench.yaml", text=BENCH))
    ends = [
        end
        for each in made.wires
        for point, end in ((each.from_, each.from_end), (each.to, each.to_end))
        if point.part == "block"
    ]
    assert [end.terminal.startswith("wire ferrule, insulated, for ") for end in ends] == [True, False]
    assert "goes into the ferrule of wire" in ends[1].notes
    (line,) = [line for line in made.materials if "ferrule" in line.item]
    assert line.quantity == 1
    assert "a maker's sheet of insulated wire ferrules" in line.source


def test_a_trailer_socket_has_clamp_screws() -> None:
    """ISO 1724 sockets hold the bare wire under a screw (common practice), so no ring goes there."""
    sizes = {(term.fitting, term.size) for term in kinds()["trailer socket"].terminals}
    assert sizes == {("screw", "clamp")}
