"""Parts: what the survey says, what the kind fills in and marks, case returns, positive ground."""

from __future__ import annotations

import pytest

from harness.kinds import kinds
from harness.model.machine import Link, Load, Part
from tests.survey.texts import TROLLEY, changed, machine, problems, steps, wires


def part(entry: str, *, voltage: str = "12 V", post: str = "negative", more: str = "") -> Part:
    """The part ``x`` of a small machine; ``entry`` is what stands in its braces."""
    text = changed(
        ("voltage: 12 V", f"voltage: {voltage}"),
        ("chassis post: negative", f"chassis post: {post}"),
        ("  ground:", f"  x: {{{entry}}}\n  ground:"),
        ("frame > battery -\n", f"frame > battery {'-' if post == 'negative' else '+'}\n{more}"),
        ("battery + > F1", f"battery {'+' if post == 'negative' else '-'} > F1"),
    )
    return machine(text).parts["x"]


def link(found: Part, name: str) -> Link:
    return next(each for each in found.links if each.name == name)


def load(found: Part, name: str) -> Load:
    got = link(found, name).load
    assert got is not None
    return got


def test_watts_become_amperes_at_the_system_voltage() -> None:
    at_12 = load(part("is: lamp, at: dash, power: 55 W"), "+/-")
    assert (at_12.steady_a, at_12.power_w) == (pytest.approx(55 / 12, abs=1e-6), 55.0)
    assert load(part("is: lamp, at: dash, power: 55 W", voltage="24 V"), "+/-").steady_a == pytest.approx(
        55 / 24, abs=1e-6
    )
    assert load(part("is: lamp, at: dash, power: 55 W, rated: 12 V", voltage="24 V"), "+/-").steady_a == (
        pytest.approx(55 / 12, abs=1e-6)
    )


def test_what_was_stated_is_not_assumed() -> None:
    assert part("is: lamp, at: dash, power: 55 W").assumed == ()
    assert part("is: lamp, at: dash, current: 4.5 A").assumed == ()


def test_typical_figures_are_marked() -> None:
    found = part("is: work lamp, at: dash")
    assert load(found, "+/-").power_w == 55.0
    assert found.assumed == ("current 4.58 A (typical work lamp, 55 W: common practice)",)


def test_typical_amperes_keep_the_power_at_another_voltage() -> None:
    assert load(part("is: radio, at: dash"), "+/-").steady_a == 5.0
    assert load(part("is: radio, at: dash", voltage="24 V"), "+/-").steady_a == 2.5
    assert load(part("is: radio, at: dash", voltage="6 V"), "+/-").steady_a == 10.0


def test_peak_stated_or_in_proportion() -> None:
    stated = load(part("is: stop solenoid, at: dash, current: 1 A hold, peak: 36 A for 0.5 s"), "+/-")
    assert (stated.steady_a, stated.steady_s, stated.peak_a, stated.peak_s) == (1.0, None, 36.0, 0.5)
    usual = part("is: fan, at: dash, current: 5 A")  # a fan of 10 A starts with 30 A, so one of 5 A with 15 A
    assert load(usual, "+/-").peak_a == pytest.approx(15.0)
    assert usual.assumed == ("peak current 15 A for 0.5 s (3 times the steady one, as typical)",)


def test_steady_spell_of_a_starter_and_its_coil() -> None:
    figures = "current: 320 A for 20 s, coil: 12 A, coil peak: 40 A for 0.3 s"
    found = part(f"is: starter motor, at: dash, on: frame, {figures}")
    main, coil = load(found, "30/case"), load(found, "50/case")
    assert (main.steady_a, main.steady_s) == (320.0, 20.0)
    assert (coil.steady_a, coil.steady_s, coil.peak_a, coil.peak_s) == (12.0, 30.0, 40.0, 0.3)
    assert "coil current for 30 s at most (common practice)" in found.assumed
    assert load(part("is: horn, at: dash, current: 4 A"), "+/-").steady_s == 5.0
    assert load(part("is: horn, at: dash, current: 4 A hold"), "+/-").steady_s is None


def test_assumed_studs_and_contacts() -> None:
    found = part("is: heavy relay, at: dash, coil: 0.9 A")
    assert "stud M8 at 30 (usual)" in found.assumed
    assert any(text.startswith("contact 30/87 1 mohm, rated 100 A") for text in found.assumed)
    told = part("is: heavy relay, at: dash, coil: 0.9 A, rating: 80 A, stud: M6, terminals: {86: blade 6.3}")
    assert {each.name: f"{each.fitting} {each.size}" for each in told.terminals} == {
        "30": "stud M6", "87": "stud M6", "86": "blade 6.3", "85": "stud M6",
    }  # fmt: skip
    assert not any("stud" in text or "rated" in text for text in told.assumed)
    assert link(told, "30/87").rating_a == 80.0


def test_generator_and_battery_figures() -> None:
    assert part("is: alternator, at: dash, on: frame, output: 75 A").output_a == 75.0
    usual = part("is: alternator, at: dash, on: frame")
    assert usual.output_a == 45.0
    assert any("output 45 A" in text for text in usual.assumed)
    battery = part("is: battery, at: dash, cranking: 700 A, rated: 6 V")
    assert (battery.capacity_ah, battery.cranking_a, battery.rated_v, battery.output_a) == (
        60.0,
        700.0,
        6.0,
        None,
    )
    assert any("capacity 60 Ah" in text for text in battery.assumed)


def test_output_at_idle_and_charge_of_a_battery() -> None:
    """A third at idle: 16 of 48 A hot in a marine engine maker's data; a dynamo gives none (practice)."""
    usual = part("is: alternator, at: dash, on: frame, output: 75 A")
    assert usual.idle_output_a == pytest.approx(25, abs=0.5)
    assert any(text.startswith("idle output 24.8 A, 33%") for text in usual.assumed)
    assert part("is: dynamo, at: dash, on: frame, output: 15 A").idle_output_a == 0.0
    told = part("is: alternator, at: dash, on: frame, output: 75 A, idle output: 0 A")
    assert told.idle_output_a == 0.0 and not any("idle" in text for text in told.assumed)
    assert part("is: battery, at: dash").charge == 0.8
    assert "charged to 80% at the start" in part("is: battery, at: dash").assumed
    full = part("is: battery, at: dash, charge: 100 %")
    assert full.charge == 1.0 and not any("charged" in text for text in full.assumed)
    assert part("is: lamp, at: dash").charge is None


@pytest.mark.parametrize(
    ("entry", "what"),
    [
        ("is: battery, at: dash, charge: 0.8", "'0.8' has no unit"),
        ("is: battery, at: dash, charge: 120 %", "is more than 100 %"),
        ("is: alternator, at: dash, idle output: 20 V", "'20 V' is a voltage where a generator output"),
        ("is: alternator, at: dash, output: 30 A, idle output: 40 A", "more at idle, 40 A, than its output"),
        ("is: lamp, at: dash, charge: 80 %", "'charge' means nothing for a lamp"),
    ],
)
def test_wrong_output_at_idle_or_charge(entry: str, what: str) -> None:
    found = problems(changed(("  ground:", f"  x: {{{entry}}}\n  ground:")))
    assert [what in each.what for each in found] == [True]
    assert found[0].where.line == 14 and found[0].where.column > 5


def test_ways_of_a_panel() -> None:
    counted = part("is: fuse panel, at: dash, ways: 3")
    assert [each.name for each in counted.links] == ["bus/F1", "bus/F2", "bus/F3"]
    assert [each.rating_a for each in counted.links] == [None, None, None]
    named = part("is: fuse panel, at: dash, ways: {lamps: 15 A, horn: , F9: 7.5 A}, form: small blade")
    assert [(each.b, each.rating_a, each.form) for each in named.links] == [
        ("lamps", 15.0, "small blade"), ("horn", None, "small blade"), ("F9", 7.5, "small blade"),
    ]  # fmt: skip
    assert [each.name for each in named.terminals] == ["bus", "lamps", "horn", "F9"]


def test_every_type_of_breaker_can_be_said_and_a_fuse_may_be_one_by_its_form() -> None:
    """SAE J553 (read-from-secondary): type I automatic, II until the supply is off, III by hand."""
    assert link(part("is: breaker, at: dash, resets: power off"), "1/2").opens == "power off"
    assert link(part("is: fuse, at: dash, form: breaker"), "1/2").opens == "automatic"
    assert link(part("is: fuse, at: dash, form: glass cartridge"), "1/2").opens is None


def test_breaker_that_resets_by_itself_is_the_assumption() -> None:
    assert link(part("is: breaker, at: dash"), "1/2").opens == "automatic"
    assert any("resets by itself" in text for text in part("is: breaker, at: dash").assumed)
    assert link(part("is: breaker, at: dash, resets: manual"), "1/2").opens == "manual"
    assert link(part("is: fuse, at: dash"), "1/2").opens is None


def test_resistance_and_polarity_and_suppression() -> None:
    assert link(part("is: resistor, at: dash, resistance: 47 ohm"), "1/2").resistance_ohm == 47.0
    assert part("is: lamp, at: dash, polarised: yes").needs_polarity
    assert not part("is: lamp, at: dash").needs_polarity
    assert part("is: relay, at: dash").suppressed is False
    assert part("is: relay, at: dash, suppressed: yes").suppressed is True
    assert part("is: lamp, at: dash").suppressed is None


def test_further_pins_of_a_module() -> None:
    found = part("is: electronic module, at: dash, terminals: {CAN H: pin, 7: blade 2.8}")
    assert [each.name for each in found.terminals] == ["+", "-", "CAN H", "7"]


def test_case_takes_the_place_of_the_return_only_where_no_wire_leaves_it() -> None:
    bolted = part("is: horn, at: dash, on: frame")
    assert (bolted.body, bolted.outlet, [each.name for each in bolted.links]) == ("frame", "case", ["+/case"])
    assert [each.name for each in bolted.terminals] == ["+"]
    wired = part("is: horn, at: dash, on: frame", more="      - F1 > x > frame\n")
    assert (wired.body, wired.outlet, [each.name for each in wired.links]) == (None, "-", ["+/-"])
    floating = part("is: horn, at: dash")
    assert (floating.body, floating.outlet) == (None, "-")  # no return at all: for the rules to find


def test_case_of_every_kind_that_can_have_one() -> None:
    for name, kind in kinds().items():
        if kind.return_terminal and kind.role != "ground":
            found = part(f"is: {name}, at: dash, on: frame")
            assert found.body == "frame", name
            assert kind.return_terminal not in {each.name for each in found.terminals}, name
            assert any("case" in (each.a, each.b) for each in found.links), name


def test_positive_ground_swaps_plus_and_minus() -> None:
    lamp = part("is: lamp, at: dash", post="positive", more="      - F1 > x > frame\n")
    assert (lamp.inlet, lamp.outlet, lamp.links[0].name) == ("-", "+", "-/+")
    bolted = part("is: lamp, at: dash, on: frame", post="positive")
    assert (bolted.inlet, bolted.outlet, bolted.links[0].name) == ("-", "case", "-/case")
    relay = part("is: relay, at: dash", post="positive")
    assert (relay.inlet, relay.outlet) == ("30", "87")  # terminals with numbers stay
    gauge = part("is: fuel gauge, at: dash", post="positive")
    assert {each.name for each in gauge.links} == {"-/+", "-/S"}


def test_positive_ground_paths_start_at_the_minus_post() -> None:
    text = changed(
        ("chassis post: negative", "chassis post: positive"),
        ("battery + > F1", "battery > F1"),
        ("frame > battery -", "frame > battery"),
    )
    found = machine(text)
    assert wires(found) == [
        "battery - > F1 1", "F1 2 > pump switch 1", "pump switch 2 > pump -", "pump + > frame",
        "frame > battery +",
    ]  # fmt: skip
    assert steps(found, "Water pump")[-2:] == ["[pump -/+]", "pump + > frame"]


def test_dead_short_follows_the_chassis_post() -> None:
    positive = changed(
        ("chassis post: negative", "chassis post: positive"), ("battery + > F1", "battery - > F1")
    )
    assert "battery - straight to body frame is a dead short" in problems(positive)[0].what


@pytest.mark.parametrize(
    ("entry", "column", "what"),
    [
        # columns of "  x: {" + entry: the entry starts at column 7
        ("is: lampp, at: dash", 11, "'lampp' is no kind of part"),
        ("is: lamp, at: dsh", 21, "no run leads to a place 'dsh'"),
        ("is: lamp, at: dash, on: farme", 31, "there is no body 'farme'"),
        ("is: lamp, at: dash, ways: 3", 27, "'ways' means nothing for a lamp"),
        ("is: fuse, at: dash, on: frame", 27, "'on' means nothing for a fuse"),
        ("is: lamp, at: dash, peak: 5 A", 33, "does not say how long the peak lasts"),
        (
            "is: lamp, at: dash, current: 5 A, peak: 3 A for 1 s",
            47,
            "the peak, 3 A, is less than the steady current",
        ),
        ("is: lamp, at: dash, power: 5 W, current: 1 A", 39, "says both power and current"),
        ("is: fuse panel, at: dash", 3, "does not say its ways"),
        ("is: fuse panel, at: dash, ways: none", 39, "'none' is not a count of ways"),
        ("is: fuse panel, at: dash, ways: 0", 39, "'0' is not a count of ways"),
        ("is: fuse panel, at: dash, ways: {bus: 5 A}", 40, "names both a way and a terminal"),
        ("is: ground point, at: dash", 3, "does not say which metal it is on"),
        ("is: fuse, at: dash, form: glas", 33, "'glas' is no form of fuse"),
        ("is: fuse, at: dash, terminals: {3: pin}", 39, "a fuse has no terminal '3'"),
        ("is: fuse, at: dash, terminals: {1: pinn}", 42, "'pinn' is no way to fasten a wire"),
        ("is: fuse, at: dash, terminals: {1: blade 5}", 42, "'5' is not the width of a blade"),
        ("is: fuse, at: dash, terminals: {1: stud M7}", 42, "'M7' is not the thread of a stud"),
        ("is: electronic module, at: dash, terminals: {case: pin}", 52, "has no terminal 'case'"),
        ("at: dash", 3, "does not say 'is'"),
        ("is: lamp", 3, "does not say 'at'"),
        ("is: [lamp], at: dash", 11, "a list stands where a single value belongs"),
        ("is: lamp, at: dash, power: {a: b}", 34, "keys with values stand where a single value belongs"),
    ],
)
def test_wrong_part(entry: str, column: int, what: str) -> None:
    found = problems(
        TROLLEY.replace("  ground:", f"  x: {{{entry}}}\n  ground:").replace(
            "circuits:", "bodies: {frame: }\ncircuits:"
        )
    )
    assert [(each.where.line, each.where.column) for each in found] == [(14, column)]
    assert what in found[0].what


def test_ways_that_cannot_be_read_are_not_missed_in_paths() -> None:
    text = changed(
        ("  ground:", "  panel: {is: fuse panel, at: dash, ways: lots}\n  ground:"),
        ("      - frame > battery -", "      - F1 > panel F2 > pump\n      - frame > battery -"),
    )
    assert [each.what for each in problems(text)] == ["'lots' is not a count of ways"]


def test_a_part_and_a_body_cannot_share_a_name() -> None:
    assert "is both a part and a body" in problems(changed(("  ground:", "  frame:")))[0].what


@pytest.mark.parametrize(
    ("written", "on_s", "off_s"),
    [("10 s in 60 s", 10, 50), ("'10 s on, 50 s off'", 10, 50), ("2 min every 10 min", 120, 480),
     ("0.25 s on and 0.5 s off", 0.25, 0.5)],
)  # fmt: skip
def test_a_duty_says_how_long_it_is_on_and_off(written: str, on_s: float, off_s: float) -> None:
    found = part(f"is: horn, at: dash, current: 5 A, duty: {written}")
    assert (load(found, "+/-").steady_s, load(found, "+/-").off_s) == pytest.approx((on_s, off_s))
    assert not any("at most" in text for text in found.assumed)  # the duty replaces the usual spell
    assert load(part("is: horn, at: dash, current: 5 A"), "+/-").off_s is None


@pytest.mark.parametrize(
    ("entry", "what", "fix"),
    [
        ("duty: 60 s in 10 s", "so it is never off", "leave the duty out"),
        ("duty: now and then", "'now and then' is not how often it is on", "10 s in 60 s"),
        ("duty: 5 A in 10 s", "'5 A' is a current where a time belongs", "10 s"),
        ("duty: 10 in 60", "'10' has no unit", "10 s"),
        (
            "current: 5 A hold, duty: 10 s in 60 s",
            "as long as it is on by its load",
            "without 'for' or 'hold'",
        ),
        ("current: 5 A for 20 s, duty: 10 s in 60 s", "for 20 s at most by its load", "without 'for'"),
    ],
)
def test_a_duty_that_cannot_be(entry: str, what: str, fix: str) -> None:
    (wrong,) = problems(changed(("  ground:", f"  x: {{is: horn, at: dash, {entry}}}\n  ground:")))
    assert what in wrong.what
    assert fix in wrong.fix


def test_a_duty_means_nothing_for_a_switch() -> None:
    (wrong,) = problems(changed(("  ground:", "  x: {is: switch, at: dash, duty: 10 s in 60 s}\n  ground:")))
    assert wrong.what == "'duty' means nothing for a switch"
