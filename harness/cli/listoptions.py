"""Arguments and options that all commands with price lists share."""

from __future__ import annotations

from pathlib import Path

import click

MACHINES = click.argument(
    "machines", metavar="MACHINE...", nargs=-1, required=True, type=click.Path(path_type=Path)
)
_LIST = "A price list, CSV or XLSX; give it again for each supplier"
LISTS = click.option(
    "--prices", "lists", multiple=True, required=True, type=click.Path(path_type=Path), help=f"{_LIST}."
)
SOME_LISTS = click.option(
    "--prices", "lists", multiple=True, type=click.Path(path_type=Path),
    help=f"{_LIST} [none: a request for a quote].",
)  # fmt: skip
MATCHES = click.option(
    "--matches", type=click.Path(path_type=Path, dir_okay=False),
    help="File that says what is what [LIST-matches.yaml beside the first list].",
)  # fmt: skip
DECIMAL = click.option(
    "--decimal",
    type=click.Choice(["point", "comma"]),
    help="How the lists write prices, where they leave it open.",
)
CHOICES = click.option(
    "--choices", type=click.Path(path_type=Path, dir_okay=False),
    help="Substitutions accepted, one file for all [MACHINE-choices.yaml beside each, where it is there].",
)  # fmt: skip


def default_matches(lists: tuple[Path, ...]) -> Path:
    """Where matches are kept when nobody says: beside the first list."""
    return lists[0].with_name(f"{lists[0].stem}-matches.yaml")
