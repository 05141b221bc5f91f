"""Makes the SPICE netlist of one mode of a survey."""

from __future__ import annotations

from difflib import get_close_matches

import click

from harness.cli.build import CannotDesign
from harness.model.machine import Machine


def netlist_text(machine: Machine, mode: str, *, inrush: bool) -> str:
    """The netlist of a mode; raises click.UsageError for an unknown one, CannotDesign as a build does."""
    from harness.electric.currents import Plant
    from harness.electric.netlist import netlist
    from harness.electric.operating import model_of, operating_point
    from harness.electric.ruleset import UnknownRules, UnknownSize
    from harness.pipeline import sized

    names = [each.name for each in machine.modes]
    if mode not in names:
        near = get_close_matches(mode, names, n=1)
        hint = f"did you mean {near[0]!r}?" if near else f"there are: {', '.join(names)}"
        raise click.UsageError(f"there is no mode {mode!r}; {hint}")
    try:
        machine, _, sizing = sized(machine)
    except UnknownRules as error:
        raise CannotDesign(str(error)) from None
    except UnknownSize as error:
        raise CannotDesign(f"no rule knows the size {error}; try '14 AWG' or '2.5 mm2'") from None
    plant = Plant(machine, sizing.edges)
    found = next(each for each in plant.activities if each.mode.name == mode)
    model = model_of(plant, found, sizing.ohms, inrush=inrush)
    if model is None:
        raise CannotDesign("no battery, alternator or dynamo: there is nothing to solve")
    point = operating_point(model)
    if point.collapsed or not point.settled:
        blamed = ", ".join(point.collapsed) or "the sources"
        click.echo(f"warning: the load collapses in mode {mode!r}: {blamed}", err=True)
    charges = [f"{each.part} {each.charge:.0%} charged" for each in plant.batteries if not each.converts]
    cold = [f"{machine.coldest_c:g} C"] if found.mode.engine == "cranking" else []
    return netlist(model, machine.name, [", ".join(["sources", *charges, *cold])])
