"""Old wires that still lie in the machine: their places, the runs they go through, and whether they pull."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from harness.model.assembly import OldWire
from harness.model.machine import Part, Run
from harness.survey.ledger import Ledger
from harness.survey.schema import OldWireForm, SurveyForm
from harness.survey.words import hint


def old_wires(
    form: SurveyForm,
    laid: Sequence[Run],
    places: Mapping[str, str],
    parts: Mapping[str, Part],
    ledger: Ledger,
) -> tuple[OldWire, ...]:
    """Every old wire with its names looked up; complains of places and runs that there are not."""
    runs = {run.name: run for run in laid}
    runs |= {f"{run.end} - {run.start}": run for run in laid if run.name == f"{run.start} - {run.end}"}
    return tuple(_old_wire(each, runs, places, parts, ledger) for each in form.old_wires)


def _old_wire(
    each: OldWireForm,
    runs: Mapping[str, Run],
    places: Mapping[str, str],
    parts: Mapping[str, Part],
    ledger: Ledger,
) -> OldWire:
    unsure = bool(ledger.damage.sections & {"runs", "places"})
    sound = True
    unsure_parts = bool(ledger.damage.sections & {"parts"})
    spots: list[str] = []
    ends: list[tuple[str, str]] = []
    for said in (each.start, each.end):
        part, terminal = ("", "") if said in places else _traced(said, parts)
        spots.append(parts[part].place if part else said)
        ends.append((part, terminal))
        if part and terminal and terminal not in [one.name for one in parts[part].terminals]:
            known = [one.name for one in parts[part].terminals]
            ledger.say(said, f"{part!r} has no terminal {terminal!r}", hint(terminal, known))
            sound = False
        elif not part and said not in places and not unsure and not unsure_parts:
            ledger.say(said, f"no run leads to a place {said!r}", hint(said, [*places, *parts]))
            sound = False
    start, end = spots
    named = []
    for word in each.through:
        if word in runs:
            named.append(runs[word])
        elif not unsure:
            ledger.say(word, f"there is no run {word!r}", hint(word, runs))
            sound = False
    if named and sound and not unsure and not _leads(start, end, named):
        ledger.say(
            each.through[0],
            f"these runs do not lead one after the other from {start!r} to {end!r}",
            "name every run it goes through, in their order, or leave 'through' out for the shortest way",
        )
    return OldWire(
        start,
        end,
        tuple(run.name for run in named),
        each.colour or "",
        bool(each.pulls),
        ledger.where(each.start),
        ends[0],
        ends[1],
        each.tag or "",
        each.size or "",
        each.kept,
        each.why or "",
        each.photo or "",
    )


def _traced(said: str, parts: Mapping[str, Part]) -> tuple[str, str]:
    """Part and terminal of an end such as "starter 30"; the longest name of a part that fits."""
    fits = [name for name in parts if said == name or said.startswith(f"{name} ")]
    name = max(fits, key=len, default="")
    return name, said[len(name) :].strip() if name else ""


def _leads(start: str, end: str, runs: Sequence[Run]) -> bool:
    here = start
    for run in runs:
        if here not in (run.start, run.end):
            return False
        here = run.end if here == run.start else run.start
    return here == end
