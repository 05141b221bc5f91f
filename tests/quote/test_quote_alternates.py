"""Substitutions: what the trade forbids (guide/counter.md) is never offered; what is says what it changes."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from harness.counter.choices import Accepted, read_choices
from harness.model.pricing import Break, Candidate, Match, Matching, Need, Offer, PriceList, Unmatched
from harness.model.problem import SurveyWrong
from harness.quote.alternates import choices_text, numbered, other_lines, redesigned, rolls
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


def offered(need: Need, near: Offer, *why: str) -> list[tuple[int, tuple[str, str]]]:
    lists = [PriceList("A", "a.csv", "EUR", (near,))]
    matching = Matching((), (Unmatched(need.key, "no line says all of this", (Candidate(near, why, 1.0),)),))
    return [(one.difference_cents, one.choice) for one in other_lines([need], matching, lists, [need.key])]


def test_another_colour_is_offered_with_its_price() -> None:
    """2.4 m by whole metres at 0.50 are three: 1.50."""
    assert offered(wire("2.4"), offer("W9", "0.50"), "colour BK, wanted RD") == [(150, (GXL, "W9"))]


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
    near = offer("W9", "0.50", traits={"cable": (listed,)})
    found = offered(wire("2.4", cable=asked), near, f"cable {listed}, wanted {asked}")
    assert bool(found) is is_offered


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
    assert offered(wire("2.4"), offer("W9", "0.50"), *why) == []


def test_a_roll_in_place_of_cut_lengths_costs_more_and_leaves_some() -> None:
    """3.2 m and 1 m: five metres at 0.50 are 2.50; a roll of 10 m at 3.10 costs 0.60 more, 5.80 m stay."""
    need = wire("3.2", "1")
    both = (offer("CUT", "0.50"), offer("ROLL", "3.10", "10"))
    lists = [PriceList("A", "a.csv", "EUR", both)]
    matching = Matching((Match(GXL, both, "exact"),), ())
    (one,) = numbered(rolls([need], matching, lists, basket_of([need], matching, lists)))
    assert (one.name, one.difference_cents, one.choice) == ("ALT-1", 60, (GXL, "ROLL"))
    assert one.consequences[0].startswith("5.80 m stay")


def _data(size: str, terminal: str, grommet: str, *dangers: str) -> dict[str, Any]:
    end = {"terminal": terminal}
    return {
        "wires": [{"number": "12a", "size": size, "from_end": end, "to_end": end}],
        "runs": [{"name": "dash - rail", "grommet": grommet, "covering": "tube"}],
        "findings": [{"rule": rule, "subject": "x", "severity": "fault"} for rule in dangers],
        "totals": {"copper_kg": 1.0 if size == "14 AWG" else 1.25},
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
    ):
        assert part in told, part


def test_a_design_made_anew_with_a_new_fault_is_not_offered() -> None:
    assert redesigned(_data("14 AWG", "a", ""), _data("12 AWG", "a", "", "full-hole")) is None


LISTS = [PriceList("A", "a.csv", "EUR", (offer("W9", "1"), offer("=1+1 'x': #", "1")))]
SIZES = ("GXL 14 AWG", "GXL 12 AWG")


def test_choices_come_back_as_they_were_written() -> None:
    bought = {GXL: "W9", "wire: it's: #odd": "=1+1 'x': #"}
    text = choices_text(bought, ["GXL 14 AWG"])
    assert read_choices(text, "c.yaml", LISTS, SIZES) == Accepted(bought, ("GXL 14 AWG",))
    assert read_choices(choices_text({}, []), "c.yaml", LISTS, SIZES) == Accepted()


def test_every_mistake_in_choices_is_told_with_its_place() -> None:
    text = "bought instead:\n  'wire': W8\nleave out sizes:\n  - GXL 13 AWG\nother: x\n"
    with pytest.raises(SurveyWrong) as wrong:
        read_choices(text, "c.yaml", LISTS, SIZES)
    told = [(one.where.line, one.where.column) for one in wrong.value.problems]
    assert told == [(2, 11), (4, 5), (5, 1)]
    assert "W9" in wrong.value.problems[0].fix and "GXL 1" in wrong.value.problems[1].fix
