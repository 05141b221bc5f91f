"""The part kinds: each is whole and consistent, and one more entry is all it takes to add one."""

from __future__ import annotations

import re
import tomllib
from importlib.resources import files

import pytest

from harness.kinds import FORMS, Kind, aliases, find, kinds, parse, terminal
from harness.survey.units import BLADE_WIDTHS, STUD_SIZES
from harness.tables import load
from tests.published.recorder import Cells, published

NAMES = sorted(kinds())


def test_the_kinds_asked_for_are_there() -> None:
    wanted = """
        battery, alternator, dynamo, starter motor, starter relay, relay, changeover relay, heavy
        relay, fuse, fuse panel, breaker, fusible link, isolator, key switch, switch, changeover
        switch, lamp switch, push button, neutral switch, pressure switch, temperature switch, reverse
        switch, brake switch, level switch, door switch, seat switch, lamp, head lamp, work lamp, tail
        lamp, warning lamp, panel lamp, beacon, turn lamp, flasher unit, horn, reverse alarm, buzzer,
        glow plug, intake heater, solenoid, stop solenoid, solenoid valve, magnetic clutch, electric
        pump, fuel pump, wiper motor, washer pump, fan, heater fan, radio, socket, hour meter, fuel
        gauge, temperature gauge, oil pressure gauge, voltmeter, ammeter, tachometer, fuel sender,
        temperature sender, oil pressure sender, ignition coil, electronic module, diode, resistor,
        ballast resistor, bus stud, terminal stud, ground point, spare
    """
    assert {" ".join(name.split()) for name in wanted.split(",")} <= set(kinds())


@pytest.mark.parametrize("name", NAMES)
def test_terminals_and_links_of_a_kind_fit_together(name: str) -> None:
    kind = kinds()[name]
    terminals = {each.name for each in kind.terminals}
    assert {kind.inlet, kind.outlet} <= terminals
    assert kind.return_terminal in terminals | {""}
    assert "case" not in terminals
    for link in kind.links:
        assert {link.a, link.b} <= terminals
        assert link.a != link.b
        assert (link.load is not None) == (link.kind == "load")
        assert link.resistance_ohm >= 0
        assert link.form is None or link.form in FORMS
        assert link.source
    for each in kind.terminals:
        screws = (*STUD_SIZES, "clamp")
        sizes = {"stud": STUD_SIZES, "screw": screws, "blade": BLADE_WIDTHS}.get(each.fitting, ("",))
        assert each.size in sizes


@pytest.mark.parametrize("name", NAMES)
def test_figures_of_a_kind_can_be(name: str) -> None:
    for link in kinds()[name].links:
        load_ = link.load
        if load_ is None:
            continue
        assert (load_.watts is None) != (load_.amps_at_12v is None)
        steady_a = load_.amps_at_12v if load_.watts is None else load_.watts / 12
        assert steady_a is not None
        assert 0 < steady_a <= 300  # 75 to 300 A for a starter, typical_load_currents_12V (read)
        assert (load_.peak_amps_at_12v is None) == (load_.peak_s is None)
        assert load_.peak_amps_at_12v is None or load_.peak_amps_at_12v > steady_a


@pytest.mark.parametrize("name", NAMES)
def test_every_figure_says_how_sure_it_is(name: str) -> None:
    sure = ("read", "common practice", "memory", "calculated", "left out", "contact_resistance")
    for link in kinds()[name].links:
        assert any(word in link.source for word in sure), link.source


@pytest.mark.parametrize("name", NAMES)
def test_words_of_a_kind(name: str) -> None:
    kind = kinds()[name]
    assert kind.letter in {row["letter"] for row in load("iec81346_letters").rows}
    assert kind.function in {row["function"] for row in load("colour_functions").rows}
    assert kind.title and kind.symbol


def test_no_word_means_two_kinds() -> None:
    words = [alias for kind in kinds().values() for alias in kind.aliases] + list(kinds())
    assert len(words) == len(set(words))
    assert all(word == word.lower() or "12 V" in word for word in words)


@pytest.mark.parametrize(
    ("word", "name"),
    [
        ("head lamp", "head lamp"),
        ("headlamp", "head lamp"),
        ("Headlight", "head lamp"),
        ("ignition  switch", "key switch"),
        ("earth point", "ground point"),
        ("battery master switch", "isolator"),
        ("12 V outlet", "socket"),
        ("fuse box", "fuse panel"),
    ],
)
def test_other_words_people_use(word: str, name: str) -> None:
    kind = find(word)
    assert kind is not None
    assert kind.name == name


def test_unknown_word_is_no_kind() -> None:
    assert find("flux capacitor") is None
    assert find("") is None


@published("a battery and cable maker's catalogue 2024-25", "p. 140, loads at 12 V, upper ends", "read")
def test_published_figures_of_the_load_table(cells: Cells) -> None:
    def amps(name: str) -> float:
        load_ = kinds()[name].links[0].load
        assert load_ is not None
        return load_.amps_at_12v or (load_.watts or 0) / 12

    printed = {
        "wiper motor": 6,
        "radio": 5,
        "socket": 12,
        "heater fan": 10,
        "ignition coil": 3.5,
        "cab lamp": 1,
    }
    for name, printed_a in printed.items():
        cells.kept(name, amps(name), printed_a)
    cells.kept("horns, two", 2 * amps("horn"), 20)
    cells.near("stop lamps, two", 2 * amps("brake lamp"), 4, rel=0.15)  # two of 21 W


@published("US Army TM 5-2420-230-24-2", "p. 13-33, solenoid of the smallest 12 V series", "read")
def test_published_figures_of_the_starter_solenoid(cells: Cells) -> None:
    coil = kinds()["starter motor"].links[1].load
    assert coil is not None
    assert coil.amps_at_12v is not None and coil.peak_amps_at_12v is not None
    cells.kept("A held", coil.amps_at_12v, 13)
    cells.kept("A pulled in and held", coil.peak_amps_at_12v, 69)


NEW = """
["sprayer arm motor"]
title = "sprayer arm motor"
role = "load"
letter = "M"
symbol = "motor"
in = "+"
out = "-"
terminals = { "+" = "blade 6.3", "-" = "stud M5" }
links = [{ a = "+", b = "-", kind = "load", watts = 90, nature = "motor", takes = "main", source = "plate" }]
function = "pump"
aliases = ["arm motor"]
"""


def test_a_new_kind_is_one_entry() -> None:
    text = files("harness.kinds").joinpath("kinds.toml").read_text(encoding="utf-8")
    more = parse(text + NEW)
    assert len(more) == len(kinds()) + 1 == len(tomllib.loads(text)) + 1
    kind = more["sprayer arm motor"]
    assert isinstance(kind, Kind)
    assert {"power", "current", "peak", "stud", "on"} <= kind.accepts
    assert "ways" not in kind.accepts
    assert kind.return_terminal == "-"


def test_keys_follow_from_what_is_inside() -> None:
    assert {"coil", "coil peak", "rating", "suppressed"} <= kinds()["relay"].accepts
    assert "on" not in kinds()["relay"].accepts  # a plastic case carries nothing
    assert {"capacity", "cranking"} <= kinds()["battery"].accepts
    assert "power" not in kinds()["switch"].accepts
    assert "resets" in kinds()["breaker"].accepts and "resets" not in kinds()["fuse"].accepts


def test_fitting_text() -> None:
    assert terminal("B+", "stud M8").size == "M8"
    assert terminal("+", "pigtail").fitting == "pigtail"
    with pytest.raises(KeyError):
        terminal("+", "glue 3")


def test_words_for_aliases_lead_to_kinds() -> None:
    assert set(aliases().values()) <= set(kinds())


def test_numbers_of_terminals_are_those_of_the_standard() -> None:
    """DIN 72552 (read); beside it only what is marked with its volts, and the third way of a switch."""
    numbered = {
        each.name
        for kind in kinds().values()
        for each in kind.terminals
        if re.fullmatch(r"\d+[a-z]?", each.name)
    }
    assert numbered - {row["terminal"] for row in load("din72552_terminals").rows} == {"12", "24", "3"}


def test_a_relay_has_the_terminals_of_its_standard() -> None:
    """ISO 7588, by the numbers of DIN 72552 (memory)."""
    pins = {row["din_name"] for row in load("relay_pins").rows}
    assert {each.name for each in kinds()["changeover relay"].terminals} == pins
    assert {each.name for each in kinds()["relay"].terminals} == pins - {"87a"}
