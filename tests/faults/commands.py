"""The commands that are killed: what each needs, what it writes, and its words for either of two versions."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
PUMP = ROOT / "samples" / "pump.yaml"
PRICES = ROOT / "samples" / "prices-one.csv"
VERSIONS = ("one", "two")


@dataclass(frozen=True, slots=True)
class Command:
    """A command that is killed while it writes one version over the other, or adds to what is kept.

    ``words``: of the command, for the folder that all is in and the version. ``before``: commands that make
    what it needs of a version. ``lacking``: a file that is not there yet when the other version is written
    over. ``fresh``: it writes only where nothing is. ``adds``: nothing is written over;
    what is there is kept, and so is an entry that was acknowledged.
    """

    words: Callable[[Path, str], Sequence[object]]
    before: Sequence[Callable[[Path, str], Sequence[object]]] = ()
    lacking: str = ""
    fresh: bool = False
    adds: bool = False


def survey(root: Path, version: str) -> Path:
    """The survey of a version, in a folder of its own."""
    return root / version / "pump.yaml"


def laid(root: Path) -> None:
    """Two versions of one machine whose every result differs: names, sizes, what there is to buy."""
    text = PUMP.read_text(encoding="utf-8")
    for version in VERSIONS:
        survey(root, version).parent.mkdir()
        other = text if version == "one" else text.replace("output: 35 A", "output: 70 A", 1)
        assert version == "one" or other != text
        named = other.replace("name: ", f"name: {version} ", 1)
        survey(root, version).write_text(named, encoding="utf-8")


def out(root: Path) -> Path:
    """The folder that results go to."""
    return root / "out"


def kept(root: Path) -> Path:
    """The record that a command adds to."""
    return root / "one" / "pump-record"


def _added(root: Path, version: str) -> list[object]:
    photo = root / "photo.jpg"
    if not photo.exists():
        photo.write_bytes(bytes(range(256)) * 2000)
    text = f"{version} " + "oil and dust " * 50
    return ["record", "add", survey(root, "one"), "repair", "--text", text, "--attach", photo]


COMMANDS = {
    "build": Command(
        lambda root, version: ["build", survey(root, version), "--no-paper", "--out", out(root)]
    ),
    "convert": Command(
        lambda root, version: ["convert", survey(root, version), out(root) / "survey.xlsx", "--force"]
    ),
    "quote": Command(
        lambda root, version: [
            "quote", survey(root, version), "--prices", PRICES, "--matches", root / "none.yaml", "--plain",
            "--out", out(root),
        ]
    ),
    "circuits": Command(
        lambda root, version: ["draw", survey(root, version), "circuits", "-o", out(root) / "c.svg"]
    ),
    "start": Command(
        lambda root, version: ["start", out(root), "--yes", "--name", version], fresh=True
    ),
    "export": Command(lambda root, version: ["export", survey(root, version), "--no-paper", "-o", out(root)]),
    "export to a zip": Command(
        lambda root, version: ["export", survey(root, version), "--no-paper", "-o", out(root) / "all.zip"]
    ),
    "prices match": Command(
        lambda root, version: [
            "prices", "match", survey(root, version), "--prices", PRICES, "--matches", out(root) / "m.yaml",
        ]
    ),
    "as-built": Command(
        lambda root, version: ["as-built", survey(root, version), "--force", "-o", out(root) / "now.yaml"],
        before=[
            lambda root, version: ["as-wired", survey(root, version)],
            lambda root, version: [
                "record", "add", survey(root, version), "change", "--text", "another", "--set",
                "parts.fuel valve.current=1.4 A",
            ],
        ],
        lacking="now-choices.yaml",
    ),
    "record add": Command(_added, adds=True),
    "reading add": Command(
        lambda root, version: [
            "reading", "add", survey(root, "one"), "rest:battery", "12.6 V", "--by", version,
        ],
        adds=True,
    ),
}  # fmt: skip
