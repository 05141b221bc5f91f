"""Goes through everything two designs hold and tells each difference once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import fields, is_dataclass, replace
from functools import cache
from typing import Any, TypeVar

from harness.comparing import telling
from harness.comparing.because import with_reasons
from harness.comparing.change import GROUPS, Change, Comparison, Side
from harness.comparing.pairing import Pairs, paired, pairs_by
from harness.comparing.shopping import goods
from harness.comparing.telling import Fact, wire_words
from harness.model.design import Design, Finding, LoadResult, MachineInfo, RunResult, Wire

T = TypeVar("T")

DAYS = 0.05  # share by which the days a battery lasts may differ untold
CHARGE_A = 0.2


def _facts(
    facts: Sequence[Fact[T]], old: T, new: T, subject: str, names: tuple[str, str], lead: str = ""
) -> Iterator[Change]:
    for fact in facts:
        if fact.differ(old, new):
            yield Change(
                fact.group, "changed", subject, *names, f"{lead}{fact.what}", fact.words(old), fact.words(new)
            )


def _rows(
    group: str, old: Sequence[T], new: Sequence[T], pairs: Sequence[tuple[int | None, int | None]],
    facts: Sequence[Fact[T]], name: Callable[[T], str], about: Callable[[T], str], word: str,
) -> Iterator[Change]:  # fmt: skip
    """Things that came, went, are called otherwise or are otherwise."""
    for a, b in pairs:
        if a is None and b is not None:
            called = name(new[b])
            yield Change(group, "added", f"{word} {called}".strip(), "", called, now=about(new[b]))
        elif b is None and a is not None:
            called = name(old[a])
            yield Change(group, "removed", f"{word} {called}".strip(), called, "", was=about(old[a]))
        elif a is not None and b is not None:
            names = name(old[a]), name(new[b])
            subject = f"{word} {names[1]}".strip()
            if names[0] != names[1]:
                yield Change("numbers", "changed", subject, *names, "name", *names)
            yield from _facts(facts, old[a], new[b], subject, names)


# ------------------------------------------------------------------------------------------- wires


def _wire_about(wire: Wire) -> str:
    return f"{wire.size} {wire.colour} {wire.cable}, {telling.metres(wire.length_m)}, circuit {wire.circuit}"


def _ends(wire: Wire) -> list[tuple[str, str, str]]:
    """Both ends: place to match by, words, terminal."""
    return [
        (str(point), f"{point} ({point.place})", end.terminal or "none")
        for point, end in ((wire.from_, wire.from_end), (wire.to, wire.to_end))
    ]


def _turned(old: Wire, new: Wire, splices: dict[str, str], parts: dict[str, str]) -> bool:
    """Whether the far end of one is the near end of the other."""

    def called(wire: Wire, far: bool) -> str:
        point = wire.to if far else wire.from_
        names = splices if point.kind == "splice" else parts
        return str(replace(point, part=names.get(point.part, point.part)))

    straight = (called(old, False) == str(new.from_)) + (called(old, True) == str(new.to))
    crossed = (called(old, False) == str(new.to)) + (called(old, True) == str(new.from_))
    return crossed > straight


def _wires(old: Design, new: Design, pairs: Pairs) -> Iterator[Change]:
    splices = {
        old.splices[a].name: new.splices[b].name for a, b in pairs.splices if a is not None and b is not None
    }
    parts = {old.parts[a].name: new.parts[b].name for a, b in pairs.parts if a is not None and b is not None}
    for a, b in pairs.wires:
        if a is None and b is not None:
            wire = new.wires[b]
            yield Change("wires", "added", wire_words(wire), "", wire.number, now=_wire_about(wire))
        elif b is None and a is not None:
            wire = old.wires[a]
            yield Change("wires", "removed", wire_words(wire), wire.number, "", was=_wire_about(wire))
        elif a is not None and b is not None:
            yield from _wire(old.wires[a], new.wires[b], splices, parts)


def _wire(old: Wire, new: Wire, splices: dict[str, str], parts: dict[str, str]) -> Iterator[Change]:
    subject, names = wire_words(new), (old.number, new.number)
    if old.number != new.number:
        yield Change("numbers", "changed", subject, *names, "number", *names)
    ends = list(zip((old.from_, old.to), _ends(old), strict=True))
    if _turned(old, new, splices, parts):
        ends.reverse()
    for (point, (_, was, was_terminal)), (is_, (_, now, terminal)) in zip(
        ends, zip((new.from_, new.to), _ends(new), strict=True), strict=True
    ):
        known = splices if point.kind == "splice" else parts
        same = point.kind == is_.kind and point.terminal == is_.terminal
        if not same or known.get(point.part, "") != is_.part:
            yield Change("wires", "changed", subject, *names, "end", was, now)
        if was_terminal != terminal:
            yield Change("wires", "changed", subject, *names, telling.TERMINAL, was_terminal, terminal)
    yield from _facts(telling.WIRE, old, new, subject, names)


# ------------------------------------------------------------------------------- loads and sources


def _worst(old: LoadResult, new: LoadResult) -> tuple[str, float, float] | None:
    """The mode in which the volts of a load differ most, and both."""
    before = {mode.mode: mode.volts_v for mode in old.modes}
    both = [(mode.mode, before[mode.mode], mode.volts_v) for mode in new.modes if mode.mode in before]
    return max(both, key=lambda each: (round(abs(each[1] - each[2]), 6), each[0]), default=None)


def _loads(old: Design, new: Design) -> Iterator[Change]:
    most = telling.VOLTS * max(old.machine.voltage_v, new.machine.voltage_v)
    for a, b in pairs_by(old.loads, new.loads, lambda load: (load.part, load.link)):
        if a is None or b is None:
            continue  # told as a part
        was, now = old.loads[a], new.loads[b]
        names = was.part, now.part
        yield from _facts(telling.LOAD, was, now, now.part, names)
        worst = _worst(was, now)
        if worst is not None and abs(worst[1] - worst[2]) > most:
            mode, before, after = worst
            yield Change(
                "loads", "changed", now.part, *names, f"volts in {mode}", f"{before:.2f} V", f"{after:.2f} V"
            )


def _sources(old: Design, new: Design) -> Iterator[Change]:
    most = telling.VOLTS * max(old.machine.voltage_v, new.machine.voltage_v)
    for a, b in pairs_by(old.starts, new.starts, lambda each: (each.mode, each.part, each.link)):
        if a is None or b is None:
            continue
        one, two = old.starts[a], new.starts[b]
        if abs(one.volts_v - two.volts_v) > most:
            yield Change(
                "sources", "changed", two.part, one.part, two.part, f"volts in {two.mode}, cold",
                f"{one.volts_v:.2f} V", f"{two.volts_v:.2f} V",
            )  # fmt: skip
    for a, b in pairs_by(old.standing, new.standing, lambda each: each.mode):
        if a is None or b is None:
            continue
        rest, now = old.standing[a], new.standing[b]
        if abs(rest.days - now.days) > DAYS * max(rest.days, now.days):
            yield Change(
                "sources", "changed", "battery", "battery", "battery", f"days it may stand in {now.mode}",
                f"{rest.days:.2g}", f"{now.days:.2g}",
            )  # fmt: skip
    for a, b in pairs_by(old.charge_balance, new.charge_balance, lambda each: (each.mode, each.speed)):
        if a is None or b is None:
            continue
        first, second = old.charge_balance[a], new.charge_balance[b]
        if abs(first.battery_a - second.battery_a) > CHARGE_A:
            what = f"current into it in {second.mode}, {second.speed} speed"
            yield Change(
                "sources", "changed", "battery", "battery", "battery", what,
                f"{first.battery_a:.1f} A", f"{second.battery_a:.1f} A",
            )  # fmt: skip


# ---------------------------------------------------------------------------------------- findings


def _findings(old: Design, new: Design, pairs: Pairs) -> Iterator[Change]:
    numbers = {
        old.wires[a].number: new.wires[b].number for a, b in pairs.wires if a is not None and b is not None
    }

    def key(finding: Finding, *, mapped: bool) -> Hashable:
        subject = numbers.get(finding.subject, finding.subject) if mapped else finding.subject
        return finding.rule, finding.severity, subject

    left: dict[Hashable, list[Finding]] = defaultdict(list)
    for finding in old.findings:
        left[key(finding, mapped=True)].append(finding)
    for finding in new.findings:
        same = left[key(finding, mapped=False)]
        if same:
            same.pop(0)
            continue
        group = "advice" if finding.severity == "advice" else "dangers"
        subject = f"{finding.severity}: {finding.subject}"
        yield Change(group, "added", subject, "", finding.subject, now=finding.text)
    for finding in (each for rest in left.values() for each in rest):
        group = "advice" if finding.severity == "advice" else "dangers"
        subject = f"{finding.severity}: {finding.subject}"
        yield Change(group, "removed", subject, finding.subject, "", was=finding.text)


# ------------------------------------------------------------------------------------- the whole


def _run_key(run: RunResult) -> tuple[str, ...]:
    return tuple(sorted((run.start, run.end)))


def _all(old: Design, new: Design, pairs: Pairs) -> Iterator[Change]:
    yield from _findings(old, new, pairs)
    yield from _facts(telling.MACHINE, old, new, "the machine", (old.machine.name, new.machine.name))
    by_name = pairs_by(old.fuses, new.fuses, lambda fuse: (fuse.name, fuse.part, fuse.link))
    yield from _rows("fuses", old.fuses, new.fuses, by_name, telling.FUSE,
                     lambda fuse: fuse.name, telling.fused, "fuse")  # fmt: skip
    yield from _wires(old, new, pairs)
    yield from _rows("splices", old.splices, new.splices, pairs.splices, telling.SPLICE,
                     lambda each: each.name, lambda each: each.spot or each.place, "splice")  # fmt: skip
    by_name = pairs_by(old.circuits, new.circuits, lambda circuit: circuit.name)
    yield from _rows("circuits", old.circuits, new.circuits, by_name, telling.CIRCUIT,
                     lambda circuit: circuit.name, lambda each: "; ".join(each.texts), "circuit")  # fmt: skip
    yield from _rows("parts", old.parts, new.parts, pairs.parts, telling.PART,
                     lambda part: part.name, lambda part: f"{part.title}, {part.place}", "")  # fmt: skip
    by_name = pairs_by(old.runs, new.runs, _run_key)
    yield from _rows("runs", old.runs, new.runs, by_name, telling.RUN, lambda run: run.name,
                     lambda run: f"{telling.metres(run.length_m)}, zone {run.zone}", "run")  # fmt: skip
    yield from _places(old, new)
    by_name = pairs_by(old.modes, new.modes, lambda mode: mode.name)
    yield from _rows("modes", old.modes, new.modes, by_name, telling.MODE, lambda mode: mode.name,
                     lambda mode: f"engine {mode.engine}", "mode")  # fmt: skip
    yield from _loads(old, new)
    yield from _sources(old, new)
    by_name = pairs_by(old.couplers, new.couplers, lambda coupler: coupler.name)
    yield from _rows("couplers", old.couplers, new.couplers, by_name, telling.COUPLER,
                     lambda each: each.name, lambda each: f"{len(each.ways)} ways", "coupler")  # fmt: skip


def _places(old: Design, new: Design) -> Iterator[Change]:
    for place, zone in new.places.items():
        if place not in old.places:
            yield Change("places", "added", f"place {place}", "", place, now=f"zone {zone}")
        elif old.places[place] != zone:
            yield Change("places", "changed", f"place {place}", place, place, "zone", old.places[place], zone)
    for place, zone in old.places.items():
        if place not in new.places:
            yield Change("places", "removed", f"place {place}", place, "", was=f"zone {zone}")


# Where it was read from, and by what: not the wiring.
ASIDE = {(MachineInfo, "file"), (MachineInfo, "digest"), (Design, "program"), (Finding, "where")}


@cache
def _names(kind: Any) -> tuple[str, ...]:
    """Fields of a dataclass that are looked at."""
    return tuple(each.name for each in fields(kind) if (kind, each.name) not in ASIDE)


def alike(a: Any, b: Any) -> bool:
    """Whether two values are the same but for what a data file rounds away."""
    if a is b:
        return True
    if isinstance(a, str) or isinstance(b, str):
        return bool(a == b)
    if isinstance(a, float | int) and isinstance(b, float | int):
        return abs(a - b) <= 1e-5 * max(abs(a), abs(b)) + 1e-7
    if isinstance(a, dict) and isinstance(b, dict):
        return a.keys() == b.keys() and all(alike(a[key], b[key]) for key in a)
    if isinstance(a, list | tuple) and isinstance(b, list | tuple):
        return len(a) == len(b) and all(alike(one, two) for one, two in zip(a, b, strict=True))
    if type(a) is type(b) and is_dataclass(a):
        return all(alike(getattr(a, name), getattr(b, name)) for name in _names(a.__class__))
    return bool(a == b)


def _notes(old: Design, new: Design, *, same: bool) -> tuple[str, ...]:
    first, second = old.machine, new.machine
    notes = []
    if same and first.digest != second.digest:
        notes.append("The surveys are not written alike, but the wiring they give is the same.")
    if not same and first.revision == second.revision:
        if first.revision:
            notes.append(
                f"Both are called revision {first.revision} and they differ: give the new one a revision of "
                "its own, or drawings of both will be mixed up."
            )
        elif first.name == second.name:
            notes.append(
                "Neither names a revision: write 'revision:' under 'machine:', then drawings tell them apart."
            )
    if first.name != second.name:
        notes.append("The two are not called alike: are they the same machine?")
    if old.program != new.program:
        notes.append(f"Made by {old.program} and by {new.program}: what differs may come from the program.")
    return tuple(notes)


def compare(old: Design, new: Design) -> Comparison:
    """Tell all that differs between two designs, the most weighty first."""
    pairs = paired(old, new)
    found = list(_all(old, new, pairs))
    buy, bring_back = goods(old.materials, new.materials)
    if not found and not buy and not bring_back and not alike(old, new):
        words = "figures too small to build or buy by"
        found.append(
            Change("small", "changed", "the design", "", "", words, "as in the old", "as in the new")
        )
    rank = {group: at for at, group in enumerate(GROUPS)}
    acts = {"added": 0, "removed": 1, "changed": 2}
    found.sort(key=lambda change: (rank[change.group], acts[change.act]))
    changes = tuple(with_reasons(found, old, new, pairs))
    sides = [Side(each.machine.name, each.machine.revision, each.machine.file, each.machine.digest)
             for each in (old, new)]  # fmt: skip
    same = not (changes or buy or bring_back)
    return Comparison(sides[0], sides[1], changes, buy, bring_back, _notes(old, new, same=same))
