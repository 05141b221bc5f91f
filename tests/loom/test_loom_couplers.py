"""Couplers: wires are cut where looms meet, nothing else changes electrically, and both halves mate."""

from __future__ import annotations

from pathlib import Path

import networkx as nx
import pytest

from harness.loom.couplers import couplers
from harness.loom.looms import wire_kg_per_m
from harness.loom.routing import route
from harness.model.design import Design
from harness.model.machine import Machine
from harness.model.problem import SurveyWrong
from harness.pipeline import design, sized
from harness.survey import read
from harness.tables import load
from tests.published.recorder import Cells, beside, published
from tests.rules.surveys import GOOD
from tests.rules.trials_couplers import NOSE, coupled

ROOT = Path(__file__).parents[2]
M_PER_1000_FT, KG_PER_LB = 304.8, 0.45359237


def roller_with_coupler(run: str, length_m: float, words: str = "") -> str:
    """The sample roller, undivided but for one coupler half way along one run."""
    lines = (ROOT / "samples" / "roller.yaml").read_text(encoding="utf-8").splitlines(keepends=True)
    own = [line for line in lines if "multi-way coupler" in line or "{loom: " in line]
    assert len(own) == 3
    text = "".join(line for line in lines if line not in own)
    (line,) = [
        each
        for each in text.splitlines()
        if each.strip().startswith("- {from: " + run.split(" - ")[0])
        and "to: " + run.split(" - ")[1] + "," in each
    ]
    start, end = run.split(" - ")
    rest = line.split("length:")[1].split(",", 1)[1]
    halves = (
        f"  - {{from: {start}, to: half way, length: {length_m / 2:g} m,{rest}\n"
        f"  - {{from: half way, to: {end}, length: {length_m / 2:g} m, zone: frame}}"
    )
    text = text.replace(line, halves)
    return text.replace("parts:\n", f"parts:\n  half way plug: {{is: coupler, at: half way{words}}}\n", 1)


RUNS = [
    ("hinge rear - hinge front", 0.55),
    ("cab post foot - cab roof", 1.6),
    ("relay plate - engine tee", 0.45),
]


@pytest.fixture(scope="module", params=RUNS, ids=[run for run, _ in RUNS])
def parted(request: pytest.FixtureRequest) -> tuple[Machine, Machine, Design]:
    """The machine as surveyed, as cut, and its design."""
    machine = read("two.yaml", text=roller_with_coupler(*request.param))
    return machine, sized(machine)[0], design(machine)


def electrical(machine: Machine, through: str) -> nx.Graph[object]:
    """Wires between ends, the ways of a coupler drawn together to one point."""
    part = machine.parts[through]
    joined = {link.b: link.a for link in part.links}
    graph: nx.Graph[object] = nx.Graph()
    for wire in machine.wires:
        ends = [(end.kind, end.name, joined.get(end.terminal, end.terminal)) for end in (wire.a, wire.b)]
        graph.add_edge(*ends)
    for node in [node for node in graph if node[1] == through]:
        around = list(graph.neighbors(node))
        assert len(around) == 2
        graph.remove_node(node)
        graph.add_edge(*around)
    return graph


@beside("networkx", "what is one point of the wiring")
def test_drawn_together_the_cut_machine_is_the_surveyed_one(parted: tuple[Machine, Machine, Design]) -> None:
    whole, cut, _ = parted
    assert len(cut.wires) > len(whole.wires)
    before, after = electrical(whole, "half way plug"), electrical(cut, "half way plug")
    assert nx.utils.graphs_equal(before, after)


def test_only_what_is_said_to_passes_uncut(parted: tuple[Machine, Machine, Design]) -> None:
    _, cut, made = parted
    (coupler,) = made.couplers
    named = {line.split(":")[0] for line in coupler.past}
    for way, wire in zip(route(cut).wires, made.wires, strict=True):
        ends = {wire.from_.place, wire.to.place}
        inside = any("half way" in name for name in way.runs) and "half way" not in ends
        assert inside == (wire.number in named)


def test_both_halves_of_a_way_mate(parted: tuple[Machine, Machine, Design]) -> None:
    _, _, made = parted
    wires = {wire.number: wire for wire in made.wires}
    ranges = {
        f"size {row['contact_size']}": (float(row["wire_from_mm2"]), float(row["wire_to_mm2"]))
        for row in load("coupler_contacts").rows
    }
    (coupler,) = made.couplers
    assert coupler.ways
    for way in coupler.ways:
        least, most = ranges[way.contact]
        for number in (way.wire_a, way.wire_b):
            assert least <= wires[number].area_mm2 <= most
        a, b = wires[way.wire_a], wires[way.wire_b]
        fittings = [end.terminal for wire in (a, b) for end in (wire.from_end, wire.to_end)]
        assert f"pin contact, {way.contact}, sealed coupler" in fittings
        assert f"socket contact, {way.contact}, sealed coupler" in fittings
        assert a.number.rstrip("abcdefghijklmnopqrstuvwxyz") == b.number.rstrip("abcdefghijklmnopqrstuvwxyz")


def test_every_contact_has_its_seal(parted: tuple[Machine, Machine, Design]) -> None:
    _, _, made = parted
    (coupler,) = made.couplers
    count = {line.item: line.quantity for line in made.materials}
    contacts = sum(count[item] for item in count if item.endswith("sealed coupler"))
    seals = sum(count[item] for item in count if item.startswith("wire seal"))
    assert contacts == seals == 2 * len(coupler.ways)


def test_looms_hold_every_wire_once(parted: tuple[Machine, Machine, Design]) -> None:
    _, _, made = parted
    assert len(made.looms) == 2
    listed = [number for loom in made.looms for number in loom.wires]
    past = {line.split(":")[0] for coupler in made.couplers for line in coupler.past}
    new = {wire.number for wire in (*made.wires, *made.spares) if not wire.kept}
    assert len(listed) == len(set(listed))
    assert set(listed) == new - past
    idle_kg = sum(wire.length_m * wire.area_mm2 for wire in made.spares) * 8.96e-3  # copper: 8960 kg/m3
    assert sum(loom.copper_kg for loom in made.looms) <= made.totals.copper_kg + idle_kg + 1e-9


def test_a_way_costs_its_contact_resistance_once() -> None:
    """GOOD's left head lamp: 35 W on 12 V are 2.917 A; one contact of 5 mohm (contact_resistance) is 14.6 mV.

    The wire's own crimps on the coupler count nothing more, and no length comes on top but two ends of 0.05 m
    or more; so the live side loses at least the contact, and less than two contacts more than before.
    """

    def lost(text: str) -> tuple[float, float]:
        made = design(read("test.yaml", text=text))
        (load_,) = [each for each in made.loads if each.part == "left head lamp"]
        copper = sum(wire.resistance_ohm for wire in made.wires if wire.circuit == "Left head lamp")
        return max(volts.judged_v for volts in load_.modes), copper * 35 / 12

    before, copper_before = lost(GOOD)
    after, copper_after = lost(coupled(""))
    contact_v = 0.005 * 35 / 12
    assert (after - copper_after) - (before - copper_before) == pytest.approx(contact_v, rel=0.05)


def test_a_counted_coupler_lists_its_spare_ways() -> None:
    made = design(read("test.yaml", text=coupled(", ways: 4")))
    (coupler,) = made.couplers
    assert [way.way for way in coupler.ways] == ["1", "2", "3", "4"]
    assert [bool(way.contact) for way in coupler.ways] == [True, True, False, False]
    count = {line.item: line.quantity for line in made.materials}
    assert count["sealing plug for a spare way of a coupler"] == 4  # two ways, both halves


def test_a_wire_given_a_pin_by_its_path_keeps_it() -> None:
    text = coupled(
        ", ways: 3",
        (
            "panel F3 > lamp switch > left head lamp",
            "panel F3 > lamp switch > nose plug 2A/2B > left head lamp",
        ),
    )
    (coupler,) = design(read("test.yaml", text=text)).couplers
    assert [way.circuit for way in coupler.ways] == ["Right head lamp", "Left head lamp", ""]


def test_without_a_coupler_there_is_one_loom() -> None:
    machine = read("test.yaml", text=GOOD)
    assert couplers(machine) == []
    made = design(machine)
    assert [loom.name for loom in made.looms] == ["loom 1"]
    assert made.couplers == []


def test_a_coupler_that_could_not_be_read_is_blamed_once() -> None:
    places = "places:\n  box: {loom: main loom}\n  nose: {loom: nose loom}\nruns:\n"
    text = coupled("", ("runs:\n", places)).replace("nose plug:", "nose > plug:")
    with pytest.raises(SurveyWrong) as caught:
        read("test.yaml", text=text)
    assert ["has a meaning in paths" in each.what for each in caught.value.problems] == [True]


def test_looms_are_called_as_the_survey_says() -> None:
    places = "places:\n  box: {loom: main loom}\n  nose: {loom: nose loom}\nruns:\n"
    made = design(read("test.yaml", text=coupled("", ("runs:\n", places))))
    assert [loom.name for loom in made.looms] == ["main loom", "nose loom"]


@pytest.mark.parametrize(
    ("text", "what", "fix"),
    [
        (
            GOOD.replace("parts:\n", "parts:\n  plug: {is: multi-way coupler, at: box}\n"),
            "coupler 'plug' joins two looms, but 3 runs meet at 'box'",
            "give it a place of its own that splits one run in two",
        ),
        (
            coupled("").replace("parts:\n", "parts:\n  second plug: {is: coupler, at: joint}\n"),
            "sit at one place",
            "give each a place of its own",
        ),
        (
            coupled("", ("runs:\n", "places:\n  box: {loom: main}\n  dash: {loom: dash loom}\nruns:\n")),
            "'dash' lies in loom 'main': no coupler stands between",
            "write 'main', or name a coupler that parts the two",
        ),
        (
            coupled("", ("runs:\n", "places:\n  joint: {loom: main}\nruns:\n")),
            "a coupler sits at 'joint', where two looms meet",
            "name the loom at a place on one side: block, box, dash, nose",
        ),
        (coupled(", ways: some"), "'some' is not a count of ways", "write ways: 8"),
        (coupled(", power: 5 W"), "'power' means nothing for a multi-way coupler", "takes: "),
    ],
    ids=["three runs", "two at one place", "two names", "name at the coupler", "count", "key"],
)
def test_a_wrong_coupler_is_said_with_its_cure(text: str, what: str, fix: str) -> None:
    with pytest.raises(SurveyWrong) as caught:
        read("test.yaml", text=text)
    (problem,) = caught.value.problems
    assert what in problem.what
    assert fix in (problem.fix or "")
    assert problem.where.line > 1


@published("a maker's data sheet of GXL", "lb per 1000 ft of thin gauges", "read")
@pytest.mark.parametrize(
    ("gauge", "area_mm2", "outside_mm", "lb_per_1000_ft"),
    [("20", 0.508, 2.4, 7), ("18", 0.76, 2.6, 9), ("16", 1.22, 3.0, 13)],
)
def test_weight_of_a_wire(
    gauge: str, area_mm2: float, outside_mm: float, lb_per_1000_ft: float, cells: Cells
) -> None:
    """Outside diameters of the same sheet, areas of SAE J1128 (read); whole pounds only."""
    ours = wire_kg_per_m(area_mm2=area_mm2, outside_mm=outside_mm) * M_PER_1000_FT / KG_PER_LB
    cells.near(f"{gauge} AWG", ours, lb_per_1000_ft, rel=0.10)


def test_the_good_survey_has_the_run_that_is_parted() -> None:
    assert NOSE in GOOD


def test_no_splice_sits_where_looms_meet() -> None:
    """Lamps on both sides of the coupler pull their splice into it; it sits beside it instead."""
    text = coupled(
        "",
        ("left head lamp: {is: lamp, at: nose", "left head lamp: {is: lamp, at: joint"),
        (
            "    paths: [panel F3 > lamp switch > left head lamp > frame]\n",
            "    paths:\n      - panel F3 > lamp switch > (left head lamp, side lamp) > frame\n",
        ),
        ("parts:\n  nose plug", "parts:\n  side lamp: {is: lamp, at: joint, power: 5 W}\n  nose plug"),
    )
    made = design(read("test.yaml", text=text))
    assert [splice.place for splice in made.splices] == ["box"]
