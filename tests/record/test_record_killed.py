"""Writers are really killed, two at once, and nothing that was acknowledged is lost."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

from harness.record.chain import verified
from harness.record.store import Record
from tests.docs.pages import ROOT
from tests.record.made import NOON

KILLS = 60  # `python -m tests.record.killing 500` does hundreds


def test_no_acknowledged_entry_is_lost_by_killing_its_writer() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tests.record.killing", str(KILLS), "7"],
        cwd=ROOT,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    counts = json.loads(done.stdout)
    assert counts["kills"] >= KILLS
    assert counts["acknowledged"] >= KILLS // 4  # every second moment waits for one, on a busy computer too
    assert counts["lost"] == counts["breaks"] == counts["failed"] == 0
    assert counts["damaged"] == counts["half lines"]


WRITER = """
import sys
from pathlib import Path
from harness.record.store import Record
from tests.record.made import NOON
record = Record.open(Path(sys.argv[1]))
for at in range(40):
    record.append("note", f"{sys.argv[2]} {at}", written=NOON)
"""


def test_two_writers_at_once_are_both_kept(tmp_path: Path) -> None:
    """Both make the folder and the file, too."""
    folder = tmp_path / "r"
    both = [subprocess.Popen([sys.executable, "-c", WRITER, str(folder), name], cwd=ROOT) for name in "AB"]
    assert [one.wait() for one in both] == [0, 0]
    record = Record.open(folder)
    record.append("note", "after", written=NOON)
    found = record.entries()
    assert [entry.number for entry in found] == [*range(1, 82)]
    for name in "AB":
        own = [entry.text for entry in found if entry.text.startswith(name)]
        assert own == [f"{name} {at}" for at in range(40)]
    assert verified(record).whole
