"""What the fault-finding commands print: likely faults, where to measure next, and what a loss stops."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches
from typing import TYPE_CHECKING

import click

from harness.cli.sizable import CannotDesign, mode_named, sizable
from harness.model.design import Design
from harness.model.machine import Machine
from harness.signs import json_text

if TYPE_CHECKING:
    from harness.electric.graph import EdgeKey
    from harness.faultfinding.diagnose import Explanation
    from harness.faultfinding.nextstep import NextReading
    from harness.faultfinding.patient import Patient
    from harness.faultfinding.readings import Reading
    from harness.faultfinding.without import Affected

MOST_LISTED = 8
LEAST_LISTED = 0.01  # share of the likelihood
ENOUGH = 0.9  # a fault this likely is to be looked at before more is measured
BAD_FIT = 12.0  # misfit for each reading: no single fault explains them
FUSE_OUT = (
    "No meter for volts tells why it blew: chassis lead of the battery off and the fuse out, measure ohms "
    "from its load side to the chassis, and unplug one load, open one contact after another until they rise."
)
CAUTION = (
    "Measure with the machine chocked and clear of people, rings off, the meter's fuse whole. What is found "
    "is likely, not proven; the machine maker's instructions and local codes go first."
)


def bedded_of(machine: Machine) -> tuple[Design, dict[str, Patient]]:
    """The design and the networks of its modes; raises CannotDesign as a build does, and without a source."""
    from harness.pipeline import bedded

    try:
        with sizable():
            return bedded(machine)
    except ValueError as error:
        raise CannotDesign(str(error)) from None


def patient_of(beds: dict[str, Patient], mode: str) -> Patient:
    """The network of a mode; raises click.UsageError with the nearest name."""
    return beds[mode_named(mode, beds)]


def diagnosed(machine: Machine, mode: str, texts: Sequence[str], *, as_json: bool) -> str:
    """What explains the readings and where to measure next, in words or as JSON."""
    from harness.faultfinding.asked import BadReading, meterable, reachable, read_reading
    from harness.faultfinding.diagnose import Ward
    from harness.faultfinding.nextstep import next_readings
    from harness.faultfinding.readings import Amps, Blown, Volts

    design, beds = bedded_of(machine)
    patient = patient_of(beds, mode)
    readings, wrong = [], []
    for text in texts:
        try:
            readings.append(read_reading(text, patient, design.wires))
        except BadReading as error:
            wrong.append(f"--reading: {error}")
    if wrong:
        raise click.UsageError("\n".join(wrong))
    found = Ward(patient).explanations(readings)
    read = {one.node for one in readings if isinstance(one, Volts) and one.against is None}
    points = [node for node in reachable(patient) if node not in read and node != patient.reference]
    metered = {one.key for one in readings if isinstance(one, Amps)}
    keys = [key for key in meterable(patient) if key not in metered] if metered else []
    blown = any(isinstance(one, Blown) for one in readings)
    steps = [] if blown else next_readings(patient, found, points, keys=keys)
    if as_json:
        return _json(design, patient, mode, readings, texts, found, steps)
    return "\n".join(_text(design, patient, readings, texts, found, steps))


def _text(
    design: Design, patient: Patient, readings: Sequence[Reading], texts: Sequence[str],
    found: Sequence[Explanation], steps: Sequence[NextReading],
) -> list[str]:  # fmt: skip
    from harness.book.text import one_line
    from harness.faultfinding.asked import meter_sign
    from harness.faultfinding.readings import Amps, Blown, Seen
    from harness.faultfinding.words import key_words, size_words, suspect_words

    sign = meter_sign(patient)
    lines = [CAUTION, "", f"mode {patient.activity.mode.name}:"]
    for text, one in zip(texts, readings, strict=True):
        if isinstance(one, Seen):
            share = 100 * one.share(patient.healthy)
            lines.append(f"  {text}   (sound: {share:.0f} % of its volts)")
        elif isinstance(one, Blown):
            lines.append(f"  {text}   (sound: whole)")
        else:
            unit, sound = ("A", 1) if isinstance(one, Amps) else ("V", sign)
            lines.append(f"  {text}   (sound: {sign_free(sound * one.expected(patient.healthy), 2)} {unit})")
    lines += ["", "likeliest first:"]
    for at, one_found in enumerate(_listed(found), start=1):
        size = size_words(one_found)
        said = suspect_words(one_found.suspect, design.wires) + (f", {size}" if size else "")
        lines.append(f"  {at}. {100 * one_found.share:3.0f} %  {said}")
    if found[0].misfit > BAD_FIT * len(readings):
        lines.append("  No single fault explains all of these readings well: measure again, or look for two.")
    if any(isinstance(one, Blown) for one in readings):
        lines += ["", FUSE_OUT]
    if steps and found[0].share < ENOUGH:
        lines += ["", "measure next, black probe on the chassis post of the battery:"]
        for step in steps:
            if step.key is not None:
                values = " or ".join(
                    f"{amps:.2f} A ({100 * share:.0f} %)" for amps, share in step.expected[:4] if share > 0.02
                )
                lines.append(f"  current of {key_words(step.key, design.wires)}: {values}")
                continue
            values = " or ".join(
                f"{sign_free(sign * volts, 1)} V ({100 * share:.0f} %)"
                for volts, share in step.expected[:4]
                if share > 0.02
            )
            lines.append(f"  {_spot_words(step, patient)}: {values}")
    return [one_line(line) if line else "" for line in lines]


def _spot_words(step: NextReading, patient: Patient) -> str:
    """Where to hold the probe, with its place and what is in the way to it."""
    from harness.faultfinding.reach import reach_words
    from harness.faultfinding.words import node_words

    assert step.node is not None
    reach = reach_words(step.node, patient)
    return node_words(step.node) + (f" ({reach})" if reach else "")


def _listed(found: Sequence[Explanation]) -> Sequence[Explanation]:
    return [one for one in found if one.share > LEAST_LISTED][:MOST_LISTED] or found[:1]


def _json(
    design: Design, patient: Patient, mode: str, readings: Sequence[Reading], texts: Sequence[str],
    found: Sequence[Explanation], steps: Sequence[NextReading],
) -> str:  # fmt: skip
    from harness.faultfinding.reach import reach_words
    from harness.faultfinding.words import key_words, node_words, suspect_words

    return json_text(
        {
            "mode": mode,
            "readings": list(texts),
            "faults": [
                {
                    "what": suspect_words(one.suspect, design.wires),
                    "kind": "none" if one.suspect is None else one.suspect.fault.kind,
                    "value": one.value, "share": round(one.share, 4), "misfit": round(one.misfit, 3),
                }
                for one in _listed(found)
            ],
            "explained": found[0].misfit <= BAD_FIT * len(readings),
            "next": [
                {
                    "point": "" if step.node is None else node_words(step.node),
                    "reach": "" if step.node is None else reach_words(step.node, patient),
                    "current_of": "" if step.key is None else key_words(step.key, design.wires),
                    "expected": [
                        {"volts" if step.key is None else "amps": round(value, 2), "share": round(share, 3)}
                        for value, share in step.expected
                    ],
                }
                for step in steps
            ],
        },
    )  # fmt: skip


def _taken(name: str, design: Design, patient: Patient) -> tuple[list[EdgeKey], list[str]]:
    """The wires and links, and the sources, that a name stands for; raises click.UsageError."""
    wires = {wire.number: at for at, wire in enumerate(design.wires)}
    wires |= {f"wire {number}": at for number, at in wires.items()}
    inside: dict[str, list[EdgeKey]] = {}
    for key in patient.edges:
        if isinstance(key, tuple):
            inside.setdefault(key[0], []).append(key)
            inside.setdefault(" ".join(key), []).append(key)
            if "/" in key[1]:
                inside.setdefault(f"{key[0]} {key[1].split('/')[1]}", []).append(key)
    for fuse in design.fuses:
        for short in (fuse.name, fuse.name.split(" ")[-1]):  # "panel F3", "F3"
            inside.setdefault(short, [(fuse.part, fuse.link)])
    for key, edge in patient.edges.items():  # ways that are empty have no fuse in the design
        if edge.kind == "fuse" and isinstance(key, tuple):
            inside.setdefault(key[1].rpartition("/")[2], [key])
    landing: dict[str, list[EdgeKey]] = {}
    for at, wire in enumerate(design.wires):
        for point in (wire.from_, wire.to):
            landing.setdefault(point.part, []).append(at)
    if name in wires:
        return [wires[name]], []
    if name in inside:
        return inside[name], [name]
    if name in landing:
        return landing[name], [name]
    words = list(dict.fromkeys([*inside, *landing, *wires]))
    near = get_close_matches(name, words, n=1)
    hint = f"did you mean {near[0]!r}?" if near else _any_of(words)
    raise click.UsageError(f"there is no {name!r}; {hint}")


def _any_of(words: Sequence[str]) -> str:
    from harness.survey.words import listed

    return f"name a wire by its number, a fuse, a part or a splice, as {listed(map(repr, words))}"


def lost(machine: Machine, name: str, *, as_json: bool) -> str:
    """What stops without one thing, in words or as JSON."""
    from harness.faultfinding.without import without

    design, beds = bedded_of(machine)
    taken, dead = _taken(name, design, next(iter(beds.values())))
    found = without(beds, taken, dead)
    if as_json:
        rows = [
            {
                "mode": one.mode, "load": one.load, "effect": one.effect,
                "sound_v": round(one.healthy_v, 2), "volts_v": round(one.volts_v, 2),
            }
            for one in found
        ]  # fmt: skip
        return json_text({"without": name, "affected": rows})
    return "\n".join(_lost_text(name, found))


def sign_free(value: float, digits: int) -> str:
    """A figure rounded, with no minus before a nought."""
    return f"{round(value, digits) + 0.0:.{digits}f}"


def _rounded(volts: float) -> str:
    return sign_free(volts, 1)


def _lost_text(name: str, found: Sequence[Affected]) -> list[str]:
    from harness.book.text import one_line

    if not found:
        return [one_line(f"without {name} nothing changes in any mode.")]
    lines = [f"without {name}:"]
    for mode in dict.fromkeys(one.mode for one in found):
        lines.append(f"  {mode}:")
        own = [one for one in found if one.mode == mode]
        for effect in ("stops", "is weak", "is fed the wrong way", "gets too much"):
            for one in own:
                if one.effect == effect:
                    volts = f"{_rounded(one.volts_v)} V in place of {_rounded(one.healthy_v)} V"
                    lines.append(f"    {one.part} {effect}: {volts}")
    return [one_line(line) for line in lines]
