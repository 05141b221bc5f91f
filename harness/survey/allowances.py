"""What the survey adds to the lengths of wires, by the words of the table, and what it leaves as usual."""

from __future__ import annotations

from harness.survey.schema import AllowancesForm

RETERMINATE = 2  # times at every end: FAA AC 43.13-1B 11-118, support_rules (read)
COUNTED = "re-terminate"


def allowances(form: AllowancesForm) -> tuple[dict[str, float], int]:
    """Added lengths that the survey states, by their words [m], and how often an end can be made anew."""
    said = form.model_dump(by_alias=True, exclude_none=True)
    times = said.pop(COUNTED, RETERMINATE)
    return said, times


def left_out(form: AllowancesForm) -> list[str]:
    """What is taken as usual because the survey does not state it, in one line for the list of assumed."""
    said = form.model_dump(by_alias=True)
    usual = [name for name, value in said.items() if value is None]
    if not usual:
        return []
    which = (
        "lengths added at wire ends and joints"
        if len(usual) == len(said)
        else f"added lengths: {', '.join(usual)}"
    )
    return [f"{which} (common practice)"]
