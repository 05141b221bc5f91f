"""A change as it is typed, `parts.left head lamp.power = 70 W`, as an edit of a survey."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches
from typing import Any

from harness.record.edits import BadEdit, Edit, Tree, said
from harness.survey.units import whole

ADDED = "+"  # in place of a number: one more of the list
EXAMPLE = "'parts.left head lamp.power = 70 W'"


def typed_edit(tree: Tree, words: str) -> Edit:
    """The edit that ``words`` ask for in this survey; nothing behind the equals sign takes the thing out.

    Keys stand between full stops; an item of a list is named by its number, counted from 1, a run also as
    "left rail to bulkhead"; + adds one. Raises BadEdit with the nearest right word.
    """
    way, equals, value = words.partition("=")
    if not equals or not way.strip():
        raise BadEdit(f"{words!r} is no change; write it as {EXAMPLE}")
    steps = _steps(tree, way.strip())
    new = _value(value.strip(), words)
    at = next((place for place, step in enumerate(steps) if isinstance(step, int)), None)
    if at is None:
        return _keyed(tree, [str(step) for step in steps], new)
    return _item(tree, [str(step) for step in steps[:at]], steps[at:], new)


def _value(words: str, whole: str) -> Tree | None:
    """What stands behind the equals sign: a text, or in brackets, braces or quotes what YAML reads there."""
    if not words:
        return None
    if words[0] not in "{[\"'":
        return words
    from harness.model.problem import SurveyWrong
    from harness.survey.yamltext import compose

    try:
        node, problems = compose(words, "value")
    except SurveyWrong as wrong:
        problems = wrong.problems
    if problems:
        raise BadEdit(f"{whole!r}: {problems[0].what}; {problems[0].fix}")
    from harness.record.trees import tree_of

    return tree_of(node)


def _steps(tree: Tree, way: str) -> list[str | int]:
    """The keys and numbers a way goes by; the last one need not be there yet."""
    steps: list[str | int] = []
    here: Any = tree
    rest: str | None = way
    while rest is not None:
        step, rest = _step(here, rest, steps)
        steps.append(step)
        if isinstance(step, int):
            items = _items(here)
            here = items[step] if step < len(items) else None
        else:
            here = here.get(step) if isinstance(here, dict) else None
    return steps


def _step(here: Any, rest: str, steps: Sequence[str | int]) -> tuple[str | int, str | None]:
    """The next key or number, and what is left of the way behind it."""
    inside = ".".join(map(str, steps)) or "the survey"
    head, stop, tail = rest.partition(".")
    head, after = head.strip(), tail.strip() if stop else None
    if isinstance(here, dict):
        for key in sorted(here, key=len, reverse=True):  # a name may have full stops in it
            if rest.lower() == key.lower() or rest.lower().startswith(f"{key.lower()}."):
                return key, rest[len(key) + 1 :].strip() if len(rest) > len(key) else None
        if after is not None and steps:
            near = get_close_matches(head, here, n=1)
            hint = f"did you mean {near[0]!r}?" if near else f"there are: {', '.join([*here][:12])}"
            raise BadEdit(f"there is no {head!r} in {inside}; {hint}")
        return (head, after) if after is not None else (rest.strip(), None)
    if here is None:  # in a section, or below an item, that is made by this
        return head, after
    if isinstance(here, str) and not (head == ADDED or head.isdecimal()):
        raise BadEdit(f"{inside} is {said(here)}, and nothing stands below that")
    return _number(here, rest, inside)


def _items(here: Any) -> list[Any]:
    return here if isinstance(here, list) else [here] if here else []


def _number(here: Any, rest: str, inside: str) -> tuple[int, str | None]:
    items = _items(here)
    for place, item in enumerate(items):
        if isinstance(item, dict) and isinstance(item.get("from"), str) and isinstance(item.get("to"), str):
            for one, other in ((item["from"], item["to"]), (item["to"], item["from"])):
                name = f"{one} to {other}".lower()
                if rest.lower() == name or rest.lower().startswith(f"{name}."):
                    return place, rest[len(name) + 1 :].strip() if len(rest) > len(name) else None
    head, stop, tail = rest.partition(".")
    head, after = head.strip(), tail.strip() if stop else None
    if head == ADDED:
        return len(items), after
    number = whole(head, 1, len(items))
    if number is not None:
        return number - 1, after
    raise BadEdit(
        f"there is no {head!r} in {inside}: write a number from 1 to {len(items)}, or + for one more"
        if items
        else f"{inside} is empty; write + for the first"
    )


def _keyed(tree: Tree, steps: list[str], new: Tree | None) -> Edit:
    here: Any = tree
    for depth, step in enumerate(steps[:-1]):
        if depth and not (isinstance(here, dict) and isinstance(here.get(step), dict)):
            whole = ".".join(steps[: depth + 1])
            raise BadEdit(f"there is no {whole!r} yet; say all of it at once: '{whole} = {{...}}'")
        here = here.get(step, {}) if isinstance(here, dict) else {}
    here = here if isinstance(here, dict) else {}
    old = here.get(steps[-1])
    _differs(".".join(steps), old, new)
    last = next(reversed(here), "") if old is None else None
    return Edit(tuple(steps), old, new, after=last)


def _item(tree: Tree, steps: list[str], below: Sequence[str | int], new: Tree | None) -> Edit:
    here: Any = tree
    for step in steps:
        here = here.get(step, []) if isinstance(here, dict) else []
    items = _items(here)
    assert isinstance(below[0], int)
    old = items[below[0]] if below[0] < len(items) else None
    fresh = _changed(old, below[1:], new)
    _differs(f"{'.'.join(steps)}, item {below[0] + 1}", old, fresh)
    return Edit(tuple(steps), old, fresh, place=below[0] + 1)


def _changed(item: Any, steps: Sequence[str | int], new: Tree | None) -> Any:
    """The item with what stands at ``steps`` in it exchanged."""
    if not steps:
        return new
    key = steps[0]
    if isinstance(key, int):
        items = _items(item)
        fresh = _changed(items[key] if key < len(items) else None, steps[1:], new)
        return [*items[:key], *([] if fresh is None else [fresh]), *items[key + 1 :]]
    holder = item if isinstance(item, dict) else {}
    fresh = _changed(holder.get(key), steps[1:], new)
    if fresh is None:
        return {each: value for each, value in holder.items() if each != key}
    return {**holder, key: fresh}


def _differs(name: str, old: Tree | None, new: Tree | None) -> None:
    if old is None and new is None:
        raise BadEdit(f"{name}: is not there, so it cannot be taken out")
    if old == new:
        raise BadEdit(f"{name}: says {said(old)} already")
