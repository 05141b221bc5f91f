"""`harness tests` and `harness reading`, as a person types them."""

from __future__ import annotations

import json
import shlex
import shutil
from functools import cache
from io import BytesIO
from pathlib import Path

import openpyxl
import pytest

from harness.book.workbook import workbook_bytes
from harness.commissioning.plan import by_key, staged
from harness.commissioning.steps import first_power
from harness.model.design import Design
from tests.running import run
from tests.samples import made as samples

SAMPLES = Path(__file__).parents[2] / "samples"


@cache
def pump() -> Design:
    return samples.design("pump")


@pytest.fixture
def survey(tmp_path: Path) -> Path:
    return Path(shutil.copy(SAMPLES / "pump.yaml", tmp_path / "pump.yaml"))


def test_every_reading_of_first_power_is_a_test_that_can_be_named() -> None:
    tests = by_key(pump())
    steps = first_power(pump(), circuits=True)
    assert {row.key for step in steps for row in step.readings} <= set(tests)
    assert all(test.low is not None or test.high is not None for test in tests.values())


def test_joints_of_the_starter_cables_are_measured_at_both_ends_of_every_cable() -> None:
    """By hand from samples/pump.yaml: battery + to starter 30, and the engine's ground to battery -."""
    rows = [test for sheet in staged(pump())["joints"] for test in sheet.rows]
    assert [row.what for row in rows if row.key.startswith("joint:")] == [
        "battery +: post to clamp, wire 1a", "starter 30: stud to lug, wire 1a",
        "engine ground stud: stud to lug, wire 2", "battery -: post to clamp, wire 2",
    ]  # fmt: skip
    assert [row.high for row in rows if row.key.startswith("joint:")] == [0.02, 0.1, 0.1, 0.02]


def test_cautions_come_before_what_is_to_be_done(survey: Path) -> None:
    ran = run("tests", survey)
    assert ran.exit_code == 0, ran.output
    blocks = ran.output.split("\n\n")
    heads = ("4. FIRST TOUCH THROUGH A LAMP", "8. THE STARTER, LAST")
    dangerous = [block for block in blocks if block.splitlines()[0] in heads]
    assert len(dangerous) == 2
    for block in dangerous:
        assert block.index("CAUTION") < block.index("   - ")
    assert "After some ten hours" in ran.output.replace("\n     ", " ")


def test_one_step_one_mode_and_json(survey: Path) -> None:
    steps = json.loads(run("tests", survey, "--step", "fuse", "--mode", "running", "--json").output)["steps"]
    assert steps and all(step["key"].startswith("fuse:") for step in steps)
    assert {row["mode"] for step in steps for row in step["readings"]} == {"running"}
    wrong = run("tests", survey, "--mode", "runing")
    assert wrong.exit_code == 2 and "there is no mode 'runing'" in wrong.output


def test_readings_are_judged_kept_and_compared(survey: Path) -> None:
    said = ("--by", "A", "--hours", "1", "--when", "2025-03-02")
    good = run("reading", "add", survey, "rest:battery", "12.6 V", *said)
    assert "2025-03-02" in run("record", "show", survey).output
    assert good.exit_code == 0 and "good, its band is 12.40 to 12.85 V" in good.output
    bad = run("reading", "add", survey, "rest:battery", "11.9")
    assert bad.exit_code == 1 and "below its band of 12.40 to 12.85 V by 0.500 V" in bad.output
    assert "down 0.700 V since it was first measured" in bad.output
    shown = run("reading", "show", survey)
    head, row = shown.output.splitlines()
    assert head.split() == ["test", "good", "band", "first", "latest", "change"]
    assert row.split("  ") == [
        "BAD", "battery, post to post, at rest", "12.40 to 12.85 V", "12.60 V", "11.90 V", "-0.700 V DRIFTED"
    ]  # fmt: skip
    assert all(
        row.index(each) == head.index(under) for each, under in (("12.60", "first"), ("11.90", "latest"))
    )
    lines = (survey.parent / "pump-record" / "record.jsonl").read_text(encoding="utf-8").splitlines()
    assert [json.loads(line)["fields"]["value"] for line in lines] == [12.6, 11.9]
    assert "no reading" in run("reading", "show", survey, "--all").output


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("rest:batery", "12"), "did you mean 'rest:battery'?"), (("rest:battery", "12 A"), "is not in V"),
        (("rest:battery", "\x1b[2J"), "is no figure"), (("fuel valve volts", "12"), "fits 4 tests"),
    ],
)  # fmt: skip
def test_what_is_not_understood_is_told_and_nothing_kept(
    survey: Path, words: tuple[str, str], told: str
) -> None:
    ran = run("reading", "add", survey, *words)
    assert ran.exit_code == 2 and told in ran.output and "\x1b" not in ran.output
    assert not (survey.parent / "pump-record").exists()


def test_readings_typed_into_the_book_and_the_workbook_are_kept(survey: Path, tmp_path: Path) -> None:
    page = tmp_path / "page.json"
    saved = {
        "form": "harness shop book 1",
        "readings": {"rest:battery": "12,5", "dead:live": "5 Mohm", "x": " "},
    }
    page.write_text(json.dumps(saved), encoding="utf-8")
    ran = run("reading", "import", survey, page)
    assert ran.exit_code == 0 and ran.output.startswith("2 readings kept"), ran.output
    assert run("reading", "import", survey, page).output.startswith("0 readings kept"), "kept twice"

    book = openpyxl.load_workbook(BytesIO(workbook_bytes(pump())))
    sheet = book["Tests"]
    heads = {str(cell.value): cell.column for cell in sheet[1]}
    at = {str(sheet.cell(row, heads["Key"]).value): row for row in range(2, sheet.max_row + 1)}
    sheet.cell(at["rest:battery"], heads["Reading"]).value = 11.0
    sheet.cell(at["fuse:run fuse"], heads["Reading"]).value = "1.8 A"
    book.save(tmp_path / "filled.xlsx")
    ran = run("reading", "import", survey, tmp_path / "filled.xlsx")
    assert ran.exit_code == 1 and "1 outside of their bands" in ran.output and "11.00 V" in ran.output

    sheet.cell(at["fuse:run fuse"], heads["Reading"]).value = "much"
    sheet.cell(at["rest:battery"], heads["Key"]).value = "rest:batery"
    book.save(tmp_path / "wrong.xlsx")
    before = (survey.parent / "pump-record" / "record.jsonl").read_bytes()
    ran = run("reading", "import", survey, tmp_path / "wrong.xlsx")
    assert ran.exit_code == 2 and ran.output.count("Tests!F") == 2, ran.output
    assert (survey.parent / "pump-record" / "record.jsonl").read_bytes() == before


def test_a_bad_reading_names_the_command_that_finds_its_fault(survey: Path) -> None:
    """The command is run as it is printed; by hand, 2.9 V lost in a lamp's way are in that way."""
    ran = run("reading", "add", survey, "fuel valve volts running", "9.1 V", "--no-record")
    assert ran.exit_code == 1, ran.output
    told = next(line for line in ran.output.splitlines() if line.startswith("  next: "))
    words = shlex.split(told.removeprefix("  next: "))
    assert words[:2] == ["harness", "diagnose"] and words[-1].endswith("= 9.10 V")
    found = run(*words[1:])
    assert found.exit_code == 0 and "fuel valve" in found.output, found.output
    assert "next:" not in run("reading", "add", survey, "rest:battery", "12.6", "--no-record").output


@pytest.mark.parametrize("content", [b"", b"{}", b"[1]", b"PK\x03\x04", b'{"form": "other"}', b"\xff" * 50])
def test_a_file_that_holds_no_readings_is_told(survey: Path, tmp_path: Path, content: bytes) -> None:
    (tmp_path / "odd.json").write_bytes(content)
    ran = run("reading", "import", survey, tmp_path / "odd.json")
    assert ran.exit_code == 2 and "odd.json" in ran.output and not (survey.parent / "pump-record").exists()
