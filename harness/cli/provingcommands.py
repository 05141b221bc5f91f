"""The commands that show why and whether: `explain`, `netlist`, `diagnose` and `without`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from harness.cli.options import CATALOGUE, CHOICES, JSON, RULES, SURVEY, designed, machine_from, out_file
from harness.cli.wanted import size_options

NETLISTS = (".cir", ".net", ".sp", ".spice", ".ckt", ".txt")  # as files of netlists are commonly called


@click.command()
@SURVEY
@click.argument("wire")
@RULES
@CATALOGUE
@CHOICES
@size_options
@JSON
def explain(
    survey: Path, wire: str, rules: str | None, catalogue: Path | None, choices: Path | None, as_json: bool,
    **picking: Any,
) -> None:  # fmt: skip
    """Print why one WIRE of SURVEY has its size, or what a mode or a part comes to.

    Every limit with its numbers, slack, formula and source, and which one decided; what the next size down
    would break; the loads on it and what they have to spare; how its length is made up. In place of the
    number of a wire the name of a mode or part tells what it settles at: volts, currents, charge balance.
    """
    from harness.cli.explain import explained_json, print_explained

    design = designed(machine_from(survey, rules, as_json, catalogue, choices), picking, quiet=as_json)
    if as_json:
        click.echo(explained_json(design, wire))
    else:
        print_explained(design, wire)


@click.command()
@SURVEY
@click.option("--mode", required=True, help="The mode to solve, as the survey names it.")
@out_file("File to write [standard output].")
@click.option("--inrush", is_flag=True, help="Every load that has a peak at its peak.")
@RULES
@CATALOGUE
def netlist(
    survey: Path, mode: str, out: Path | None, inrush: bool, rules: str | None, catalogue: Path | None
) -> None:
    """Print the operating point of one mode of SURVEY as a SPICE netlist, to be checked with ngspice."""
    from harness.cli.files import check_out, write_one
    from harness.cli.netlist import netlist_text

    if out is not None:
        check_out(out, *NETLISTS)
    text = netlist_text(machine_from(survey, rules, False, catalogue), mode, inrush=inrush)
    if out is None:
        click.echo(text, nl=False)
    else:
        write_one(out, text.encode(), *NETLISTS)


@click.command()
@SURVEY
@click.option("--mode", required=True, help="The mode the machine is in, as the survey names it.")
@click.option(
    "--reading",
    "readings",
    multiple=True,
    required=True,
    help="'left lamp + = 9.1 V', 'battery - to engine = 0.4 V', 'F4 = 3.2 A', 'horn = dead', 'F3 = blown'; "
    "again for more.",
)
@RULES
@CATALOGUE
@JSON
def diagnose(
    survey: Path, mode: str, readings: tuple[str, ...], rules: str | None, catalogue: Path | None,
    as_json: bool,
) -> None:  # fmt: skip
    """Print which single faults explain what was measured on SURVEY's machine, and where to measure next.

    Every wire, joint, contact, fuse, load and source is made bad in turn and the network solved; what a
    meter would then show is held against the readings. Volts are against the chassis post of the battery.
    """
    from harness.cli.faultfinding import diagnosed

    click.echo(diagnosed(machine_from(survey, rules, as_json, catalogue), mode, readings, as_json=as_json))


@click.command()
@SURVEY
@click.argument("name")
@RULES
@CATALOGUE
@JSON
def without(survey: Path, name: str, rules: str | None, catalogue: Path | None, as_json: bool) -> None:
    """Print what stops or works wrongly when NAME is lost: a wire, fuse, strap, relay or splice."""
    from harness.cli.faultfinding import lost

    click.echo(lost(machine_from(survey, rules, as_json, catalogue), name, as_json=as_json))
