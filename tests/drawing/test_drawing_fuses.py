"""The sheet of fuse plots shows every fuse once, with nothing on top of anything else."""

from __future__ import annotations

from dataclasses import replace

from harness.drawing.fuse_plots import fuse_plots_svg

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
