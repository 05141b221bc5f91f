"""Labels and cards: every wire end, every fuse and every way of a coupler stands there once, and fits."""

from __future__ import annotations

import subprocess
from collections import Counter
from dataclasses import replace
from functools import cache
from itertools import combinations
from pathlib import Path

import pytest
from click.testing import CliRunner

from harness.cli import main
from harness.drawing.blocks import BLOCK_MM, MARGIN_MM
from harness.drawing.cards import card_pages, coupler_cards, fuse_cards
from harness.drawing.figures import figure_pages, figures
from harness.drawing.ink import Page, Stroke, Words
from harness.drawing.label_sheets import label_pages, labels
from harness.drawing.sheet import LANDSCAPE
from harness.model.design import Design
from tests.samples import made as samples

ROOT = Path(__file__).parents[2]
SAMPLES = ("pump", "orchard", "roller", "grader")


@cache
def made(name: str) -> Design:
    return samples.design(name)


def words(pages: list[Page]) -> list[list[Words]]:
    return [[each for each in page.outside if isinstance(each, Words)] for page in pages]


@pytest.mark.parametrize("name", SAMPLES)
def test_both_ends_of_every_new_wire_have_a_label_at_their_place(name: str) -> None:
    wanted = Counter(
        (point.place, wire.number)
        for wire in (*made(name).wires, *made(name).spares)
        if not wire.kept
        for point in (wire.from_, wire.to)
    )
    found = Counter((place, label.number) for place, own in labels(made(name)).items() for label in own)
    assert found == wanted


@pytest.mark.parametrize("name", SAMPLES)
@pytest.mark.parametrize("sheet", list(LANDSCAPE))
def test_every_label_is_printed_with_its_number_twice(name: str, sheet: str) -> None:
    pages = label_pages(made(name), paper=LANDSCAPE[sheet])
    bold = Counter(each.text for page in words(pages) for each in page if each.bold)
    wanted = Counter(label.number for own in labels(made(name)).values() for label in own)
    for number, count in wanted.items():
        assert bold[number] >= 2 * count, number


@pytest.mark.parametrize("name", SAMPLES)
def test_every_fuse_stands_on_one_card_and_empty_ways_say_spare(name: str) -> None:
    rows = [row for card in fuse_cards(made(name)) for row in card.rows]
    carried = [fuse for fuse in made(name).fuses if fuse.wires]
    empty = sum(link.kind == "fuse" for part in made(name).parts for link in part.links) - len(
        made(name).fuses
    )
    spare = [row for row in rows if row.text == "SPARE"]
    assert len(rows) == len(made(name).fuses) + empty
    assert len(spare) == len(rows) - len(carried)
    cards = {card.title: card for card in fuse_cards(made(name))}
    for fuse in carried:
        card = cards.get(fuse.part, cards.get("Fuses by themselves"))
        assert card is not None
        own = [row.what for row in card.rows if fuse.name in (row.way, f"{fuse.part} {row.way}")]
        assert own == [f"link {fuse.size}" if fuse.size else f"{fuse.rating_a:g} A"]


def test_the_cards_of_a_coupler_are_its_pin_list_seen_from_both_sides() -> None:
    a, b = coupler_cards(made("roller"))
    (coupler,) = made("roller").couplers
    assert [row.way for row in a.rows] == [row.way for row in b.rows] == [way.way for way in coupler.ways]
    assert [row.what for row in a.rows] == [way.wire_a or "plug" for way in coupler.ways]
    assert [row.what for row in b.rows] == [way.wire_b or "plug" for way in coupler.ways]
    # two faces that are put together are mirror images: common practice
    assert [list(line) for line in b.face] == [list(line)[::-1] for line in a.face]


@pytest.mark.parametrize("name", SAMPLES)
@pytest.mark.parametrize("make", [label_pages, card_pages, figure_pages])
def test_no_text_overlaps_another_or_leaves_the_paper(name: str, make: object) -> None:
    assert callable(make)
    for page in make(made(name), paper=LANDSCAPE["A4"]):
        boxes = [each.box for each in page.outside if isinstance(each, Words) and each.text]
        for left, top, right, bottom in boxes:
            assert left >= 0 and top >= 0
            assert right <= page.paper.width_mm and bottom <= page.paper.height_mm
        for p, q in combinations(boxes, 2):
            apart = p[2] <= q[0] + 0.01 or q[2] <= p[0] + 0.01 or p[3] <= q[1] + 0.1 or q[3] <= p[1] + 0.1
            assert apart, (p, q)


def test_a_long_panel_goes_on_as_a_second_card() -> None:
    base = made("roller")
    panel = next(part for part in base.parts if part.name == "panel")
    link = next(link for link in panel.links if link.kind == "fuse")
    many = [replace(link, name=f"W{n}", b=f"W{n}") for n in range(120)]
    long = replace(panel, links=many)
    design_ = replace(base, parts=[long if part is panel else part for part in base.parts])
    pages = card_pages(design_, paper=LANDSCAPE["A4"])
    text = [each.text for page in words(pages) for each in page]
    assert {f"W{n}" for n in range(120)} <= set(text)
    for page in pages:
        for each in page.outside:
            assert each.box[3] <= page.paper.height_mm
            if isinstance(each, Stroke) and each.box[1] > MARGIN_MM:  # below the title block
                assert each.box[2] - each.box[0] <= BLOCK_MM + 1.0


def test_every_row_of_a_card_has_its_rule_from_side_to_side() -> None:
    for card in (*fuse_cards(made("roller")), *coupler_cards(made("roller"))):
        ink = [each for each in card.drawn(10.0, 10.0) if isinstance(each, Stroke)]
        rules = [each.spots for each in ink if len(each.spots) == 2 and each.wide_mm < 0.2]
        assert len(rules) == len(card.rows) + 1
        assert {(a[0], b[0]) for a, b in rules} == {(10.0, 10.0 + BLOCK_MM)}


def test_a_coupler_of_one_way_shows_one_hole() -> None:
    base = made("roller")
    coupler = base.couplers[0]
    one = replace(base, couplers=[replace(coupler, ways=coupler.ways[:1])])
    a, b = coupler_cards(one)
    assert a.face == b.face == (("1",),)
    assert "/" not in [each.text for page in words(card_pages(one, paper=LANDSCAPE["A4"])) for each in page]


@pytest.mark.parametrize("make", [label_pages, card_pages, figure_pages])
def test_every_sheet_says_whose_it_is_and_of_which_survey(make: object) -> None:
    """Machine, page x of y and revision on every page: what owners ask for (common practice)."""
    assert callable(make)
    base = made("roller")
    design_ = replace(base, machine=replace(base.machine, revision="B.7"))
    pages = make(design_, paper=LANDSCAPE["A4"])
    for number, page in enumerate(words(pages), 1):
        text = " ".join(each.text for each in page)
        assert f"{base.machine.name}: " in text
        assert f"sheet {number} of {len(pages)}" in text
        assert f"{base.machine.digest}, revision B.7" in text


def test_a_card_that_is_cut_out_still_names_machine_and_revision() -> None:
    base = made("roller")
    design_ = replace(base, machine=replace(base.machine, revision="B.7"))
    text = [each.text for page in words(card_pages(design_, paper=LANDSCAPE["A4"])) for each in page]
    cards = len(fuse_cards(design_)) + len(coupler_cards(design_))
    assert sum("revision B.7" in each for each in text) == cards + 1  # each card, and the sheet


@pytest.mark.parametrize("name", SAMPLES)
def test_no_head_of_labels_stands_alone_at_the_foot_of_a_column(name: str) -> None:
    for page in label_pages(made(name), paper=LANDSCAPE["A4"]):
        lowest = max(each.box[3] for each in page.outside if isinstance(each, Stroke) and each.dash)
        for each in page.outside:
            if isinstance(each, Stroke) and each.wide_mm > 5:  # the grey bar of a head
                assert each.box[3] < lowest - 1.0


@pytest.mark.parametrize("kind", ["labels", "cards", "hookup"])
def test_hostile_names_stay_text(kind: str, tmp_path: Path) -> None:
    bad = "#eval[x] <b>$a$ *b*"
    survey = (ROOT / "samples" / "pump.yaml").read_text(encoding="utf-8")
    name = survey.split("name: ", 1)[1].split("\n", 1)[0]
    file = tmp_path / "bad.yaml"
    file.write_text(survey.replace(name, f"'{bad}'", 1), encoding="utf-8")
    out = tmp_path / f"{kind}.pdf"
    result = CliRunner().invoke(main, ["draw", str(file), kind, "--sheet", "Letter", "--out", str(out)])
    assert result.exit_code == 0, result.output
    text = subprocess.run(["pdftotext", "-layout", str(out), "-"], check=True, capture_output=True, text=True)
    assert bad in text.stdout


@pytest.mark.parametrize("name", SAMPLES)
def test_every_end_of_every_wire_is_in_one_figure(name: str) -> None:
    found = Counter(
        (figure.name, shown.terminal, landing.number)
        for figure in figures(made(name))
        for shown in figure.terminals
        for landing in shown.landings
    )
    wanted = Counter(
        (f"splice {point.part}" if point.kind == "splice" else point.part, point.terminal, wire.number)
        for wire in made(name).wires
        for point in (wire.from_, wire.to)
    )
    assert found == wanted


def test_the_largest_lug_sits_nearest_the_part() -> None:
    """The largest lug nearest the part: common practice."""
    areas = {wire.number: wire.area_mm2 for wire in made("roller").wires}
    stacks = [
        [areas[landing.number] for landing in shown.landings]
        for figure in figures(made("roller"))
        for shown in figure.terminals
        if shown.fitting in ("stud", "post") and len(shown.landings) > 1
    ]
    assert stacks
    assert all(stack == sorted(stack, reverse=True) for stack in stacks)
