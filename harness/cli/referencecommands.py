"""The commands that tell what the tool knows: `guide`, `rules`, `kinds` and `catalogue`."""

from __future__ import annotations

from pathlib import Path

import click

from harness.cli.options import CATALOGUE, JSON


@click.command()
@click.argument("topic", required=False)
def guide(topic: str | None) -> None:
    """Print a page of the guide, or the list of pages."""
    from harness.cli.guide import page

    click.echo_via_pager(page(topic)) if topic else click.echo(page(None))


@click.command()
@JSON
def rules(as_json: bool) -> None:
    """List the design rules that make findings."""
    from harness.cli.say import rules_json, rules_text

    click.echo(rules_json() if as_json else rules_text())


@click.command()
@click.argument("kind", required=False)
@JSON
def kinds(kind: str | None, as_json: bool) -> None:
    """List the kinds of part, or show what is known about one KIND."""
    from harness.cli.kinds import kind_text, kinds_json, kinds_text

    if as_json:
        click.echo(kinds_json(kind))
    else:
        click.echo(kinds_text() if kind is None else kind_text(kind))


@click.command()
@click.argument("kind", required=False)
@CATALOGUE
@JSON
def catalogue(kind: str | None, catalogue: Path | None, as_json: bool) -> None:
    """List the kinds of items that can be fitted, or every item of one KIND with its source."""
    from harness.cli.catalogue import catalogue_json, catalogue_text
    from harness.cli.read import catalogue_of

    own = catalogue_of(catalogue, as_json=as_json)
    click.echo(catalogue_json(kind, own) if as_json else catalogue_text(kind, own))
