"""Where looms meet: couplers between two runs, and what the looms on both sides are called."""

from __future__ import annotations

from collections.abc import Mapping

from harness.model.machine import Run
from harness.survey.ground import components
from harness.survey.ledger import Ledger
from harness.survey.parts import Draft
from harness.survey.schema import SurveyForm
from harness.survey.words import listed


def check_couplers(laid: tuple[Run, ...], made: Mapping[str, Draft], ledger: Ledger) -> set[str]:
    """A coupler sits between two runs, alone at its place; returns the places of all couplers."""
    found: dict[str, str] = {}
    for name, draft in made.items():
        place = draft.part.place
        if draft.kind.couple is None:
            continue
        ends = [run for run in laid if place in (run.start, run.end)]
        if len(ends) != 2 and not ledger.damage.sections & {"runs", "places"}:
            ledger.say(
                ledger.at_value("parts", name, "at"),
                f"coupler {name!r} joins two looms, but {len(ends)} runs meet at {place!r}",
                "give it a place of its own that splits one run in two",
            )
        if place in found:
            ledger.say(
                ledger.at_value("parts", name, "at"),
                f"couplers {found[place]!r} and {name!r} sit at one place: which would a wire take?",
                "give each a place of its own, with runs of their own between",
            )
        found.setdefault(place, name)
    return set(found)


def loom_names(
    form: SurveyForm, laid: tuple[Run, ...], places: Mapping[str, str], cuts: set[str], ledger: Ledger
) -> dict[str, str]:
    """Place -> name of its loom, as the survey gives it; two names in one loom are a mistake."""
    if ledger.damage.names.get("parts"):
        return {}  # a part that could not be read may be the coupler
    uncut = tuple(run for run in laid if not {run.start, run.end} & cuts)
    group = components(uncut, places)
    named = {place: each.loom for place, each in form.places.items() if each.loom is not None}
    first: dict[int, str] = {}
    for place, name in named.items():
        known = first.setdefault(group.get(place, -1), name)
        if known != name:
            ledger.say(
                ledger.at_value("places", place, "loom"),
                f"{place!r} lies in loom {known!r}: no coupler stands between",
                f"write {known!r}, or name a coupler that parts the two",
            )
        elif place in cuts:
            ledger.say(
                ledger.at_value("places", place, "loom"),
                f"a coupler sits at {place!r}, where two looms meet",
                f"name the loom at a place on one side: {listed(sorted(set(places) - cuts), 4)}",
            )
    return named
