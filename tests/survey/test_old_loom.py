"""Keys on what is taken over from the old machine: metals, strands, senders, kept cables, hidden parts."""

from __future__ import annotations

import pytest

from tests.survey.texts import TROLLEY, changed, machine, problems

RUN = "length: 1.2 m, zone: frame}"
BODIES = ("parts:\n", "bodies:\n  frame: {{metal: {metal}}}\nparts:\n")
SENDER = ("  ground:", "  tank: {{is: fuel sender, at: dash, {more}}}\n  ground:")
CABLE = "wires:\n  frame > battery -: {{keep: yes, size: 2/0 AWG, length: 1 m{more}}}\n"


def _sender(more: str) -> str:
    return changed((SENDER[0], SENDER[1].format(more=more)))


@pytest.mark.parametrize(
    ("word", "metal"), [("steel", "steel"), ("Cast iron", "iron"), ("aluminum", "aluminium")]
)
def test_the_metal_of_a_body(word: str, metal: str) -> None:
    text = changed((BODIES[0], BODIES[1].format(metal=word)))
    assert machine(text).bodies["frame"].metal == metal


def test_a_metal_that_is_none() -> None:
    (found,) = problems(changed((BODIES[0], BODIES[1].format(metal="alumnium"))))
    assert "'alumnium' is not one of the words for this" in found.what
    assert "did you mean 'aluminium'?" in found.fix
    assert (found.where.line, found.where.column) == (10, 18)


def test_fine_strands_of_a_run() -> None:
    assert [run.fine for run in machine(changed((RUN, RUN.replace("zone", "strands: fine, zone")))).runs] == [
        True
    ]
    assert [run.fine for run in machine(TROLLEY).runs] == [False]
    (found,) = problems(changed((RUN, RUN.replace("zone", "strands: thin, zone"))))
    assert "'thin' is not one of the words" in found.what and "fine" in found.fix


@pytest.mark.parametrize(
    ("text", "range_ohm"),
    [
        ("240 to 33 ohm", (240.0, 33.0)),
        ("10 ohm to 180 ohm", (10.0, 180.0)),
        ("0 to 90 ohm", (0.0, 90.0)),
        ("1 kohm to 50 ohm", (1000.0, 50.0)),
    ],
)
def test_the_range_of_a_sender(text: str, range_ohm: tuple[float, float]) -> None:
    assert machine(_sender(f"range: {text}")).parts["tank"].range_ohm == range_ohm


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("240 ohm", "does not say two resistances"),
        ("240 to 33", "has no unit"),
        ("240 to 33 V", "is a voltage where a resistance of a sender belongs"),
        ("-5 to 33 ohm", "is negative"),
        ("240 to 33 to 5 ohm", "holds more than one figure"),
    ],
)
def test_a_range_that_is_none(text: str, what: str) -> None:
    found = problems(_sender(f"range: {text}"))
    assert found and what in found[0].what


def test_a_range_means_nothing_for_a_switch() -> None:
    (found,) = problems(changed(("is: switch, at: dash", "is: switch, at: dash, range: 240 to 33 ohm")))
    assert "'range' means nothing for a switch" in found.what


def test_an_insulated_return_is_noted_and_only_of_what_can_have_one() -> None:
    assert machine(_sender("insulated: yes")).parts["tank"].insulated is True
    assert machine(_sender("notes: old")).parts["tank"].insulated is None
    (found,) = problems(changed(("current: 6 A", "current: 6 A, insulated: yes")))
    assert "'insulated' means nothing for an electric pump" in found.what


def test_what_is_said_of_a_kept_cable() -> None:
    found = machine(TROLLEY + CABLE.format(more=", ends: clamp-on, labels: yes"))
    (kept,) = [wire for wire in found.wires if wire.keep]
    assert (kept.ends, kept.labelled) == ("clamp-on", True)


def test_ends_and_labels_are_of_kept_cables_only() -> None:
    text = TROLLEY + "wires:\n  F1 > pump switch: {size: 14 AWG, ends: crimped, labels: yes}\n"
    found = problems(text)
    assert [one.what for one in found] == [
        "'ends' is said of a wire that is made new",
        "'labels' is said of a wire that is made new",
    ]
    assert all("keep: yes" in one.fix for one in found)


def test_an_end_that_is_none() -> None:
    (found,) = problems(TROLLEY + CABLE.format(more=", ends: clamped"))
    assert "'clamped' is not one of the words" in found.what and "did you mean" in found.fix


def test_what_was_looked_for() -> None:
    name = "  name: Water trailer\n"
    one = changed((name, f"{name}  looked for: diode\n"))
    several = changed((name, f"{name}  looked for: [diode, fusible link, diode]\n"))
    assert machine(one).looked_for == ("diode",)
    assert machine(several).looked_for == ("diode", "fusible link")
    (found,) = problems(changed((name, f"{name}  looked for: [diod]\n")))
    assert "did you mean 'diode'?" in found.fix


def test_pins_of_a_connector_have_a_rating_that_is_marked_where_it_is_only_usual() -> None:
    usual = changed(("  ground:", "  plug: {is: connector, at: dash}\n  ground:"))
    stated = changed(
        ("  ground:", "  plug: {is: plug, at: dash, rating: 25 A, terminals: {2: pin}}\n  ground:")
    )
    assert machine(usual).parts["plug"].pin_a == 13
    assert any("pins rated 13 A" in text for text in machine(usual).parts["plug"].assumed)
    found = machine(stated).parts["plug"]
    assert found.pin_a == 25 and not found.assumed
    assert {terminal.name for terminal in found.terminals} == {"1", "2"}
