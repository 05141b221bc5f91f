"""Files that are no survey: empty, binary, huge, in another encoding, not there at all."""

from __future__ import annotations

import codecs
import subprocess
import sys
from hashlib import sha256
from pathlib import Path

import pytest

from harness.model.machine import Machine
from harness.model.problem import SurveyWrong
from harness.survey import read
from tests.survey.texts import TROLLEY, machine, problems

ROOT = Path(__file__).parents[2]


def said(text: str | bytes) -> str:
    found = problems(text)
    assert len(found) == 1
    return str(found[0])


def test_file_and_text_give_the_same_machine(tmp_path: Path) -> None:
    path = tmp_path / "trailer.yaml"
    path.write_text(TROLLEY, encoding="utf-8")
    from_file = read(path)
    assert from_file.file == str(path)
    assert from_file == read(str(path), text=TROLLEY) == read(path, text=TROLLEY.encode())


def test_digest_is_of_the_text() -> None:
    assert machine(TROLLEY).digest == sha256(TROLLEY.encode()).hexdigest()[:12]
    assert machine(TROLLEY + "# later\n").digest != machine(TROLLEY).digest


@pytest.mark.parametrize(
    "data",
    [
        codecs.BOM_UTF8 + TROLLEY.encode("utf-8"),
        TROLLEY.encode("utf-16"),
        codecs.BOM_UTF16_BE + TROLLEY.encode("utf-16-be"),
        TROLLEY.replace("\n", "\r\n").encode("utf-8"),
    ],
)
def test_byte_order_marks_and_line_ends_of_other_editors(data: bytes) -> None:
    found = read("test.yaml", text=data)
    assert found.zones["frame"].ambient_c == 45.0
    assert found.parts["pump"].where.line == 13


@pytest.mark.parametrize("data", [b"", b"\n\n", b"# nothing yet\n", b"---\n", b"~", b'""'])
def test_empty_file(data: bytes) -> None:
    assert "test.yaml:1:1" in said(data)
    assert "empty" in said(data) or "is not" in said(data)


@pytest.mark.parametrize("data", [b"just words", b"- a\n- b\n", b"42", b"machine"])
def test_a_file_that_is_not_made_of_sections(data: bytes) -> None:
    assert "test.yaml:1:1: a survey is made of sections" in said(data)


def test_binary_file() -> None:
    png = b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" + bytes(range(256)) * 4
    assert "the file is not text in UTF-8 (byte 0, line 1)" in said(png)
    assert "null bytes" in said(b"machine: \x00\x00\x01")


def test_latin_1_says_where_the_first_strange_byte_is() -> None:
    assert "(byte 20, line 2)" in said(b"machine:\n  name: Lad\xfcgerr\xe4t\n")


def test_ten_megabytes_are_refused_before_they_are_parsed(tmp_path: Path) -> None:
    path = tmp_path / "huge.yaml"
    path.write_bytes(b"notes:\n" + b"- word\n" * 1_500_000)
    with pytest.raises(SurveyWrong) as caught:
        read(path)
    assert len(caught.value.problems) == 1
    assert "larger than 2 MB" in caught.value.problems[0].what
    assert "larger than 2 MB" in said(path.read_bytes())


def test_file_that_is_not_there_or_is_a_folder(tmp_path: Path) -> None:
    for path, words in ((tmp_path / "none.yaml", "no such file"), (tmp_path, "folder")):
        with pytest.raises(SurveyWrong) as caught:
            read(path)
        assert words in caught.value.problems[0].what
        assert str(caught.value.problems[0]).startswith(f"{path}: ")


def three_hundred_lines() -> str:
    """A survey of 300 lines: 90 lamps on ways of panels, each with a run and a circuit of its own."""
    lines = [
        "machine: {name: Long loader, voltage: 12 V, chassis post: negative}",
        "zones:",
        "  z: {ambient: 45 °C}",
    ]
    lines += ["runs:"] + [
        f"  - {{from: {start}, to: spot {n}, length: 1 ft {n % 12} in, zone: z}}"
        for n, start in enumerate(["dash", *(f"spot {n}" for n in range(1, 90))], start=1)
    ]
    lines += ["parts:", "  battery: {is: battery, at: dash}", "  panel: {is: fuse panel, at: dash, ways: 60}"]
    lines += ["  ground: {is: ground point, at: dash, on: frame}"]
    lines += [f"  lamp {n}: {{is: work lamp, at: spot {n}, power: 55 W}}" for n in range(1, 91)]
    lines += ["circuits:", "  Feed: {paths: [battery + > panel, frame > battery -]}"]
    lines += [f"  Lamp {n}: {{paths: [panel F{n % 60 + 1} > lamp {n} > frame]}}" for n in range(1, 91)]
    lines += ["notes:"] + [f"  - line {n}" for n in range(300 - len(lines) - 1)]
    assert len(lines) == 300
    return "\n".join(lines) + "\n"


def test_three_hundred_lines_are_read_whole() -> None:
    found = machine(three_hundred_lines())
    assert len(found.wires) == 2 + 2 * 90
    assert len(found.notes) == 19  # 300 lines less 280 of other sections and the heading, counted by hand


def test_slow_modules_are_loaded_only_when_needed() -> None:
    code = (
        "import sys, harness.survey, harness.kinds\n"
        "slow = {'pint', 'pydantic', 'ruamel.yaml', 'networkx', 'scipy', 'openpyxl'}\n"
        "assert not slow & set(sys.modules), slow & set(sys.modules)\n"
        "harness.survey.read('samples/roller.yaml')\n"
        "assert 'pint' not in sys.modules\n"
        "assert not {'networkx', 'scipy', 'openpyxl'} & set(sys.modules)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("name", sorted(path.name for path in (ROOT / "samples").glob("*.yaml")))
def test_every_sample_is_read_the_same_twice(name: str) -> None:
    path = ROOT / "samples" / name
    found = read(path)
    assert isinstance(found, Machine)
    assert found == read(path)
    assert repr(found) == repr(read(path))


@pytest.mark.parametrize("line", ["a: 1\n", "- !tag x\n", "- \u202a\n"])
def test_a_file_full_of_mistakes_is_left_after_two_hundred(line: str) -> None:
    with pytest.raises(SurveyWrong) as caught:
        read("full.yaml", text=(line * 5_000).encode())
    assert len(caught.value.problems) == 201
    assert "these are the first 200 problems" in caught.value.problems[0].what
