"""Runs work in a process of its own that is killed: before its n-th step on the disk, or from outside."""

from __future__ import annotations

import json
import os
import resource
import signal
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from harness.disk.writing import unfinished, write_set

STEPS = frozenset(  # what an interpreter tells before it does it: everything that changes a disk
    {"open", "os.mkdir", "os.rename", "os.link", "os.remove", "os.rmdir", "os.chmod", "fcntl.flock"}
)
FAILED = 70


@dataclass(frozen=True, slots=True)
class Measured:
    """One run of some work: its steps on the disk, and the time before the first one and from it on."""

    steps: int
    before_s: float
    writing_s: float


def measured(work: Callable[[], object], folder: Path) -> Measured:
    """Do some work in a process of its own and count its steps on the disk below ``folder``."""
    listen, tell = os.pipe()
    child = os.fork()
    if child == 0:
        times = [time.monotonic()]

        def told() -> None:
            work()
            times.append(time.monotonic())
            os.write(tell, json.dumps(times).encode())

        _done(told, folder, lambda: times.append(time.monotonic()))
    os.close(tell)
    with os.fdopen(listen, "rb") as stream:
        start, *steps, end = json.loads(stream.read())
    os.waitpid(child, 0)
    first = steps[0] if steps else end
    return Measured(len(steps), first - start, end - first)


def steps_of(work: Callable[[], object], folder: Path) -> int:
    """How many steps on the disk below ``folder`` some work takes, done in a process of its own."""
    return measured(work, folder).steps


def killed_before(work: Callable[[], object], folder: Path, step: int) -> bool:
    """Do some work in a process that kills itself before that step; False if it came to its end."""

    left = [step]

    def counted() -> None:
        left[0] -= 1
        if left[0] == 0:
            os.kill(os.getpid(), signal.SIGKILL)

    child = os.fork()
    if child == 0:
        _done(work, folder, counted)
    return _ended(child, signal.SIGKILL)


def killed_writing(work: Callable[[], object], most_bytes: int) -> bool:
    """Do some work in a process that dies as soon as a file of it grows beyond so many bytes."""
    child = os.fork()
    if child == 0:
        signal.signal(signal.SIGXFSZ, signal.SIG_DFL)
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        resource.setrlimit(resource.RLIMIT_FSIZE, (most_bytes, most_bytes))
        _done(work, None, lambda: None)
    return _ended(child, signal.SIGXFSZ)


def killed_from_outside(
    work: Callable[[], object], folder: Path, *, step: int = 0, wait_s: float = 0.0
) -> bool:
    """Do some work in a process that is killed from outside: so long after it told of that step on the disk.

    The step is counted from 1; 0 is the beginning of the work. False if it came to its end before.
    """
    listen, tell = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(listen)
        _done(work, folder, lambda: os.write(tell, b"."))
    os.close(tell)
    while step > 0 and (told := os.read(listen, step)):  # nothing more is told by one at its end
        step -= len(told)
    time.sleep(wait_s)
    os.kill(child, signal.SIGKILL)
    os.close(listen)
    return _ended(child, signal.SIGKILL)


def left_unfinished(folder: Path, files: Mapping[str, bytes]) -> None:
    """Kill a writer of ``files``, two at least, between two of them: the folder says so."""
    steps = steps_of(lambda: write_set(folder, files), folder)
    for step in range(steps, 1, -1):
        killed_before(lambda: write_set(folder, files), folder, step)
        if unfinished(folder):
            return
    raise AssertionError("it could not be stopped between two files")


def run(work: Callable[[], object]) -> int:
    """Do some work in a process of its own, to its end; its exit code."""
    child = os.fork()
    if child == 0:
        _done(work, None, lambda: None)
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status)


def command(arguments: Sequence[str]) -> Callable[[], int]:
    """A command of the program as work, silent; it makes everything itself."""

    def work() -> int:
        from harness.cli import main
        from harness.making import second

        nowhere = os.open(os.devnull, os.O_RDWR)
        for handle in (0, 1, 2):
            os.dup2(nowhere, handle)
        second.cores = lambda: 1
        try:
            main.main([*arguments], prog_name="harness")
        except SystemExit as end:
            return int(end.code or 0)
        return 0

    return work


def _done(work: Callable[[], object], folder: Path | None, counted: Callable[[], None]) -> None:
    """Be the child: work, count, and never come back."""
    code = FAILED
    try:
        if folder is not None:
            inside = str(folder)

            def hook(event: str, found: tuple[object, ...]) -> None:
                if event in STEPS and (event == "fcntl.flock" or str(found[0]).startswith(inside)):
                    counted()

            sys.addaudithook(hook)
        made = work()
        code = made if isinstance(made, int) else 0
    finally:
        os._exit(code)


def _ended(child: int, by: signal.Signals) -> bool:
    """Wait for a child; whether it was killed. One that failed by itself is a defect."""
    _, status = os.waitpid(child, 0)
    code = os.waitstatus_to_exitcode(status)
    assert code in (-by, 0, 1), f"it ended by itself with {code}"
    return code == -by
