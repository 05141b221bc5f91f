"""Which line serves which need: descriptions as counters write them (common practice)."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal
from itertools import product
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from harness.cli import main
from harness.counter.choices import read_choices
from harness.counter.grammar import KIND, UNKNOWN, kinds, stated
from harness.counter.matchfile import MatchFile, matches_text, read_matches, settled
from harness.counter.matching import Choices, matched, traits_of
from harness.counter.needs import needs_of
from harness.counter.pricelist import read_price_list
from harness.model.pricing import Matching, Need, PriceList
from harness.model.problem import SurveyWrong
from tests.docs.pages import ROOT

PUMP = ROOT / "exports" / "pump" / "design.json"
LISTS = [ROOT / "samples" / "prices-one.csv", ROOT / "samples" / "prices-two.csv"]


def listed(*descriptions: str, unit: str = "", supplier: str = "one") -> PriceList:
    quoted = [words.replace('"', '""') for words in descriptions]
    rows = [f'P{at},"{words}",{unit},{at}.50' for at, words in enumerate(quoted, start=1)]
    return read_price_list("\n".join(["Part no,Description,Unit,Price", *rows]).encode(), supplier)


def need(item: str, size: str = "", colour: str = "", unit: str = "each") -> Need:
    assert unit in ("m", "each")
    return Need(f"x: {item}; {size}; {colour}", "x", item, size, colour, unit, Decimal(1))  # type: ignore[arg-type]


def found(wanted: Need, *descriptions: str, choices: Choices | None = None) -> list[str]:
    """Part numbers that serve for certain, by the descriptions of one list."""
    matching = matched([wanted], [listed(*descriptions)], choices)
    return [offer.part_number for offer in matching.offers(wanted.key)]


RED_14 = need("wire, GXL", "14 AWG", "RD", "m")
RING = need("ring terminal, blue insulated, for 16-14 AWG, M8 stud (8.4 mm hole)", "M8")


@pytest.mark.parametrize(
    "words",
    ["GXL 14 RD 100FT", "GXL 14 AWG RED 100 FT", "14 GXL RED 30M", "WIRE GXL 14GA RED ROLL OF 25 FT",
     "gxl 14 awg rd 100'", "Primary wire, GXL, 14 AWG, red, 30 m", "GXL 14 RD SINGLE CORE REEL 100M"],
)  # fmt: skip
def test_a_wire_by_its_usual_words(words: str) -> None:
    assert found(RED_14, words) == ["P1"]


@pytest.mark.parametrize(
    "words",
    ["GXL 14 100FT", "GXL RD 100FT", "14 AWG RED 100FT", "GXL 14 RD/WH 100FT", "GXL 12 RD 100FT",
     "TXL 14 RD 100FT", "GXL 14 RD 100FT FINE-STRANDED", "GXL 14 RD TWIN 100FT", "GXL 14 RD 100FT SHIELDED",
     "GXL 1.4 RD 100FT", "GXL 14/2 RD 100FT", "GXL 14 RD LUG M8", "RED THING"],
)  # fmt: skip
def test_a_wire_that_says_less_more_or_else_is_not_taken(words: str) -> None:
    assert found(RED_14, words) == []


@pytest.mark.parametrize(
    ("words", "serves"),
    [
        ("RING TERM 16-14 M8 BLUE INS", True),
        ("RING TERMINAL INSULATED 16-14AWG M8", True),
        ("Ring term, vinyl, 16-14 AWG, 8 mm stud, PK10", True),
        ("RING TERM 16-14 M8 BARE", False),
        ("RING TERM 16-14 M6 BLUE INS", False),
        ("RING TERM 16-14 5/16 BLUE INS", False),
        ("RING TERM 12-10 M8 INS", False),
        ("RING TERM 16-14 M8 RED INS", False),
        ("RING TERM M8 BLUE INS", False),
        ("RING TERM 16-14 M8 BLUE INS NON-INS", False),
        ("RING TERM 16-14 M8 BLUE HEATSHRINK", False),
        ("FORK TERM 16-14 M8 BLUE INS", False),
        ("RING TERM 16-14 (1.5-2.5MM2) M8/5/16 BLUE INS", True),
    ],
)
def test_a_ring_terminal(words: str, serves: bool) -> None:
    assert found(RING, words) == (["P1"] if serves else [])


@pytest.mark.parametrize(
    ("wanted", "words"),
    [
        (need("fuse, blade", "10 A", "red"), "FUSE BLADE 10A RED PK10"),
        (need("fuse, bolt-in 51 mm", "125 A"), "BOLT-IN FUSE 125A 51MM"),
        (need("heat-shrink, adhesive-lined, 3:1, 12/4 mm", unit="m"), "HEATSHRINK DUAL WALL 3:1 12/4MM 1.2M"),
        (need("copper tube lug, for 16 mm2, M8 stud (8.4 mm hole)", "M8"), "LUG 16MM² M8"),
        (need("copper tube lug, for 1/0 AWG, M10 stud (10.5 mm hole)", "M10"), "BATTERY LUG 1/0 M10"),
        (need("female push-on, bare, for 22-18 AWG, 6.3 mm blade", "6.3 mm"), "PUSH-ON FEM 22-18 .250 UNINS"),
        (
            need("cable tie, 140 x 3.6 mm (5.5 in), black weather-resistant nylon"),
            "CABLE TIE 140X3.6 UV BLACK",
        ),
        (
            need("split corrugated tube, NW12 (12 mm inside), polyethylene or nylon", unit="m"),
            "SPLIT CONDUIT NW12 PA 25M",
        ),
        (need("rubber-lined P-clamp, 11/16 in (5.2 mm bolt hole)"), 'P-CLIP RUBBER 11/16"'),
        (need("label sleeve for 18 AWG GXL", "2.6 mm outside"), "LABEL SLEEVE FITS 2.4-3.2MM"),
        (need("wire, class C", "1.5 mm2", "G/R", "m"), "CL C 1,5MM2 GREEN/RED ROLL 30 M"),
        (need("wire, class C", "1.5 mm2", "P", "m"), "CABLE CLASS C 125C 1.5SQMM VIOLET 30M"),
        (need("wire, GXL", "1/0 AWG", "RD", "m"), "SGX 1/0 RED 25M"),
        (need("serrated lock washer", "M10"), "STAR WASHER M10"),
    ],
)
def test_other_things_by_their_usual_words(wanted: Need, words: str) -> None:
    assert found(wanted, words) == ["P1"]


def test_a_cable_of_another_heat_class_is_not_taken() -> None:
    wanted = need("wire, class C", "1.5 mm2", "P", "m")
    assert found(wanted, "CABLE CLASS B 1.5MM2 VIOLET 30M") == []


def test_packs_of_the_same_thing_are_all_taken_and_unlike_things_are_not_guessed() -> None:
    assert found(RED_14, "GXL 14 RD 100FT", "GXL 14 RED 25 FT") == ["P1", "P2"]
    relay = need("relay", "12 V")
    assert found(relay, "RELAY 12V", "RELAY 12V PK10") == ["P1", "P2"]
    matching = matched([relay], [listed("RELAY 12V 30A SPDT", "RELAY 12V 40A SPST")])
    (open_,) = matching.unmatched
    assert open_.why == "2 lines of one list may be meant"
    assert [one.offer.part_number for one in open_.candidates] == ["P1", "P2"]


def test_the_nearest_are_offered_and_say_what_speaks_against_them() -> None:
    matching = matched(
        [RED_14], [listed("GXL 16 RD 100FT", "GXL 18 RD 100FT", "GXL 14 BK 100FT", "LUG 16MM2 M8")]
    )
    (open_,) = matching.unmatched
    told = {one.offer.part_number: one.why for one in open_.candidates}
    assert told["P1"] == ("size 16 AWG, wanted 14 AWG",)
    assert "P4" not in told


def test_a_word_that_says_nothing_is_settled_once() -> None:
    assert found(RED_14, "PREMIUM GXL 14 RD 100FT") == []
    assert found(RED_14, "PREMIUM GXL 14 RD 100FT", choices=Choices({}, frozenset(["premium"]))) == ["P1"]


COLOURS = {"RD": "RED", "BK": "BLK", "WH": "WHITE", "GY": "GREY", "VT": "PURPLE", "GN": "GRN", "PK": "PINK"}


@given(
    st.sampled_from(["GXL", "TXL", "GPT"]),
    st.sampled_from([18, 16, 14, 12, 10]),
    st.sampled_from(sorted(COLOURS)),
    st.sampled_from(["", *sorted(COLOURS)]),
    st.permutations(range(3)),
    st.booleans(),
    st.booleans(),
)
def test_a_description_made_from_traits_gives_them_back(
    cable: str, gauge: int, base: str, stripe: str, order: list[int], words: bool, roll: bool
) -> None:
    colour = f"{base}/{stripe}" if stripe else base
    said = "/".join(COLOURS[one] for one in colour.split("/")) if words else colour
    parts = [cable, f"{gauge} AWG", said]
    text = " ".join([*(parts[at] for at in order), *(["100FT"] if roll else [])])
    read = stated(text)
    assert UNKNOWN not in read
    assert (read["cable"], read["size"], read["colour"]) == ((cable,), (f"{gauge} AWG",), (colour,))


@given(st.text(max_size=60))
def test_any_text_can_be_read(text: str) -> None:
    read = stated(text)
    assert KIND in read or UNKNOWN in read or not text.strip()


def pump_needs() -> tuple[Need, ...]:
    return needs_of([("pump", json.loads(PUMP.read_text(encoding="utf-8")))])


def test_every_need_of_a_machine_is_understood() -> None:
    left_open = {"bolt", "screw for panels"}  # the design does not say how long
    for one in pump_needs():
        read = traits_of(one)
        assert UNKNOWN not in read, one.key
        kind = kinds()[read[KIND][0]]
        assert kind.name in left_open or all(trait in read for trait in kind.matters), one.key


def test_needs_never_take_each_others_lines() -> None:
    """Every material of a machine, listed in the design's own words: each takes its own line alone."""
    needs = [
        one
        for one in pump_needs()
        if one.unit == "each" and traits_of(one)[KIND][0] not in ("bolt", "screw for panels")
    ]
    words = [", ".join(filter(None, (one.item, one.size, one.colour))) for one in needs]
    matching = matched(needs, [listed(*words)])
    taken = {one.key: [offer.part_number for offer in one.offers] for one in matching.matches}
    assert taken == {one.key: [f"P{at}"] for at, one in enumerate(needs, start=1)}


def test_pieces_and_amounts_of_several_machines_are_one_need() -> None:
    data = json.loads(PUMP.read_text(encoding="utf-8"))
    one, two = needs_of([("a", data)]), needs_of([("a", data), ("b", data)])
    for single, double in zip(one, two, strict=True):
        assert double.amount == 2 * single.amount
        assert double.by_machine == {"a": single.amount, "b": single.amount}
        assert len(double.pieces) == 2 * len(single.pieces)


# ------------------------------------------------------------------------------------ the file of matches


def wrong_file(text: str) -> str:
    with pytest.raises(SurveyWrong) as error:
        read_matches(text, "m.yaml", [listed("GXL 14 RD 100FT", "GXL 14 RED 25 FT")])
    return "\n".join(map(str, error.value.problems))


def test_a_persons_lines_win_and_stay_with_their_remarks() -> None:
    lists = [listed("GXL 14 RD 100FT", "GXL 16 RD 100FT")]
    text = f"by hand:\n  # asked the owner\n  '{RED_14.key}': P2  # thicker is fine\n"
    before = read_matches(text, "m.yaml", lists)
    matching = matched([RED_14], lists, before.choices())
    (match,) = matching.matches
    assert (match.how, [one.part_number for one in match.offers]) == ("by person", ["P2"])
    again = matches_text([RED_14], matching, before)
    assert "  # asked the owner\n" in again
    assert "P2  # thicker is fine" in again
    assert read_matches(again, "m.yaml", lists).hand == before.hand


def test_what_is_filled_in_below_open_moves_to_by_hand_and_none_is_none() -> None:
    lists = [listed("GXL 16 RD 100FT")]
    first = matches_text([RED_14], matched([RED_14], lists), MatchFile())
    assert f"\n  '{RED_14.key}':\n" in first
    for answer, numbers in (("P1", ("P1",)), ("none", ()), ("None", ()), ("[P1]", ("P1",))):
        filled = first.replace(f"'{RED_14.key}':", f"'{RED_14.key}': {answer}")
        before = read_matches(filled, "m.yaml", lists)
        assert before.hand == {RED_14.key: numbers}
        again = matches_text([RED_14], matched([RED_14], lists, before.choices()), before)
        assert read_matches(again, "m.yaml", lists).hand == before.hand
        assert again.index(RED_14.key) < again.index("\nopen:")


def test_mistakes_in_the_file_have_their_place_and_the_nearest_number() -> None:
    told = wrong_file("by hand:\n  'a thing': PP1\n  another: [P2, P9]\nby hnd:\n  x: P1\n")
    assert "m.yaml:2:14: no list given has the part number 'PP1'" in told
    assert "did you mean 'P1'?" in told
    assert "m.yaml:3:17: no list given has the part number 'P9'" in told
    assert "of several, write [P1, P2]." in wrong_file("by hand:\n  'a thing': P1, P2\n")
    assert "m.yaml:4:1: a file of matches has no section 'by hnd'" in told
    assert "sections" in wrong_file("- a\n")
    assert "must be lines" in wrong_file("open: [a]\n")


NASTY = st.text(st.characters(exclude_categories=("Cs",)), min_size=1, max_size=30)


@given(NASTY, NASTY)
def test_any_words_in_the_file_are_read_back_as_they_were(item: str, number: str) -> None:
    wanted = Need(f"x: {item}".strip(), "x", item, "", "", "each", Decimal(1))
    offer = listed("RELAY 12V").offers[0]
    number = " ".join(number.split()) or "N"
    offer = replace(offer, part_number=number, description=item)
    lists = [PriceList("s", "f", "", (offer,))]
    choices = MatchFile(hand={wanted.key: (number,)})
    text = matches_text([wanted], matched([wanted], lists, choices.choices()), choices)
    printable = "".join(letter if letter.isprintable() else " " for letter in number)
    if number == printable and wanted.key.isprintable():
        assert set(read_matches(text, "m.yaml", lists).hand.values()) == {(number,)}


# -------------------------------------------------------------------------------------------------- commands


def test_the_sample_lists_are_read_and_serve_the_pump(tmp_path: Path) -> None:
    path = tmp_path / "m.yaml"
    call = ["prices", "match", str(PUMP), "--matches", str(path), "--json"]
    for one in LISTS:
        call += ["--prices", str(one)]
    first = CliRunner().invoke(main, call)
    assert first.exit_code == 0, first.output
    data = json.loads(first.output)
    assert len(data["open"]) < 8 < len(data["matched"])
    text = path.read_text(encoding="utf-8")
    assert CliRunner().invoke(main, call).exit_code == 0
    assert path.read_text(encoding="utf-8") == text, "the same again"


def test_check_says_what_was_understood_and_a_wrong_list_ends_with_2(tmp_path: Path) -> None:
    good = CliRunner().invoke(main, ["prices", "check", *map(str, LISTS)])
    assert good.exit_code == 0
    assert "column 'Sold as': unit" in good.output
    bad = tmp_path / "bad.csv"
    bad.write_text("Part no,Description,Price\nA,lug,-1\nB,lug,0\n")
    told = CliRunner().invoke(main, ["prices", "check", str(bad), str(LISTS[0])])
    assert told.exit_code == 2
    assert f"{bad}:2:7: the price '-1' is negative" in told.output
    assert "2 problems; nothing was written." in told.output
    wrong = CliRunner().invoke(
        main, ["prices", "match", str(PUMP), "--prices", str(bad), "--matches", str(bad) + ".yaml"]
    )
    assert wrong.exit_code == 2
    assert not Path(str(bad) + ".yaml").exists()


def test_the_sample_lists_say_that_they_are_invented() -> None:
    for one in LISTS:
        assert "INVENTED" in one.read_text(encoding="utf-8").partition("\n")[0]
    lists = [read_price_list(one.read_bytes(), one.name) for one in LISTS]
    assert 280 <= len(lists[0].offers) <= 320
    assert {offer.unit for one in lists for offer in one.offers} == {"m", "each"}
    assert all(KIND in offer.traits and UNKNOWN not in offer.traits for one in lists for offer in one.offers)
    assert [one.order_charge for one in lists] == [Decimal("6.9"), Decimal("9.5")]


def test_matching_is_the_same_whatever_the_order_of_lists() -> None:
    lists = [read_price_list(one.read_bytes(), one.name) for one in LISTS]
    needs = pump_needs()

    def keys(matching: Matching) -> dict[str, set[str]]:
        return {one.key: {offer.id for offer in one.offers} for one in matching.matches}

    for one, two in product((lists, lists[::-1]), repeat=2):
        assert keys(matched(needs, one)) == keys(matched(needs, two))


def test_a_number_that_two_suppliers_use_for_unlike_things_is_refused_alone() -> None:
    """R1 is a relay here and a wire there: alone it is no answer; with the supplier before it, it is."""
    text = "Supplier: {}\nPart no,Description,Unit,Price\nR1,{},each,1\n"
    lists = [
        read_price_list(text.format(name, words).encode(), f"{name}.csv")
        for name, words in (
            ("Here", "RELAY 12V 40A SPST"),
            ("There", "GXL 14 RD 100FT"),
            ("Else", "GXL 14 RD 9M"),
        )
    ]
    with pytest.raises(SurveyWrong) as wrong:
        read_matches(f"by hand:\n  '{RED_14.key}': R1\n", "m.yaml", lists)
    (problem,) = wrong.value.problems
    assert (problem.where.line, "'There: R1'" in problem.fix) == (2, True)
    said = read_matches(f"by hand:\n  '{RED_14.key}': ['There: R1', 'Else: R1']\n", "m.yaml", lists)
    (match,) = matched([RED_14], lists, said.choices()).matches
    assert [offer.supplier for offer in match.offers] == ["There", "Else"]
    with pytest.raises(SurveyWrong):
        read_choices(f"bought instead:\n  '{RED_14.key}': R1\n", "c.yaml", lists)
    assert read_choices(f"bought instead:\n  '{RED_14.key}': 'Here: R1'\n", "c.yaml", lists).bought
    same = lists[1:]  # the very same thing in two packs: the number alone means both
    found = read_matches(f"by hand:\n  '{RED_14.key}': R1\n", "m.yaml", same)
    assert len(matched([RED_14], same, found.choices()).matches[0].offers) == 2


def test_what_a_person_changes_among_what_was_found_is_theirs_from_then_on() -> None:
    """A line of 'found' with another number of these lists, or with none, is a person's word."""
    lists = [
        read_price_list(
            b"Part no,Description,Unit,Price\nA1,GXL 14 RD,m,1\nA2,GXL 14 BK,m,1\nA3,GXL 14 RD 9M,roll,9\n",
            "l.csv",
        )
    ]
    certain = matched([RED_14], lists)  # A1 and A3

    def after(found: str) -> MatchFile:
        return settled(read_matches(f"found:\n  '{RED_14.key}': {found}\n", "m.yaml", lists), certain, lists)

    assert not after("[A1, A3]").hand and not after("A1").hand  # as the program found it, or had found before
    assert after("A2").hand == {RED_14.key: ("A2",)} and after("A2").moved == (RED_14.key,)
    assert after("none").hand == {RED_14.key: ()}
    assert after("'l: A2'").hand == {RED_14.key: ("l: A2",)}
    assert not after("Z9").hand  # of a list that is not given now
    assert not settled(read_matches("found:\n  'other': A2\n", "m.yaml", lists), certain, lists).hand
    first = MatchFile(hand={RED_14.key: ("A1",)}, found={RED_14.key: ("A2",)})
    assert settled(first, certain, lists).hand == {RED_14.key: ("A1",)}  # by hand goes before


def test_remarks_of_a_person_stay_wherever_they_stand() -> None:
    """Above an entry at any depth, at the margin, and behind a part number written into 'open'."""
    lists = [
        read_price_list(b"Part no,Description,Unit,Price\nA1,GXL 14 RD,m,1\nA2,GXL 14 BK,m,1\n", "l.csv")
    ]
    text = (
        "by hand:\n      # deeper than its entry\n# at the margin\n  'relays: relay': A2  # rang the maker\n"
        f"open:\n  '{RED_14.key}': [A1, A2]   # both will do\n  'other: x': A2 # a remark\n  'y':\n"
    )
    before = read_matches(text, "m.yaml", lists)
    again = matches_text([RED_14], matched([RED_14], lists, before.choices()), before)
    assert read_matches(again, "m.yaml", lists).hand == before.hand
    for line in (
        "      # deeper than its entry", "# at the margin", "  'relays: relay': A2  # rang the maker",
        f"  '{RED_14.key}': [A1, A2]  # both will do", "  'other: x': A2  # a remark",
    ):  # fmt: skip
        assert line in again.splitlines(), line


def test_options_of_prices_and_quote_are_the_same_words() -> None:
    """One place for both: a person who knows the one knows the other."""

    def options(*path: str) -> dict[str, str | None]:
        command = main
        for name in path:
            command = command.commands[name]  # type: ignore[attr-defined]
        return {one.opts[0]: getattr(one, "help", None) for one in command.params}

    one, other = options("prices", "match"), options("quote")
    shared = {name for name in one if name.startswith("--") and name != "--prices"}
    assert shared == {"--matches", "--choices", "--decimal", "--json"}
    assert all(one[name] == other[name] for name in shared)
