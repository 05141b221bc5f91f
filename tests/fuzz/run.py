"""Feeds a reader with a great many inputs, led by which lines of it each one reaches (atheris).

    python -m tests.fuzz.run TARGET RUNS [SEED]

Stops at the first input that the reader cannot take, and leaves it in ``tests/fuzz/found/TARGET/``, where the
suite then tries it every time. Each run starts from the seeds alone and from what was found before.
"""

from __future__ import annotations

import random
import sys
import tempfile
from pathlib import Path

import atheris

from tests.fuzz.targets import TARGETS, Fuzzed

FOUND = Path(__file__).parent / "found"
LONGEST = 20_000  # bytes of an input
SLOWEST_S = 20  # an input that takes longer is a finding
MEMORY_MB = 1500
BLANK = (
    b"",
    b" ",
    b"\n",
    b"~",
    b"[]",
    b"{}",
    b"? ",
    b"- ",
    b"&a ",
    b"*a",
    b"!!x ",
    b"'",
    b'"',
    b"|\n",
    b"\xef\xbb\xbf",
)


def by_lines(data: bytes, most: int, seed: int) -> bytes:
    """Mutate a text as a hurried hand would: lines moved, doubled, lost, or cells of them exchanged.

    Half of the time the bytes are left to the fuzzer's own mutations.
    """
    chance = random.Random(seed)
    if chance.random() < 0.5:
        return bytes(atheris.Mutate(data, most))
    lines = data.split(b"\n")
    for _ in range(chance.randint(1, 3)):
        at, other = chance.randrange(len(lines)), chance.randrange(len(lines))
        what = chance.randrange(6)
        if what == 0:
            lines.insert(at, lines[other])
        elif what == 1 and len(lines) > 1:
            del lines[at]
        elif what == 2:
            lines[at], lines[other] = lines[other], lines[at]
        elif what == 3:
            lines[at] = b" " * chance.randint(1, 6) + lines[at].lstrip()
        else:
            for sign in (b":", b",", b">", b" "):
                mine, theirs = lines[at].split(sign), lines[other].split(sign)
                if len(mine) > 1:
                    new = chance.choice(BLANK) if what == 4 else chance.choice(theirs)
                    mine[chance.randrange(len(mine))] = new
                    lines[at] = sign.join(mine)
                    break
    return b"\n".join(lines)[:most]


def main() -> None:
    """Run one target."""
    name, runs = sys.argv[1], int(sys.argv[2])
    seed = int(sys.argv[3]) if len(sys.argv) > 3 else 1
    one: Fuzzed = TARGETS[name]
    folder = FOUND / name.replace(" ", "-")
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as corpus:
        for at, content in enumerate(one.seeds()):
            (Path(corpus) / f"seed-{at}").write_bytes(content)
        arguments = [
            "fuzz", corpus, str(folder), f"-runs={runs}", f"-seed={seed}", f"-max_len={LONGEST}",
            f"-timeout={SLOWEST_S}", f"-rss_limit_mb={MEMORY_MB}", f"-artifact_prefix={folder}/",
            "-print_final_stats=1",
        ]  # fmt: skip
        if one.lines:
            atheris.Setup(arguments, one.feed, custom_mutator=by_lines)
        else:
            atheris.Setup(arguments, one.feed)
        atheris.Fuzz()


if __name__ == "__main__":
    with atheris.instrument_imports(include=["harness"]):
        import importlib
        import pkgutil

        import harness

        for package in ("survey", "counter", "kits", "model", "record"):
            for each in pkgutil.walk_packages(
                [str(Path(harness.__file__).parent / package)], f"harness.{package}."
            ):
                importlib.import_module(each.name)
    main()
