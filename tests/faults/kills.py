"""Kills whole commands while they write, a great many times, and looks at what they leave.

    python -m tests.faults.kills COUNT [COMMAND]

Each command writes the results of one survey over those of another, or adds to a record, and is killed from
outside: at a step on the disk drawn by chance, at a moment drawn by chance while it writes, or at any moment
at all. Every file then has to be whole and of one of the two versions; where both stand side by side the
folder has to say so; and the next to write there has to leave one version alone, nothing beside it: mostly
another writer does it, and the same command where two versions were mixed and every few tries. A record
has to hold all that it held and all that was acknowledged.
"""

from __future__ import annotations

import random
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from unittest.mock import patch

from click.testing import CliRunner

from harness.cli import main as program
from harness.disk.writing import MARKER, PREFIX, unfinished, write_set
from harness.making import second
from harness.record.attaching import FOLDER
from harness.record.chain import verified
from harness.record.store import FILE, Record
from tests.faults.commands import COMMANDS, VERSIONS, Command, kept, laid, out
from tests.faults.killing import Measured, command, killed_before, killed_from_outside, measured, run
from tests.record.made import NOON

SAME_AGAIN = 5  # every so often the killed command itself is what mends
FRESH_CODE = 3  # of a command that refuses to write over what it has made
OTHER = "zz-other.txt"

Files = dict[str, bytes]


def content(folder: Path) -> Files:
    """All files in a folder."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def _laid_again(folder: Path, files: Files) -> None:
    """Put a version there as if it had been there all the time."""
    folder.mkdir(exist_ok=True)
    for name in content(folder).keys() - files.keys():
        (folder / name).unlink()
    for name, held in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(held)


Kill = Callable[[Callable[[], object], Path, Measured, random.Random], bool]


def by_itself(work: Callable[[], object], folder: Path, about: Measured, chance: random.Random) -> bool:
    """Let some work kill itself before a step by chance, always the same ones; True, for it is in time."""
    return killed_before(work, folder, chance.randint(1, about.steps))


def from_outside(work: Callable[[], object], folder: Path, about: Measured, chance: random.Random) -> bool:
    """Kill some work at a moment by chance; whether it was in time."""
    drawn = chance.random()
    if drawn < 0.6:
        return killed_from_outside(work, folder, step=chance.randint(1, about.steps))
    if drawn < 0.9:
        return killed_from_outside(work, folder, step=1, wait_s=chance.uniform(0, about.writing_s))
    return killed_from_outside(work, folder, wait_s=chance.uniform(0, about.before_s + about.writing_s))


def tried(what: Command, count: int, seed: int = 0, kill: Kill = from_outside) -> Counter[str]:
    """Kill a command so often; how many were killed in time, and what they left. "torn" must not be."""
    chance = random.Random(seed)
    with tempfile.TemporaryDirectory() as place:
        root = Path(place)
        laid(root)
        return (_adding if what.adds else _over)(what, root, count, chance, kill)


def _work(what: Command, root: Path, version: str) -> Callable[[], int]:
    return command([str(word) for word in what.words(root, version)])


# ------------------------------------------------------------------------------- one version over the other


def _over(what: Command, root: Path, count: int, chance: random.Random, kill: Kill) -> Counter[str]:
    folder, counts = out(root), Counter[str](tried=count)
    sets: dict[str, Files] = {}
    for version in VERSIONS:
        for words in what.before:
            assert run(command([str(word) for word in words(root, version)])) == 0
        _laid_again(folder, {})
        assert run(_work(what, root, version)) in (0, 1)
        sets[version] = content(folder)
    assert all(sets["one"][name] != sets["two"][name] for name in _unlike(sets))
    ways = []  # from one version to the other, and back: some files take in what was there before
    for old, new in (VERSIONS, VERSIONS[::-1]):
        before = {} if what.fresh else {n: held for n, held in sets[old].items() if n != what.lacking}
        work = _work(what, root, new)
        _laid_again(folder, before)
        about = measured(work, folder)
        ways.append((before, content(folder), work, about))
    for at in range(count):
        before, after, work, about = ways[at % 2]
        _laid_again(folder, before)
        in_time = kill(work, folder, about, chance)
        counts["killed in time"] += in_time
        state = _state(folder, before, after)
        again = state == "mixed and told" or at % SAME_AGAIN == 0
        if in_time:
            counts[state] += 1
        elif state != "new":
            counts["torn"] += 1
        counts["mended"] += _mended(folder, before, after, state, work if again else None, fresh=what.fresh)
    return counts


def _unlike(sets: dict[str, Files]) -> set[str]:
    """Files whose content tells the versions apart."""
    names = {name for name in sets["one"] if sets["one"][name] != sets["two"].get(name)}
    assert names and sets["one"].keys() == sets["two"].keys()
    return names


def _state(folder: Path, old: Files, new: Files) -> str:
    there = {name: held for name, held in content(folder).items() if not name.startswith(PREFIX)}
    told = there.pop(MARKER, None) is not None and unfinished(folder)
    if there == old:
        return "old"
    if there == new:
        return "new"
    whole = all(there.get(name) in (old.get(name), new.get(name)) for name in {*there, *old, *new})
    return "mixed and told" if whole and told else "torn"


def _mended(
    folder: Path, old: Files, new: Files, state: str, again: Callable[[], object] | None, *, fresh: bool
) -> bool:
    """Whether the next writer leaves one version alone: the same command the new one, another what is due."""
    if again is not None:
        code = run(again)
        assert code in (0, 1) or (fresh and code == FRESH_CODE and state == "new"), f"it ended with {code}"
        return content(folder) == new
    write_set(folder, {OTHER: b"another's"})
    there = content(folder)
    return there.pop(OTHER, None) == b"another's" and there in (old, new)


# ----------------------------------------------------------------------------------------- adding to a record


def _adding(what: Command, root: Path, count: int, chance: random.Random, kill: Kill) -> Counter[str]:
    folder, counts = kept(root), Counter[str](tried=count)
    record = Record.open(folder)
    assert run(_work(what, root, "one")) == 0  # makes the record, which is more than adding to it
    about = measured(_work(what, root, "one"), folder)
    photos = set(content(folder / FOLDER).values()) if (folder / FOLDER).is_dir() else set()
    for at in range(count):
        before = record.file.read_bytes()
        if not chance.randrange(4):  # the first entry of a record is another case: its folder is made
            shutil.rmtree(folder)
            before = b""
        in_time = kill(_work(what, root, VERSIONS[at % 2]), folder, about, chance)
        counts["killed in time"] += in_time
        after = record.file.read_bytes() if record.file.exists() else b""
        more = after[len(before) :]
        sound = after.startswith(before) and more.count(b"\n") <= 1 and _attached(folder) <= photos
        state = "old" if not more else "new" if more.endswith(b"\n") else "half a line"
        if in_time:
            counts[state if sound else "torn"] += 1
        elif not (sound and state == "new"):
            counts["torn"] += 1
        if at % SAME_AGAIN == 0:
            assert run(_work(what, root, VERSIONS[at % 2])) == 0
        else:
            record.append("note", "the next one", written=NOON)
        verdict = verified(record)
        damaged = len(record.entries().damaged)
        halves = sum("half a line" in remark for remark in verdict.remarks)
        counts["mended"] += verdict.whole and damaged == halves and record.file.read_bytes().startswith(after)
        counts["torn"] += any(not _known(name) for name in content(folder))
    return counts


def _known(name: str) -> bool:
    """Whether a record's folder may hold a file: what was being attached goes when the next one is."""
    return name in (FILE, "read-me.txt") or name.startswith(f"{FOLDER}/")


def _attached(folder: Path) -> set[bytes]:
    """The attachments as far as they have their names."""
    place = folder / FOLDER
    if not place.is_dir():
        return set()
    return {held for name, held in content(place).items() if not name.startswith(PREFIX)}


# ------------------------------------------------------------------------------------------------------ all


def warmed(what: Command) -> None:
    """Run a command here, so that those who are killed have all loaded and spend their time writing."""
    blank, alone = patch("typst.compile", lambda *asked, **named: b"%PDF-1.7"), patch.object(second, "cores")
    with blank, alone as cores, tempfile.TemporaryDirectory() as place:
        cores.return_value = 1
        root = Path(place)
        laid(root)
        for words in (*what.before, what.words):
            done = CliRunner().invoke(program, [str(word) for word in words(root, "one")])
            assert done.exit_code in (0, 1), done.output


def main() -> None:
    """Kill all commands, or those that are named; print what came of it."""
    count, names = int(sys.argv[1]), sys.argv[2:] or list(COMMANDS)
    torn = 0
    for name in names:
        warmed(COMMANDS[name])
        counts = tried(COMMANDS[name], count)
        torn += counts["torn"] + counts["tried"] - counts["mended"]
        order = ("tried", "killed in time", "old", "new", "mixed and told", "half a line", "mended", "torn")
        print(f"{name}: {', '.join(f'{each} {counts[each]}' for each in order)}", flush=True)
    raise SystemExit(1 if torn else 0)


if __name__ == "__main__":
    main()
