"""What the page for developers adds as an example is added here, as it stands there, and works."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from click.testing import CliRunner

import harness.kinds
import harness.tables
from harness import pipeline
from harness.cli import main
from harness.kits.shelf import shelf
from harness.making.outputs import OUTPUTS
from harness.model.problem import SurveyWrong
from harness.rules import findings
from harness.rules.registry import RULES
from harness.survey import read
from tests.docs.pages import ROOT, marked
from tests.kits import test_kits_designs
from tests.tables import test_tables_sources

SURVEY = """
machine: {name: Grease rig, voltage: 12 V, chassis post: negative}
zones:
  bay: {ambient: 60 °C}
  field: {ambient: 40 °C}
runs:
  - {from: box, to: pump, length: 2 m, zone: field}
places:
  box: {zone: bay}
parts:
  battery: {is: battery, at: box, capacity: 60 Ah, cranking: 400 A}
  pump fuse: {is: fuse, at: box}
  greaser: {is: lamp, at: pump}
  box stud: {is: ground point, at: box, on: frame}
  pump stud: {is: ground point, at: pump, on: frame}
circuits:
  Grease:
    paths: [battery + > pump fuse > greaser > frame, frame > battery -]
"""


def block(what: str) -> str:
    (found,) = marked(f"adding: {what}")
    return found.text


def run(text: str, name: str) -> dict[str, Any]:
    """What a piece of Python defines that stands in a module of this name."""
    module = ModuleType(name)
    exec(compile(text, "DEVELOPERS.md", "exec"), module.__dict__)
    return module.__dict__


def copied(module: ModuleType, to: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The data of a package copied to a folder, from where the package reads it from now on."""
    assert module.__file__
    shutil.copytree(Path(module.__file__).parent, to, ignore=shutil.ignore_patterns("__pycache__"))
    monkeypatch.setattr(module, "files", lambda _package: to)
    return to


@pytest.fixture
def kinds_read_anew() -> Iterator[None]:
    """The kinds are forgotten before and after."""
    for _ in range(2):
        harness.kinds.kinds.cache_clear()
        harness.kinds.aliases.cache_clear()
        yield from [None] * (_ == 0)


def test_every_example_is_tried() -> None:
    assert {one.mark for one in marked("adding: ")} == {
        f"adding: {what}" for what in ("kind", "kit", "table", "source", "rule", "command", "output")
    }


def test_a_new_kind_is_used_by_a_survey(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kinds_read_anew: None
) -> None:
    survey = SURVEY.replace("is: lamp", "is: central lubrication")
    with pytest.raises(SurveyWrong) as raised:
        read("rig.yaml", text=survey)
    assert "no kind of part" in raised.value.problems[0].what
    harness.kinds.kinds.cache_clear()
    harness.kinds.aliases.cache_clear()
    file = copied(harness.kinds, tmp_path / "kinds", monkeypatch) / "kinds.toml"
    file.write_text(file.read_text(encoding="utf-8") + "\n" + block("kind"), encoding="utf-8")
    machine = read("rig.yaml", text=survey)
    assert machine.parts["greaser"].kind == "grease pump"
    design = pipeline.design(machine)
    fed = [wire for wire in design.wires if wire.to.part == "greaser"]
    assert [wire.continuous_a for wire in fed] == [4]  # as the example says


def test_a_new_table_is_read_once_its_source_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = copied(harness.tables, tmp_path / "tables", monkeypatch)
    (folder / "grease_lines.csv").write_text(block("table"), encoding="utf-8")
    harness.tables._sources.cache_clear()
    try:
        with pytest.raises(KeyError, match="grease_lines"):
            harness.tables.load("grease_lines")
        with (folder / "sources.csv").open("a", encoding="utf-8") as sources:
            sources.write(block("source"))
        harness.tables._sources.cache_clear()
        table = harness.tables.load("grease_lines")
        assert table.column("bore_mm", "longest_m") == {"4": 5, "6": 15}
        assert str(table.source).endswith("(memory-weak)")
        test_tables_sources.test_every_row_says_how_sure_it_is("grease_lines")
        test_tables_sources.test_a_table_is_as_sure_as_its_weakest_row("grease_lines")
    finally:
        harness.tables._sources.cache_clear()


@pytest.mark.parametrize("volts", [6.0, 12.0, 24.0])
def test_a_new_kit_is_built_with_what_it_needs(
    volts: float, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    name = "central lubrication"
    (tmp_path / f"{name}.yaml").write_text(block("kit"), encoding="utf-8")
    monkeypatch.setattr(test_kits_designs, "KITS", shelf([tmp_path]))
    test_kits_designs.test_a_kit_alone_with_what_it_needs(volts, "negative", name, "", "AWG")


def test_a_new_command_is_called_by_its_name(monkeypatch: pytest.MonkeyPatch) -> None:
    made = run(block("command"), "harness.cli.bodies")["bodies"]
    monkeypatch.setitem(main.commands, made.name, made)
    for more, shown in (((), str.splitlines), (("--json",), json.loads)):
        result = CliRunner().invoke(main, ["bodies", str(ROOT / "samples" / "pump.yaml"), *more])
        assert result.exit_code == 0, result.output
        assert shown(result.output) == list(read(ROOT / "samples" / "pump.yaml").bodies)


def test_a_new_rule_finds_what_it_looks_for_and_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    machine = read("rig.yaml", text=SURVEY)
    cool = read("rig.yaml", text=SURVEY.replace("60 °C", "45 °C"))
    rules = dict(RULES)
    try:
        run(block("rule"), "harness.rules.ways")
        (name,) = set(RULES) - set(rules)
        found = [one for one in findings(machine, pipeline.design(machine)) if one.rule == name]
        assert [(one.subject, one.severity) for one in found] == [("battery", "advice")]
        assert "60 °C" in found[0].text and found[0].where.startswith("rig.yaml:")
        assert name not in {one.rule for one in findings(cool, pipeline.design(cool))}
    finally:
        RULES.clear()
        RULES.update(rules)


def test_a_new_output_is_written_by_a_build(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name, maker in run(block("output"), "harness.making.outputs")["more"].items():
        monkeypatch.setitem(OUTPUTS, name, maker)  # type: ignore[arg-type]
    call = ["build", str(ROOT / "samples" / "pump.yaml"), "--no-paper", "--out", str(tmp_path)]
    result = CliRunner().invoke(main, call)
    assert result.exit_code == 0, result.output
    written = (tmp_path / "wires.txt").read_text(encoding="utf-8")
    machine = read(ROOT / "samples" / "pump.yaml")
    assert len(written.splitlines()) == len(machine.wires)
    assert "wires.txt" in result.output
