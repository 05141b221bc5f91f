"""What each key of a survey means, in one line: for editors, for cells of a workbook and for the guide."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files


@cache
def key_helps() -> Mapping[str, Mapping[str, str]]:
    """Section -> key -> its meaning; the section ``survey`` holds the sections themselves."""
    text = (files("harness.survey") / "keyhelp.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
