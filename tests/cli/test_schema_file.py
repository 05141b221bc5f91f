"""`harness schema -o` leaves a file that an editor can use."""

from __future__ import annotations

import json
from pathlib import Path

from click.testing import CliRunner

from harness.cli import main


def test_the_schema_goes_into_a_file_and_is_what_is_printed(tmp_path: Path) -> None:
    file = tmp_path / "survey.schema.json"
    told = CliRunner().invoke(main, ["schema", "survey", "-o", str(file)])
    assert (told.exit_code, told.output) == (0, f"wrote {file}\n")
    printed = CliRunner().invoke(main, ["schema", "survey"]).output
    assert json.loads(file.read_text(encoding="utf-8")) == json.loads(printed)


def test_a_folder_that_cannot_be_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    told = CliRunner().invoke(main, ["schema", "survey", "-o", str(tmp_path / "file" / "schema.json")])
    assert told.exit_code == 3
    assert "cannot be written" in told.output
