"""The samples' designs, and their books on disk."""

from __future__ import annotations

from pathlib import Path

import pytest

from harness.book.shop.page import page_html
from harness.drawing.fuse_plots import fuse_plots_svg
from harness.drawing.loom import loom_svg
from harness.drawing.tracks.sheets import tracks_svg
from harness.model.design import Design
from tests.samples import made as samples

SAMPLES = Path(__file__).parents[2] / "samples"
NAMES = ("roller", "grader", "orchard", "pump")


def drawings(design: Design) -> dict[str, str]:
    return {
        "tracks.svg": tracks_svg(design),
        "loom.svg": loom_svg(design),
        "fuses.svg": fuse_plots_svg(design),
    }


@pytest.fixture(scope="session")
def designs() -> dict[str, Design]:
    return {name: samples.design(name) for name in NAMES}


@pytest.fixture(scope="session")
def books(designs: dict[str, Design], tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Sample -> address of its book on disk."""
    folder = tmp_path_factory.mktemp("books")
    found = {}
    for name, design in designs.items():
        path = folder / f"{name}.html"
        path.write_bytes(page_html(design, drawings(design)))
        found[name] = path.as_uri()
    return found
