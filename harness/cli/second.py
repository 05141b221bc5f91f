"""A second process that makes some of the results while the first makes the others.

It is a Python of its own that speaks over its pipes, so that it works alike on every system. It starts
before the survey is read and loads its libraries meanwhile. Whatever it cannot do, the first process does.
"""

from __future__ import annotations

import gc
import os
import pickle
import subprocess
import sys
import threading
from collections.abc import Sequence
from pathlib import Path
from queue import SimpleQueue
from types import TracebackType
from typing import Self

from harness.model.design import Design

_PROGRAM = "import sys; sys.path[:] = {path!r}; from harness.cli.second import serve; serve()"


def cores() -> int:
    """How many processors this process may use."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # only Linux tells
        return os.cpu_count() or 1


class Second:
    """The second process, while a ``with`` block lasts; on a single processor there is none."""

    def __init__(self) -> None:
        self._process: subprocess.Popen[bytes] | None = None
        self._made: SimpleQueue[tuple[str, bytes] | None] = SimpleQueue()
        self._kept: dict[str, bytes] = {}
        self._asked: frozenset[str] = frozenset()

    def __enter__(self) -> Self:
        if cores() > 1 and sys.executable:
            # -I: no folder but ours, so that a file of the user's named like a library is not taken for it
            program = _PROGRAM.format(path=[str(Path(each).absolute()) for each in sys.path])
            try:
                self._process = subprocess.Popen(
                    [sys.executable, "-I", "-c", program],
                    stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
                )  # fmt: skip
            except OSError:
                self._process = None
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._process is not None:
            self._process.kill()
            self._process.wait()
            for pipe in (self._process.stdin, self._process.stdout):
                if pipe is not None:
                    try:
                        pipe.close()
                    except OSError:
                        continue  # it was dead before all was sent

    def ask(self, design: Design, names: Sequence[str], paper: str | None) -> None:
        """Have files made, in this order; returns at once."""
        if self._process is None:
            return
        self._asked = frozenset(names)
        threading.Thread(target=self._talk, args=(design, names, paper), daemon=True).start()

    def _talk(self, design: Design, names: Sequence[str], paper: str | None) -> None:
        process = self._process
        assert process is not None and process.stdin is not None and process.stdout is not None
        try:
            pickle.dump((design, tuple(names), paper), process.stdin, pickle.HIGHEST_PROTOCOL)
            process.stdin.flush()
            for _ in names:
                self._made.put(pickle.load(process.stdout))
        except (OSError, ValueError, EOFError, pickle.PickleError):
            pass  # it has died, or was ended
        self._made.put(None)

    def take(self, name: str) -> bytes | None:
        """Wait for a file that was asked for; None where it has to be made here."""
        while name in self._asked and name not in self._kept:
            made = self._made.get()
            if made is None:
                self._asked = frozenset()
            else:
                self._kept[made[0]] = made[1]
        return self._kept.get(name)


def serve() -> None:
    """Be the second process: load, read what is asked for, write each file as soon as it is made."""
    gc.disable()
    # The pipe is kept for files alone: what libraries print goes nowhere.
    answers = os.fdopen(os.dup(1), "wb")
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    from harness.cli.outputs import output, warm

    warm()
    design, names, paper = pickle.load(sys.stdin.buffer)
    threading.Thread(target=_end_when_left, daemon=True).start()
    files: dict[str, bytes] = {}
    for name in names:
        files[name] = output(name, design, files, paper)
        pickle.dump((name, files[name]), answers, pickle.HIGHEST_PROTOCOL)
        answers.flush()


def _end_when_left() -> None:
    """End at once when the first process is gone: what is made here is for nobody then."""
    os.read(0, 1)  # nothing more comes: it returns when the pipe is closed
    os._exit(1)
