"""Prints the benchmark tables of DEVELOPERS.md: ``python -m tests.benchmarks.table [WIRES ...]``.

Each size of machine is designed in a process of its own, so that its memory is its own too. Times are
processor time, of child processes where the work is theirs, so that other work on the computer counts for
little; of the solve the median of turns taken alternately.
"""

from __future__ import annotations

import gc
import resource
import subprocess
import sys
from collections.abc import Callable, Sequence
from itertools import pairwise
from math import log
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

ROUNDS = 7
SIZES = (100, 1_000, 10_000)


def _seconds(work: Callable[[], object]) -> float:
    start = _spent()
    work()
    return _spent() - start


def _spent() -> float:
    """Processor time of this process and of the children that ended [s]."""
    whose = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    return sum(used.ru_utime + used.ru_stime for used in map(resource.getrusage, whose))


def _one_size(wires: int) -> None:
    """Design one machine, then solve it by turns; a line of numbers for the parent process."""
    from harness.pipeline import design
    from harness.survey import read
    from tests.benchmarks import side_by_side as sides
    from tests.benchmarks.machines import survey

    gc.disable()  # as the commands do
    text = survey(wires).encode()
    design(read("warm.yaml", text=survey(60).encode()))  # imports and tables are not the machine's
    reading = _seconds(lambda: read("generated.yaml", text=text))
    machine = sides.machine_of(wires)
    designing = _seconds(lambda: design(machine))
    most_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    model = sides.model_of(wires)
    with TemporaryDirectory() as folder:
        spice, ours = sides.written(wires, Path(folder))
        ways: tuple[Callable[[], object], ...] = (
            lambda: sides.by_us(model),
            lambda: sides.by_our_process(ours),
            lambda: sides.by_ngspice(spice),
        )
        taken = list(zip(*([_seconds(way) for way in ways] for _ in range(ROUNDS)), strict=True))
        apart = sides.furthest_apart_v(model, sides.by_ngspice(spice))
    print(len(machine.wires), reading, designing, most_mb, *map(median, taken), apart)


def _row(cells: Sequence[object]) -> str:
    return f"| {' | '.join(map(str, cells))} |"


def _growth(rows: Sequence[Sequence[float]], column: int) -> str:
    """Exponent from each size to the next: 1 is even growth."""
    return ", ".join(f"{log(b[column] / a[column]) / log(b[0] / a[0]):.2f}" for a, b in pairwise(rows))


def main() -> None:
    """Measure every size and print both tables."""
    sizes = [int(each) for each in sys.argv[1:]] or list(SIZES)
    command = [sys.executable, "-m", "tests.benchmarks.table", "--one"]
    ran = [
        subprocess.run([*command, str(each)], capture_output=True, text=True, check=True) for each in sizes
    ]
    rows = [[float(word) for word in each.stdout.split()] for each in ran]
    print(_row(("wires", "survey read", "designed", "most memory")), "|---:|---:|---:|---:|", sep="\n")
    for wires, reading, designing, most_mb, *_ in rows:
        print(_row((f"{wires:,.0f}", f"{reading:.2f} s", f"{designing:.2f} s", f"{most_mb:.0f} MB")))
    print(_row(("growth", _growth(rows, 1), _growth(rows, 2), _growth(rows, 3))), end="\n\n")
    print(_row(("wires", "ours, in process", "ours, as a process", "ngspice, as a process", "in process",
                "as a process", "furthest apart")), "|---:|---:|---:|---:|---:|---:|---:|",
          sep="\n")  # fmt: skip
    for wires, *_, ours, process, spice, apart in rows:
        print(_row((f"{wires:,.0f}", f"{1000 * ours:.1f} ms", f"{1000 * process:.0f} ms",
                    f"{1000 * spice:.0f} ms", f"{spice / ours:.1f} times as fast",
                    f"{spice / process:.2f} times as fast", f"{1e6 * apart:.2g} µV")))  # fmt: skip


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        _one_size(int(sys.argv[2]))
    else:
        main()
