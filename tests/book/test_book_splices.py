"""The sheet of splices: every splice with its spot, every branch in each of its ways, once."""

from __future__ import annotations

from pathlib import Path

import pytest

from harness.book.splices_sheet import splices_sheet
from harness.pipeline import design
from harness.survey import read

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.mark.parametrize("wish", ["splice", "chain"])
def test_every_splice_and_every_way_of_a_branch_stands_in_the_sheet(wish: str) -> None:
    text = (SAMPLES / "roller.yaml").read_text(encoding="utf-8")
    made = design(read("roller.yaml", text=text.replace("  voltage:", f"  joints: {wish}\n  voltage:", 1)))
    rows = [row.values for row in splices_sheet(made).rows]
    named = {row[0]: row for row in rows if row[0]}
    assert set(named) == {splice.name for splice in made.splices}
    for splice in made.splices:
        assert named[splice.name][2] == (splice.spot or f"at {splice.place}")
        assert named[splice.name][3] == ", ".join(splice.wires)
    assert len(rows) == len(made.splices) + sum(
        len(joint.counts) - (joint.made == "splice") for joint in made.joints
    )
    assert sum(str(row[1]).startswith("instead: ") for row in rows) == 2 * len(made.joints)
