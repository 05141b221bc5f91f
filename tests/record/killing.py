"""Kills writers of a record at any moment, hundreds of times, and counts what is lost.

`python -m tests.record.killing 500` starts two writers again and again, each a process of its own that adds
to one record and tells over a pipe what was acknowledged; kills one or both at moments drawn from a seed,
every other time as soon as the file is seen to grow, which is in the middle of a line; at the end
looks for every acknowledged entry. Prints the counts, and exits 1 where one is missing or the chain broken.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sys
import tempfile
import time
from hashlib import sha256
from pathlib import Path

from harness.record.chain import verified
from harness.record.store import FILE, Record
from tests.record.made import later

KILLS_A_RECORD = 100  # then a new one is begun: the file grows
LONGEST_LIFE_S = 0.15
HEARD_FIRST = 0.5  # of the moments drawn so many come after an entry was acknowledged
STUCK_S = 120.0  # a writer that tells nothing for so long has failed
SOME_LONG = 0.3  # so many entries are long ones: only those can be stopped in the middle
LONG_LETTERS = 1_500_000


def _write_on(folder: Path, name: str, seed: int, told: int) -> None:
    """Add entries until killed; each is told once ``append`` came back."""
    draw = random.Random(seed)
    record = Record.open(folder)
    photo = folder.parent / f"{name}.jpg"
    photo.write_bytes(draw.randbytes(5000))
    count = 0
    while True:
        count += 1
        token = f"{name} {seed} {count}"
        long = draw.random() < SOME_LONG
        text = token + "\n" + "x" * (draw.randrange(LONG_LETTERS) if long else draw.randrange(300))
        files = [photo] if draw.random() < 0.1 else []
        kept = record.append("note", text, {"token": token}, files, written=later(draw.randrange(10**6)))
        digest = sha256(text.encode()).hexdigest()
        os.write(told, f"{kept.entry.number} {digest} {token}\n".encode())


def _started(folder: Path, name: str, seed: int, told: int) -> int:
    pid = os.fork()
    if pid:
        return pid
    try:
        _write_on(folder, name, seed, told)
    finally:
        os._exit(70)  # whoever gets here was not killed but failed


def killed(kills: int, seed: int, place: Path) -> dict[str, int]:
    """The counts after so many kills."""
    draw = random.Random(seed)
    counts = dict.fromkeys(("kills", "acknowledged", "lost", "damaged", "half lines", "breaks", "failed"), 0)
    while counts["kills"] < kills:
        folder = place / f"{counts['kills']:05}-record"
        acknowledged = _round(folder, draw, min(KILLS_A_RECORD, kills - counts["kills"]), counts)
        _count(Record.open(folder), acknowledged, counts)
    return counts


def _round(folder: Path, draw: random.Random, kills: int, counts: dict[str, int]) -> list[str]:
    """One record, its writers killed so many times; what they were told was kept."""
    listen, told = os.pipe()
    os.set_blocking(listen, False)
    writers: dict[str, int] = {}
    lines = b""
    done = 0
    while done < kills:
        for name in "AB":
            if name not in writers:
                writers[name] = _started(folder, name, draw.randrange(2**31), told)
        life_s = draw.random() * LONGEST_LIFE_S
        lines += _lived(listen, life_s, until_told=draw.random() < HEARD_FIRST)
        if draw.random() < 0.5:
            _grown(folder / FILE)
        for name in draw.choice(("A", "B", "AB")):
            counts["failed"] += _ended(writers.pop(name))
            done += 1
            counts["kills"] += 1
    for pid in writers.values():
        counts["failed"] += _ended(pid)
        counts["kills"] += 1
    lines += _heard(listen)
    os.close(listen)
    os.close(told)
    return lines.decode().splitlines()


def _lived(listen: int, life_s: float, *, until_told: bool) -> bytes:
    """Let the writers write for a while; the pipe must not fill up meanwhile, or they would wait.

    ``until_told``: at least until an entry was acknowledged, however busy the computer is.
    """
    lines = b""
    begun = time.monotonic()
    while (lived_s := time.monotonic() - begun) < life_s or (until_told and not lines and lived_s < STUCK_S):
        lines += _heard(listen)
        time.sleep(0.002)
    return lines


def _grown(file: Path) -> None:
    """Wait until the file grows, and no longer."""
    try:
        size = file.stat().st_size
        until = time.monotonic() + LONGEST_LIFE_S
        while file.stat().st_size < size + LONG_LETTERS // 50 and time.monotonic() < until:
            pass
    except FileNotFoundError:
        return  # nobody has come so far


def _heard(listen: int) -> bytes:
    found = b""
    try:
        while piece := os.read(listen, 1 << 16):
            found += piece
    except BlockingIOError:
        pass
    return found


def _ended(pid: int) -> int:
    """Kill a writer; 1 where it had failed before."""
    os.kill(pid, signal.SIGKILL)
    _, status = os.waitpid(pid, 0)
    return 0 if os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGKILL else 1


def _count(record: Record, acknowledged: list[str], counts: dict[str, int]) -> None:
    record.append("note", "the last one", written=later(0))  # closes off what the last kill left
    found = record.entries()
    held = {
        f"{entry.number} {sha256(entry.text.encode()).hexdigest()} {entry.fields.get('token')}"
        for entry in found
        if entry.sound
    }
    verdict = verified(record)
    counts["acknowledged"] += len(acknowledged)
    counts["lost"] += sum(line not in held for line in acknowledged)
    counts["damaged"] += len(found.damaged)
    counts["half lines"] += sum("half a line" in remark for remark in verdict.remarks)
    counts["breaks"] += len(verdict.breaks)


def main(kills: int, seed: int) -> int:
    """Print the counts as JSON; 0 where nothing was lost."""
    with tempfile.TemporaryDirectory() as place:
        counts = killed(kills, seed, Path(place))
    print(json.dumps(counts))
    return 1 if counts["lost"] or counts["breaks"] or counts["failed"] else 0


if __name__ == "__main__":
    words = [*map(int, sys.argv[1:])]
    raise SystemExit(main(words[0] if words else 500, words[1] if len(words) > 1 else 1))
