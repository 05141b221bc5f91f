"""Names of a survey that look alike and are two all the same: each told with both its places."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from harness.signs import alike, difference
from harness.survey.ledger import Ledger
from harness.survey.schema import SurveyForm


def tell_twins(form: SurveyForm, ledger: Ledger) -> None:
    """Complain of every name that a person cannot tell from another one of its sort."""
    for what, names in _sorts(form):
        first: dict[str, str] = {}
        for name in names:
            other = first.setdefault(alike(name), name)
            if other != name:
                where = ledger.where(other)
                at = where.cell or f"line {where.line}"
                ledger.say(
                    name,
                    f"{what} {name!r} looks like {other!r} ({at}), but differs in {difference(name, other)}",
                    "write the name the same wherever it is one, or give one of them a clearly other name",
                )


def _sorts(form: SurveyForm) -> Iterator[tuple[str, Iterable[str]]]:
    """Names by what they are of; those that may be taken for one another stand together."""
    ends = [place for run in form.runs for place in (run.start, run.end)]
    yield "zone", form.zones
    yield "place", dict.fromkeys([*ends, *form.places])
    yield "run", dict.fromkeys(run.name for run in form.runs if run.name)
    yield "part or body", dict.fromkeys([*form.parts, *(form.bodies or ())])
    yield "mode", form.modes
    yield "circuit", form.circuits
    yield "loom", dict.fromkeys(place.loom for place in form.places.values() if place.loom)
    for part in form.parts.values():
        if part.ways:
            yield "way", part.ways
