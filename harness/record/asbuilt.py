"""The survey of a machine as it is today: the one it was built from with all changes of its record made."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from harness.record.edits import BadEdit, Edit, Tree, differences, edit_of, made
from harness.record.entry import Entry
from harness.record.trees import mended, tree_of_text

EDITS = "edits"  # the field of a change that holds them
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")


@dataclass(frozen=True, slots=True)
class Change:
    """A change of the record whose edits can be made."""

    number: int
    day: str
    edits: tuple[Edit, ...]


@dataclass(frozen=True, slots=True)
class AsBuilt:
    """A survey with changes made in it."""

    tree: Tree  # with the survey's own revision still
    last: Change | None
    remarks: tuple[str, ...] = ()  # what could not be made, or was not as it was when the change was kept

    @property
    def revision(self) -> str:
        """What title blocks say of this state: "B.7, 2026-11-26".

        That is the survey's own revision up to a comma, the number of the last change, and its day. Of a
        survey that names none "as built 7, 2026-11-26"; its own where nothing was changed.
        """
        own = own_revision(self.tree)
        if self.last is None:
            return own
        head = own.partition(",")[0].strip()
        number = f"{head}.{self.last.number}" if head else f"as built {self.last.number}"
        return f"{number}, {self.last.day}" if self.last.day else number

    def stamped(self) -> Tree:
        """The tree with that revision in it."""
        return with_revision(self.tree, self.revision)


def own_revision(tree: Tree) -> str:
    """The revision that a survey names, "" where it names none."""
    machine = tree.get("machine") if isinstance(tree, dict) else None
    own = machine.get("revision", "") if isinstance(machine, dict) else ""
    return own if isinstance(own, str) else ""


def with_revision(tree: Tree, revision: str) -> Tree:
    """The tree with this revision in it, without any for ""."""
    if not isinstance(tree, dict) or not isinstance(tree.get("machine"), dict):
        return tree
    machine = {key: value for key, value in tree["machine"].items() if revision or key != "revision"}
    return {**tree, "machine": {**machine, **({"revision": revision} if revision else {})}}


def changes_of(entries: Sequence[Entry]) -> tuple[list[Change], list[str]]:
    """The changes in a record that have edits, in their order, and what is wrong with others."""
    found: list[Change] = []
    remarks: list[str] = []
    for entry in entries:
        held: Any = entry.fields.get(EDITS)
        if entry.kind != "change" or held is None:
            continue
        try:
            if not isinstance(held, list):
                raise BadEdit("its edits are no list")
            edits = tuple(map(edit_of, held))
        except BadEdit as error:
            remarks.append(f"change {entry.number}: cannot be made: {error}")
            continue
        if not entry.sound:
            remarks.append(f"change {entry.number}: its line was altered after it was written")
        found.append(Change(entry.number, entry.day if _DAY.fullmatch(entry.day) else "", edits))
    return found, remarks


def until(changes: Sequence[Change], *, number: int | None = None, day: str = "") -> list[Change]:
    """The changes up to a number, and up to a day, both included."""
    return [
        change
        for change in changes
        if (number is None or change.number <= number) and (not day or change.day <= day)
    ]


def with_changes(tree: Tree, changes: Sequence[Change]) -> AsBuilt:
    """The survey with these changes made in their order."""
    remarks: list[str] = []
    for change in changes:
        tree, found = made(tree, change.edits)
        remarks += [f"change {change.number}: {remark}" for remark in found]
    return AsBuilt(tree, changes[-1] if changes else None, tuple(remarks))


def edits_of_copy(text_tree: Tree, changes: Sequence[Change], edited: Tree) -> list[Edit]:
    """What was edited in a copy, held against the state of the survey that the copy was made of.

    That state is known by the copy's revision; a revision that is none of them is itself one of the edits,
    and the copy is held against the survey as it is today.
    """
    states = [AsBuilt(text_tree, None)]
    for change in changes:
        states.append(AsBuilt(made(states[-1].tree, change.edits)[0], change))
    for state in reversed(states):
        if state.revision == own_revision(edited):
            return differences(state.tree, with_revision(edited, own_revision(state.tree)))
    return differences(states[-1].tree, edited)


def survey_text(text: str, name: str, state: AsBuilt) -> tuple[str, tuple[str, ...]]:
    """The YAML of a state, made out of the survey's own text, and the sections that lost their remarks."""
    stamped = state.stamped()
    if stamped == tree_of_text(text, name):
        return text, ()
    return mended(text, stamped)
