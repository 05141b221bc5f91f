"""The options that say how sizes are picked, the same for every command that designs."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from harness.electric.wanted import Wanted

Options = dict[str, Any]
COUNT = click.IntRange(min=1)


def size_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add --method, --stock, --most-sizes, --most-spools and --prices to a command."""
    for option in reversed(
        (
            click.option(
                "--method", type=click.Choice(["optimum", "table"]), default="optimum", show_default=True,
                help="Least copper over all wires together, or the wire-by-wire rule.",
            ),
            click.option("--stock", help="Only sizes on the shelf, as 'GXL 18,16,14,12,10; SGX 6,2'."),
            click.option("--most-sizes", type=COUNT, help="No more different sizes of new wire than this."),
            click.option(
                "--most-spools", type=COUNT, help="No more spools (size, colour, cable) than this."
            ),
            click.option(
                "--prices", type=click.Path(path_type=Path),
                help="Least money instead of least copper, by this price list (`harness guide sizing`).",
            ),
        )
    ):  # fmt: skip
        command = option(command)
    return command


def wanted_of(
    method: str, stock: str | None, most_sizes: int | None, most_spools: int | None, prices: Path | None,
    *, as_json: bool = False,
) -> Wanted:  # fmt: skip
    """The options as the sizing takes them; raises click.UsageError, and exits 2 on a wrong price list."""
    from harness.cli.read import prices_of
    from harness.electric.wanted import BadStock, Wanted, read_stock

    if method == "table" and (most_sizes or most_spools):
        raise click.UsageError(
            "--most-sizes and --most-spools need --method optimum: the wire-by-wire rule cannot count"
        )
    if most_sizes and most_spools:
        raise click.UsageError("give --most-sizes or --most-spools, not both")
    try:
        shelf = read_stock(stock) if stock is not None else None
    except BadStock as error:
        raise click.UsageError(f"--stock: {error}") from None
    listed = prices_of(prices, as_json=as_json) if prices is not None else None
    return Wanted(method, shelf, most_sizes, most_spools, prices=listed)
