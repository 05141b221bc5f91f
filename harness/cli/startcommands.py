"""The commands `start` and `kits`: a first survey out of kits, and what the kits hold."""

from __future__ import annotations

from pathlib import Path

import click

from harness.cli.options import JSON

MACHINES = ("stationary", "tractor", "dumper", "loader", "roller")
KITS_FOLDER = click.option(
    "--kits", "own", multiple=True, type=click.Path(path_type=Path, file_okay=False),
    help="A folder of your own kits (`harness guide kits`); may be given again.",
)  # fmt: skip


@click.command()
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
@click.option("--name", help="What the machine is called.")
@click.option("--machine", type=click.Choice(MACHINES), help="The sort of machine nearest to yours.")
@click.option("--size", type=click.Choice(["small", "medium", "large"]), help="How large it is.")
@click.option("--voltage", type=click.Choice(["6", "12", "24"]), help="System voltage.")
@click.option("--post", type=click.Choice(["negative", "positive"]), help="Battery post on the chassis.")
@click.option("--engine", type=click.Choice(["glow", "intake", "diesel", "spark"]), help="The engine's sort.")
@click.option(
    "--charging", type=click.Choice(["alternator", "self-exciting", "dynamo", "none"]),
    help="What charges the battery.",
)  # fmt: skip
@click.option("--stop", type=click.Choice(["run", "pull", "stop", "cable"]), help="How a diesel is stopped.")
@click.option("--sizes", type=click.Choice(["AWG", "mm2"]), help="Gauges by SAE, or mm2 by ISO.")
@click.option(
    "--kit", "wanted", multiple=True,
    help="A circuit it has: a kit, 'KIT=VARIANT', 'all usual', 'all' or 'none'; may be given again.",
)  # fmt: skip
@click.option("--add", "more", multiple=True, help="Add this kit to the survey that is in FOLDER.")
@click.option(
    "--at", "places", multiple=True,
    help="Where a place of an added kit is in your survey, as 'front left=nose'; may be given again.",
)  # fmt: skip
@KITS_FOLDER
@click.option("--workbook", is_flag=True, help="Write the survey as a workbook, survey.xlsx.")
@click.option("--yes", is_flag=True, help="Ask nothing: what no option says is taken as usual.")
def start(
    folder: Path, name: str | None, machine: str | None, size: str | None, voltage: str | None,
    post: str | None, engine: str | None, charging: str | None, stop: str | None, sizes: str | None,
    wanted: tuple[str, ...], more: tuple[str, ...], places: tuple[str, ...], own: tuple[Path, ...],
    workbook: bool, yes: bool,
) -> None:  # fmt: skip
    """Start the survey of a machine in FOLDER: answer a few questions, get a file to measure by.

    The circuits come from kits (`harness kits`); every figure of theirs is marked with a question mark, and
    is assumed until you measure it. The file can be checked and built at once. With --add a kit is set into
    the survey that is there, and every other line of it stays.
    """
    from harness.cli.add import add_kits
    from harness.cli.files import check_folder, write_all
    from harness.cli.start import (
        SURVEY,
        WORKBOOK,
        Answers,
        as_workbook,
        is_terminal,
        refuse_existing,
        started,
        told,
    )

    if more:
        click.echo(add_kits(folder / SURVEY, more, places, own))
        return
    check_folder(folder)
    refuse_existing(folder)
    answers = Answers(name, voltage, post, machine, size, engine, charging, stop, sizes, wanted)
    made, text = started(folder, answers, own, asking=not yes and is_terminal())
    (path,) = write_all(folder, {WORKBOOK: as_workbook(text)} if workbook else {SURVEY: text.encode()})
    click.echo(told(made, path))
    for warning in made.warnings:
        click.echo(f"look at this: {warning}.", err=True)


@click.command()
@click.argument("name", required=False)
@KITS_FOLDER
@JSON
def kits(name: str | None, own: tuple[Path, ...], as_json: bool) -> None:
    """List the kits, or show one: its parts, paths, usual loads, and what to measure."""
    from harness.cli.kits import kit_text, kits_json, kits_of, kits_text

    found = kits_of(own, Path(), as_json=as_json)
    if as_json:
        click.echo(kits_json(found, name))
    else:
        click.echo(kit_text(name, found) if name else kits_text(found))
