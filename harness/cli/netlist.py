"""Makes the SPICE netlist of one mode of a survey."""

from __future__ import annotations

import click

from harness.cli.sizable import CannotDesign, mode_named, sizable
from harness.model.machine import Machine


def netlist_text(machine: Machine, mode: str, *, inrush: bool) -> str:
    """The netlist of a mode; raises click.UsageError for an unknown one, CannotDesign as a build does."""
    from harness.electric.currents import Plant
    from harness.electric.netlist import netlist
    from harness.electric.operating import model_of, operating_point
    from harness.pipeline import sized

    mode_named(mode, (each.name for each in machine.modes))
    with sizable():
        machine, _, sizing = sized(machine)
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
