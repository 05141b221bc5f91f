"""Standard streams that are closed, full, or whose reader has gone: no work is lost, nothing is unexplained.

What is expected is what a shell's user knows from other commands: `> /dev/full` is an error that is told,
`| head` is none, and a closed stream is nobody's business.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from harness.cli import main

AT_ITS_END = 120  # the exit code of an interpreter that cannot write out what is left


def ended(words: list[str], folder: Path, out: str, err: str) -> tuple[int, str, str]:
    """The exit code of a command in a process of its own, and what came out of each stream.

    ``out``, ``err``: "closed", "gone" (a pipe whose reader went away), "full", or "kept".
    """
    child = os.fork()
    if child == 0:
        code = 70
        try:
            for handle, state in ((1, out), (2, err)):
                _become(handle, state, folder / f"{handle}.txt")
            code = _code(words)
        finally:
            os._exit(code)
    _, status = os.waitpid(child, 0)
    kept = [folder / f"{handle}.txt" for handle in (1, 2)]
    said = [path.read_text(encoding="utf-8") if path.exists() else "" for path in kept]
    return os.waitstatus_to_exitcode(status), said[0], said[1]


def _become(handle: int, state: str, file: Path) -> None:
    name = {1: "stdout", 2: "stderr"}[handle]
    if state == "closed":
        os.close(handle)
        setattr(sys, name, None)
        setattr(sys, f"__{name}__", None)
        return
    if state == "gone":
        listen, taken = os.pipe()
        os.close(listen)
    else:
        taken = os.open("/dev/full" if state == "full" else file, os.O_WRONLY | os.O_CREAT)
    os.dup2(taken, handle)
    os.close(taken)
    stream = os.fdopen(handle, "w", encoding="utf-8", closefd=False)
    setattr(sys, name, stream)
    setattr(sys, f"__{name}__", stream)


def _code(words: list[str]) -> int:
    """As an interpreter ends: what is left in the streams is written out."""
    try:
        main.main(words, prog_name="harness")
    except SystemExit as end:
        code = int(end.code or 0)
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except OSError:
            return AT_ITS_END
    return code


LONG, SHORT = ["guide", "survey"], ["kinds"]  # more than a stream keeps back, and less


@pytest.mark.parametrize("words", [LONG, SHORT, ["--help"], ["rules"]], ids=lambda words: words[0])
@pytest.mark.parametrize("out", ["closed", "gone"])
def test_nobody_listens_and_the_work_is_done(tmp_path: Path, words: list[str], out: str) -> None:
    assert ended(words, tmp_path, out, "kept") == (0, "", "")


@pytest.mark.parametrize("words", [LONG, SHORT, ["--help"]], ids=lambda words: words[0])
def test_a_full_disk_under_the_output_is_told(tmp_path: Path, words: list[str]) -> None:
    said = "Error: standard output cannot be written: the disk is full: make room and run the command again\n"
    assert ended(words, tmp_path, "full", "kept") == (3, "", said)


@pytest.mark.parametrize("err", ["closed", "gone", "full"])
def test_messages_that_nobody_can_get_change_no_exit_code(tmp_path: Path, err: str) -> None:
    assert ended(["record", "show", str(tmp_path / "none.yaml")], tmp_path, "kept", err) == (3, "", "")
    assert ended(["--nonsense"], tmp_path, "kept", err)[0] == 2
    assert ended(["kinds"], tmp_path, "kept", err)[1].startswith("battery ")


@pytest.mark.parametrize("state", ["closed", "gone", "full"])
def test_what_is_to_be_written_is_written_though_nobody_gets_a_word(tmp_path: Path, state: str) -> None:
    """And no word gets into it: a system gives the number of a closed stream to the next file opened."""
    survey = tmp_path / "pump.yaml"
    survey.write_text("machine: {name: Pump}\n", encoding="utf-8")
    code, _, _ = ended(["record", "add", str(survey), "note", "--text", "oiled"], tmp_path, state, state)
    kept = (tmp_path / "pump-record" / "record.jsonl").read_text(encoding="utf-8")
    assert kept.startswith("{") and kept.count("\n") == 1 and "oiled" in kept
    assert code == (3 if state == "full" else 0)
