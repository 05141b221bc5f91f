"""Traced old wires beside the new design, by the paths of the pump set as they are written in its survey."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

from click.testing import CliRunner

from harness.cli import main
from harness.lists.oldwires import OldBeside, beside
from harness.model.design import Design
from harness.model.machine import Machine
from harness.pipeline import design
from harness.survey import read

PUMP = Path(__file__).parents[2] / "samples" / "pump.yaml"
OLD = """
old wires:
  - {from: battery +, to: starter 30, colour: red, size: 8 AWG, tag: 1, kept: no, why: cracked, photo: a.jpg}
  - {from: key 50, to: starter 50, tag: 2}
  - {from: run fuse, to: oil lamp, tag: 3}
  - {from: alternator B+, to: oil lamp, colour: green, tag: 4}
  - {from: box, to: battery tray, tag: 5, kept: yes}
"""


@cache
def both() -> tuple[Machine, Design]:
    machine = read("pump.yaml", text=PUMP.read_text(encoding="utf-8") + OLD)
    return machine, design(machine)


def found() -> dict[str, OldBeside]:
    machine, made = both()
    return {one.old.tag: one for one in beside(machine.old_wires, made).old}


def test_every_old_wire_has_its_fate() -> None:
    """By the paths: 1 and 2 are hops, 3 goes through the splice behind the fuse, 4 is joined by nothing."""
    assert {tag: one.fate for tag, one in found().items()} == {
        "1": "changed", "2": "as before", "3": "led otherwise", "4": "dropped", "5": "not traced"
    }  # fmt: skip
    assert "instead of 8 AWG" in found()["1"].told


def test_what_no_old_wire_served_is_new_and_nothing_is_counted_twice() -> None:
    machine, made = both()
    compared = beside(machine.old_wires, made)
    met = {number for one in compared.old for number in one.wires}
    assert met | set(compared.new) == {wire.number for wire in made.wires}
    assert not met & set(compared.new)
    ends = {wire.number: {wire.from_.part, wire.to.part} for wire in made.wires}
    assert {"fuel valve"} in [ends[number] & {"fuel valve"} for number in compared.new]


def test_ends_are_read_as_part_and_terminal_and_lie_where_the_part_sits() -> None:
    first = both()[0].old_wires[0]
    assert (first.from_end, first.to_end) == (("battery", "+"), ("starter", "30"))
    assert (first.start, first.end) == ("battery tray", "engine block")
    assert (first.tag, first.size, first.kept, first.why, first.photo) == (
        "1", "8 AWG", False, "cracked", "a.jpg"
    )  # fmt: skip


def test_a_kept_old_wire_is_not_taken_out() -> None:
    steps = [step for step in both()[1].assembly if step.where.startswith("old ")]
    assert len(steps) == 4  # tags 1 to 4; 5 stays


def test_it_is_told_in_words_and_as_json(tmp_path: Path) -> None:
    file = tmp_path / "pump.yaml"
    file.write_text(PUMP.read_text(encoding="utf-8") + OLD, encoding="utf-8")
    told = CliRunner().invoke(main, ["old-wires", str(file)])
    assert told.exit_code == 0, told.output
    assert "dropped       tag 4: GN alternator B+ to oil lamp: no new wire" in told.stdout
    data = json.loads(CliRunner().invoke(main, ["old-wires", str(file), "--json"]).stdout)
    assert [row["tag"] for row in data["old_wires"]] == ["1", "2", "3", "4", "5"]
    assert "records no old wires" in CliRunner().invoke(main, ["old-wires", str(PUMP)]).stdout
