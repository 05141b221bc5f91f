"""Substitutions accepted at the counter are read by everything that designs, and told in its results."""

from __future__ import annotations

import io
import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from harness.cli.yard import choices_files, with_choices, yard_of
from harness.counter.choices import SIZES
from harness.model.accepted import Choice
from tests.docs.pages import ROOT
from tests.running import run

NO_16 = "leave out sizes: [GXL 16 AWG]\n"
BLACK = "other colours:\n  GXL 16 AWG BN: BK\n"
TXL = "other cable:\n  GXL 16 AWG BN: TXL\n"


@pytest.fixture
def pump(tmp_path: Path) -> Path:
    return Path(shutil.copy(ROOT / "samples" / "pump.yaml", tmp_path / "pump.yaml"))


def wires(pump: Path, *words: str | Path) -> dict[str, dict[str, Any]]:
    result = run("size", pump, "--json", *words)
    assert result.exit_code == 0, result.output
    return {wire["number"]: wire for wire in json.loads(result.stdout)["wires"]}


def test_a_size_left_out_is_in_no_wire_and_none_gets_thinner(pump: Path) -> None:
    before = wires(pump)
    pump.with_name("pump-choices.yaml").write_text(NO_16, encoding="utf-8")
    after = wires(pump)
    assert any(wire["size"] == "16 AWG" for wire in before.values())
    assert not any(wire["size"] == "16 AWG" for wire in after.values())
    grown = [number for number, wire in before.items() if wire["size"] == "16 AWG"]
    assert all(after[number]["area_mm2"] > before[number]["area_mm2"] for number in grown)


def test_a_size_left_out_in_one_colour_stays_in_the_others(pump: Path, tmp_path: Path) -> None:
    """AWG sizes by SAE J1128: above 16 stands 14."""
    other = tmp_path / "c.yaml"
    other.write_text("leave out sizes: [GXL 16 AWG BN]\n", encoding="utf-8")
    before, after = wires(pump), wires(pump, "--choices", other)
    for number, wire in before.items():
        brown = (wire["size"], wire["colour"]) == ("16 AWG", "BN")
        assert after[number]["size"] == ("14 AWG" if brown else wire["size"])
    assert any(wire["size"] == "16 AWG" for wire in after.values())


def test_another_colour_changes_the_colour_of_that_spool_and_nothing_else(pump: Path) -> None:
    before = wires(pump)
    pump.with_name("pump-choices.yaml").write_text(BLACK, encoding="utf-8")
    after = wires(pump)
    changed = {number for number in before if after[number]["colour"] != before[number]["colour"]}
    assert changed == {n for n, w in before.items() if (w["size"], w["colour"]) == ("16 AWG", "BN")} != set()
    assert {after[number]["colour"] for number in changed} == {"BK"}
    assert all(after[number]["size"] == before[number]["size"] for number in before)


def test_other_cable_is_sized_again_and_has_its_own_wall(pump: Path) -> None:
    """SAE J1128: the wall of TXL is thinner than that of GXL in the same gauge."""
    before = wires(pump)
    pump.with_name("pump-choices.yaml").write_text(TXL, encoding="utf-8")
    after = wires(pump)
    mine = {n for n, w in before.items() if (w["size"], w["colour"]) == ("16 AWG", "BN")}
    assert mine and {after[number]["cable"] for number in mine} == {"TXL"}
    assert all(after[number]["outside_mm"] < before[number]["outside_mm"] for number in mine)
    assert all(after[n]["cable"] == before[n]["cable"] for n in before if n not in mine)


def test_workbook_book_and_data_tell_what_was_accepted(pump: Path, tmp_path: Path) -> None:
    text = NO_16 + "bought instead:\n  'relays: relay': {part: R7, is: '=RELAY <12 V>'}\n"
    pump.with_name("pump-choices.yaml").write_text(text, encoding="utf-8")
    out = tmp_path / "out"
    result = run("build", pump, "--out", out, "--no-paper")
    assert result.exit_code == 0, result.output
    assert "GXL 16 AWG is not to be had" in " ".join(result.output.split())
    told = json.loads((out / "design.json").read_text(encoding="utf-8"))["machine"]["choices"]
    assert told[0].startswith("by pump-choices.yaml, digest ") and "R7, =RELAY <12 V>" in told[-1]
    sheet = load_workbook(io.BytesIO((out / "harness.xlsx").read_bytes()))["Machine"]
    cells = [str(cell.value) for row in sheet for cell in row]
    assert "Settled for this machine" in cells and any("GXL 16 AWG is not to be had" in one for one in cells)
    page = (out / "book.html").read_text(encoding="utf-8")
    assert "GXL 16 AWG is not to be had" in page and "RELAY &lt;12 V&gt;" in page


@pytest.mark.parametrize("command", ["explain", "draw", "book", "check", "netlist"])
def test_every_command_reads_the_file_and_tells_what_is_wrong_in_it(command: str, pump: Path) -> None:
    words = {"explain": ["8"], "draw": ["loom"], "netlist": ["--mode", "running"]}.get(command, [])
    wrong = "leave out sizes: [GXL 13 AWG]\nother colours: {GXL 16 AWG BN: purpel}\nelse: 1\n"
    file = pump.with_name("pump-choices.yaml")
    file.write_text(wrong, encoding="utf-8")
    result = run(command, pump, *words)
    assert result.exit_code == 2
    for where in (f"{file}:1:19", f"{file}:2:32", f"{file}:3:1"):
        assert where in result.output, where
    assert "GXL 1" in result.output and "nothing was written" in result.output


def test_insulation_for_less_heat_is_refused(pump: Path) -> None:
    """SAE J1128: GPT stands 80 or 85 °C, GXL 125 °C."""
    pump.with_name("pump-choices.yaml").write_text(TXL.replace("TXL", "GPT"), encoding="utf-8")
    result = run("size", pump)
    assert result.exit_code == 2
    assert "less heat" in result.output


def test_a_file_that_leaves_no_size_is_told_by_its_name(pump: Path) -> None:
    sizes = ["18", "16", "14", "12", "10", "8", "6", "4", "2", "1", "1/0", "2/0", "3/0", "4/0"]
    text = "leave out sizes: [" + ", ".join(f"GXL {size} AWG" for size in sizes) + "]\n"
    file = pump.with_name("pump-choices.yaml")
    file.write_text(text, encoding="utf-8")
    result = run("size", pump)
    assert result.exit_code == 2, result.output
    assert "pump-choices.yaml" in result.output and "no size of GXL" in result.output


def test_a_named_file_that_is_not_there_is_told(pump: Path, tmp_path: Path) -> None:
    result = run("size", pump, "--choices", tmp_path / "none.yaml")
    assert result.exit_code == 3


def test_each_machine_of_a_yard_keeps_what_concerns_it(tmp_path: Path) -> None:
    """What is accepted for two machines lies beside each that needs it; one file holds for all."""
    paths = []
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        paths.append(Path(shutil.copy(ROOT / "samples" / "pump.yaml", tmp_path / name / "pump.yaml")))
    text = paths[1].read_text(encoding="utf-8")
    paths[1].write_text(text.replace("cable: GXL", "cable: SXL") if "cable: GXL" in text else text.replace(
        "  chassis post: negative", "  chassis post: negative\n  cable: SXL"), encoding="utf-8")  # fmt: skip
    yard = yard_of(paths, None, as_json=False)
    choice = Choice(SIZES, "GXL 16 AWG")
    after = with_choices(yard, [choice], None)
    assert [each.accepted.sizes for each in after] == [("GXL 16 AWG",), ()]
    assert set(choices_files(yard, after, None)) == {paths[0].with_name("pump-choices.yaml")}
    assert not any(wire["size"] == "16 AWG" for wire in after[0].data["wires"])
    assert after[1].data == yard[1].data
    shared = tmp_path / "all.yaml"
    both = with_choices(yard, [choice], shared)
    assert [each.accepted.sizes for each in both] == [("GXL 16 AWG",)] * 2
    assert set(choices_files(yard, both, shared)) == {shared}
