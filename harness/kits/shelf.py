"""The kits there are: those that come with the program, and a user's own in folders of theirs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path

from harness.kinds import Kind
from harness.kinds import find as find_kind
from harness.kits.form import Content, Kit, KitPath
from harness.kits.paths import CABLE_STUD, FEEDS, GROUND, before, split_item, tokens, wrong_terminal
from harness.kits.reading import read_kit
from harness.model.limits import LIMITS
from harness.model.problem import Problem, SurveyWrong, Where
from harness.signs import unseen
from harness.survey.words import hint

ENDING = ".yaml"
MOST_FILES = LIMITS["kits in a folder"].most
BATTERIES = ("battery", "low battery", "high battery")


@cache
def built_in() -> Mapping[str, Kit]:
    """The kits that come with the program, by name, in their order."""
    found = [
        read_kit(item.read_bytes(), item.name, item.name.removesuffix(ENDING))
        for item in sorted(files(__package__).iterdir(), key=lambda item: item.name)
        if item.name.endswith(ENDING)
    ]
    return _in_order(found)


def _in_order(kits: Iterable[Kit]) -> dict[str, Kit]:
    return {kit.name: kit for kit in sorted(kits, key=lambda kit: (kit.order, kit.name))}


def shelf(folders: Iterable[Path] = ()) -> Mapping[str, Kit]:
    """All kits: a kit of a user's own goes before one of the same name.

    Raises SurveyWrong with every problem in every file of theirs.
    """
    kits, problems = dict(built_in()), list[Problem]()
    own: list[Kit] = []
    for folder in folders:
        for path in _files_in(folder, problems):
            at = unseen(path.name)
            if at is not None or set(path.name) & set("\t\n"):
                what = "the name of this file holds a sign that nobody sees"
                problems.append(Problem(Where(str(path)), what, "name it anew: a kit is called by its file"))
                continue
            try:
                kit = read_kit(path.read_bytes(), str(path), path.name.removesuffix(ENDING), own=True)
            except SurveyWrong as wrong:
                problems += wrong.problems
                continue
            except OSError as error:
                reason = error.strerror or str(error)
                problems.append(
                    Problem(Where(str(path)), f"cannot be read: {reason}", "look who may read it")
                )
                continue
            kits[kit.name] = kit
            own.append(kit)
    for kit in own:
        problems += wrong_words(kit, kits)
    if problems:
        raise SurveyWrong(problems)
    return _in_order(kits.values())


def _files_in(folder: Path, problems: list[Problem]) -> list[Path]:
    try:
        found = sorted(path for path in folder.iterdir() if path.name.endswith(ENDING) and path.is_file())
    except OSError as error:
        reason = error.strerror or str(error)
        what = f"the folder of kits cannot be opened: {reason}"
        problems.append(Problem(Where(str(folder)), what, "name a folder that holds one file for each kit"))
        return []
    if len(found) > MOST_FILES:
        what = f"holds {len(found)} kits, more than {MOST_FILES}"
        problems.append(Problem(Where(str(folder)), what, "name the folder that holds your kits alone"))
        return []
    return found


# ------------------------------------------------------------------------------------- what hangs together


def contents(kit: Kit) -> list[Content]:
    """What a kit holds, and what each of its variants does."""
    return [kit.content, *(each.content for each in kit.variants)]


def kinds_in(kits: Iterable[Kit]) -> dict[str, list[Kind]]:
    """Every part of these kits with its kind; in another variant it may be of another one."""
    found: dict[str, list[Kind]] = {}
    for part in (part for kit in kits for each in contents(kit) for part in each.parts):
        kind = find_kind(part.kind)
        found.setdefault(part.name, []).extend([kind] if kind else [])
    return found


def needed_by(kit: Kit, kits: Mapping[str, Kit]) -> dict[str, Kit]:
    """A kit with all it needs, and what that needs."""
    found: dict[str, Kit] = {}
    todo = [kit.name]
    while todo:
        name = todo.pop()
        if name in kits and name not in found:
            found[name] = kits[name]
            todo += [need for each in contents(kits[name]) for need in each.needs]
    return found


def wrong_words(kit: Kit, kits: Mapping[str, Kit]) -> list[Problem]:
    """What a kit's needs and paths name that is not there."""
    found = []
    for each in contents(kit):
        for need in each.needs:
            if need not in kits:
                what = f"kit {kit.name!r} needs a kit {need!r}, which is not there"
                found.append(Problem(kit.where, what, hint(need, kits)))
    names = kinds_in(needed_by(kit, kits).values()) | kinds_in([kit])
    for each in contents(kit):
        for circuit in each.circuits:
            for path in circuit.paths:
                found += _wrong_path(path, names)
    return found


def _wrong_path(path: KitPath, names: Mapping[str, list[Kind]]) -> list[Problem]:
    found = tokens(path.text)
    problems = []

    def say(at: int, what: str, fix: str) -> None:
        where = path.where
        problems.append(Problem(Where(where.file, where.line, where.column + found[at].at), what, fix))

    depth = 0
    for at, token in enumerate(found):
        depth += {"(": 1, ")": -1}.get(token.text, 0)
        if depth < 0:
            break
        if token.is_sign or token.is_spot:
            continue
        if token.text == GROUND:
            if before(found, at) is None:
                say(at, "a path cannot start at 'ground'", "start at a feed, and end at the ground")
            continue
        if token.text in FEEDS:
            if at:
                say(at, f"{token.text!r} can only stand first", "start a path of its own there")
            continue
        name, terminals = split_item(token.text, [*names, *BATTERIES, "engine stud", CABLE_STUD])
        if not name:
            words = [*names, *FEEDS, GROUND, "battery live", "battery chassis", "engine stud", CABLE_STUD]
            say(
                at,
                f"no part of this kit, or of those it needs, is called {token.text!r}",
                hint(token.text, words),
            )
            continue
        kinds = names.get(name, [])
        wrong = [wrong_terminal(kind, terminals) for kind in kinds]
        if wrong and all(wrong):
            known = [each.name for each in kinds[0].terminals]
            say(at, f"{name!r}, a {kinds[0].name}, has no terminal {wrong[0]!r}", hint(wrong[0], known))
    if depth or len(found) < 3:
        problems.append(
            Problem(path.where, f"{path.text!r} is not a path", "write A > B, and close every bracket")
        )
    return problems
