"""Whatever the machine and the names: nothing covers anything, nothing is lost, the bytes are the same."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings

from harness.drawing.loom import loom_svg
from harness.drawing.svg import clean
from harness.drawing.tracks.sheets import circuits_svg, tracks_svg

from . import reading
from .factories import Builder, medium
from .machines import HOSTILE, builders

ROOT = Path(__file__).parents[2]


@given(builders())
@settings(max_examples=30)
def test_circuit_sheets_of_any_machine(builder: Builder) -> None:
    design = builder.build()
    svg = circuits_svg(design)
    assert list(reading.overlapping_texts(svg)) == []
    assert list(reading.struck_texts(svg, "wire")) == []
    assert list(reading.lying_on(svg, "wire")) == []
    assert {each.attrib["data-wire"] for each in reading.groups(svg, "wire")} == {
        w.number for w in design.wires
    }
    wide, high = reading.page(svg)
    for box in reading.texts(svg):
        assert 0 <= box.left <= box.right <= wide
        assert 0 <= box.top <= box.low <= high


@given(builders())
@settings(max_examples=60)
def test_loom_of_any_machine(builder: Builder) -> None:
    design = builder.build()
    svg = loom_svg(design)
    assert list(reading.overlapping_texts(svg)) == []
    assert list(reading.struck_texts(svg, "run")) == []
    assert {each.attrib["data-run"] for each in reading.groups(svg, "run")} == {
        clean(r.name) for r in design.runs
    }
    assert {each.attrib["data-place"] for each in reading.groups(svg, "place")} == {
        clean(place) for place in design.places
    }
    wide, high = reading.page(svg)
    for box in reading.texts(svg):
        assert 0 <= box.left <= box.right <= wide
        assert 0 <= box.top <= box.low <= high


@pytest.mark.parametrize(
    "sign", ["\ufe00", "\u200d", "\u202e", "\U000e0100", "\xad", "\u2060", "\u180b"], ids=ascii
)
@pytest.mark.parametrize("before", ["", "a", "long "])
def test_a_sign_that_nobody_sees_has_room_for_its_number(before: str, sign: str) -> None:
    """It is written as [U+FE00]: much wider than the nothing that it is in type."""
    b = Builder(f"{before}{sign}")
    b.part("battery", "battery", f"{before}{sign}")
    b.part(f"lamp {sign}", "lamp", "A")
    b.run(f"{before}{sign}", "A", name=f"run {sign}")
    b.circuit(f"circuit {sign}", f"battery + > lamp {sign} +")
    for svg in (loom_svg(b.build()), circuits_svg(b.build()), tracks_svg(b.build())):
        assert any(f"[U+{ord(sign):04X}]" in box.text for box in reading.texts(svg))
        assert list(reading.overlapping_texts(svg)) == []
        assert list(reading.struck_texts(svg, "run")) == []
        wide, _ = reading.page(svg)
        assert all(0 <= box.left <= box.right <= wide for box in reading.texts(svg))


def _hostile() -> Builder:
    """One machine on which every hostile text is a part, a place, a circuit and the machine's name."""
    b = Builder(" ".join(HOSTILE))
    b.part("battery", "battery", "box")
    for number, text in enumerate(HOSTILE):
        b.part(text, "lamp", f"place {text}")
        b.run("box", f"place {text}", name=f"run {text}")
        b.circuit(f"{number} {text}", f"battery + > {text} +")
    return b


def test_hostile_names_come_through_all_drawings() -> None:
    design = _hostile().build()
    tracks, circuits, loom = tracks_svg(design), circuits_svg(design), loom_svg(design)
    for svg in (tracks, circuits, loom):
        assert set(HOSTILE) <= {each.attrib["data-part"] for each in reading.groups(svg, "part")}
        written = "".join("".join(box.text.split()) for box in reading.texts(svg))
        for text in HOSTILE:
            assert "".join(text.split()) in written
        assert list(reading.overlapping_texts(svg)) == []
    for svg in (tracks, circuits):
        assert {f"{n} {text}" for n, text in enumerate(HOSTILE)} == {
            each.attrib["data-circuit"] for each in reading.groups(svg, "circuit")
        }
    assert {f"run {text}" for text in HOSTILE} == {
        each.attrib["data-run"] for each in reading.groups(loom, "run")
    }


def test_twice_the_same_bytes() -> None:
    design = medium().build()
    assert circuits_svg(design) == circuits_svg(design)
    assert tracks_svg(design) == tracks_svg(design)
    assert loom_svg(design) == loom_svg(design)


PROGRAM = """
import hashlib
from harness.drawing.loom import loom_svg
from harness.drawing.tracks.sheets import circuits_svg, tracks_svg
from tests.drawing.factories import medium
design = medium().build()
svgs = circuits_svg(design), tracks_svg(design), loom_svg(design)
print(hashlib.sha256("".join(svgs).encode()).hexdigest())
"""


def _digest(order: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM],
        cwd=ROOT,
        env={**os.environ, "PYTHONHASHSEED": order, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.strip()


def test_the_same_bytes_whatever_order_sets_have() -> None:
    assert len({_digest(order) for order in ("0", "1", "4242")}) == 1
