"""Builds samples in two surroundings as unlike as may be and tells which files differ.

`python -m tests.faults.reproducible roller grader` prints what differs, and exits 1 where anything does.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from hashlib import sha256
from pathlib import Path

ROOT = Path(__file__).parents[2]
SURROUNDINGS = (
    {"PYTHONHASHSEED": "1", "TZ": "Pacific/Kiritimati", "LC_ALL": "C", "COLUMNS": "60"},
    {"PYTHONHASHSEED": "4711", "TZ": "America/St_Johns", "LC_ALL": "C.UTF-8", "COLUMNS": "200"},
)


def digests(sample: str, folder: Path, surroundings: dict[str, str]) -> dict[str, str]:
    """File -> digest of everything that a build writes, run in ``folder``."""
    env = {**os.environ, **surroundings, "PYTHONPATH": str(ROOT)}
    survey = ROOT / "samples" / f"{sample}.yaml"
    done = subprocess.run(
        [sys.executable, "-m", "harness", "build", str(survey), "--out", "out"],
        cwd=folder,
        env=env,
        capture_output=True,
    )
    assert done.returncode in (0, 1), done.stderr.decode()
    return {path.name: sha256(path.read_bytes()).hexdigest() for path in (folder / "out").iterdir()}


def differing(sample: str) -> list[str]:
    """Files of a sample that are not the same bytes in both surroundings."""
    made = []
    for each in SURROUNDINGS:
        with tempfile.TemporaryDirectory() as folder:
            made.append(digests(sample, Path(folder), each))
    first, second = made
    assert len(first) >= 8
    return sorted(name for name in first.keys() | second.keys() if first.get(name) != second.get(name))


if __name__ == "__main__":
    wrong = {sample: found for sample in sys.argv[1:] if (found := differing(sample))}
    print(wrong or f"the same bytes: {', '.join(sys.argv[1:])}")
    sys.exit(bool(wrong))
