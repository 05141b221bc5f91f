"""Runs commands one after the other in given surroundings and keeps whatever they write and print.

The surroundings are all that a result must not hang on: hash seed, clock, time zone, locale, width of the
terminal, home, rights of new files, number of processors, ages and names of files, the working folder, and
what was run before. A process of its own loads the libraries once and forks for each command.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import traceback
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

ROOT = Path(__file__).parents[2]
Words = tuple[str, ...]
YARD = "{yard}"  # in a word: the folder of surveys and lists, as it is named in these surroundings


@dataclass(frozen=True, slots=True)
class Surroundings:
    """Where and how commands are run."""

    folder: str  # below the one for the whole trial; all is run in folders below it
    yard: (
        str  # how a command is told of it: "yard" from where it stands, or by "{here}/yard" or "{here}/link"
    )
    variables: Mapping[str, str]
    umask: int
    written_s: int  # when every file of the yard was last changed, in seconds since 1970
    today_s: int  # what the program's own clock says all the while, likewise
    backwards: bool = False  # the last group first
    processors: int = 0  # 0: all there are


def lay_out(yard: Path, here: Path, written_s: int) -> None:
    """A copy of the yard below ``here``, and a link to it."""
    shutil.copytree(yard, here / "yard")
    (here / "link").symlink_to("yard", target_is_directory=True)
    for path in (here / "yard").rglob("*"):
        os.utime(path, (written_s, written_s))


def made_in(
    around: Surroundings, groups: Mapping[str, Sequence[Words]], yard: Path, trial: Path
) -> dict[str, bytes]:
    """Everything that groups of commands made, each group in a folder of its own.

    ``GROUP file`` has the file's bytes and ``GROUP $ words`` the exit code and what was printed, the folder
    of the yard in it as ``{yard}``.
    """
    top = trial / around.folder
    names = [*groups]
    plan: list[tuple[str, list[tuple[str, list[str]]]]] = []
    for name in reversed(names) if around.backwards else names:
        here = top / name
        here.mkdir(parents=True)
        lay_out(yard, here, around.written_s)
        told = around.yard.format(here=here)
        plan.append(
            (
                str(here),
                [(" ".join(call), [word.replace(YARD, told) for word in call]) for call in groups[name]],
            )
        )
    home = top / "home"
    home.mkdir()
    asked = {"calls": plan, "umask": around.umask, "processors": around.processors, "today_s": around.today_s}
    done = subprocess.run(
        [sys.executable, "-m", "tests.faults.surroundings"],
        input=json.dumps(asked).encode(),
        cwd=ROOT,
        env={**os.environ, "HOME": str(home), **around.variables, "PYTHONPATH": str(ROOT)},
        capture_output=True,
    )
    assert done.returncode == 0, done.stderr.decode()
    made = {f"{name} {path}": content for name in names for path, content in held(top / name).items()}
    for group, said, code, printed in json.loads(done.stdout):
        text = printed.replace(around.yard.format(here=group), YARD)
        made[f"{Path(group).name} $ {said}"] = f"{code}\n{text}".encode()
    return made


def held(folder: Path) -> dict[str, bytes]:
    """Every file below a folder, the yard's own too, by its path."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for where, _, names in os.walk(folder)
        for path in map(Path(where).joinpath, sorted(names))
        if path.is_file()
    }


def call(words: Sequence[str], printed: Path) -> int:
    """Run a command in a process forked from this one, its terminal a file; the exit code.

    Words like ``NAME=value`` before the command are variables for it, as a shell takes them.
    """
    child = os.fork()
    if child:
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    code: object = 70
    try:
        handle = os.open(printed, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        os.dup2(handle, 1)
        os.dup2(handle, 2)
        from harness.cli import main

        while "=" in words[0]:
            name, _, value = words[0].partition("=")
            os.environ[name], words = value, words[1:]
        main([*words], prog_name="harness")
    except SystemExit as ended:
        code = ended.code or 0
    except BaseException:
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code if isinstance(code, int) else 71)


def serve() -> None:
    """Be the process in the surroundings: load, do every call that is asked for, tell what was printed."""
    import harness.cli
    import harness.pipeline  # noqa: F401
    from harness.cli import clock
    from harness.making.outputs import warm

    warm()
    asked = json.load(sys.stdin)
    clock.now = lambda: datetime.fromtimestamp(asked["today_s"], UTC).astimezone()
    os.umask(asked["umask"])
    if asked["processors"]:
        os.sched_setaffinity(0, sorted(os.sched_getaffinity(0))[: asked["processors"]])
    told = []
    for group, calls in asked["calls"]:
        os.chdir(group)
        for said, words in calls:
            printed = Path(group).with_name("printed")
            code = call(words, printed)
            told.append((group, said, code, printed.read_text(encoding="utf-8")))
    json.dump(told, sys.stdout)


if __name__ == "__main__":
    serve()
