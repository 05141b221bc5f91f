"""Old wires that still lie in the machine: their places, the runs they go through, and whether they pull."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from harness.model.assembly import OldWire
from harness.model.machine import Run
from harness.survey.ledger import Ledger
from harness.survey.schema import OldWireForm, SurveyForm
from harness.survey.words import hint

SECTION = "old wires"


def old_wires(
    form: SurveyForm, laid: Sequence[Run], places: Mapping[str, str], ledger: Ledger
) -> tuple[OldWire, ...]:
    """Every old wire with its names looked up; complains of places and runs that there are not."""
    runs = {run.name: run for run in laid}
    runs |= {f"{run.end} - {run.start}": run for run in laid if run.name == f"{run.start} - {run.end}"}
    return tuple(_old_wire(at, each, runs, places, ledger) for at, each in enumerate(form.old_wires))


def _old_wire(
    at: int, each: OldWireForm, runs: Mapping[str, Run], places: Mapping[str, str], ledger: Ledger
) -> OldWire:
    unsure = bool(ledger.damage.sections & {"runs", "places"})
    sound = True
    for key, place in (("from", each.start), ("to", each.end)):
        if place not in places and not unsure:
            ledger.say(
                ledger.at_value(SECTION, at, key), f"no run leads to a place {place!r}", hint(place, places)
            )
            sound = False
    named = []
    for word in each.through:
        if word in runs:
            named.append(runs[word])
        elif not unsure:
            ledger.say(word, f"there is no run {word!r}", hint(word, runs))
            sound = False
    if named and sound and not unsure and not _leads(each.start, each.end, named):
        ledger.say(
            ledger.at_value(SECTION, at, "through"),
            f"these runs do not lead one after the other from {each.start!r} to {each.end!r}",
            "name every run it goes through, in their order, or leave 'through' out for the shortest way",
        )
    return OldWire(
        each.start,
        each.end,
        tuple(run.name for run in named),
        each.colour or "",
        bool(each.pulls),
        ledger.where(ledger.at_value(SECTION, at, "from")),
    )


def _leads(start: str, end: str, runs: Sequence[Run]) -> bool:
    here = start
    for run in runs:
        if here not in (run.start, run.end):
            return False
        here = run.end if here == run.start else run.start
    return here == end
