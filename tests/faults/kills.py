"""Kills whole commands while they write, a great many times, and looks at what they leave.

    python -m tests.faults.kills COUNT [COMMAND]

Each command writes the results of one survey over those of another and is killed at some moment after it
began to write. Every file then has to be whole and of one of the two; where both stand side by side the
folder has to say so; and the command done once more has to leave the one set alone, nothing beside it.
"""

from __future__ import annotations

import random
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from harness.disk.writing import MARKER, unfinished
from tests.faults.killing import command, killed_after, run

PUMP = Path(__file__).parents[2] / "samples" / "pump.yaml"
LONGEST_S = 0.08  # after the first write; what is written takes less


@dataclass(frozen=True, slots=True)
class Killed:
    """A command: its words for a survey, and the folder it writes into below the working one."""

    words: Callable[[Path, Path], list[str]]
    name: str  # of the result, "" for a folder of several


COMMANDS = {
    "build": Killed(lambda survey, out: ["build", str(survey), "--no-paper", "--out", str(out)], ""),
    "convert": Killed(
        lambda survey, out: ["convert", str(survey), str(out / "survey.xlsx"), "--force"], "survey.xlsx"
    ),
    "quote": Killed(lambda survey, out: ["quote", str(survey), "--out", str(out)], ""),
    "circuits": Killed(
        lambda survey, out: ["draw", str(survey), "circuits", "-o", str(out / "c.svg")], "c.svg"
    ),
}


def _content(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def tried(what: Killed, count: int, seed: int = 0) -> tuple[int, int]:
    """Kill a command so often; how many were killed in time, and how many left two versions side by side.

    Raises AssertionError where anything is left that must not be.
    """
    chance = random.Random(seed)
    hit = mixed = 0
    with tempfile.TemporaryDirectory() as place:
        root, out = Path(place), Path(place) / "out"
        surveys = [root / "one" / "pump.yaml", root / "two" / "pump.yaml"]
        text = PUMP.read_text(encoding="utf-8")
        for survey, name in zip(surveys, ("name: ", "name: Other "), strict=True):
            survey.parent.mkdir()
            survey.write_text(text.replace("name: ", name, 1), encoding="utf-8")
        sets = []
        for survey in surveys:
            out.mkdir(exist_ok=True)
            assert run(command(what.words(survey, out))) in (0, 1)
            sets.append(_content(out))
        assert sets[0] != sets[1] and sets[0].keys() == sets[1].keys()
        now = 1
        for _ in range(count):
            new = 1 - now
            work = command(what.words(surveys[new], out))
            hit += killed_after(work, out, chance.uniform(0, LONGEST_S), writing=True)
            there = _content(out)
            told = unfinished(out)
            states = set()
            for name in sets[0]:
                assert there.get(name) in (sets[0][name], sets[1][name]), f"{name} is torn or gone"
                if sets[0][name] != sets[1][name]:
                    states.add(there[name] == sets[1][name])
            assert len(states) == 1 or told, "two versions stand side by side and nothing says so"
            mixed += len(states) == 2
            visible = {name for name in there if not name.startswith(".")} - {MARKER}
            assert visible == set(sets[0]), f"half made files are left: {visible - set(sets[0])}"
            assert run(work) in (0, 1)
            assert _content(out) == sets[new], "done once more it is not the new set alone"
            now = new
    return hit, mixed


def main() -> None:
    """Kill all commands, or one; print what came of it."""
    count = int(sys.argv[1])
    for name in sys.argv[2:] or COMMANDS:
        hit, mixed = tried(COMMANDS[name], count)
        print(
            f"{name}: {count} tries, {hit} killed in time, {mixed} left mixed and told; all mended",
            flush=True,
        )


if __name__ == "__main__":
    main()
