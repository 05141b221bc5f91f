"""Prints what was assumed of a machine, and what would come out otherwise were it wrong."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict

import click

from harness.model.machine import Machine
from harness.model.sensitivity import Weighed
from harness.signs import json_text

MOST = 6  # effects of one figure told in words; --json has all


def weighed_of(machine: Machine, *, quiet: bool) -> tuple[Weighed, ...]:
    """Every assumption with its effects; a bar on the terminal while it is worked out.

    Raises CannotDesign where the machine cannot be designed by its rules.
    """
    from rich.console import Console
    from rich.progress import Progress

    from harness.cli.build import _mute
    from harness.cli.sizable import sizable
    from harness.sensitivity import weighed

    console = Console(stderr=True)
    shown = console.is_terminal and not quiet
    with Progress(console=console, transient=True, disable=not shown) as bar, _mute(), sizable():
        task = bar.add_task("making every assumed figure wrong", total=None)
        return weighed(machine, tell=lambda done, of: bar.update(task, completed=done, total=of))


def assumed_text(several: Sequence[Weighed]) -> str:
    """In plain words, what matters most first."""
    from harness.book.text import one_line
    from harness.sensitivity import WRONG

    wrong = f"{100 * WRONG:.0f} %"
    lines: list[str] = []
    for one in several:
        if one.effects:
            lines.append(f"{'***' if one.high else '  *'} {one_line(one.assumption.title)} is assumed:")
            for way in ("more", "less"):
                said = [each.words for each in one.effects if each.way == way]
                rest = f"; and {len(said) - MOST} more" if len(said) > MOST else ""
                if said:
                    lines.append(f"      {wrong} {way} {one_line('; '.join(said[:MOST]))}{rest}")
    calm = [one.assumption.title for one in several if not one.effects and one.assumption.figured]
    left = [one.assumption.title for one in several if not one.assumption.figured]
    if not several:
        return "Nothing is assumed."
    if calm:
        lines.append(f"{wrong} either way changes no wire, fuse or finding: {one_line('; '.join(calm))}")
    if left:
        lines.append(f"Not reckoned, look at the machine: {one_line('; '.join(left))}")
    lines.append(
        "*** measure it before you buy: a wire would have to be thicker, a fuse another, or something would "
        "be dangerous or faulty. A thinner wire that would do as well is not told."
    )
    return "\n".join(lines)


def assumed_json(several: Sequence[Weighed]) -> str:
    """The same for a program, with every effect."""
    from harness.sensitivity import WRONG

    rows = []
    for one in several:
        about = asdict(one.assumption)
        about["where"] = str(one.assumption.where)
        rows.append(
            {
                **about,
                "high": one.high,
                "weight": one.weight,
                "effects": [{**asdict(each), "words": each.words} for each in one.effects],
            }
        )
    return json_text({"wrong_by": WRONG, "assumed": rows})


def print_assumed(machine: Machine, *, as_json: bool) -> None:
    """Print one or the other."""
    several = weighed_of(machine, quiet=as_json)
    click.echo(assumed_json(several) if as_json else assumed_text(several))


def figures_of(machine: Machine) -> tuple[Weighed, ...]:
    """Every assumption as the survey has them, without what hangs on it: quick."""
    from harness.sensitivity.figures import figures

    return tuple(Weighed(each.assumption, (), 0, False) for each in figures(machine))


def sheets_content(machine: Machine | None, paper: str | None, *, quick: bool) -> bytes:
    """The sheets for the machine as PDF; letter paper for machines in gauges unless said."""
    from harness.book.field.paper import sheets_pdf

    if machine is None:
        return sheets_pdf(None, (), paper=paper or "A4")
    several = figures_of(machine) if quick else weighed_of(machine, quiet=False)
    return sheets_pdf(machine, several, paper=paper or ("Letter" if machine.sizes == "AWG" else "A4"))
