"""What the terminal shows: danger first, the deciding limit, and never a name that acts on the terminal."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.console import Console

from harness.book.explain import NoSuchWire, print_explain
from harness.book.summary import print_summary, wire_table, writable
from harness.model.design import Breach, Design, NextSize, WireLoad
from tests.book.factories import limit, renamed, small_design

HOSTILE = [
    "[red]x[/red]",
    "[/]",
    "\x1b[31mred",
    "\x9b31m",
    "\x07",
    "a\rb",
    ":smiley:",
    "\u202eabc",
    "[link=http://x]y[/link]",
]


def _all(design: Design, *, width: int = 200, encoding: str = "utf-8") -> str:
    raw = io.BytesIO()
    console = Console(
        file=io.TextIOWrapper(raw, encoding=encoding, newline="\n"), width=width, force_terminal=False
    )
    print_summary(design, console)
    console.print(wire_table(design))
    print_explain(design, design.wires[2].number, console)
    console.file.flush()
    return raw.getvalue().decode(encoding)


def _printed(design: Design, width: int = 200) -> str:
    return _all(design, width=width)


def test_the_totals_are_said() -> None:
    text = _printed(small_design())
    assert "Pump set: 12 V, negative post on the chassis; SAE gauges" in text
    assert "8, 1 of them kept" in text
    assert "0.19 kg (sized wire by wire: 0.21 kg, 2 wires too thick for the terminals)" in text
    assert "0.41 V of 12 V (3.4 %), left lamp" in text
    assert "1 danger, 1 fault, 1 advice" in text


def test_a_load_that_gets_nothing_is_said_in_volts() -> None:
    design = small_design()
    totals = replace(design.totals, worst_drop_v=13.8, worst_drop_share=1.15, worst_drop_load="horn")
    assert "13.80 V, all there is: nothing is left for horn" in _all(replace(design, totals=totals))


def test_danger_comes_first_with_its_cure() -> None:
    text = _printed(small_design())
    places = [text.index(word) for word in ("DANGER", "2.45 m of feed", "0.41 V lost", "no spare way")]
    assert places == sorted(places)
    assert "cure: put a grommet in" in text


@pytest.mark.parametrize("width", [80, 200])
def test_every_wire_is_in_the_table_at_any_width(width: int) -> None:
    raw = io.StringIO()
    Console(file=raw, width=width).print(wire_table(small_design()))
    lines = raw.getvalue().splitlines()
    for number in ("1", "2", "3", "4", "5a", "5b", "6", "7"):
        assert any(line.split()[:1] == [number] for line in lines)
    assert all(len(line) <= width for line in lines)
    assert "drop, kept" in raw.getvalue()


def test_a_short_spell_stands_behind_the_steady_current() -> None:
    cranking = replace(small_design().wires[2], continuous_a=0.0, short_a=12.0, short_s=30.0)
    raw = io.StringIO()
    Console(file=raw, width=200).print(wire_table(small_design(wires=[cranking])))
    assert " 0.0 (12.0) " in raw.getvalue()


def test_explain_gives_every_limit_and_the_one_that_decided() -> None:
    text = _printed(small_design())
    deciding = next(line for line in text.splitlines() if "decided the size" in line)
    assert "drop: at least 16 AWG (1.31 mm2)" in deciding
    assert text.count("decided the size") == 1
    assert "mechanical: at least 18 AWG (0.823 mm2)" in text
    assert "0.31 V, allowed 0.36 V" in text
    assert "4.58 A x 0.0677 ohm = 0.31 V" in text
    assert text.count("source: voltage drop rules of vehicle makers (read)") == 2
    assert "20 A x 0.81 (ambient 60 °C) x 0.7 (4 loaded wires together) = 11.4 A" in text


def test_explain_says_when_no_size_is_enough() -> None:
    design = small_design()
    beyond = replace(design.wires[2], limits=[limit(least_size="", least_area_mm2=None)])
    assert "drop: no size is enough" in _printed(small_design(wires=[*design.wires[:2], beyond]))


def test_the_saving_is_said_in_copper_money_and_spools() -> None:
    """By hand: 0.21 - 0.19 kg, 24.50 - 20.25 EUR, 9 - 7 spools."""
    design = small_design()
    totals = replace(
        design.totals, proven_gap=0.0, spools=7, baseline_spools=9, wire_cost="20.2500",
        baseline_wire_cost="24.5000", currency="EUR", baseline_starved=1,
    )  # fmt: skip
    text = _printed(replace(design, totals=totals))
    assert "20.25 EUR (sized wire by wire: 24.50)" in text
    assert "proven cheapest; 0.02 kg less copper and 4.25 EUR less than wire by wire" in text
    assert "wire by wire 1 load would starve; 7 spools, 2 fewer" in text
    light = _printed(replace(design, totals=replace(totals, wire_cost="", baseline_starved=0)))
    assert "proven lightest, lugs counted; 0.02 kg less copper than wire by wire" in light
    assert "EUR" not in light
    near = _printed(replace(design, totals=replace(totals, wire_cost="", proven_gap=0.0125)))
    assert "within 1.25% of the lightest, lugs counted" in near


def test_explain_says_the_slack_the_loads_and_what_thinner_breaks() -> None:
    design = small_design()
    text = "left lamp in night work would lose 0.4 V of 0.36 V allowed, 0.04 V too much"
    breach = Breach("drop", "left lamp", "+/-", "night work", 0.4, 0.36, "V", text)
    load = WireLoad("left lamp", "+/-", "night work", False, 0.31, 0.345, 0.36, 0.015, "a table", "")
    told = replace(
        design.wires[2], next_down=NextSize("18 AWG", 0.823, [breach], ""), loads=[load],
        freeing=["the survey fixes it at 18 AWG", "16 AWG frees it"],
    )  # fmt: skip
    said = _printed(small_design(wires=[*design.wires[:2], told]))
    assert "0.31 V, allowed 0.36 V, slack 0.05 V" in said
    assert f"breaks drop: {text}" in said
    assert "16 AWG frees it" in said
    (line,) = [line.split() for line in said.splitlines() if line.split()[:2] == ["left", "lamp"]]
    assert line == ["left", "lamp", "night", "work", "0.310", "0.345", "0.36", "0.015"]
    thinnest = replace(told, next_down=NextSize("", None, [], "there is no thinner GXL"))
    assert "there is no thinner GXL" in _printed(small_design(wires=[*design.wires[:2], thinnest]))


def test_a_wrong_number_is_answered_with_near_ones() -> None:
    raw = io.StringIO()
    with pytest.raises(NoSuchWire, match=r"no wire '5'.*5[ab]"):
        print_explain(small_design(), "5", Console(file=raw))
    assert raw.getvalue() == ""


@pytest.mark.parametrize("name", HOSTILE, ids=range(len(HOSTILE)))
def test_no_name_acts_on_the_terminal(name: str) -> None:
    text = _printed(renamed(small_design(), name))
    assert not any(ord(character) < 32 and character != "\n" for character in text)
    assert not any(0x7F <= ord(character) <= 0x9F for character in text)
    assert not set(text) & set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


@pytest.mark.parametrize("name", ["[red]x[/red]", "[/]", ":smiley:", "[link=http://x]y[/link]"])
def test_markup_in_names_is_shown_as_written(name: str) -> None:
    assert f"{name}: 12 V" in _printed(renamed(small_design(), name))


@settings(max_examples=40)
@given(st.text(max_size=20))
def test_any_name_can_be_shown_on_a_plain_terminal(name: str) -> None:
    assert _all(renamed(small_design(), name), encoding="ascii").isascii()


def test_ascii_terminals_get_readable_stand_ins() -> None:
    assert writable("85 °C, 2.5 mm², ≤ 3 Ω, 字", "ascii") == "85  deg C, 2.5 mm2, <= 3 ohm, ?"
    assert writable("85 °C", "utf-8") == "85 °C"


def test_no_colour_is_respected(monkeypatch: pytest.MonkeyPatch) -> None:
    def shown() -> str:
        raw = io.StringIO()
        print_summary(small_design(), Console(file=raw, force_terminal=True, color_system="standard"))
        return raw.getvalue()

    monkeypatch.delenv("NO_COLOR", raising=False)
    assert "\x1b[1;31m" in shown()
    monkeypatch.setenv("NO_COLOR", "1")
    assert "31m" not in shown()
