"""What keeps a sound survey from its design: sizes or cable no rule knows, and modes that are not there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from difflib import get_close_matches

import click


class CannotDesign(click.ClickException):
    """The survey is sound but the machine cannot be designed by these rules."""

    exit_code = 2


@contextmanager
def sizable() -> Iterator[None]:
    """What is designed inside of it and has cable or sizes outside of the rule set raises CannotDesign."""
    from harness.electric.ruleset import UnknownRules, UnknownSize

    try:
        yield
    except UnknownRules as error:
        raise CannotDesign(str(error)) from None
    except UnknownSize as error:
        raise CannotDesign(f"no rule knows the size {error}; try '14 AWG' or '2.5 mm2'") from None


def mode_named(mode: str, modes: Iterable[str]) -> str:
    """A mode that is there; raises click.UsageError with the nearest name, or all of them."""
    names = list(modes)
    if mode not in names:
        near = get_close_matches(mode, names, n=1)
        hint = f"did you mean {near[0]!r}?" if near else f"there are: {', '.join(names)}"
        raise click.UsageError(f"there is no mode {mode!r}; {hint}")
    return mode
