"""What goes on a wire end before the terminal, in order; pulls, boots, and holes pulled through."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from harness.fitout import fit
from harness.fitout.passing import passing
from harness.fitout.pull import N_PER_LBF, pull_of
from harness.model.design import Design, Point, Wire, WireEnd
from harness.model.stages import Loom
from harness.pipeline import design
from harness.survey import read
from tests.electric.machines import surveys
from tests.fitout.small_loom import battery, ground_point, link, machine, part, run, splice, survey_run, wire

SAMPLES = sorted((Path(__file__).parents[2] / "samples").glob("*.yaml"))


# -------------------------------------------------------------------------------------------------- pulls


@pytest.mark.parametrize(
    ("size", "pounds"),
    # UL 486A-486B commercial column, as a terminal maker's specification prints it (read), 4/0 from memory
    [("22 AWG", 8), ("18 AWG", 20), ("14 AWG", 50), ("10 AWG", 80), ("2/0 AWG", 300), ("4/0 AWG", 450)],
)
def test_pulls_in_gauge_are_those_of_ul_486a(size: str, pounds: float) -> None:
    assert pull_of(size).least_n == pytest.approx(pounds * 4.448, rel=1e-3)
    assert "UL 486A" in pull_of(size).source


@pytest.mark.parametrize(
    ("size", "newtons"),
    # IEC 60352-2 table 1, from memory
    [("0.5 mm2", 60), ("1 mm2", 108), ("1.5 mm2", 150), ("2.5 mm2", 230), ("6 mm2", 360), ("10 mm2", 380)],
)
def test_pulls_in_mm2_are_those_of_iec_60352(size: str, newtons: float) -> None:
    assert pull_of(size).least_n == newtons
    assert "IEC 60352-2" in pull_of(size).source


@pytest.mark.parametrize(
    ("size", "weaker_n"), [("0.5 mm2", 40), ("1 mm2", 70), ("2.5 mm2", 150), ("4 mm2", 210)]
)
def test_the_higher_of_two_figures_that_differ_is_asked(size: str, weaker_n: float) -> None:
    """A copy on the web has lower figures for the same table: the table's note keeps them."""
    assert pull_of(size).least_n > weaker_n


@pytest.mark.parametrize("size", ["1 AWG", "16 mm2", "70 mm2"])
def test_no_pull_is_made_up_between_or_past_the_rows(size: str) -> None:
    assert pull_of(size).least_n == 0
    assert "ask the maker" in pull_of(size).source


def test_a_pound_force_is_what_it_is() -> None:
    assert pytest.approx(0.45359237 * 9.80665, rel=1e-7) == N_PER_LBF


# -------------------------------------------------------------------------------------------------- order


def test_the_order_at_a_live_stud_by_hand() -> None:
    """Label lies farthest back, the boot before it slides over the shrunk barrel at the end."""
    box = part(
        "box", "module", "load", {"1": "stud M8", "2": "stud M8"}, [link("1", "2", "load")], place="rail"
    )
    made = fit(
        machine([box, ground_point()]),
        Loom((wire("7", "box 1 > dash ground stud", places=("rail", "console")),), (), ()),
    ).wires[0]
    assert made.from_end.threading == [
        "label", "boot", "heat-shrink", "strip 6.8 mm", "crimp", "pull 222 N (50 lb)", "shrink down",
        "boot over it once bolted",
    ]  # fmt: skip
    assert made.from_end.boot == "rubber boot over lug, for 14 AWG cable"
    # the console is dry and closed: an insulated ring with nothing over it, and ground needs no boot
    assert made.to_end.threading == ["label", "strip 5.6 mm", "crimp", "pull 222 N (50 lb)"]
    assert (made.to_end.boot, made.to_end.pull_n) == ("", pytest.approx(222.4, abs=0.1))


@pytest.mark.parametrize(("post", "booted"), [("negative", "+"), ("positive", "-")])
def test_a_boot_is_for_the_live_side_of_either_polarity(post: str, booted: str) -> None:
    wires = (
        wire("1", "battery + > box 1", "2 AWG", 31.6, 11.6),
        wire("2", "battery - > box 2", "2 AWG", 31.6, 11.6),
    )
    box = part("box", "module", "load", {"1": "blade 6.3", "2": "blade 6.3"}, [link("1", "2", "load")])
    made = fit(machine([battery(), box], chassis_post=post), Loom(wires, (), ())).wires
    assert {each.from_.terminal for each in made if each.from_end.boot} == {booted}


def test_a_lug_behind_a_fuse_needs_no_boot() -> None:
    box = part("box", "module", "load", {"1": "stud M6", "2": "stud M6"}, [link("1", "2", "load")])
    guarded = replace(wire("1", "box 1 > box 2"), fuse="F1", fuse_a=10.0)
    for each, boots in ((guarded, 0), (replace(guarded, fuse="", fuse_a=None), 2)):
        made = fit(machine([box]), Loom((each,), (), ())).wires[0]
        assert [made.from_end.boot, made.to_end.boot].count("") == 2 - boots


def test_one_wire_of_a_splice_carries_its_heat_shrink() -> None:
    box = part("box", "module", "load", {str(n): "blade 6.3" for n in range(1, 4)}, [link("1", "2", "load")])
    wires = (wire("5a", "box 1 > S1"), wire("5b", "S1 > box 2"), wire("5c", "S1 > box 3"))
    made = fit(machine([box]), Loom(wires, (), (splice("S1", ["5a", "5b", "5c"]),))).wires
    assert made[0].to_end.threading[:3] == ["label", "heat-shrink of splice S1", "strip 6.8 mm"]
    assert made[0].to_end.threading[3:] == ["crimp into splice S1", "pull 222 N (50 lb)", "shrink down"]
    assert made[1].from_end.threading == [
        "label",
        "strip 6.8 mm",
        "crimp into splice S1",
        "pull 222 N (50 lb)",
    ]


def test_a_spare_is_capped_and_not_crimped() -> None:
    spare = part("spare one", "spare", "stud", {"1": "pigtail"}, ())
    box = part("box", "module", "load", {"1": "blade 6.3", "2": "blade 6.3"}, [link("1", "2", "load")])
    made = fit(machine([spare, box]), Loom((wire("9", "box 1 > spare one 1"),), (), ())).wires[0]
    assert made.to_end.threading == ["label", "heat-shrink", "cut flush", "shrink, pinch shut past the end"]
    assert made.to_end.pull_n == 0


# -------------------------------------------------------------------------------------------------- holes


def test_the_shorter_side_of_a_hole_is_pulled_through() -> None:
    """Rail to console is 1 m with a hole, console to roof 3 m: the ends at the rail are made after it."""
    first = replace(run(survey_run(), ["1", "2"], 8.0), grommet="rubber grommet")
    second = replace(
        run(survey_run("console - roof", start="console", end="roof", length_m=3.0), ["1", "2"], 8.0),
        grommet="",
    )
    there = replace(
        wire("1", "box 1 > lamp +", places=("rail", "roof")), runs=["rail - console", "console - roof"]
    )
    back = replace(
        wire("2", "lamp - > box 2", places=("roof", "rail")), runs=["console - roof", "rail - console"]
    )
    found = passing([there, back], [first, second])
    assert found == {("1", "from"): ["grommet of rail - console"], ("2", "to"): ["grommet of rail - console"]}


def test_what_lies_farthest_from_the_end_is_threaded_first() -> None:
    """Two holes on the way to the roof, both nearer to it than to the rail's far end: 5 m, 1 m, 1 m."""
    spots = [("far", "rail", 5.0, ""), ("rail", "console", 1.0, "g"), ("console", "roof", 1.0, "g")]
    runs = [
        replace(run(survey_run(f"{a} - {b}", start=a, end=b, length_m=m), ["1"], 8.0), grommet=g)
        for a, b, m, g in spots
    ]
    names = [each.name for each in runs]
    out = replace(wire("1", "box 1 > lamp +", places=("far", "roof")), runs=names)
    assert passing([out], runs) == {("1", "to"): ["grommet of rail - console", "grommet of console - roof"]}
    home = replace(wire("1", "lamp + > box 1", places=("roof", "far")), runs=names[::-1])
    assert passing([home], runs) == {
        ("1", "from"): ["grommet of rail - console", "grommet of console - roof"]
    }


# ------------------------------------------------------------------------------------- any machine


def _new_ends(made: Design) -> Iterator[tuple[Wire, Point, WireEnd]]:
    for each in made.wires:
        if not each.kept:
            yield each, each.from_, each.from_end
            yield each, each.to, each.to_end


def _check_ends(made: Design) -> None:
    splices = {each.name: each for each in made.splices}
    refused = {finding.subject for finding in made.findings if finding.severity != "advice"}
    shared: set[str] = set()
    for each, point, end in _new_ends(made):
        order = end.threading
        crimps = [step for step in order if step.startswith("crimp")]
        into = re.search(r"goes into the butt splice of wire (\S+)", end.notes)
        if end.terminal:
            assert crimps == ["crimp"] and point.kind == "part"
        elif point.kind == "splice":
            assert crimps == [f"crimp into splice {point.part}"]
            assert splices[point.part].fitting or refused
        elif into:
            assert crimps == [f"crimp into butt splice of wire {into.group(1)}"]
            shared.add(into.group(1))
        else:  # nothing fits, which is a finding, or a spare
            assert not crimps and (refused or "spare" in end.notes), (each.number, end)
        assert order.count("label") == (1 if end.label else 0)
        assert order.count("boot") == (1 if end.boot else 0)
        assert order.count("heat-shrink") == (1 if end.shrink else 0)
        marks = [order.index(step) for step in ("label", "boot", "heat-shrink", *crimps) if step in order]
        assert marks == sorted(marks)
        if crimps:
            at = order.index(crimps[0])
            assert order[at - 1] == f"strip {end.strip_mm:g} mm"
            assert order[at + 1].startswith("pull ")
            assert ("shrink down" in order[at:]) == any(
                "heat-shrink" in step for step in order[:at]
            ) or "sleeve" in end.terminal
    assert shared <= {
        each.number for each, _, end in _new_ends(made) if end.terminal.startswith("butt splice")
    }


def _check_counts(made: Design) -> None:
    boots = Counter(end.boot for _, _, end in _new_ends(made) if end.boot)
    bought = Counter(
        {f"{line.item}, {line.size}": int(line.quantity) for line in made.materials if "boot" in line.item}
    )
    assert boots == bought
    carried = Counter(step for _, _, end in _new_ends(made) for step in end.threading if "of splice" in step)
    assert carried == Counter(f"heat-shrink of splice {each.name}" for each in made.splices if each.shrink)


def _check_holes(made: Design) -> None:
    """Every new wire in a hole with a grommet is threaded through it once, at one of its ends."""
    wanted = Counter(
        (number, f"grommet of {hole.name}") for hole in made.runs if hole.grommet for number in hole.wires
    )
    kept = {each.number for each in made.wires if each.kept}
    threaded = Counter(
        (each.number, step)
        for each, _, end in _new_ends(made)
        for step in end.threading
        if step.startswith("grommet of ")
    )
    assert threaded == {key: count for key, count in wanted.items() if key[0] not in kept}


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_every_end_of_the_samples(sample: Path) -> None:
    made = design(read(sample))
    for check in (_check_ends, _check_counts, _check_holes):
        check(made)


@settings(max_examples=12, suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(surveys())
def test_every_end_of_any_machine(text: str) -> None:
    made = design(read("drawn.yaml", text=text))
    for check in (_check_ends, _check_counts, _check_holes):
        check(made)
