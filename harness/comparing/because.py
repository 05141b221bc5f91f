"""Why a fuse or a wire is not what it was: the loads behind it, its fuse, its way, its length, the air."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from harness.comparing.change import Change
from harness.comparing.pairing import Pairs
from harness.comparing.telling import DRAW, LENGTH_M, fused, metres
from harness.digits import plain
from harness.model.design import Design, LoadResult, Wire

MOST = 3  # reasons told of one change
SHARE = 0.01  # of a current that is another current
LIMITS = {  # what sets a size, in words
    "ampacity": "the current it may carry", "heat": "heat", "loom heat": "heat in its bundle",
    "short time": "short spells", "protection": "its fuse", "drop": "volt drop",
    "strap": "the rule for straps", "coupler": "its coupler contact",
    "mechanical": "the least size for strength", "survey": "the survey",
    "as wired": "what is in the machine",
}  # fmt: skip


class _Before:
    """Both designs by name."""

    def __init__(self, old: Design, new: Design, pairs: Pairs) -> None:
        self.old, self.new = old, new
        self.was = {(load.part, load.link): load for load in old.loads}
        self.now = {(load.part, load.link): load for load in new.loads}
        self.fuses = {fuse.name: fuse for fuse in old.fuses}, {fuse.name: fuse for fuse in new.fuses}
        self.wires: dict[tuple[str, str], tuple[Wire, Wire]] = {}
        for a, b in pairs.wires:
            if a is not None and b is not None:
                self.wires[old.wires[a].number, new.wires[b].number] = old.wires[a], new.wires[b]
        self.kinds = {part.name: part.kind for part in new.parts}

    def drawn(self, load: LoadResult, volts: float) -> str:
        """What a load draws; of a lamp in watts, for so it is bought."""
        if "lamp" in self.kinds.get(load.part, ""):
            return f"{plain(load.steady_a * volts)} W"
        return f"{plain(load.steady_a)} A"


def _fuse(before: _Before, name: str) -> Iterator[str]:
    """What changed of the loads behind a fuse."""
    for key, now in before.now.items():
        was = before.was.get(key)
        if was is None:
            if now.fuse == name:
                yield f"{now.part} is new and draws {before.drawn(now, before.new.machine.voltage_v)}"
        elif name in (was.fuse, now.fuse):
            if was.fuse != now.fuse:
                whose = f"is now behind {now.fuse or 'no fuse'}, not {was.fuse or 'any'}"
                yield f"{now.part} {whose}"
            elif abs(was.steady_a - now.steady_a) > DRAW * max(was.steady_a, now.steady_a):
                a = before.drawn(was, before.old.machine.voltage_v)
                yield f"{now.part} went from {a} to {before.drawn(now, before.new.machine.voltage_v)}"
            elif (was.peak_a or 0.0) != (now.peak_a or 0.0):
                a, b = (plain(each.peak_a or 0.0) for each in (was, now))
                yield f"the peak of {now.part} went from {a} A to {b} A"
    for key, was in before.was.items():
        if key not in before.now and was.fuse == name:
            yield f"{was.part} is gone"


def _wire(before: _Before, old: Wire, new: Wire) -> Iterator[str]:
    """What changed of what a wire has to do."""
    first, second = before.fuses[0].get(old.fuse), before.fuses[1].get(new.fuse)
    if first and second and first.name == second.name and fused(first) != fused(second):
        grew = "grew" if second.rating_a > first.rating_a else "went"
        yield f"{second.name} {grew} from {fused(first)} to {fused(second)}"
    elif old.fuse != new.fuse:
        yield f"it is now guarded by {new.fuse or 'no fuse'}, not {old.fuse or 'any'}"
    if abs(old.continuous_a - new.continuous_a) > SHARE * max(old.continuous_a, new.continuous_a):
        yield f"it carries {plain(new.continuous_a)} A, not {plain(old.continuous_a)} A"
    if abs(old.length_m - new.length_m) > LENGTH_M:
        yield f"it is {metres(new.length_m)} long, not {metres(old.length_m)}"
    if old.ambient_c != new.ambient_c:
        yield f"it lies in {new.ambient_c:g} °C, not {old.ambient_c:g} °C"
    if old.bundle_loaded != new.bundle_loaded:
        yield f"{new.bundle_loaded} loaded wires share its bundle, not {old.bundle_loaded}"
    if old.decided_by != new.decided_by:
        a, b = (LIMITS.get(each, each) for each in (old.decided_by, new.decided_by))
        yield f"its size is now set by {b}, not by {a}"


def _length(old: Wire, new: Wire) -> Iterator[str]:
    if old.runs != new.runs:
        yield "it lies another way"
    elif abs(old.run_length_m - new.run_length_m) > LENGTH_M / 4:
        yield f"its runs measure {metres(new.run_length_m)}, not {metres(old.run_length_m)}"


def _reasons(before: _Before, change: Change) -> Iterator[str]:
    if change.act != "changed":
        return
    if change.group == "fuses" and change.what == "rating":
        if change.old_name in before.fuses[0] and before.fuses[1][change.new_name].fixed:
            yield "the survey says so"
        yield from _fuse(before, change.new_name)
    elif change.group == "wires":
        both = before.wires.get((change.old_name, change.new_name))
        if both is not None and change.what == "size":
            found = tuple(_wire(before, *both))
            yield from found or ("the sizes along the way to a load are chosen together",)
        elif both is not None and change.what == "length":
            yield from _length(*both)


def with_reasons(changes: Sequence[Change], old: Design, new: Design, pairs: Pairs) -> Iterator[Change]:
    """The same changes, each with what it follows from."""
    before = _Before(old, new, pairs)
    for change in changes:
        found = tuple(dict.fromkeys(_reasons(before, change)))
        yield replace(change, because=found[:MOST]) if found else change
