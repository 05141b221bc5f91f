"""Commands run within the test's own process."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from click.testing import CliRunner, Result

from harness.cli import main


def run(*words: object, stdin: str | bytes | None = None) -> Result:
    """``harness`` with these words; what is typed into it comes from ``stdin``."""
    return CliRunner().invoke(main, [str(word) for word in words], input=stdin)


def made_once(work: Callable[..., Any]) -> Callable[..., Any]:
    """The same, remembered by what it is given in words: each command reads its machine anew."""
    known: dict[str, Any] = {}

    def once(*given: Any) -> Any:
        key = repr(given)
        if key not in known:
            known[key] = work(*given)
        return known[key]

    return once
