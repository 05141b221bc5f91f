"""Price lists: every mistake with its line, money exact to the last digit, and the cheapest sizes taken."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from hypothesis import given
from hypothesis import strategies as st

from harness.cli import main
from harness.counter.cable_prices import cable_prices, read_prices
from harness.electric.prices import NoPrice, money, wire_steps
from harness.electric.ruleset import rule_set
from harness.electric.wanted import Wanted, read_stock
from harness.model.design import Design
from harness.model.problem import SurveyWrong
from harness.pipeline import design
from harness.survey import read

SAMPLES = Path(__file__).parents[2] / "samples"
SIZES = [size.label for size in rule_set("sae", "GXL").sizes]
HEAD = "cable,size,price_per_m,currency,colour\n"


def _list(price: dict[str, str], extra: str = "") -> str:
    return HEAD + "".join(f"GXL,{size},{cost},EUR,\n" for size, cost in price.items()) + extra


RISING = {size: f"{0.31 + 0.17 * at:.2f}" for at, size in enumerate(SIZES)}


def _pump(text: str, **more: object) -> Design:
    machine = read("pump.yaml", text=(SAMPLES / "pump.yaml").read_bytes())
    return design(machine, Wanted(prices=read_prices(text, "list.csv"), **more))  # type: ignore[arg-type]


def _problems(text: str) -> list[str]:
    with pytest.raises(SurveyWrong) as raised:
        read_prices(text, "list.csv")
    return [str(problem) for problem in raised.value.problems]


@pytest.mark.parametrize(
    ("row", "at", "what", "fix"),
    [
        ("GXLL,14,1", "2:1", "'GXLL' is no cable type", "nearest: GXL"),
        ("GXL,13x,1", "2:5", "'13x' is no size of GXL", "14 AWG"),
        ("GXL,2.5 mm2,1", "2:5", "'2.5 mm2' is no size of GXL", "12 AWG"),
        ("GXL,14,free", "2:8", "'free' is no price of a metre", "such as 0.62"),
        ("GXL,14,-1", "2:8", "'-1' is no price of a metre", "above zero"),
        ("GXL,14,nan", "2:8", "'nan' is no price of a metre", "above zero"),
        ("GXL,14,1e400000", "2:8", "'1e400000' is no price of a metre", "above zero"),
        ("GXL,14,0.00001", "2:8", "finer than prices are counted", "0.0000"),
        ('GXL,14,"1,20"', "2:8", "'1,20' is no price of a metre", "decimal point"),
        ("GXL,14,1,EUR,REDD", "2:14", "'REDD' is no colour", "nearest: RD"),
        ("GXL,14,1,EUR,RD,9", "2:1", "6 cells where the header has 5", "quotes"),
        ("GXL,14,1,EUR,\nGXL,12,1,USD,", "3:10", "currency 'USD', but 'EUR' in line 2", "one currency"),
        ("GXL,14,1\nGXL,14 AWG,2", "3:1", "GXL 14 AWG has a price in line 2 already", "one price"),
    ],
)
def test_a_mistake_is_named_with_its_line(row: str, at: str, what: str, fix: str) -> None:
    (found,) = _problems(f"{HEAD}{row}\n")
    assert found.startswith(f"list.csv:{at}: ")
    assert what in found
    assert fix in found.split("fix: ")[1]


@pytest.mark.parametrize(
    ("head", "what"),
    [
        ("cable,size\nGXL,14\n", "the header lacks price_per_m"),
        ("cable;size;colour\n", "the header lacks price_per_m"),
        ("cable,size,price_per_m,colr\n", "'colr' is no column"),
        ("cable,size,price_per_m,size\n", "'size' stands twice"),
        (HEAD, "no price in the list"),
        ("", "the header lacks cable"),
    ],
)
def test_a_wrong_header_is_named(head: str, what: str) -> None:
    assert any(what in problem for problem in _problems(head))


def test_all_mistakes_come_at_once() -> None:
    assert len(_problems(f"{HEAD}XXX,14,1,,\nGXL,99,0,,\nGXL,12,x,,ZZ\n")) == 5


@given(st.text(max_size=80))
def test_no_text_breaks_the_reader(text: str) -> None:
    for whole in (text, f"{HEAD}GXL,{text}", f"{HEAD}GXL,14,{text}", f'{HEAD}"{text}'):
        try:
            read_prices(whole, "list.csv")
        except SurveyWrong as wrong:
            assert wrong.problems


def test_a_list_from_a_spreadsheet_reads_the_same() -> None:
    text = _list(RISING)
    assert read_prices("\ufeff" + text.replace("\n", "\r\n"), "a") == read_prices(text, "a")


def test_money_is_exact() -> None:
    """By hand: 1.4 m at 0.3333 a metre is 0.46662, rounded up 0.4667; three of them 1.39986, not 1.4001."""
    assert money(wire_steps(3333, 1.4)) == "0.4667"
    assert money(3 * wire_steps(3333, 1.4)) == "1.3999"


def test_the_cost_is_the_sum_of_length_times_price() -> None:
    found = _pump(_list(RISING))
    cost = sum((Decimal(str(wire.length_m)) * Decimal(RISING[wire.size]) for wire in found.wires), Decimal(0))
    assert Decimal(found.totals.wire_cost) == cost
    assert found.totals.currency == "EUR"
    for wire in found.wires:
        assert Decimal(wire.cost) == Decimal(str(wire.length_m)) * Decimal(RISING[wire.size])


def test_the_cheapest_sizes_cost_no_more_than_the_lightest_or_the_plain_rule_s() -> None:
    """Prices that do not follow copper: the lightest sizes are then not the cheapest."""
    odd = RISING | {"12 AWG": "2.90", "16 AWG": "1.95", "8 AWG": "1.42"}
    light = design(read("pump.yaml", text=(SAMPLES / "pump.yaml").read_bytes()))
    cheap = _pump(_list(odd))
    assert cheap.totals.proven_gap == 0
    by_weight = sum(
        (Decimal(str(wire.length_m)) * Decimal(odd[wire.size]) for wire in light.wires), Decimal(0)
    )
    assert Decimal(cheap.totals.wire_cost) < by_weight
    assert Decimal(cheap.totals.wire_cost) <= Decimal(cheap.totals.baseline_wire_cost)
    assert not [load.part for load in cheap.loads if load.freeing]
    assert "12 AWG" not in {wire.size for wire in cheap.wires}


def test_a_colour_of_its_own_price_goes_before_any_colour() -> None:
    dear = _list(RISING, "".join(f"GXL,{size},9,EUR,RD\n" for size in SIZES))
    wires = _pump(dear).wires
    assert {Decimal(wire.cost) / Decimal(str(wire.length_m)) for wire in wires if wire.colour == "RD"} == {9}
    assert all(
        Decimal(wire.cost) == Decimal(str(wire.length_m)) * Decimal(RISING[wire.size])
        for wire in wires
        if wire.colour != "RD"
    )


def test_heavy_sizes_may_be_listed_as_battery_cable() -> None:
    heavy = [size.label for size in rule_set("sae", "GXL").sizes if size.area_mm2 > 12]
    light = {size: cost for size, cost in RISING.items() if size not in heavy}
    both = _list(light, "".join(f"SGX,{size},{RISING[size]},EUR,\n" for size in heavy))
    assert _pump(both).totals.wire_cost == _pump(_list(RISING)).totals.wire_cost


def test_a_price_forgotten_between_others_is_named() -> None:
    gap = {size: cost for size, cost in RISING.items() if size != "14 AWG"}
    with pytest.raises(NoPrice, match=r"list\.csv has no price for GXL 14 AWG"):
        _pump(_list(gap))
    shelf = ",".join(size.split()[0] for size in gap)
    assert _pump(_list(gap), stock=read_stock(f"GXL {shelf}")).totals.wire_cost


def test_a_list_too_thin_for_a_wire_names_it() -> None:
    """The cables to the starter need more than 14 AWG for their current alone."""
    thin = {size: RISING[size] for size in ("18 AWG", "16 AWG", "14 AWG")}
    with pytest.raises(NoPrice, match=r"needs at least GXL .* AWG; the thickest with a price is 14 AWG"):
        _pump(_list(thin))


def test_a_cable_that_is_not_listed_is_named() -> None:
    with pytest.raises(NoPrice, match="no price for any GXL"):
        _pump(_list(RISING).replace("GXL", "TXL"))


def _run(*words: object) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


def test_the_command_prints_the_cost(tmp_path: Path) -> None:
    prices = tmp_path / "list.csv"
    prices.write_text(_list(RISING), encoding="utf-8")
    text = _run("build", SAMPLES / "pump.yaml", "--prices", prices, "--out", tmp_path / "out").output
    totals = json.loads((tmp_path / "out" / "design.json").read_text(encoding="utf-8"))["totals"]
    cost = f"{Decimal(totals['wire_cost']):.2f} EUR"
    assert cost in text
    assert "proven cheapest" in text
    words = _run("explain", SAMPLES / "pump.yaml", "4", "--prices", prices).output
    assert "EUR" in words


def test_the_command_says_what_is_wrong_and_exits_2(tmp_path: Path) -> None:
    prices = tmp_path / "list.csv"
    prices.write_text(HEAD + "GXLL,14,1,,\nGXL,14,x,,\n", encoding="utf-8")
    found = _run("size", SAMPLES / "pump.yaml", "--prices", prices)
    assert found.exit_code == 2
    assert "list.csv:2:1: 'GXLL'" in found.output
    assert "list.csv:3:8: 'x'" in found.output
    as_json = _run("size", SAMPLES / "pump.yaml", "--prices", prices, "--json")
    assert [one["line"] for one in json.loads(as_json.output)["problems"]] == [2, 3]
    prices.write_bytes(b"cable,size,price_per_m\nGXL,14,1\x81\n")
    assert (
        "list.csv:2:1: is neither UTF-8, UTF-16 nor Windows-1252"
        in _run("size", SAMPLES / "pump.yaml", "--prices", prices).output
    )
    assert _run("size", SAMPLES / "pump.yaml", "--prices", tmp_path / "none.csv").exit_code == 3
    prices.write_text(_list({"14 AWG": "1"}), encoding="utf-8")
    none = _run("size", SAMPLES / "pump.yaml", "--prices", prices)
    assert none.exit_code == 2
    assert "--prices: " in none.output


def test_a_counters_list_serves_as_well() -> None:
    """By hand: 25 ft are 7.62 m, so 14 AWG red is 7.62 / 7.62 = 1 a metre; cut by the foot it is dearer."""
    text = """Part no,Description,Unit,Pack size,Price
A,GXL 14 RD 25FT,roll,25 ft,7.62
B,GXL 14 RD,ft,,0.90
C,GXL 14 BK,m,,1.25
D,CL C 1.5MM2 G/R,roll,30 m,15.00
E,GXL 12 RD TWIN,m,,0.10
F,LUG 16MM2 M8,each,,2.00
"""
    found = cable_prices(text.encode(), "list.csv")
    assert dict(found.steps) == {
        ("GXL", "14 AWG", "RD"): 10_000, ("GXL", "14 AWG", "R"): 10_000, ("GXL", "14 AWG", "BK"): 12_500,
        ("GXL", "14 AWG", "B"): 12_500, ("GXL", "14 AWG", ""): 12_500, ("class C", "1.5 mm2", "GN/RD"): 5_000,
        ("class C", "1.5 mm2", "G/R"): 5_000, ("class C", "1.5 mm2", ""): 5_000,
    }  # fmt: skip
    with pytest.raises(SurveyWrong, match="1 problem"):
        cable_prices(b"Part no,Description,Price\nF,LUG 16MM2 M8,2.00\n", "list.csv")


def test_the_old_table_is_known_by_its_heading() -> None:
    assert cable_prices(_list(RISING).encode(), "a") == read_prices(_list(RISING), "a")


def test_a_whole_list_from_a_counter_sizes_a_machine_for_least_money() -> None:
    path = SAMPLES / "prices-one.csv"
    machine = read("pump.yaml", text=(SAMPLES / "pump.yaml").read_bytes())
    found = design(machine, Wanted(prices=cable_prices(path.read_bytes(), path.name)))
    assert found.totals.proven_gap == 0
    assert found.totals.currency == "EUR"
    assert Decimal(found.totals.wire_cost) <= Decimal(found.totals.baseline_wire_cost)
    over = sum(Decimal(wire.cost) for wire in found.wires) - Decimal(found.totals.wire_cost)
    assert 0 <= over < len(found.wires) * Decimal("0.0001"), "each wire is rounded up by itself"
