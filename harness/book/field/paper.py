"""The sheets for the machine as PDF, set by Typst; every text is data, never markup."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict
from importlib.resources import files
from typing import Any

from harness.book.field.tables import CAUTIONS, USE, sheets, sketches
from harness.book.text import one_line
from harness.drawing.letters import printable
from harness.model.machine import Machine
from harness.model.sensitivity import Weighed

PAPERS = {"A4": "a4", "Letter": "us-letter"}


def printed(value: Any) -> Any:
    """The same data with every text on one line, and letters that no face has as their numbers."""
    if isinstance(value, str):
        return printable(one_line(value))
    if isinstance(value, (list, tuple)):
        return [printed(one) for one in value]
    if isinstance(value, dict):
        return {key: printed(one) for key, one in value.items()}
    return value


def sheets_pdf(machine: Machine | None, weighed: Sequence[Weighed], *, paper: str) -> bytes:
    """Sheets of a machine, or blank ones without; ``paper`` is a key of PAPERS, the same bytes each time.

    Raises typst.TypstError where the typesetter fails.
    """
    import typst

    about = ""
    if machine is not None:
        about = f"{machine.voltage_v:g} V, {machine.chassis_post} post to chassis, survey {machine.digest}"
    data = {
        "title": machine.name if machine is not None else "Survey of a machine",
        "about": about,
        "blank": machine is None,
        "paper": PAPERS[paper],
        "cautions": CAUTIONS,
        "use": USE if weighed else [USE[0], *USE[2:]],
        "sheets": [asdict(each) for each in sheets(machine, weighed)],
        "sketches": [asdict(each) for each in sketches(machine, weighed)],
    }
    source = files(__package__).joinpath("sheets.typ").read_bytes()
    told = json.dumps(printed(data), ensure_ascii=False, allow_nan=False)
    made: bytes = typst.compile(source, sys_inputs={"data": told}, ignore_system_fonts=True, pdf_tags=False)
    return made
