"""The survey of a plan as text: laid out for a person who will measure, with what to measure beside it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from textwrap import wrap

from harness.kits.form import SIZES, SortRun
from harness.kits.plan import Chosen, Plan, PlannedCircuit, PlannedPart
from harness.kits.yamlwords import doubtful, scalar
from harness.survey.doubts import DOUBTED, MARK

WIDE = 104
CABLES = {"AWG": "GXL", "mm2": "class C"}

HEAD = """\
# {name}: a first survey, made of kits by `harness start`.
#
# A figure with a question mark behind it (1.2 m?) is not measured: it is only what is usual on a machine
# like this. It counts like any other, and every result lists it as assumed. So:
#   1. Go to the machine with a string and a rule. Correct every length, and what else is marked,
#      and take its question mark away.
#   2. Cross out what your machine does not have: the part, and the path that names it.
#   3. harness check {file}     tells every slip of the pen, with its line
#      harness build {file}     sizes, drawings, lists, and what is dangerous or wrong in the design
# How to read it:
#   >        one wire, from the thing on its left to the thing on its right
#   (a, b)   one wire to a joint, and from the joint one wire to each
#   30/87    through a part, in at 30 and out at 87
# Every key: harness guide survey. The kits: harness guide kits.
"""

ZONES = """\
# How hot it gets where the wires lie, wet or dry, and whether boots and stones can reach them (closed).
# Measure: tape a thermometer where the loom lies and let the machine work for an hour on a warm day."""
BODIES = """\
# Lumps of metal that carry current back. Nothing comes back through rubber, a bearing or a hinge pin:
# each lump is tied to the next by a strap (circuit Straps)."""
RUNS = """\
# The way of the loom. Measure every run with a string along the real way, not in a straight line; over a
# hinge with the joint at full travel. Where it passes a plate, add the bore and the thickness:
#   hole: 32 mm, plate: 3 mm
# Where it touches what harms it: near: [exhaust, edge, hose, fuel line]"""
PARTS = """\
# What is on the machine. Read watts off the bulb or the plate, or measure with the part on the bench, and
# take the question mark away. A fuse has no rating on purpose: the tool picks it."""
GROUNDS = """\
# Where current goes back into the metal: bright metal, toothed washer, grease; four rings a stud at most."""
CIRCUITS = """\
# The way current takes, as a finger traces it. `works in` says in which state of the machine it draws."""
MODES = """\
modes:
  parked:     {engine: stopped}
  cranking:   {engine: cranking}
  running:    {engine: running}
  night work: {engine: running}
"""


def survey_text(plan: Plan, file: str) -> str:
    """The whole survey; ``file`` is what it will be called."""
    wish = plan.wish
    lines = [
        HEAD.format(name=" ".join(wish.name.split()), file=file),
        *_machine(plan),
        "",
        *ZONES.splitlines(),
        "zones:",
        *_aligned([(f"{scalar(name)}:", text) for name, text in _zones(plan)]),
        "",
        *BODIES.splitlines(),
        "bodies:",
        *[f"  {scalar(name)}: {{}}  # {text}" for name, text in _bodies(plan)],
        "",
        *RUNS.splitlines(),
        "# The places:",
        *_places(plan),
        "runs:",
        *_runs(plan.runs, wish.size),
        "",
        *PARTS.splitlines(),
        "parts:",
        *_parts(plan),
        "",
        MODES,
        *CIRCUITS.splitlines(),
        "circuits:",
        *_circuits(plan),
    ]
    notes = [note for each in plan.chosen for content in each.contents for note in content.notes]
    if notes:
        lines += ["", "notes:", *[f"  - {json.dumps(note, ensure_ascii=False)}" for note in notes]]
    return "\n".join(lines) + "\n"


def _machine(plan: Plan) -> list[str]:
    wish = plan.wish
    return [
        "machine:",
        f"  name: {scalar(wish.name)}",
        f"  voltage: {wish.volts:g} V",
        f"  chassis post: {wish.post}      # which battery post goes to the metal: trace the cable",
        f"  cable: {CABLES[wish.sizes]}",
        f"  sizes: {wish.sizes}",
        f"  # started as: {wish.sort.title}, {SIZES[wish.size]}",
    ]


def _zones(plan: Plan) -> list[tuple[str, str]]:
    used = {run.zone for run in plan.runs}
    return [(name, text) for name, text in plan.wish.sort.zones.items() if name in used]


def _bodies(plan: Plan) -> list[tuple[str, str]]:
    used = {part.body for part in [*plan.parts, *plan.grounds]}
    return [(name, text) for name, text in plan.wish.sort.bodies.items() if name in used]


def _places(plan: Plan) -> list[str]:
    width = max(map(len, plan.places), default=0)
    return [f"#   {place:<{width}}  {text}" for place, text in plan.places.items()]


def _aligned(rows: Iterable[tuple[str, str]]) -> list[str]:
    found = list(rows)
    width = max((len(key) for key, _ in found), default=0)
    return [f"  {key:<{width}} {text}" for key, text in found]


def _runs(runs: Iterable[SortRun], size: int) -> list[str]:
    rows = [
        (
            f"from: {scalar(run.start)},",
            f"to: {scalar(run.end)},",
            f"length: {run.lengths[size]}{MARK},",
            f"zone: {scalar(run.zone)}"
            + (", hinge: yes, strands: fine, covering: braid" if run.hinge else ""),
        )
        for run in runs
    ]
    widths = [max(len(row[at]) for row in rows) for at in range(3)] if rows else []
    return [
        "  - {"
        + " ".join(f"{cell:<{width}}" for cell, width in zip(row[:3], widths, strict=True))
        + f" {row[3]}}}"
        for row in rows
    ]


def comment(text: str, indent: str, first: str = "") -> list[str]:
    """A remark folded to the width of the page."""
    lines = wrap(text, WIDE - len(indent) - 2, initial_indent=first, subsequent_indent=" " * len(first))
    return [f"{indent}# {line}" for line in lines]


def heading(chosen: Chosen, indent: str = "  ") -> Iterator[str]:
    """The head of a kit's parts: what it is, what to measure, cautions."""
    variant = f": {chosen.variant.title}" if chosen.variant and len(chosen.kit.variants) > 1 else ""
    title = f"--- {chosen.kit.title}{variant} "
    yield f"{indent}# {title}{'-' * max(3, WIDE - len(title) - 4)}"
    for content in chosen.contents:
        for text in content.measure:
            yield from comment(text, indent, "measure: ")
        for text in content.cautions:
            yield from comment(text, indent, "caution: ")


def part_line(part: PlannedPart) -> str:
    """What stands behind a part's name."""
    words = [f"is: {scalar(part.kind)}", f"at: {scalar(part.place)}"]
    words += [f"on: {scalar(part.body)}"] if part.body else []
    words += [f"{key}: {_doubted(key, text)}" for key, text in part.values]
    return "{" + ", ".join(words) + "}"


def _doubted(key: str, text: str) -> str:
    """A figure with its question mark; what is no figure without."""
    if key in ("ways", "terminals"):
        return text
    mark = MARK if key in DOUBTED["parts"] - {"stud", "rated"} else ""
    return doubtful(text, mark)


def _parts(plan: Plan) -> Iterator[str]:
    for each in plan.chosen:
        parts = [part for part in plan.parts if part.kit == each.kit.name]
        if parts or any(content.measure for content in each.contents):
            yield from heading(each)
            yield from _aligned((f"{scalar(part.name)}:", part_line(part)) for part in parts)
    for line in GROUNDS.splitlines():
        yield f"  {line}"
    yield from _aligned((f"{scalar(part.name)}:", part_line(part)) for part in plan.grounds)


def _circuits(plan: Plan) -> Iterator[str]:
    for circuit in plan.circuits:
        yield from circuit_lines(circuit)


def circuit_lines(circuit: PlannedCircuit) -> Iterator[str]:
    """A circuit as it stands in the survey."""
    yield f"  {scalar(circuit.name)}:"
    if circuit.works_in:
        words = ", ".join(circuit.works_in)
        yield f"    works in: {f'[{words}]' if len(circuit.works_in) > 1 else words}"
    if circuit.drop:
        yield f"    drop: {doubtful(circuit.drop)}"
    yield "    paths:"
    for path in circuit.paths:
        yield f"      - {path if _safe(path) else json.dumps(path, ensure_ascii=False)}"


def _safe(path: str) -> bool:
    return not set(path) & set("\"'#:{}[]&*!|%@`\\") and path[:1].isalnum()
