"""Where no size does: which limits conflict is said, and what is said to free it does free it."""

from __future__ import annotations

import re

import pytest

from harness.electric.wanted import Wanted, read_stock
from harness.model.design import Design, LoadResult, Wire
from harness.pipeline import design
from harness.survey import read

BENCH = """\
machine: {name: bench, voltage: 12 V, chassis post: negative, cable: GXL, sizes: AWG}
zones: {hot: {ambient: 80 °C}}
runs:
  - {from: box, to: front, length: 4 m, zone: hot}
parts:
  battery: {is: battery, at: box, capacity: 100 Ah}
  F1: {is: fuse, at: box, rating: 30 A}
  lamp: {is: lamp, at: front, power: 150 W}
  box ground: {is: ground point, at: box, on: frame}
  front ground: {is: ground point, at: front, on: frame}
circuits:
  Ground: {paths: [frame > battery -]}
  Light: {drop: 1.5 V, paths: [battery + > F1 > lamp > frame]}
"""
THIN = BENCH + "wires:\n  F1 > lamp: {size: 18 AWG}\n"


def _design(text: str, stock: str | None = None) -> Design:
    return design(
        read("bench.yaml", text=text), Wanted(stock=read_stock(stock) if stock is not None else None)
    )


def _wire(made: Design) -> Wire:
    return next(wire for wire in made.wires if (wire.from_.part, wire.to.part) == ("F1", "lamp"))


def _lamp(made: Design) -> LoadResult:
    return next(load for load in made.loads if load.part == "lamp")


def _own_limits_met(wire: Wire) -> bool:
    return all(
        limit.least_area_mm2 is not None and limit.least_area_mm2 <= wire.area_mm2 + 1e-9
        for limit in wire.limits
        if limit.name not in ("drop", "survey")
    )


def test_a_wire_that_does_has_nothing_to_free() -> None:
    assert [wire.number for wire in _design(BENCH).wires if wire.freeing] == []


def test_a_wire_fixed_too_thin_is_told_what_size_does_and_that_size_does() -> None:
    thin = _wire(_design(THIN))
    assert "the survey fixes it at 18 AWG" in thin.freeing[0]
    assert "protection has 30 A where 18 AWG allows" in thin.freeing[0]
    (said,) = re.findall(
        r"leaving its size out of the survey frees it: (\d+ AWG) does", "\n".join(thin.freeing)
    )
    assert _own_limits_met(_wire(_design(THIN.replace("18 AWG", said))))
    thinner = {"16 AWG": "18 AWG", "14 AWG": "16 AWG", "12 AWG": "14 AWG", "10 AWG": "12 AWG"}[said]
    assert not _own_limits_met(_wire(_design(THIN.replace("18 AWG", thinner))))


def test_a_fuse_too_large_for_a_fixed_wire_is_told_how_large_it_may_be() -> None:
    """12.5 A of lamp asks for 12.5 / 0.8 = 15.6 A at the least, so 20 A; 14 AWG carries more than that."""
    made = _design(THIN.replace("18 AWG", "14 AWG").replace("rating: 30 A", "rating: 40 A"))
    words = "\n".join(_wire(made).freeing)
    (most,) = re.findall(r"a smaller fuse frees it: F1 of at most (\d+) A", words)
    assert 20 <= int(most) < 40
    good = THIN.replace("18 AWG", "14 AWG").replace("rating: 30 A", "rating: 20 A")
    assert _own_limits_met(_wire(_design(good)))


def test_sizes_off_the_shelf_that_would_do_are_named() -> None:
    made = _design(BENCH, "GXL 18,16")
    wire = _wire(made)
    assert "16 AWG is the thickest on the shelf" in wire.freeing[0]
    (said,) = re.findall(r"^(\d+ AWG) frees it$", "\n".join(wire.freeing), flags=re.MULTILINE)
    assert _own_limits_met(_wire(_design(BENCH, f"GXL {said.split()[0]}")))
    finding = next(one for one in made.findings if one.rule == "wire too small" and said in one.cure)
    assert "frees it" in finding.cure


def test_a_cooler_way_that_is_said_to_free_it_does() -> None:
    text = (
        THIN.replace("rating: 30 A", "rating: 20 A")
        .replace("18 AWG", "16 AWG")
        .replace("hot: {ambient: 80 °C}", "hot: {ambient: 105 °C}")
    )
    words = "\n".join(_wire(_design(text)).freeing)
    (said,) = re.findall(r"a way no hotter than (\d+) °C frees it", words)
    assert _own_limits_met(_wire(_design(text.replace("ambient: 105", f"ambient: {said}"))))


def test_the_end_of_the_list_is_said() -> None:
    """6 kW at 12 V are 500 A, more than any one cable of the table carries at 80 °C."""
    text = BENCH.replace("power: 150 W", "power: 6000 W").replace(", rating: 30 A", ", rating: 600 A")
    words = "\n".join(_wire(_design(text)).freeing)
    assert "4/0 AWG is the thickest there is" in words
    assert re.search(r"\d wires of 4/0 AWG free it|splitting what it feeds", words)


def test_wires_side_by_side_are_counted_as_the_bundle_they_are() -> None:
    """16 gauge: 30 A x sqrt(45/95) = 20.6 A alone in 80 °C; two together 0.825 of it, 17.0 A, three 15.0 A.

    So 38 A want three of it and not two of 19 A (factors by MIL-W-5088L, read-from-secondary).
    """
    bare = BENCH.replace("battery + > F1 > lamp", "battery + > lamp").replace("power: 150 W", "power: 456 W")
    made = _design(bare + "wires:\n  battery + > lamp: {size: 16 AWG}\n")
    (wire,) = [one for one in made.wires if one.from_.part == "battery" and one.to.part == "lamp"]
    assert "3 wires of 16 AWG free it" in "\n".join(wire.freeing)


def test_a_starved_load_hears_of_its_terminals_and_of_the_shelf() -> None:
    """Ninety metres at 0.05 V are beyond any size; terminals end the list sooner, or the shelf does."""
    far = BENCH.replace("length: 4 m", "length: 90 m").replace("drop: 1.5 V", "drop: 0.05 V")
    words = "\n".join(_lamp(_design(far)).freeing)
    assert "a thicker one does not go onto its terminals" in words
    shelf = "\n".join(_lamp(_design(BENCH.replace("drop: 1.5 V", "drop: 3 %"), "GXL 18,16,14")).freeing)
    assert "already the thickest on the shelf" in shelf


def test_thicker_sizes_off_the_shelf_are_said_to_free_a_load_only_where_they_do() -> None:
    text = BENCH.replace("drop: 1.5 V", "drop: 0.75 V")
    assert not _lamp(_design(text)).freeing
    assert "that are not on the shelf free it" in "\n".join(_lamp(_design(text, "GXL 14")).freeing)
    hopeless = text.replace("length: 4 m", "length: 90 m").replace("drop: 0.75 V", "drop: 0.2 V")
    assert _lamp(_design(hopeless)).freeing
    assert "on the shelf free it" not in "\n".join(_lamp(_design(hopeless, "GXL 14")).freeing)


@pytest.mark.parametrize("length", ["8 m", "30 m"])
def test_a_shorter_run_and_a_higher_limit_that_are_said_to_free_a_load_do(length: str) -> None:
    text = BENCH.replace("length: 4 m", f"length: {length}").replace("drop: 1.5 V", "drop: 0.5 V")
    text = text.replace("cable: GXL,", "cable: GXL, slack: 0 %,")
    made = _design(text, "GXL 12")
    words = "\n".join(_lamp(made).freeing)
    (volts,) = re.findall(r"a higher limit frees it: at least ([\d.]+) V", words)
    assert not _lamp(_design(text.replace("drop: 0.5 V", f"drop: {volts} V"), "GXL 12")).freeing
