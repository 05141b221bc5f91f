"""What the survey says of spares, with what it leaves out filled in and named."""

from __future__ import annotations

from dataclasses import fields

from harness.model.spares import USUAL, Extra, SpareRules
from harness.survey.schema import SparesForm


def _words(extra: Extra) -> str:
    if not extra.share:
        return f"{extra.least} of each rating"
    return f"{extra.share:.0%} at least {extra.least}"


def spare_rules(form: SparesForm) -> SpareRules:
    """The rules by which spares are made."""
    said = {each.name: getattr(form, each.name, None) for each in fields(SpareRules)}
    return SpareRules(**{name: said[name] or getattr(USUAL, name) for name in said})


def assumed_spares(rules: SpareRules) -> list[str]:
    """What was filled in, one line for all that is alike; what has no spares by custom is not named."""
    alike: dict[str, list[str]] = {}
    for each in fields(rules):
        extra = getattr(rules, each.name)
        if extra.assumed and (extra.share or extra.least):
            alike.setdefault(_words(extra), []).append(each.name.replace("_", " "))
    return [f"spare {', '.join(names)}: {words} (common practice)" for words, names in alike.items()]
