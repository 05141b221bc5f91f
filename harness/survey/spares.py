"""What the survey says of spares, with what it leaves out filled in and named."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields

from harness.model.machine import Run
from harness.model.spares import LONG_BRANCHES, USUAL, Extra, SpareAsk, SpareRules, SpareWireRule
from harness.survey.ground import components
from harness.survey.ledger import Ledger
from harness.survey.schema import SparesForm, SurveyForm
from harness.survey.words import hint


def _words(extra: Extra) -> str:
    if not extra.share:
        return f"{extra.least} of each rating"
    return f"{extra.share:.0%} at least {extra.least}"


def spare_rules(form: SparesForm) -> SpareRules:
    """The rules by which spares are made."""
    said = {each.name: getattr(form, each.name, None) for each in fields(SpareRules)}
    return SpareRules(**{name: said[name] or getattr(USUAL, name) for name in said})


def spare_wire_rule(form: SparesForm) -> SpareWireRule:
    """How many spare wires there are by rule, and of what."""
    return SpareWireRule(
        LONG_BRANCHES.per if form.wires is None else form.wires,
        form.wire_size,
        form.wire_colour,
        assumed=form.wires is None,
    )


def spare_asks(
    form: SurveyForm, laid: tuple[Run, ...], places: Mapping[str, str], ledger: Ledger
) -> tuple[SpareAsk, ...]:
    """The spare wires asked for by name; both ends must be places that runs join."""
    group = components(laid, places)
    lost = ledger.damage.sections & {"runs", "places"}
    found = []
    for each in form.spare_wires:
        unknown = [place for place in (each.start, each.end) if place not in places]
        for place in unknown if not lost else ():
            ledger.say(place, f"no run leads to a place {place!r}", hint(place, places))
        if each.start == each.end:
            ledger.say(
                each.end,
                f"a spare wire leads from {each.start!r} back to itself",
                "write the place it ends at",
            )
        elif not unknown and not lost and group[each.start] != group[each.end]:
            ledger.say(
                each.end,
                f"no runs lead from {each.start!r} to {each.end!r}, and a spare wire is to go there",
                "measure a run that joins the two, or leave the spare wire out",
            )
        found.append(
            SpareAsk(each.start, each.end, each.count or 1, each.size, each.colour, ledger.where(each.start))
        )
    return tuple(found)


def assumed_spares(rules: SpareRules, wires: SpareWireRule) -> list[str]:
    """What was filled in, one line for all that is alike; what has no spares by custom is not named."""
    alike: dict[str, list[str]] = {}
    for each in fields(rules):
        extra = getattr(rules, each.name)
        if extra.assumed and (extra.share or extra.least):
            alike.setdefault(_words(extra), []).append(each.name.replace("_", " "))
    found = [f"spare {', '.join(names)}: {words} (common practice)" for words, names in alike.items()]
    if wires.assumed:
        found.append(f"spare wires: 1 in {wires.per} in long branches (common practice)")
    return found
