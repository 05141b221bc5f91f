"""A second process that designs the machine, then makes some of the results while the first makes the others.

It is a Python of its own that speaks over its pipes, so that it works alike on every system. It starts
before the survey is read and loads meanwhile what designing needs, which the first then never loads. Whatever
it cannot do, the first process does.
"""

from __future__ import annotations

import gc
import os
import pickle
import subprocess
import sys
import threading
from collections.abc import Callable, Sequence
from pathlib import Path
from queue import SimpleQueue
from types import TracebackType
from typing import TYPE_CHECKING, Any, BinaryIO, Self

from harness.making.outputs import shared
from harness.model.design import Design
from harness.model.machine import Machine
from harness.model.stock import Offcut

if TYPE_CHECKING:
    from harness.electric.wanted import Wanted

Asked = SimpleQueue[tuple[Any, ...]]  # (machine, wanted, offcuts, names, paper), or (design, names, paper)

_PROGRAM = "import sys; sys.path[:] = {path!r}; from harness.making.second import serve; serve()"


def cores() -> int:
    """How many processors this process may use."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # only Linux tells
        return os.cpu_count() or 1


class Second:
    """The second process, while a ``with`` block lasts; on a single processor there is none.

    names, paper: what is to be made of the machine that it designs; it goes on to its share without a pause.
    """

    def __init__(self, names: Sequence[str] = (), paper: str | None = None) -> None:
        self._names = names
        self._paper = paper
        self._process: subprocess.Popen[bytes] | None = None
        self._made: SimpleQueue[tuple[str, bytes] | None] = SimpleQueue()
        self._kept: dict[str, bytes] = {}
        self._asked: frozenset[str] = frozenset()
        self._designed: Design | None = None  # there

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

    def design(
        self,
        machine: Machine,
        wanted: Wanted | None,
        offcuts: Sequence[Offcut],
        meanwhile: Callable[[], None],
    ) -> Design | None:
        """Have a machine designed, and do something meanwhile; None where the first has to design it.

        The first does so too where the design fails, and tells why.
        """
        if self._process is None:
            return None
        found: SimpleQueue[Design | None] = SimpleQueue()
        theirs = shared(self._names, machine.sizes, self._paper)
        asked = (machine, wanted, tuple(offcuts), theirs, self._paper)
        self._start(self._answers, asked, len(theirs), found)
        meanwhile()
        self._designed = found.get()
        if self._designed is not None:
            self._asked = frozenset(theirs)
        return self._designed

    def ask(self, design: Design, names: Sequence[str], paper: str | None) -> None:
        """Have files made, in this order; returns at once."""
        if self._process is None:
            return
        if design is self._designed and self._asked == frozenset(names) and paper == self._paper:
            return  # it is at them
        self._asked = frozenset(names)
        self._start(self._answers, (design, tuple(names), paper), len(names))

    def _start(self, work: Callable[..., None], *given: Any) -> None:
        threading.Thread(target=work, args=given, daemon=True).start()

    def _answers(
        self, asked: tuple[Any, ...], count: int, found: SimpleQueue[Design | None] | None = None
    ) -> None:
        """Ask; take the design first where one was asked for, then so many files, and None after them."""
        process = self._process
        assert process is not None and process.stdin is not None and process.stdout is not None
        try:
            pickle.dump(asked, process.stdin, pickle.HIGHEST_PROTOCOL)
            process.stdin.flush()
            if found is not None:
                design = pickle.load(process.stdout)
                found.put(design)
                if design is None:
                    return
            for _ in range(count):
                self._made.put(pickle.load(process.stdout))
        except Exception:  # it has died, or was ended, or what is asked for cannot be sent
            if found is not None:
                found.put(None)
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
    """Be the second process: load, and do what is asked; each file is written as soon as it is made."""
    gc.disable()
    # The pipe is kept for answers alone: what libraries print goes nowhere.
    answers = os.fdopen(os.dup(1), "wb")
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    asked: Asked = SimpleQueue()
    threading.Thread(target=_listen, args=(sys.stdin.buffer, asked), daemon=True).start()
    from harness.making.outputs import warm

    warm(until=lambda: not asked.empty())
    while True:
        what = asked.get()
        if isinstance(what[0], Machine):
            *given, names, paper = what
            design = _designed(*given)
            _answer(design, answers)
        else:
            design, names, paper = what
        if design is not None:
            _make(design, names, paper, answers)


def _designed(machine: Machine, wanted: Wanted | None, offcuts: Sequence[Offcut]) -> Design | None:
    from harness.pipeline import designed

    try:
        return designed(machine, wanted, offcuts)[1]
    except Exception:  # the first process meets the same, and says it in words
        return None


def _make(design: Design, names: Sequence[str], paper: str | None, answers: BinaryIO) -> None:
    from harness.making.outputs import output, undrawn

    files = undrawn(names)
    for name in names:
        files[name] = output(name, design, files, paper)
        _answer((name, files[name]), answers)


def _answer(answer: object, answers: BinaryIO) -> None:
    pickle.dump(answer, answers, pickle.HIGHEST_PROTOCOL)
    answers.flush()


def _listen(requests: BinaryIO, asked: Asked) -> None:
    """Take in what is asked, and end at once when the first process is gone: nobody waits for more then."""
    try:
        while True:
            asked.put(pickle.load(requests))
    finally:
        os._exit(1)
