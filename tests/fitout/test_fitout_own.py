"""A user's own items are fitted where they fit, what is not stocked is not, and neither stays behind."""

from __future__ import annotations

from pathlib import Path

import pytest

from harness.catalogue import KINDS
from harness.electric.covers import sleeve
from harness.fitout import shrink
from harness.fitout.barrels import barrel_for
from harness.fitout.covering import covering
from harness.fitout.grommets import grommet
from harness.fitout.support import clamp_text, tie_text
from harness.model.design import WireEnd
from harness.pipeline import design
from harness.survey import read, read_catalogue
from harness.tables import extended, load, remembered

SAMPLES = Path(__file__).parents[2] / "samples"


def own(text: str) -> extended:  # type: ignore[valid-type]
    return extended(read_catalogue(text, "own.yaml").rows)


def fitted(hole_mm: float, bundle_mm: float) -> str:
    return grommet(hole_mm=hole_mm, plate_mm=None, bundle_mm=bundle_mm, covered_mm=bundle_mm).text


def test_an_own_grommet_goes_into_its_hole_and_only_while_it_is_asked_for() -> None:
    before = fitted(27.0, 18.0)
    with own("grommets: [{hole: 27 mm, inside: 19 mm}]"):
        assert "27 mm hole, 19 mm inside" in fitted(27.0, 18.0)
        assert "open the hole" not in fitted(27.0, 18.0)
    assert fitted(27.0, 18.0) == before
    assert "27 mm hole" not in before


def test_a_grommet_that_is_not_stocked_is_not_fitted() -> None:
    assert "20 mm hole" in fitted(20.0, 15.0)
    with own("not stocked: {grommets: [{hole: 20 mm}]}"):
        assert "20 mm hole" not in fitted(20.0, 15.0)


def test_a_tube_of_a_ratio_that_no_table_has() -> None:
    """33/5.5: grips from 1.10 x 5.5 = 6.05 mm and passes 0.80 x 33 = 26.4 mm (a maker's sizing guide); the
    largest 4:1 tubes reach 24/6: 6.6 to 19.2 mm, and 32/8: 8.8 to 25.6 mm."""
    text = "heat-shrink: [{kind: adhesive 6:1, expanded: 33 mm, recovered: 5.5 mm}]"
    asked = {"smallest_mm": 6.1, "largest_mm": 26.0, "adhesive": True}
    assert shrink.choose(**asked) is None
    with own(text):
        assert str(shrink.choose(**asked)) == "heat-shrink, adhesive-lined, 6:1, 33/5.5 mm"
        assert shrink.choose(**{**asked, "smallest_mm": 6.04}) is None
        assert shrink.choose(**{**asked, "largest_mm": 26.5}) is None


def test_no_four_to_one_where_it_is_not_stocked() -> None:
    """8/2 of 4:1 grips 2.6 mm and passes 6.0 mm; no tube of 3:1 does both."""
    asked = {"smallest_mm": 2.6, "largest_mm": 6.0, "adhesive": True}
    assert "4:1" in str(shrink.choose(**asked))
    with own("not stocked: {heat-shrink: [{kind: adhesive 4:1}]}"):
        assert shrink.choose(**asked) is None


@pytest.mark.parametrize("sizes", ["AWG", "mm2"])
def test_own_tube_braid_clamp_and_tie(sizes: str) -> None:
    """A bundle of 16 mm wants 1.25 x 16 = 20 mm of room (loom_fill_rules)."""
    asked = {"bundle_mm": 16.0, "ambient_c": 40.0, "near": (), "sizes": sizes}
    text = SAMPLES.joinpath("counter/catalogue.yaml").read_text(encoding="utf-8")
    with own(text):
        tube = covering(asked="corrugated", **asked)
        assert tube.text.startswith("split corrugated tube, NW20 (20 mm inside)")
        assert tube.outside_mm == 25.0
        braid = covering(asked="braid", **{**asked, "bundle_mm": 36.0})
        assert braid.text == "expandable braided sleeve, 1 in"
        assert clamp_text(outside_mm=25.5, sizes=sizes) == "rubber-lined P-clamp, 26 mm (6.4 mm bolt hole)"
        assert tie_text(outside_mm=70.0, hot=False).startswith("cable tie, 290 x 4.8 mm")
        assert "x 3.6 mm" not in tie_text(outside_mm=10.0, hot=False)


def test_the_source_reaches_the_list_of_materials() -> None:
    text = "not stocked: {grommets: all, ties: all, clamps: all}\n" + "\n".join(
        (
            "grommets: [{hole: 250 mm, inside: 200 mm}]",
            "ties: [{length: 900 mm, width: 9 mm, bundle: 200 mm}]",
            "clamps: [{bore: 100 mm, bolt hole: 6.4 mm}]",
        )
    )
    pump = SAMPLES / "pump.yaml"
    made = design(read(pump, catalogue=read_catalogue(text, "own.yaml")))
    for at, group in enumerate(("grommets", "ties", "clamps"), start=2):
        listed = [line for line in made.materials if line.group == group]
        found = [line for line in listed if " for clamps" not in line.item]  # their bolts are published
        assert found
        assert all(f"your own catalogue own.yaml line {at}" in line.source for line in found)
    assert made.machine.catalogue.startswith("own.yaml, digest ")
    plain = design(read(pump))
    assert not any("your own catalogue" in line.source for line in plain.materials)


def test_what_is_remembered_is_remembered_for_one_catalogue_alone() -> None:
    asked: list[int] = []

    @remembered
    def widest() -> float:
        asked.append(1)
        return max(float(row["max_bundle_mm"]) for row in load("cable_tie_lengths").rows)

    usual = widest()
    with own("ties: [{length: 900 mm, width: 9 mm, bundle: 200 mm}]"):
        assert widest() == 200.0
        assert widest() == 200.0
    assert widest() == usual
    assert len(asked) == 2


# ------------------------------------------------------------------------------------------- terminals


def test_an_own_lug_goes_between_two_published_ones() -> None:
    """1 AWG is 42.4 mm2 (ASTM B258); of the published lugs it takes that for 50 mm2, 14.5 mm outside."""
    asked = {"size": "1 AWG", "area_mm2": 42.4}
    usual = barrel_for(**asked)
    assert usual is not None
    assert usual.outside_mm == 14.5
    text = "lugs: [{wire: 1 AWG, studs: [M8, 3/8], barrel outside: 13.5 mm, barrel length: 24 mm}]"
    with own(text):
        barrel = barrel_for(**asked)
        assert barrel is not None
        assert (barrel.outside_mm, barrel.length_mm, barrel.studs) == (13.5, 24.0, ("M8", "3/8"))
        assert "your own catalogue own.yaml line 1" in barrel.tables
        thinner = barrel_for(size="2 AWG", area_mm2=33.6)
        assert thinner is not None
        assert thinner.outside_mm == 12.5
    with own("not stocked: {lugs: [{wire: 1/0 AWG}]}"):
        larger = barrel_for(**asked)
        assert larger is not None
        assert larger.outside_mm == 16.5


def test_the_lug_for_a_gauge_is_meant_by_its_gauge() -> None:
    """2 AWG is 33.6 mm2 and its lug is marked 35 mm2."""
    with own("not stocked: {lugs: [{wire: 2 AWG}]}"):
        assert [row["wire_mm2"] for row in load("battery_lugs").rows][2:4] == ["25", "50"]


BENCH = """\
machine: {name: Bench, voltage: 12 V, chassis post: negative}
zones: {shed: {ambient: 20 °C}}
runs: [{from: box, to: wall, length: 1 m, zone: shed}]
parts:
  battery: {is: battery, at: box, capacity: 60 Ah}
  F1: {is: fuse, at: box}
  block: {is: bus stud, at: wall, stud: 5/8}
  lamp: {is: lamp, at: wall, power: 5 W}
  ground: {is: ground point, at: box, on: frame}
circuits:
  Lamp:
    paths:
      - battery + > F1 > block > lamp > frame
      - frame > battery -
"""


def on_the_stud(survey: str, catalogue: str) -> list[WireEnd]:
    """What is crimped on the wires that land on the stud."""
    made = design(read("bench.yaml", text=survey, catalogue=read_catalogue(catalogue, "own.yaml")))
    return [
        end
        for wire in made.wires
        for point, end in ((wire.from_, wire.from_end), (wire.to, wire.to_end))
        if point.part == "block"
    ]


def test_a_ring_for_a_stud_that_only_the_own_catalogue_has() -> None:
    """Rings are stocked to 1/2 in (terminal_insulated_ranges); this counter has blue ones for 5/8 in too. One
    of the two wires takes a blue ring (16 AWG), the other a red one (20 AWG)."""
    assert [
        end.terminal for end in on_the_stud(BENCH, "ties: [{length: 9 cm, width: 3 mm, bundle: 2 cm}]")
    ] == ["", ""]
    blue, red = on_the_stud(BENCH, "ring terminals: [{colour: blue, stud: 5/8}]")
    assert blue.terminal.startswith("ring terminal")
    assert "16-14 AWG, 5/8 stud" in blue.terminal
    assert "your own catalogue own.yaml line 1" in blue.source
    assert (red.terminal, "your own catalogue" in red.source) == ("", False)


def test_no_ring_for_a_stud_it_is_not_stocked_for() -> None:
    bench = BENCH.replace("5/8", "M6")
    blue, red = on_the_stud(bench, "not stocked: {ring terminals: [{colour: blue, stud: M6}]}")
    assert blue.terminal == ""
    assert "stocked for stud M6" in blue.notes
    assert "M6 stud" in red.terminal
    assert "your own catalogue" not in red.source


def test_packs_of_ones_own() -> None:
    text = "packs: [{of: ties, amount: 25}]\nnot stocked: {packs: [{of: ties, amount: 100}]}"
    made = design(read(SAMPLES / "pump.yaml", catalogue=read_catalogue(text, "own.yaml")))
    bought = {str(line) for line in made.buying if "tie" in str(line)}
    assert any("pack of 25" in line for line in bought)
    assert not any("pack of 100" in line for line in bought)


def test_heat_reckons_with_an_own_tube_too() -> None:
    """Round a bundle of 16 mm goes the tube of 20 mm that this counter has, in the heat balance as well."""
    with own("split tube: [{inside: 20 mm, outside: 25 mm}]"):
        layer = sleeve("corrugated", 16.0, "mm2")
        assert layer is not None
        assert (layer.inside_mm, layer.outside_mm) == (20.0, 25.0)
    usual = sleeve("corrugated", 16.0, "mm2")
    assert usual is not None
    assert usual.inside_mm == 23.0


@pytest.mark.parametrize("name", ["pump", "roller", "grader", "orchard"])
def test_the_samples_are_designed_with_the_sample_catalogue(name: str) -> None:
    text = SAMPLES.joinpath("counter/catalogue.yaml").read_text(encoding="utf-8")
    made = design(read(SAMPLES / f"{name}.yaml", catalogue=read_catalogue(text, "own.yaml")))
    assert not [finding for finding in made.findings if finding.severity == "danger"]
    ties = [line.item for line in made.materials if line.group == "ties"]
    assert ties
    assert not [item for item in ties if "x 3.6 mm" in item]


@pytest.mark.parametrize("name", ["pump", "roller"])
def test_a_counter_that_has_nothing_at_all_breaks_nothing(name: str) -> None:
    """What cannot be bought is left out and found fault with; nothing raises."""
    every = [kind.name for kind in KINDS if not kind.cell]
    text = "not stocked: {" + ", ".join(f"{kind}: all" for kind in every) + "}"
    made = design(read(SAMPLES / f"{name}.yaml", catalogue=read_catalogue(text, "own.yaml")))
    groups = {line.group for line in made.materials if "edge trim" not in line.item}
    assert not groups & {"grommets", "ties", "clamps", "heat-shrink"}
    assert any(finding.severity != "advice" for finding in made.findings)
