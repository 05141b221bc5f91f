"""What differs between two surveys as a list of edits, and a survey with such edits made in it.

A survey is taken as a tree here: texts, lists and mappings, as its reader sees them before it asks what they
mean. An edit names the way to what it is about by keys; an item of a list is named by what it says and not by
its place alone, so that an edit still finds it when others come and go.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Any

Tree = str | list[Any] | dict[str, Any]
MOST_WORDS = 120  # letters of a value in what people read


class BadEdit(Exception):
    """An edit, as it stands in a record, that is none."""


@dataclass(frozen=True, slots=True)
class Edit:
    """One thing changed, added (``old`` is None) or taken away (``new`` is None)."""

    at: tuple[str, ...]  # keys down to it; of an item: down to its list
    old: Tree | None
    new: Tree | None
    after: str | None = None  # of a key that was added: the one before it, "" for the first
    place: int | None = None  # of an item: where it stands in its list, counted from 1

    def held(self) -> dict[str, Any]:
        """The edit as a record keeps it."""
        more: dict[str, Any] = {}
        if self.after is not None:
            more["after"] = self.after
        if self.place is not None:
            more["item"] = self.place
        return {"at": list(self.at), "old": self.old, "new": self.new, **more}

    def words(self) -> str:
        """The edit for people: "parts.left head lamp.power: 55 W -> 70 W"."""
        name = ".".join(self.at) + (f", item {self.place}" if self.place is not None else "")
        if self.old is None:
            return f"{name}: new: {said(self.new)}"
        if self.new is None:
            return f"{name}: taken out: {said(self.old)}"
        return f"{name}: {said(self.old)} -> {said(self.new)}"


def said(tree: Tree | None) -> str:
    """A value in short."""
    words = _flat(tree)
    return words if len(words) <= MOST_WORDS else words[: MOST_WORDS - 3] + "..."


def _flat(tree: Tree | None) -> str:
    if isinstance(tree, dict):
        return "{" + ", ".join(f"{key}: {_flat(value)}" for key, value in tree.items()) + "}"
    if isinstance(tree, list):
        return "[" + ", ".join(map(_flat, tree)) + "]"
    return tree if tree else "nothing"


def edit_of(held: Any) -> Edit:
    """An edit out of a record; raises BadEdit."""
    if not isinstance(held, Mapping) or not {"at", "old", "new"} <= set(held):
        raise BadEdit("it does not say at, old and new")
    at, place, after = held["at"], held.get("item"), held.get("after")
    if not isinstance(at, list) or not at or not all(isinstance(key, str) for key in at):
        raise BadEdit("its way is no list of keys")
    if place is not None and (not isinstance(place, int) or isinstance(place, bool) or place < 1):
        raise BadEdit("its item is no number")
    if after is not None and not isinstance(after, str):
        raise BadEdit("the key before it is no text")
    for value in (held["old"], held["new"]):
        if value is not None and not _is_tree(value):
            raise BadEdit("its values are not texts, lists and mappings")
    if held["old"] is None and held["new"] is None:
        raise BadEdit("it says neither what was nor what is")
    return Edit(tuple(at), held["old"], held["new"], after, place)


def _is_tree(value: Any) -> bool:
    if isinstance(value, list):
        return all(map(_is_tree, value))
    if isinstance(value, dict):
        return all(map(_is_tree, value.values()))
    return isinstance(value, str)


# ----------------------------------------------------------------------------------------------- differences


def differences(old: Tree, new: Tree, at: tuple[str, ...] = ()) -> list[Edit]:
    """The edits that lead from one survey to the other, in the order they are to be made."""
    if isinstance(old, dict) and isinstance(new, dict):
        return list(_of_mapping(old, new, at))
    if isinstance(old, list) and isinstance(new, list):
        return list(_of_list(old, new, at))
    return [] if old == new else [Edit(at, old, new)]


def _of_mapping(old: dict[str, Any], new: dict[str, Any], at: tuple[str, ...]) -> Iterator[Edit]:
    before, after = [*old], [*new]
    steps = SequenceMatcher(a=before, b=after, autojunk=False).get_opcodes()
    for kind, a0, a1, _, _ in steps:  # first what goes: a key that moved is taken out and put in again
        if kind != "equal":
            yield from (Edit((*at, key), old[key], None) for key in before[a0:a1])
    for kind, _, _, b0, b1 in steps:
        for place in range(b0, b1):
            key = after[place]
            if kind == "equal":
                yield from differences(old[key], new[key], (*at, key))
            else:
                yield Edit((*at, key), None, new[key], after=after[place - 1] if place else "")


def _of_list(old: list[Any], new: list[Any], at: tuple[str, ...]) -> Iterator[Edit]:
    steps = SequenceMatcher(a=[*map(_key, old)], b=[*map(_key, new)], autojunk=False).get_opcodes()
    for kind, a0, a1, b0, b1 in steps:
        if kind == "equal":
            continue
        pairs = min(a1 - a0, b1 - b0)
        for step in range(pairs):
            yield Edit(at, old[a0 + step], new[b0 + step], place=b0 + step + 1)
        for item in old[a0 + pairs : a1]:
            yield Edit(at, item, None, place=b0 + pairs + 1)
        for step in range(b0 + pairs, b1):
            yield Edit(at, None, new[step], place=step + 1)


def _key(tree: Tree | None) -> str:
    return json.dumps(tree, ensure_ascii=False)


# -------------------------------------------------------------------------------------------------- making


def made(tree: Tree, edits: Sequence[Edit]) -> tuple[Tree, list[str]]:
    """The survey with the edits made in their order, and what was not as they expected it."""
    remarks: list[str] = []
    for edit in edits:
        tree, remark = _one(tree, edit)
        if remark:
            remarks.append(remark)
    return tree, remarks


def _one(tree: Tree, edit: Edit) -> tuple[Tree, str]:
    name = ".".join(edit.at)
    gone = f"{name}: is not in the survey any more, so nothing is changed there"
    whole = edit.at if edit.place is not None else edit.at[:-1]
    ways: list[dict[str, Any]] = []
    here: Any = tree
    for depth, key in enumerate(whole):
        if not isinstance(here, dict):
            return tree, gone
        if key not in here:
            listed = edit.place is not None and depth + 1 == len(whole)
            if edit.old is not None or not (listed or depth == 0):
                return tree, gone
            here = {**here, key: [] if listed else {}}
        ways.append(here)
        here = here[key]
    if edit.place is not None:
        fresh, remark = _item(here, edit, name)
    elif isinstance(here, dict):
        fresh, remark = _keyed(here, edit, name)
    else:
        fresh, remark = None, gone
    if fresh is None:
        return tree, remark
    for key, holder in zip(reversed(whole), reversed(ways), strict=True):
        fresh = {**holder, key: fresh}
    return fresh, remark


def _keyed(here: dict[str, Any], edit: Edit, name: str) -> tuple[Tree | None, str]:
    """A key of a mapping changed, added or taken out; None where there is nothing to do."""
    key = edit.at[-1]
    now = here.get(key)
    if _same(now, edit.new):
        return None, ""
    remark = ""
    if not _same(now, edit.old):
        found = f"says {said(now)}" if now is not None else "says nothing of it"
        was = f"said {said(edit.old)}" if edit.old is not None else "said nothing of it"
        remark = f"{name}: the survey {found} now and {was} when the change was kept; the change goes first"
    if edit.new is None:
        return {each: value for each, value in here.items() if each != key}, remark
    if key in here or edit.after is None or (edit.after and edit.after not in here):
        return {**here, key: edit.new}, remark
    fresh: dict[str, Any] = {} if edit.after else {key: edit.new}
    for each, value in here.items():
        fresh[each] = value
        if each == edit.after:
            fresh[key] = edit.new
    return fresh, remark


def _same(one: Tree | None, other: Tree | None) -> bool:
    return _key(one) == _key(other)


def _item(here: Any, edit: Edit, name: str) -> tuple[Tree | None, str]:
    """An item of a list; a single text stands for a list of one."""
    items = [here] if isinstance(here, str) and here else list(here) if isinstance(here, list) else []
    assert edit.place is not None
    place = min(edit.place - 1, len(items))
    if edit.old is None:
        assert edit.new is not None
        return [*items[:place], edit.new, *items[place:]], ""
    keys = [*map(_key, items)]
    wanted = _key(edit.old)
    if wanted not in keys:
        if edit.new is not None and _key(edit.new) in keys:
            return None, ""
        return None, f"{name}: the survey has no {said(edit.old)} any more, so nothing is changed there"
    at = place if place < len(keys) and keys[place] == wanted else keys.index(wanted)
    return [*items[:at], *([edit.new] if edit.new is not None else []), *items[at + 1 :]], ""
