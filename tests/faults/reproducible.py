"""Runs every command that writes or prints in two surroundings as unlike as may be and tells what differs.

    python -m tests.faults.reproducible roller grader     # every command on these samples
    python -m tests.faults.reproducible pump --keep DIR   # what was made stays in DIR, to be looked at

What differs is printed, and the exit code then is 1.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

from harness.record.store import Record
from tests.faults.surroundings import ROOT, Surroundings, Words, made_in

SAMPLES = ROOT / "samples"
BOTH = (
    Surroundings(
        "one",
        "yard",
        {
            "COLUMNS": "60",
            "PYTHONHASHSEED": "1",
            "TZ": "Pacific/Kiritimati",
            "LC_ALL": "C",
            "LANGUAGE": "de",
            "PYTHONDONTWRITEBYTECODE": "1",
            "SOURCE_DATE_EPOCH": "86400",
        },
        umask=0o077,
        written_s=1_000_000_000,
        today_s=1_800_000_000,
        processors=1,
    ),
    Surroundings(
        "two of them, with a longer name",
        "{here}/link",
        {
            "COLUMNS": "200",
            "PYTHONHASHSEED": "4711",
            "TZ": "America/St_Johns",
            "LC_ALL": "C.UTF-8",
            "PYTHONDONTWRITEBYTECODE": "",
            "LOGNAME": "somebody",
            "USER": "somebody",
        },
        umask=0o002,
        written_s=1_700_000_001,
        today_s=1_900_000_061,
        backwards=True,
    ),
)
PRICES = ("--prices", "{yard}/prices-one.csv", "--prices", "{yard}/prices-two.csv")
ANSWERS = ("--yes", "--name", "A made-up loader", "--machine", "loader", "--voltage", "24")
WIDTH = ("COLUMNS=100",)  # for what is printed as wide as the terminal is
DONE = (b"0", b"1")  # 1: done, and a danger was found or two machines differ
WIRES = {"roller": "6", "grader": "1-1"}  # one that the sample has, else wire 2
COLOURS = {"grader": "R"}  # likewise, else RD
BATTERIES = {"grader": "low battery"}
DRAWN = ("circuit", "circuits", "loom", "board", "labels", "cards", "cab", "hookup")


def written(sample: str) -> dict[str, tuple[Words, ...]]:
    """Every command that writes, group by group: the calls of a group are done in one folder, in turn."""
    survey, other = f"{{yard}}/{sample}.yaml", f"{{yard}}/{sample}-2.yaml"
    return {
        f"{sample}-build": ((*WIDTH, "build", survey),),
        f"{sample}-table": ((*WIDTH, "build", survey, "--no-paper", "--rules", "iso", "--method", "table"),),
        f"{sample}-book": (("book", survey, "-o", "book"),),
        f"{sample}-quote": (("quote", survey, *PRICES, "--number", "Q-17"),),
        f"{sample}-request": (
            ("quote", survey, "--out", "asked"),
            ("quote", survey, *PRICES, "--plain", "--json"),
        ),
        f"{sample}-match": (
            ("prices", "match", survey, *PRICES),
            ("prices", "match", survey, *PRICES, "--json"),
        ),
        f"{sample}-convert": (
            ("convert", survey, "new.xlsx"),
            ("convert", "new.xlsx", "back.yaml"),
            ("check", "new.xlsx"),
            (*WIDTH, "build", "new.xlsx", "--no-paper"),
        ),
        f"{sample}-tidy": (("tidy", survey), ("tidy", "--check", survey)),
        f"{sample}-export": (("export", survey, "-o", "all.zip"),),
        f"{sample}-folder": (("export", survey, "-o", "all", "--no-paper"),),
        f"{sample}-sheets": (("survey-sheets", survey, "--quick"), ("survey-sheets", "-o", "blank.pdf")),
        f"{sample}-draw": tuple(("draw", survey, kind) for kind in DRAWN),
        f"{sample}-compare": (
            ("compare", survey, other, "-o", "changed.svg"),
            ("compare", survey, other, "-o", "changed.html"),
            ("compare", survey, other, "--json"),
        ),
        f"{sample}-netlist": (("netlist", survey, "--mode", "cranking", "--out", "cranking.cir"),),
        f"{sample}-as-wired": (("as-wired", survey), (*WIDTH, "build", survey, "--no-paper")),
        f"{sample}-record": (
            ("record", "page", survey),
            ("record", "show", survey),
            ("record", "verify", survey),
            ("as-built", survey, "-o", "today.yaml"),
        ),
    }


def printed(sample: str) -> dict[str, tuple[Words, ...]]:
    """Every command that only prints."""
    survey, wire = f"{{yard}}/{sample}.yaml", WIRES.get(sample, "2")
    battery = BATTERIES.get(sample, "battery")
    return {
        f"{sample}-look": (
            ("check", survey),
            ("check", survey, "--json"),
            (*WIDTH, "size", survey),
            ("size", survey, "--json"),
            (*WIDTH, "explain", survey, wire),
            (*WIDTH, "explain", survey, battery),
            ("trace", survey, "starter"),
            ("trace", survey, "--colour", COLOURS.get(sample, "RD")),
            ("without", survey, wire),
            ("tests", survey),
            ("tests", survey, "--json"),
            ("diagnose", survey, "--mode", "cranking", "--reading", f"{battery} + = 9.1 V"),
            ("old-wires", survey),
            ("as-built", survey),
            ("record", "search", survey, "bulb"),
            ("reading", "show", survey),
        ),
        f"{sample}-wrong": (("check", "{yard}/wrong.yaml"), (*WIDTH, "build", "{yard}/wrong.yaml")),
    }


REFERENCE = {  # of no machine, or of the smallest alone
    "start": (("start", "new", *ANSWERS), ("start", "sheets", *ANSWERS, "--workbook")),
    "kits": (("start", "new", *ANSWERS, "--kit", "all"), (*WIDTH, "build", "new/survey.yaml", "--no-paper")),
    "least-money": ((*WIDTH, "build", "{yard}/pump.yaml", "--no-paper", *PRICES[:2]),),
    "reference": tuple(
        tuple(words.split())
        for words in (
            "kinds --json", "kinds relay", "kits --json", "rules --json", "catalogue --json", "guide",
            "prices check {yard}/prices-one.csv {yard}/prices-two.csv", "--help", "schema design",
            "schema survey", "schema design -o design.json", "schema survey -o survey.json",
        )
    ),
}  # fmt: skip


def furnish(yard: Path, sample: str) -> None:
    """A yard: a survey, a copy with changes, one with mistakes, price lists, and a record of fixed dates."""
    yard.mkdir()
    survey = (SAMPLES / f"{sample}.yaml").read_text(encoding="utf-8")
    assert "power: " in survey
    (yard / f"{sample}.yaml").write_text(survey, encoding="utf-8")
    (yard / f"{sample}-2.yaml").write_text(
        survey.replace(" W}", "0 W}").replace(" W,", "0 W,"), encoding="utf-8"
    )
    (yard / "wrong.yaml").write_text(
        survey.replace("{is: ", "{iz: ").replace(" V", " volt"), encoding="utf-8"
    )
    for prices in SAMPLES.glob("prices-*.csv"):
        shutil.copy(prices, yard)
    photo = yard / "lamp.jpg"
    photo.write_bytes(b"\xff\xd8\xff\xe0 a picture")
    record = Record.open(yard / f"{sample}-record")
    first = datetime(2025, 3, 1, 23, 30, tzinfo=UTC)
    record.append("note", "hums when cold", written=first)
    record.append(
        "repair", "new bulb", {"fitted": "55 W"}, [photo], written=first + timedelta(hours=30), by="J"
    )
    record.append("hours", "", written=first + timedelta(days=40), hours=4210.5)


def differing(sample: str, groups: Mapping[str, Sequence[Words]], keep: Path | None = None) -> list[str]:
    """What commands on a sample made that is not the same bytes in both surroundings, and what failed."""
    with tempfile.TemporaryDirectory() as spare:
        trial = keep or Path(spare)
        furnish(trial / "yard", sample)
        first, second = (made_in(each, groups, trial / "yard", trial) for each in BOTH)
    failed = [
        f"{call}\n{said.decode()}"
        for call, said in first.items()
        if " $ " in call and said.split(b"\n", 1)[0] not in DONE and "-wrong $" not in call
    ]
    return failed + sorted(
        name for name in first.keys() | second.keys() if first.get(name) != second.get(name)
    )


def main(samples: Sequence[str], keep: Path | None) -> int:
    """Every sample in turn; what differs is printed, and counted."""
    found = 0
    for sample in samples:
        groups = {**written(sample), **printed(sample)}
        if sample == "pump":
            groups |= REFERENCE
            groups["pump-assumed"] = (("assumed", "{yard}/pump.yaml"), ("survey-sheets", "{yard}/pump.yaml"))
        began = time.monotonic()
        wrong = differing(sample, groups, keep and keep / sample)
        calls = sum(map(len, groups.values()))
        print(f"{sample}: {calls} calls twice, {len(wrong)} differ, {time.monotonic() - began:.0f} s")
        print("".join(f"    {name}\n" for name in wrong), end="", flush=True)
        found += len(wrong)
    return found


if __name__ == "__main__":
    asked = sys.argv[1:]
    kept = Path(asked.pop(asked.index("--keep") + 1)).absolute() if "--keep" in asked else None
    sys.exit(bool(main([each for each in asked if each != "--keep"], kept)))
