"""Runs commands whose input files are gone, emptied or replaced in the very moment they are opened.

    python -m tests.faults.vanishing      # every command that reads, every file, every time it opens it

Prints each case that ended by anything but a result, a refusal in words or mistakes told; exit code 1 then.
"""

from __future__ import annotations

import io
import os
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path

from harness.cli import main
from tests.running import run

SAMPLES = Path(__file__).parents[2] / "samples"
RECORD = "pump-record/record.jsonl"
READ = {  # every command that reads, and what it opens
    "check pump.yaml": ("pump.yaml",),
    "check pump.xlsx": ("pump.xlsx",),
    "size pump.yaml --catalogue own.yaml": ("pump.yaml", "own.yaml"),
    "build pump.yaml --no-paper --prices prices.csv": ("pump.yaml", "prices.csv", "pump-choices.yaml"),
    "draw pump.yaml circuit": ("pump.yaml",),
    "convert pump.yaml new.xlsx": ("pump.yaml",),
    "convert pump.xlsx new.yaml": ("pump.xlsx",),
    "tidy pump.yaml": ("pump.yaml",),
    "as-wired pump.yaml": ("pump.yaml", "pump-choices.yaml"),
    "quote pump.yaml --prices prices.csv": ("pump.yaml", "prices.csv"),
    "quote made/design.json --prices prices.csv --out made": ("made/design.json", "prices.csv"),
    "prices check prices.csv": ("prices.csv",),
    "prices match pump.yaml --prices prices.csv": ("pump.yaml", "prices.csv"),
    "compare pump.yaml made/design.json": ("pump.yaml", "made/design.json"),
    "record add pump.yaml note --text hums --attach lamp.jpg": (RECORD, "lamp.jpg"),
    "record show pump.yaml": (RECORD,),
    "record page pump.yaml": ("pump.yaml", RECORD),
    "record verify pump.yaml": (RECORD,),
    "as-built pump.yaml": ("pump.yaml", RECORD),
    "as-built pump.yaml -o new.yaml": ("pump.yaml", RECORD, "pump-choices.yaml"),
    "export pump.yaml -o all.zip --no-paper": ("pump.yaml", RECORD, "pump-choices.yaml"),
}  # fmt: skip


def _gone(file: Path) -> None:
    file.rename(f"{file}.away")


def _folder(file: Path) -> None:
    _gone(file)
    file.mkdir()


def _empty(file: Path) -> None:
    """In its place comes the file called "another" beside it, an empty one where a test laid none there."""
    new = file.with_name("another")
    new.touch()
    new.rename(file)


def _loop(file: Path) -> None:
    _gone(file)
    file.symlink_to(file.name)


DONE: Mapping[str, Callable[[Path], None]] = {
    "gone": _gone, "a folder": _folder, "empty": _empty, "a link to itself": _loop,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Ended:
    """How a command ended, what it said, and how often it had opened the file."""

    code: int
    said: str
    opened: int


def furnish(yard: Path) -> None:
    """A survey, its workbook, its design, own items, what was settled, prices, and a record."""
    yard.mkdir()
    for name in ("pump.yaml", "prices-one.csv"):
        shutil.copy(SAMPLES / name, yard / name.replace("-one", ""))
    (yard / "lamp.jpg").write_bytes(b"\xff\xd8 light")
    (yard / "own.yaml").write_text("items: {}\n", encoding="utf-8")
    for words in (
        ("convert", yard / "pump.yaml", yard / "pump.xlsx"),
        ("build", yard / "pump.yaml", "--no-paper", "--out", yard / "made"),
        ("as-wired", yard / "pump.yaml"),
        ("record", "add", yard / "pump.yaml", "note", "--text", "hums"),
    ):
        assert run(*words).exit_code == 0, words


def meanwhile(command: str, file: Path, what: str, at: int) -> Ended:
    """Run a command in a process of its own, in the file's yard; before it opens the file for the ``at``-th
    time, that happens to the file.
    """
    listen, tell = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(listen)
        said, opened, code = io.StringIO(), 0, 70

        def before(event: str, given: tuple[object, ...]) -> None:
            nonlocal opened
            name = given[0] if event == "open" else None
            if not isinstance(name, str | os.PathLike) or Path(name).absolute() != file:
                return
            opened += 1
            if opened == at:
                DONE[what](file)

        sys.addaudithook(before)  # is never taken away again: hence the process
        try:
            with redirect_stdout(said), redirect_stderr(said):
                main(command.split(), prog_name="harness")
        except SystemExit as ended:
            code = ended.code if isinstance(ended.code, int) else 0
        except BaseException as error:
            said.write(repr(error))
        finally:
            os.write(tell, f"{code} {opened} {said.getvalue()[-3000:]}".encode(errors="replace"))
            os._exit(0)
    os.close(tell)
    with os.fdopen(listen, encoding="utf-8") as stream:
        code, opened, said = stream.read().split(" ", 2)
    os.waitpid(child, 0)
    return Ended(int(code), said, int(opened))


def tried(yard: Path) -> Iterator[tuple[str, Ended]]:
    """Every command, file, happening and opening, each in a fresh copy of the yard."""
    for command, files in READ.items():
        for name in files:
            for what in DONE:
                at = 1
                while True:
                    with tempfile.TemporaryDirectory() as folder:
                        here = Path(folder).resolve() / "yard"
                        shutil.copytree(yard, here)
                        os.chdir(here)
                        ended = meanwhile(command, here / name, what, at)
                        os.chdir("/")
                    if ended.opened < at:
                        break
                    yield f"{command}: {name} {what}, opening {at}", ended
                    at += 1


def wrong(ended: Ended) -> bool:
    """Whether a command ended by anything but a result (0, 1), mistakes told (2) or words (3)."""
    return ended.code not in range(4) or "Traceback" in ended.said or (ended.code > 1 and not ended.said)


def unhindered(yard: Path, command: str) -> Ended:
    """How a command ends in a copy of the yard where nothing happens."""
    with tempfile.TemporaryDirectory() as folder:
        here = Path(folder).resolve() / "yard"
        shutil.copytree(yard, here)
        os.chdir(here)
        ended = meanwhile(command, here, "gone", 1)
        os.chdir("/")
    return ended


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as spare:
        furnish(Path(spare) / "yard")
        for each in READ:
            assert unhindered(Path(spare) / "yard", each).code == 0, each
        cases = list(tried(Path(spare) / "yard"))
    bad = [(case, ended) for case, ended in cases if wrong(ended)]
    print("".join(f"{case}: {ended.code}\n    {ended.said}\n" for case, ended in bad), end="")
    print(f"{len(cases)} cases, {len(bad)} wrong")
    sys.exit(bool(bad))
