"""The sheet of fuse plots shows every fuse once, with nothing on top of anything else."""

from __future__ import annotations

from dataclasses import replace

from harness.drawing.fuse_plots import fuse_plots_svg
from harness.model.design import Design
from harness.pipeline import design as build
from harness.survey import read

from . import reading
from .conftest import machine


def test_every_fuse_has_a_plot_with_its_rating(name: str) -> None:
    design = machine(name)
    svg = fuse_plots_svg(design)
    plots = reading.groups(svg, "fuse")
    assert [plot.attrib["data-fuse"] for plot in plots] == [curve.fuse for curve in design.fuse_curves]
    for plot, curve in zip(plots, design.fuse_curves, strict=True):
        words = " ".join(reading.said(text) for text in plot.iter(f"{reading.SVG}text"))
        assert f"{curve.rating_a:g} A" in words


def test_no_text_covers_another_and_all_lie_on_paper(name: str) -> None:
    svg = fuse_plots_svg(machine(name))
    assert list(reading.overlapping_texts(svg)) == []
    wide, high = reading.page(svg)
    assert (wide, high % 210) == (297, 0)  # A4, ISO 216
    for box in reading.texts(svg):
        assert 8 <= box.left <= box.right <= wide - 8, box.text


def test_same_design_same_bytes(name: str) -> None:
    assert fuse_plots_svg(machine(name)) == fuse_plots_svg(machine(name))


def test_hostile_names_stay_text() -> None:
    design = machine("pump")
    evil = "<script>&\"'=1 \u202eabc " * 8
    curves = [replace(curve, fuse=evil, wire=evil) for curve in design.fuse_curves]
    svg = fuse_plots_svg(replace(design, fuse_curves=curves))
    assert "<script" not in svg
    assert "\u202e" not in svg
    assert len(reading.groups(svg, "fuse")) == len(curves)
    assert list(reading.overlapping_texts(svg)) == []


ALL_FORMS = """
machine: {name: forms, voltage: 12 V, chassis post: negative, cable: GXL, sizes: AWG}
zones: {deck: {ambient: 30 °C, closed: yes}}
runs:
  - {from: box, to: dash, length: 1.5 m, zone: deck}
parts:
  battery: {is: battery, at: box, capacity: 70 Ah, cranking: 540 A}
  link: {is: fusible link, at: box}
  stud: {is: terminal stud, at: dash}
  dash ground: {is: ground point, at: dash, on: frame}
  box ground: {is: ground point, at: box, on: frame}
"""
FORMS = ("small blade", "large blade", "bolt-in 30 mm", "glass", "glass cartridge", "breaker")


def _all_forms() -> Design:
    parts, paths = [], []
    for at, form in enumerate(FORMS):
        parts.append(f"  F{at}: {{is: fuse, at: dash, form: {form}}}")
        parts.append(f"  L{at}: {{is: work lamp, at: dash, power: 60 W}}")
        paths.append(f"stud > F{at} > L{at} > frame")
    circuits = (
        "circuits:\n  Ground: {paths: [frame > battery -]}\n  Feed: {paths: [battery + > link > stud]}\n"
        f"  Lamps: {{paths: [{', '.join(paths)}]}}\n"
    )
    return build(read("forms.yaml", text=ALL_FORMS + "\n".join(parts) + "\n" + circuits))


def test_every_form_is_drawn_with_its_band_and_its_wire() -> None:
    design = _all_forms()
    svg = fuse_plots_svg(design)
    plots = {plot.attrib["data-fuse"]: plot for plot in reading.groups(svg, "fuse")}
    assert len(plots) == len(FORMS) + 1
    for curve in design.fuse_curves:
        words = " ".join(reading.said(text) for text in plots[curve.fuse].iter(f"{reading.SVG}text"))
        assert curve.form in words
        assert "no band" not in words
        assert curve.band, curve.form
        assert len(curve.wire_stands) > 20
    assert "fusible link 12 AWG" in svg  # 6 x 5 A / 12 V lamps: 30 A, which 14 AWG's 35 A carries less inrush
    assert list(reading.overlapping_texts(svg)) == []


def test_a_wires_line_falls_and_ends_above_its_ampacity() -> None:
    """It stands less the longer it lasts, at last what 50 K above its class allow (ISO 6722-1, memory)."""
    for curve in _all_forms().fuse_curves:
        times = [seconds for _, seconds in curve.wire_stands]
        assert times == sorted(times)
        quick = [amps for amps, seconds in curve.wire_stands if seconds < 5]
        slow = [amps for amps, seconds in curve.wire_stands if seconds > 5]
        assert quick == sorted(quick, reverse=True)
        assert slow == sorted(slow, reverse=True)
        assert curve.ampacity_a is not None
        assert slow[-1] >= curve.ampacity_a


def test_a_short_that_is_weaker_than_its_fuse_still_lies_in_the_field() -> None:
    """At the far end of a very long thin wire a dead short may draw less than a tenth of the rating."""
    pump = machine("pump")
    curves = [replace(curve, fault_least_a=curve.rating_a / 15) for curve in pump.fuse_curves]
    svg = fuse_plots_svg(replace(pump, fuse_curves=curves))
    for plot in reading.groups(svg, "fuse"):
        (field,) = [each for each in plot.iter(f"{reading.SVG}rect") if each.get("fill") == "none"]
        left = float(field.attrib["x"])
        right = left + float(field.attrib["width"])
        for mark in plot.iter(f"{reading.SVG}polygon"):
            xs = [float(spot.split()[0]) for spot in mark.attrib["points"].split(", ")]
            assert left - 1.2 <= min(xs) <= max(xs) <= right + 1.2
