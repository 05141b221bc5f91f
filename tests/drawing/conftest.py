"""The machines that every drawing test looks at: all samples, and one made by hand."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from harness.drawing.loom import loom_svg
from harness.model.design import Design
from tests.samples import made as samples

from .factories import medium

SAMPLES = Path(__file__).parents[2] / "samples"
NAMES = ("by hand", *sorted(path.stem for path in SAMPLES.glob("*.yaml")))


@cache
def machine(name: str) -> Design:
    """Design of a sample, or of the machine made by hand."""
    return medium().build() if name == "by hand" else samples.design(name)


@cache
def loom_of(name: str) -> str:
    """Loom drawing of a machine."""
    return loom_svg(machine(name))


@pytest.fixture(params=NAMES)
def name(request: pytest.FixtureRequest) -> str:
    """Name of one machine after the other."""
    return str(request.param)
