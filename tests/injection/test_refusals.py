"""What a command refuses it quotes: no word of the call steers a terminal, colours on or a real one."""

from __future__ import annotations

import os
import pty
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from harness.cli import main
from tests.docs.pages import ROOT
from tests.injection.chosen import harmless

WORD = "\x1b[31mred\x1b]0;t\x07\u202ex\ny"  # colours, a title, a bell, letters turned round, a second line
CALLS = (
    ("--" + WORD,), (WORD,), ("check", WORD), ("check", "pump.yaml", "--rules", WORD), ("check", "--" + WORD),
    ("check", "pump.yaml", "--catalogue=" + WORD), ("quote", "pump.yaml", "--prices", WORD),
    ("quote", "pump.yaml", "--prices", "one.csv", "--tax", WORD),
    ("quote", "pump.yaml", "--prices", "one.csv", "--decimal", WORD),
    ("quote", "pump.yaml", "--terms", WORD), ("quote", "pump.yaml", "--choices", WORD),
    ("prices", "check", WORD), ("prices", WORD), ("build", "pump.yaml", f"--{WORD}=3"),
    ("build", "pump.yaml", "--offcuts", WORD), ("build", "pump.yaml", "--prices", WORD),
    ("draw", "pump.yaml", WORD), ("draw", "pump.yaml", "board", "--board", WORD), ("guide", WORD),
    ("kinds", WORD), ("catalogue", WORD), ("kits", WORD), ("kits", "--kits", WORD), ("schema", WORD),
    ("start", "x", "--name", WORD), ("start", "x", "--machine", WORD), ("start", "x", "--kits", WORD),
    ("start", "x", "--kit", WORD, "--name", "y"), ("start", ".", "--add", WORD),
    ("start", ".", "--at", WORD, "--add", "horn"), ("record", "add", "pump.yaml", WORD),
    ("record", "show", "pump.yaml", "--since", WORD),
    ("record", "add", "pump.yaml", "note", "--detail", WORD),
    ("record", "add", "pump.yaml", "note", "--text", "x", "--when", WORD), ("record", WORD),
    ("netlist", "pump.yaml", "--mode", WORD), ("tests", "pump.yaml", "--mode", WORD),
    ("tests", "pump.yaml", "--step", WORD), ("compare", WORD, WORD), ("convert", "pump.yaml", WORD),
    ("convert", WORD, "x.xlsx"), ("tidy", WORD), ("export", WORD), ("as-wired", WORD),
    ("survey-sheets", WORD),
)  # fmt: skip


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("refused")
    shutil.copy(ROOT / "samples" / "pump.yaml", folder / "pump.yaml")
    shutil.copy(ROOT / "samples" / "prices-one.csv", folder / "one.csv")
    return folder


@pytest.mark.parametrize("words", CALLS, ids=lambda words: ascii(" ".join(words))[1:40])
def test_a_word_that_is_refused_is_shown(
    words: tuple[str, ...], place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Escapes and signs that nobody sees by their numbers, and on one line."""
    monkeypatch.chdir(place)
    done = CliRunner().invoke(main, list(words), color=True)
    assert done.exit_code in (0, 2, 3), done.output
    harmless(done.output)
    assert "x\ny" not in done.output


@pytest.mark.parametrize("words", [("check", WORD), ("--" + WORD,), ("kits", "--kits", WORD)])
def test_a_real_terminal_gets_no_escape_of_theirs(words: tuple[str, ...], place: Path) -> None:
    try:
        ours, theirs = pty.openpty()
    except OSError:
        pytest.skip("needs pseudo terminals: mount /dev/pts")
    env = {**os.environ, "PYTHONPATH": str(ROOT), "TERM": "xterm-256color"}
    call = [sys.executable, "-m", "harness", *words]
    running = subprocess.Popen(
        call, stdin=subprocess.DEVNULL, stdout=theirs, stderr=theirs, env=env, cwd=place
    )
    os.close(theirs)
    said = b""
    try:
        while more := os.read(ours, 65536):
            said += more
    except OSError:  # the other end is closed
        pass
    os.close(ours)
    assert running.wait() in (2, 3)
    for bad in ("\x1b[31m", "\x1b]", "\x07", "\u202e"):
        assert bad.encode() not in said
    assert b"[U+001B][31mred" in said or b"\\x1b[31mred" in said
