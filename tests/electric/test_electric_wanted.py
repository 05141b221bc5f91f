"""How sizes are picked: the shelf, the plain rule, and few kinds of cable, on a small machine."""

from __future__ import annotations

import pytest

from harness.electric.optimum import TooFewKinds
from harness.electric.wanted import BadStock, Wanted, read_stock
from harness.model.design import Design
from harness.pipeline import design
from harness.survey import read
from tests.electric.machines import SMALL

HUNGRY = SMALL.replace("length: 3 m", "length: 30 m")


def _design(wanted: Wanted, text: str = SMALL) -> Design:
    return design(read("small.yaml", text=text.encode()), wanted)


def test_stock_is_read_as_written() -> None:
    assert read_stock("GXL 18,16, 14; SGX 6,2") == {"GXL": ("18", "16", "14"), "SGX": ("6", "2")}
    assert read_stock("class B 1.5, 2.5") == {"class B": ("1.5", "2.5")}


@pytest.mark.parametrize(
    ("text", "nearest"),
    [("GXLL 18", "nearest: GXL"), ("GXL", "write for example"), ("GXL ,", "names no size"), (" ; ", "empty")],
)
def test_a_wrong_stock_says_what_is_near(text: str, nearest: str) -> None:
    with pytest.raises(BadStock, match=nearest):
        read_stock(text)


def test_a_size_nobody_sells_says_what_is_near() -> None:
    with pytest.raises(BadStock, match="'17' is no size of GXL; nearest: 1"):
        _design(Wanted(stock=read_stock("GXL 17")))


def test_a_shelf_without_the_cable_of_the_survey_is_refused() -> None:
    with pytest.raises(BadStock, match="the survey asks for GXL"):
        _design(Wanted(stock=read_stock("TXL 14")))


def test_only_sizes_on_the_shelf_are_taken() -> None:
    made = _design(Wanted(stock=read_stock("GXL 14,8; SGX 2/0")))
    assert {wire.size for wire in made.wires} <= {"14 AWG", "8 AWG", "2/0 AWG"}
    assert not [load for load in made.loads if load.freeing]


def test_no_more_sizes_or_spools_than_wanted() -> None:
    assert len({wire.size for wire in _design(Wanted(most_sizes=1)).wires}) == 1
    made = _design(Wanted(most_spools=2), SMALL.replace("cable: GXL", "cable: GXL, colours: numbered"))
    assert made.totals.spools == len({(wire.size, wire.colour) for wire in made.wires}) <= 2


def test_fewer_spools_than_colours_cannot_be_had() -> None:
    with pytest.raises(TooFewKinds):
        _design(Wanted(most_spools=1))


def test_the_plain_rule_proves_nothing_and_is_never_lighter() -> None:
    plain, best = _design(Wanted(method="table")), _design(Wanted())
    assert plain.totals.proven_gap is None
    assert best.totals.proven_gap == 0
    assert plain.totals.copper_kg == plain.totals.baseline_copper_kg
    assert best.totals.copper_kg <= plain.totals.copper_kg
    for made in (plain, best):
        assert not [load.part for load in made.loads if load.freeing]


def test_a_load_no_size_can_feed_is_told_what_frees_it() -> None:
    """16 AWG at most over 50 m: 9 A and more than 12 mohm a metre lose several volts; 3 % are 0.36 V."""
    made = _design(Wanted(stock=read_stock("GXL 18,16")), HUNGRY.replace("length: 2 m", "length: 20 m"))
    words = "\n".join(next(load.freeing for load in made.loads if load.part == "left lamp"))
    for cure in ("a shorter run frees it", "relay near the load", "a higher limit frees it: at least"):
        assert cure in words
