"""The symptom pages: what a machine must be asked, against the survey read by hand and the current law."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from harness.book.shop.symptoms import fault_finding
from harness.lists.symptoms import fuse_facts, load_tests, symptoms
from harness.model.design import Design
from harness.pipeline import bedded
from harness.survey import read

SAMPLES = Path(__file__).parents[2] / "samples"


@cache
def drafted(name: str) -> Design:
    return bedded(read(SAMPLES / f"{name}.yaml"))[0]


@pytest.mark.parametrize("name", ["pump", "orchard", "grader", "roller"])
def test_every_machine_with_a_starter_and_generator_has_the_usual_complaints(name: str) -> None:
    """Common practice: a workshop manual's electrical chart begins with these three."""
    titles = " ".join(one.title for one in symptoms(drafted(name)))
    for word in ("Does not crank", "Cranks slowly", "Does not charge"):
        assert word in titles


@pytest.mark.parametrize("name", ["pump", "orchard", "grader", "roller"])
def test_every_load_that_draws_has_its_tests(name: str) -> None:
    design = drafted(name)
    sources = {part.name for part in design.parts if part.role == "source"}
    drawing = {one.part for state in design.operating for one in state.loads} - sources
    assert {one.load.rpartition(" ")[0] for one in load_tests(design)} == drawing


def test_the_way_to_the_starters_coil_is_asked_from_the_solenoid_back_to_the_key() -> None:
    """By the paths of samples/roller.yaml, circuit Cranking."""
    found = next(one for one in symptoms(drafted("roller")) if one.title == "Does not crank")
    asked = " ".join(test.where for test in found.tests)
    order = ["starter 50", "start relay 87", "start relay 86", "neutral switch 2", "key 50", "panel F2"]
    places = [asked.index(f"red on {point}") for point in order]
    assert places == sorted(places)


def test_what_dies_with_a_fuse_is_what_the_survey_hangs_on_it() -> None:
    facts = {one.fuse: one for one in fuse_facts(drafted("roller"))}
    assert facts["panel F3"].dies == "left head lamp"
    assert set(facts["panel F7"].dies.split(", ")) == {"horn", "horn relay"}
    assert facts["panel F3"].contacts == "left head relay 30/87"


@pytest.mark.parametrize(
    ("name", "generator"),
    [("pump", "alternator"), ("orchard", "dynamo"), ("grader", "alternator"), ("roller", "alternator")],
)
def test_a_blown_charge_fuse_ends_charging(name: str, generator: str) -> None:
    """Every sample hangs its generator on a "charge fuse"; lamp fuses are no way to the battery."""
    facts = {one.fuse: one for one in fuse_facts(drafted(name))}
    assert facts["charge fuse"].dies == f"charging by {generator}"
    through = {fuse for fuse, one in facts.items() if "charging" in one.dies}
    assert not {fuse for fuse in through if "lamp" in fuse}


@pytest.mark.parametrize("name", ["pump", "orchard", "grader", "roller"])
def test_what_may_be_added_overloads_neither_fuse_nor_wire_nor_generator(name: str) -> None:
    design = drafted(name)
    fuses = {one.name: one for one in design.fuses}
    spare = [one.charging_most_a - one.load_a for one in design.charge_balance if one.speed != "idle"]
    for one in fuse_facts(design):
        fuse = fuses[one.fuse]
        assert one.spare_a >= 0
        if one.spare_a > 0:
            assert fuse.load_a + one.spare_a <= fuse.rating_a * fuse.continuous_share + 1e-9
            assert one.spare_a <= min(spare, default=one.spare_a) + 1e-9


def test_the_chapter_shows_the_volts_that_the_design_settles_at() -> None:
    design = drafted("roller")
    chapter = fault_finding(design)
    text = str(chapter)
    state = next(one for one in design.operating if one.mode == "night work")
    assert f"left head lamp 56b {state.points_v['left head lamp 56b']:.2f} V" in text
    assert "Machine chocked" in text
