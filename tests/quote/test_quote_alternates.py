"""Substitutions: what the trade forbids (guide/counter.md) is never offered; what is says what it changes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from harness.counter.choices import BOUGHT, read_choices
from harness.counter.choicestext import choices_text
from harness.model.accepted import Accepted
from harness.model.pricing import Break, Candidate, Match, Matching, Need, Offer, PriceList
from harness.model.problem import SurveyWrong
from harness.quote.alternates import (
    numbered,
    other_colour,
    other_insulation,
    recoloured,
    redesigned,
    rolls,
    wires_of,
)
from harness.quote.quoting import basket_of

GXL = "wire: wire, GXL; 14 AWG; RD"


def offer(number: str, price: str, content: str = "1", **more: Any) -> Offer:
    given = {"sold_as": f"{content} m", "cut": content == "1", "traits": {"cable": ("GXL",)}, **more}
    return Offer(
        supplier="A", part_number=number, description=number, unit="m", content=Decimal(content),
        breaks=(Break(1, Decimal(price)),), stock=None, lead_days=None, currency="EUR", tax_class="",
        shelf="", where="a.csv:2:1", **given,
    )  # fmt: skip


def wire(*pieces: str, cable: str = "GXL") -> Need:
    lengths = tuple((f"{at}a", Decimal(one)) for at, one in enumerate(pieces, start=1))
    amount = sum((one for _, one in lengths), Decimal(0))
    return Need(GXL, "wire", f"wire, {cable}", "14 AWG", "RD", "m", amount, lengths, {"M": amount})


def near(offer_: Offer, *why: str) -> Candidate:
    return Candidate(offer_, why, 1.0)


def test_another_colour_joins_the_pieces_of_that_colour() -> None:
    """2.4 m of red and 1.1 m of black are 3.5 m of black on one spool, each machine with its own."""
    black = replace(wire("1.1"), key=GXL.replace("RD", "BK"), colour="BK", by_machine={"N": Decimal("1.1")})
    red = wire("2.4")
    (both,) = recoloured([red, black], red, "BK")
    assert (both.amount, both.colour, len(both.pieces)) == (Decimal("3.5"), "BK", 2)
    assert both.by_machine == {"M": Decimal("2.4"), "N": Decimal("1.1")}
    (alone,) = recoloured([red], red, "BK")
    assert (alone.key, alone.pieces) == (black.key, red.pieces)


@pytest.mark.parametrize(
    ("asked", "listed", "is_offered"),
    [
        ("GPT", "GXL", True),  # PVC asked, cross-linked offered: stands more heat
        ("GXL", "SXL", True),  # both cross-linked
        ("GXL", "GPT", False),  # less heat: never
        ("class C", "class B", False),
        ("class B", "class C", True),
        ("GXL", "XYZ", False),  # no table says what it stands
    ],
)
def test_insulation_for_less_heat_is_never_offered(asked: str, listed: str, is_offered: bool) -> None:
    line = offer("W9", "0.50", traits={"cable": (listed,)})
    found = other_insulation(wire("2.4", cable=asked), near(line, f"cable {listed}, wanted {asked}"))
    assert (found[0] if found else "") == (listed if is_offered else "")


@pytest.mark.parametrize(
    "why",
    [
        ("size 16 AWG, wanted 14 AWG",),  # thinner wire: never
        ("size 12 AWG, wanted 14 AWG",),  # thicker only by a design made anew: its lugs have to fit
        ("colour BK, wanted RD", "size 16 AWG, wanted 14 AWG"),
        ("it also says 'CCA'",),  # copper-clad aluminium: never
        ("rating 20 A, wanted 15 A",),
    ],
)
def test_what_differs_otherwise_is_not_offered(why: tuple[str, ...]) -> None:
    line = offer("W9", "0.50", traits={"cable": ("SXL",), "colour": ("BK",)})
    assert not other_colour(wire("2.4"), near(line, *why))
    assert other_insulation(wire("2.4"), near(line, *why)) is None


def test_another_colour_is_told_with_wires_and_what_lies_beside() -> None:
    def made(number: str, colour: str, part: str) -> dict[str, Any]:
        end = {"kind": "part", "part": part}
        return {
            "number": number, "cable": "GXL", "size": "14 AWG", "colour": colour, "kept": False,
            "fine_stranded": False, "from": end, "to": {"kind": "part", "part": "dash"},
        }  # fmt: skip

    wires = [made("12a", "RD", "lamp"), made("13", "BU", "lamp"), made("14", "BU", "horn")]
    assert (
        other_colour(wire("1"), near(offer("B", "1", traits={"colour": ("BU",)}), "colour BU, wanted RD"))
        == "BU"
    )
    words = "; ".join(wires_of([{"wires": wires}], wire("1"), "BU"))
    assert "from then on: 12a;" in words and "12a beside 13 at lamp" in words and "14 at horn" not in words


@pytest.mark.parametrize(("asked", "listed"), [("RD", "BK"), ("BK", "RD"), ("R", "B"), ("BK", "BU")])
def test_the_colour_of_grounds_is_neither_given_nor_taken(asked: str, listed: str) -> None:
    """Black for grounds alone: common practice, and BS AU 7a's "earth"."""
    line = offer("W9", "0.50", traits={"colour": (listed,)})
    need = replace(wire("2.4"), colour=asked)
    assert not other_colour(need, near(line, f"colour {listed}, wanted {asked}"))


def test_a_roll_in_place_of_cut_lengths_costs_more_and_leaves_some() -> None:
    """3.2 m and 1 m: five metres at 0.50 are 2.50; a roll of 10 m at 3.10 costs 0.60 more, 5.80 m stay."""
    need = wire("3.2", "1")
    both = (offer("CUT", "0.50"), offer("ROLL", "3.10", "10"))
    lists = [PriceList("A", "a.csv", "EUR", both)]
    matching = Matching((Match(GXL, both, "exact"),), ())
    now = basket_of([need], matching, lists).cents

    def more(needs: Sequence[Need], other: Matching) -> tuple[int, int]:
        return basket_of(needs, other, lists).cents - now, 0

    (one,) = numbered(rolls([need], matching, lists, more))
    assert (one.name, one.difference_cents) == ("ALT-1", 60)
    assert (one.choice.section, one.choice.key, one.choice.value) == (BOUGHT, GXL, "ROLL")
    assert one.consequences[0].startswith("5.80 m stay")


def _data(size: str, terminal: str, grommet: str, *dangers: str) -> dict[str, Any]:
    end = {"terminal": terminal}
    thick = size != "14 AWG"
    return {
        "wires": [{"number": "12a", "cable": "GXL", "size": size, "from_end": end, "to_end": end}],
        "runs": [{"name": "dash - rail", "grommet": grommet, "covering": "tube"}],
        "findings": [{"rule": rule, "subject": "x", "severity": "fault"} for rule in dangers],
        "totals": {"copper_kg": 1.25 if thick else 1.0},
        "fuses": [{"name": "F1", "rating_a": 20.0 if thick else 15.0}],
        "materials": [{"key": f"seals: cavity seal; {'yellow' if thick else 'blue'}", "group": "couplers"}],
    }


def test_a_design_made_anew_tells_wires_terminals_grommets_and_copper() -> None:
    words = redesigned(_data("14 AWG", "ring M6 blue", "20 mm"), _data("12 AWG", "ring M6 yellow", "25 mm"))
    assert words is not None
    told = "; ".join(words)
    for part in (
        "12a 14 AWG > 12 AWG",
        "12a: ring M6 yellow",
        "dash - rail: 25 mm",
        "no other covering",
        "0.25 kg more",
        "F1 15 > 20 A",
        "needed now: cavity seal; yellow",
        "needed no more: cavity seal; blue",
    ):
        assert part in told, part


def test_a_design_made_anew_with_a_new_fault_is_not_offered() -> None:
    assert redesigned(_data("14 AWG", "a", ""), _data("12 AWG", "a", "", "full-hole")) is None


LISTS = [PriceList("A", "a.csv", "EUR", (offer("W9", "1"), offer("=1+1 'x': #", "1")))]
SIZES = ("GXL 14 AWG", "GXL 12 AWG")


def test_choices_come_back_as_they_were_written() -> None:
    given = Accepted(
        {GXL: "W9", "wire: it's: #odd": "=1+1 'x': #"}, ("GXL 14 AWG", "GXL 12 AWG RD"),
        {"GXL 14 AWG RD": "BK"}, {"GXL fine-stranded 14 AWG RD": "SXL"}, {GXL: "what: {it} 'is', #1"},
    )  # fmt: skip
    read = read_choices(choices_text(given), "c.yaml", LISTS, SIZES)
    for section in ("bought", "sizes", "colours", "cables", "words"):
        assert getattr(read, section) == getattr(given, section), section
    assert not read_choices(choices_text(Accepted()), "c.yaml", LISTS, SIZES).sizes


def test_every_mistake_in_choices_is_told_with_its_place() -> None:
    text = (
        "bought instead:\n  'wire': W8\nleave out sizes:\n  - GXL 13 AWG\nother: x\n"
        "other colours:\n  GXL 13 AWG RD: BK\n  GXL 14 AWG RD: mauve\n"
        "other cable:\n  GXL 14 AWG RD: GPT\n  GXL 12 AWG RD: XLPE\n"
    )
    with pytest.raises(SurveyWrong) as wrong:
        read_choices(text, "c.yaml", LISTS, SIZES)
    told = [(one.where.line, one.where.column) for one in wrong.value.problems]
    assert told == [(2, 11), (4, 5), (5, 1), (7, 3), (8, 18), (10, 18), (11, 18)]
    assert "W9" in wrong.value.problems[0].fix and "GXL 1" in wrong.value.problems[1].fix
