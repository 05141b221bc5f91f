"""Every started survey is sound at once: read without a mistake, designed without danger and fault."""

from __future__ import annotations

from itertools import cycle

import pytest

from harness.kits.answers import CHARGING, STOPS, engine_picks, offered, usual, usual_charging
from harness.kits.form import Kit
from harness.kits.plan import Plan, Wish, plan
from harness.kits.shelf import built_in
from harness.kits.sorts import sorts
from harness.kits.written import survey_text
from harness.model.design import Design
from harness.pipeline import design
from harness.survey import read

KITS, SORTS = built_in(), sorts()
SYSTEMS = [(volts, post) for volts in (6.0, 12.0, 24.0) for post in ("negative", "positive")]
SIZES = cycle(["AWG", "mm2"])
MACHINES = {6.0: "tractor", 12.0: "dumper", 24.0: "loader"}


def _wish(volts: float, post: str, sort: str, size: int, picks: dict[str, str], sizes: str) -> Wish:
    return Wish("Trial", volts, post, sizes, SORTS[sort], size, picks)


def _made(wish: Wish) -> tuple[Plan, Design]:
    made = plan(wish, KITS)
    machine = read("survey.yaml", text=survey_text(made, "survey.yaml"))
    return made, design(machine)


def _wrong(made: Design) -> list[str]:
    return [f"{each.rule}: {each.text}" for each in made.findings if each.severity != "advice"]


def _base(volts: float, post: str) -> dict[str, str]:
    return {"starting": "", "charging": usual_charging(volts, post)}


def _alone() -> list[tuple[float, str, str, str, str]]:
    """Every kit in every variant, at every voltage and post that it says; sizes by turns."""
    return [
        (volts, post, kit.name, variant, next(SIZES))
        for volts, post in SYSTEMS
        for kit in KITS.values()
        if kit.suits(volts, post)
        for variant in [each.name for each in kit.variants_for(volts, post)] or [""]
    ]


@pytest.mark.parametrize(("volts", "post", "kit", "variant", "sizes"), _alone())
def test_a_kit_alone_with_what_it_needs(volts: float, post: str, kit: str, variant: str, sizes: str) -> None:
    picks = {**_base(volts, post), kit: variant}
    made, found = _made(_wish(volts, post, MACHINES[volts], 1, picks, sizes))
    assert _wrong(found) == [] or made.warnings  # a dynamo may be too small, and then that is told
    assert {part.kit for part in made.parts} >= {kit} or not _parts(KITS[kit], variant)


def _parts(kit: Kit, variant: str) -> list[str]:
    content = [kit.content, *(each.content for each in kit.variants if each.name == variant)]
    return [part.name for each in content for part in each.parts]


@pytest.mark.parametrize("sizes", ["AWG", "mm2"])
@pytest.mark.parametrize(("volts", "sort"), [(12.0, "loader"), (24.0, "loader"), (24.0, "roller")])
def test_all_kits_together(volts: float, sort: str, sizes: str) -> None:
    picks = {kit.name: "" for kit in offered(KITS, volts, "negative")} | engine_picks(
        "glow", "alternator", "pull"
    )
    made, found = _made(_wish(volts, "negative", sort, 1, picks, sizes))
    assert _wrong(found) == [] and not made.warnings


@pytest.mark.parametrize("size", [0, 2])
@pytest.mark.parametrize(
    ("sort", "volts", "engine", "charging", "stop"),
    [
        ("stationary", 12.0, "diesel", "self-exciting", "cable"),
        ("stationary", 6.0, "spark", "dynamo", "cable"),
        ("tractor", 12.0, "glow", "alternator", "run"),
        ("tractor", 6.0, "spark", "dynamo", "cable"),
        ("dumper", 12.0, "intake", "alternator", "pull"),
        ("dumper", 24.0, "diesel", "none", "stop"),
        ("loader", 24.0, "intake", "self-exciting", "pull"),
        ("loader", 12.0, "spark", "alternator", "cable"),
        ("roller", 12.0, "glow", "alternator", "stop"),
        ("roller", 24.0, "glow", "alternator", "run"),
    ],
)
def test_all_that_is_usual_on_every_sort_of_machine(
    sort: str, volts: float, engine: str, charging: str, stop: str, size: int
) -> None:
    assert charging in CHARGING and stop in STOPS
    picks = engine_picks(engine, charging, stop)
    picks |= dict.fromkeys(usual(offered(KITS, volts, "negative"), SORTS[sort]), "")
    made, found = _made(_wish(volts, "negative", sort, size, picks, "AWG" if size else "mm2"))
    wrong = [
        text for text in _wrong(found) if not (charging == "none" and text.startswith("battery not charged"))
    ]
    assert wrong == [] or made.warnings


def test_every_figure_of_a_started_survey_is_assumed_but_what_was_asked() -> None:
    made = plan(_wish(12.0, "negative", "dumper", 1, {**_base(12.0, "negative"), "horn": ""}, "AWG"), KITS)
    machine = read("survey.yaml", text=survey_text(made, "survey.yaml"))
    doubted = {(each.section, each.name, each.key) for each in machine.doubts}
    assert {("runs", run.name, "length") for run in machine.runs} <= doubted
    assert {("zones", zone, "ambient") for zone in machine.zones} <= doubted
    for key in ("current", "coil", "coil peak"):
        assert ("parts", "starter", key) in doubted
    assert ("parts", "horn", "current") in doubted and ("parts", "battery", "capacity") in doubted


def test_a_ground_point_never_gets_more_than_four_rings() -> None:
    picks = {kit.name: "" for kit in offered(KITS, 12.0, "negative")} | _base(12.0, "negative")
    made = plan(_wish(12.0, "negative", "loader", 1, picks, "AWG"), KITS)
    for part in made.grounds:
        landed = [path for each in made.circuits for path in each.paths if path.endswith(f"> {part.name}")]
        assert len(landed) <= 4, part.name
    assert len([part for part in made.grounds if part.place == "dash"]) > 1


def test_the_generator_carries_what_stays_on_and_is_no_larger_than_that_needs() -> None:
    made = plan(
        _wish(12.0, "negative", "loader", 1, {**_base(12.0, "negative"), "work lamps": ""}, "AWG"), KITS
    )
    output = dict(next(part for part in made.parts if part.name == "alternator").values)["output"]
    # four lamps of 55 W at 12 V: 18.3 A by Watt's law, so that 35 A are the smallest usual ones
    assert 18 < made.load_a < 22 and output == "35 A"
