"""What the shop book is made of: ways of wires, bands, the order of first power, sheets of drawings."""

from __future__ import annotations

import hashlib
import re
from collections import Counter

import pytest

from harness.book.shop.blocks import Cuts, Hooks, Readings
from harness.book.shop.book import book_of
from harness.book.shop.page import css_string, page_html, script_json
from harness.book.shop.plates import sheets, with_own_ids
from harness.commissioning import bands
from harness.commissioning.steps import first_power, order
from harness.lists.traces import trace, ways_of
from harness.model.design import Design
from tests.shop.conftest import drawings


def way(design: Design, start: str, end: str) -> tuple[set[str], set[str]]:
    """Ends of all wires on the way of the wire between two terminals, and the parts on it."""
    ends = {
        w.number: (f"{w.from_.part} {w.from_.terminal}", f"{w.to.part} {w.to.terminal}") for w in design.wires
    }
    wire = next(w for w in design.wires if ends[w.number] == (start, end))
    found = trace(ways_of(design), wire)
    return {" > ".join(ends[number]) for number in found.wires}, set(found.parts)


def test_the_way_of_the_horn_is_the_one_the_survey_draws(designs: dict[str, Design]) -> None:
    """samples/roller.yaml: panel F7 > (horn relay 30/87 > horn > drum frame, ...), fed over main fuse."""
    wires, parts = way(designs["roller"], "horn relay 87", "hinge coupler 3A")
    assert {"panel", "main fuse", "battery", "horn relay", "hinge coupler", "horn"} <= parts
    assert "horn button" not in parts  # of the coil, not of the contact
    assert "horn - > left drum ground stud" in wires


def test_a_feed_does_not_light_up_all_that_hangs_on_its_panel(designs: dict[str, Design]) -> None:
    _, parts = way(designs["roller"], "main fuse 2", "panel bus")
    assert parts == {"battery", "main fuse", "panel"}


def test_every_wire_stands_in_the_cut_list_or_is_kept_and_lands_twice(designs: dict[str, Design]) -> None:
    for design in designs.values():
        chapters = {each.key: each for each in book_of(design, {}).chapters}
        cuts = next(block for block in chapters["cuts"].blocks if isinstance(block, Cuts))
        cut = Counter(piece.line.number for spool in cuts.spools for piece in spool.pieces)
        assert cut == {wire.number: 1 for wire in (*design.wires, *design.spares) if not wire.kept}
        hooks = next(block for block in chapters["hookup"].blocks if isinstance(block, Hooks))
        landed = Counter(
            landing.number
            for _, parts in hooks.places
            for part in parts
            for terminal in part.terminals
            for landing in terminal.landings
        )
        assert landed == {wire.number: 2 for wire in design.wires}


def test_what_the_design_expects_lies_in_its_own_band(designs: dict[str, Design]) -> None:
    """A design without dangers and faults must pass its own test sheet, or the sheet cries wolf.

    Left out: charging volts in a mode that empties the battery, which the findings tell.
    """
    for name, design in designs.items():
        chapter = next(each for each in book_of(design, {}).chapters if each.key == "tests")
        rows = [row for block in chapter.blocks if isinstance(block, Readings) for row in block.rows]
        assert len({row.key for row in rows}) == len(rows), name
        for row in rows:
            if row.expected is None or row.key.startswith("charge:"):
                continue
            assert row.low is None or row.low <= row.expected + 1e-9, (name, row)
            assert row.high is None or row.expected <= row.high + 1e-9, (name, row)


def test_bands_are_those_of_their_documents(designs: dict[str, Design]) -> None:
    """Typed by hand: 1 Mohm (NASA practice, isolation of a subsystem), 0.10 ohm (an equipment maker's manual
    4-6), 13.8 to 14.4 V at 12 V (memory), 12.4 and 12.6 V three quarters and full (a club page)."""
    dead = bands.dead(designs["pump"])
    assert (dead[0].unit, dead[0].low, dead[0].high) == ("Mohm", 1.0, None)
    assert {row.high for row in dead[1:]} == {0.1}
    rest = bands.rest(designs["pump"])[0]
    assert rest.low == pytest.approx(12.4, abs=0.01) and rest.expected == pytest.approx(12.6)
    assert bands.charging(designs["pump"])[0].low == 13.8
    assert bands.charging(designs["grader"])[0].high == 28.8
    assert bands.charging(designs["orchard"])[0].low == 6.9
    assert [row.expected for row in bands.rest(designs["grader"])] == [12.6, 12.6]  # two of 12 V in a row
    assert [row.expected for row in bands.rest(designs["orchard"])] == [6.3]


@pytest.mark.parametrize("name", ["roller", "grader", "orchard", "pump"])
def test_first_power_brings_cautions_before_steps_feeds_before_ways_and_the_starter_last(
    name: str, designs: dict[str, Design]
) -> None:
    design = designs[name]
    steps = first_power(design)
    keys = [step.key for step in steps]
    assert keys[:4] == ["prepare", "dead", "polarity", "lamp"]
    assert len(set(keys)) == len(keys)
    fitted = [key.removeprefix("fuse:") for key in keys if key.startswith("fuse:")]
    assert sorted(fitted) == sorted(fuse.name for fuse in design.fuses)
    for fuse in design.fuses:
        for wire in design.wires:
            if wire.to.part == fuse.part and wire.fuse and wire.fuse != fuse.name:
                assert fitted.index(wire.fuse) < fitted.index(fuse.name)
    assert keys.index("crank") > max(keys.index(key) for key in keys if key.startswith("fuse:"))
    assert all(step.cautions for step in steps if step.key in ("prepare", "lamp", "crank", "running"))


def test_smallest_first_among_lamps(designs: dict[str, Design]) -> None:
    fuses = {fuse.name: fuse.rating_a for fuse in designs["roller"].fuses}
    places = {fuse.name: at for at, fuse in enumerate(order(designs["roller"]))}
    lamps = ["panel F1", "panel F3", "panel F4", "panel F5", "panel F6"]  # tail, head and work lamps
    ratings = [fuses[name] for name in sorted(lamps, key=places.__getitem__)]
    assert ratings == sorted(ratings)


def test_polarity_follows_the_chassis_post(designs: dict[str, Design]) -> None:
    step = next(step for step in first_power(designs["orchard"]) if step.key == "polarity")
    assert "minus 6 V" in " ".join(step.do)
    assert "negative lead still off" in step.cautions[0]


def test_a_drawing_of_several_sheets_is_cut_into_them(designs: dict[str, Design]) -> None:
    whole = drawings(designs["roller"])["tracks.svg"]
    cut = sheets(whole)
    assert len(cut) == whole.count("data-sheet=") > 1
    numbers = [set(re.findall(r'data-wire="([^"]+)"', sheet)) for sheet in cut]
    assert set.union(*numbers) == {wire.number for wire in designs["roller"].wires}
    assert [re.findall(r'viewBox="([^"]+)"', sheet) for sheet in cut] == [
        [f"0 {297 * at} 420 297"] for at in range(len(cut))
    ]


def test_ids_are_renamed_and_names_are_not() -> None:
    svg = (
        "<svg aria-labelledby=\"a b\"><path id=\"a\"/><use href=\"#a\"/><g clip-path=\"url(#a)\""
        " data-part='x id=\"a\"'><text>id=\"a\" url(#a)</text></g></svg>"
    )  # fmt: skip
    assert with_own_ids(svg, "k-") == (
        "<svg aria-labelledby=\"k-a k-b\"><path id=\"k-a\"/><use href=\"#k-a\"/><g clip-path=\"url(#k-a)\""
        " data-part='x id=\"a\"'><text>id=\"a\" url(#a)</text></g></svg>"
    )  # fmt: skip


def test_ids_of_a_page_are_its_own(designs: dict[str, Design]) -> None:
    text = page_html(designs["roller"], drawings(designs["roller"])).decode()
    ids = Counter(re.findall(r'<[a-z][^<>]* id="([^"]+)"', text))
    assert [name for name, count in ids.items() if count > 1] == []
    assert set(re.findall(r'href="#([^"]+)"', text)) <= set(ids)


def test_the_same_design_gives_the_same_page(designs: dict[str, Design]) -> None:
    pages = {
        hashlib.sha256(page_html(designs["pump"], drawings(designs["pump"]))).hexdigest() for _ in range(2)
    }
    assert len(pages) == 1


def test_data_cannot_end_its_script_and_css_text_cannot_end_its_string() -> None:
    assert "<" not in script_json({"a": "</script><!--"})
    assert set(css_string('a"}\\\n</style>')[1:-1]) <= set("abcdef0123456789\\style")
