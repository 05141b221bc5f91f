"""The whole step: it fills the blank fields and changes nothing else, the same way every time."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from harness.fitout import fit
from harness.model.machine import Machine
from harness.model.stages import Loom
from tests.fitout.small_loom import (
    ZONES,
    battery,
    blank,
    fuse,
    ground_point,
    lamp,
    loom,
    machine,
    run,
    splice,
    survey_run,
    wire,
)

PARTS = [battery(), fuse("F1"), lamp("head lamp"), lamp("tail lamp"), ground_point()]
RUNS = (survey_run("a", hole_mm=32.0, plate_mm=3.0), survey_run("b", moves=True, covering="braid"))
HOPS = (
    "battery + > F1 1", "F1 2 > S1", "S1 > head lamp +", "S1 > tail lamp +", "head lamp - > dash ground stud",
    "tail lamp - > dash ground stud", "dash ground stud > battery -",
)  # fmt: skip
SIZES = {"18 AWG": (0.76, 2.6), "14 AWG": (1.85, 3.5), "8 AWG": (7.23, 6.4), "2/0 AWG": (63.4, 15.9)}


@st.composite
def cases(draw: st.DrawFn) -> tuple[Machine, Loom]:
    wires = []
    for index, hop in enumerate(HOPS):
        size = draw(st.sampled_from(sorted(SIZES)))
        places = draw(st.tuples(st.sampled_from(["console", "engine", "rail"]), st.just("console")))
        kept = draw(st.booleans())
        wires.append(wire(str(index), hop, size, *SIZES[size], places, draw(st.floats(0.05, 9.0)), kept))
    bundle_mm = draw(st.floats(min_value=2.0, max_value=60.0))
    runs = [run(each, ["0", "1"], bundle_mm, draw(st.floats(20, 150))) for each in RUNS]
    made = machine(PARTS, runs=RUNS, sizes=draw(st.sampled_from(["AWG", "mm2"])), zones=ZONES)
    return made, loom(wires, runs, [splice("S1", ["1", "2", "3"])])


@given(cases())
def test_only_blank_fields_change(case: tuple[Machine, Loom]) -> None:
    made, bare = case
    assert blank(fit(made, bare)) == bare


@given(cases())
def test_the_same_loom_is_fitted_the_same(case: tuple[Machine, Loom]) -> None:
    made, bare = case
    once = fit(made, bare)
    assert fit(made, bare) == once
    assert fit(made, once) == once


@given(cases())
def test_new_wires_are_labelled_and_kept_ones_left_alone(case: tuple[Machine, Loom]) -> None:
    for each in fit(*case).wires:
        if each.kept:
            assert each.from_end.notes == each.to_end.notes == "kept"
            assert each.from_end.label == each.from_end.terminal == ""
        else:
            assert each.from_end.label == each.to_end.label == each.number


def test_hostile_names_come_through_as_they_are() -> None:
    """A terminal's text never holds a part's name; notes may, unescaped: the writers escape."""
    name = 'la<b>"mp" & = ünïcödé'
    odd = lamp(name)
    filled = fit(machine([odd, ground_point()]), loom([wire("1", f"{name} ? > dash ground stud")]))
    assert name in filled.wires[0].from_end.notes
    assert name not in filled.wires[0].from_end.terminal
