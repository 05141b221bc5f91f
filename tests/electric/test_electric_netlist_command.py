"""The netlist command: what it prints and writes, and a mode that is not there."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner

from harness.cli import main
from tests.electric.test_electric_netlist import SAMPLES, spice_volts


def test_the_command_prints_writes_and_names_the_nearest_mode(tmp_path: Path) -> None:
    sample = str(SAMPLES / "pump.yaml")
    shown = CliRunner().invoke(main, ["netlist", sample, "--mode", "running"])
    assert shown.exit_code == 0 and shown.stdout.endswith(".end\n")
    assert len(spice_volts(shown.stdout)) > 10
    out = tmp_path / "running.cir"
    written = CliRunner().invoke(main, ["netlist", sample, "--mode", "running", "--out", str(out)])
    assert written.exit_code == 0 and out.read_text(encoding="utf-8") == shown.stdout
    wrong = CliRunner().invoke(main, ["netlist", sample, "--mode", "runing"])
    assert wrong.exit_code == 2 and "did you mean 'running'" in wrong.stderr


def test_the_netlist_says_how_full_and_how_cold_the_battery_is() -> None:
    text = CliRunner().invoke(main, ["netlist", str(SAMPLES / "pump.yaml"), "--mode", "cranking"]).output
    assert "* sources, battery 80% charged, -10 C" in text.splitlines()
