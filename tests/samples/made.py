"""The samples as read, designed and written as a workbook, once in a process: for tests that only look."""

from __future__ import annotations

import io
from functools import cache
from pathlib import Path

from openpyxl import Workbook, load_workbook

from harness import pipeline
from harness.book.workbook import workbook_bytes
from harness.model.design import Design
from harness.model.machine import Machine
from harness.survey import read

SAMPLES = Path(__file__).parents[2] / "samples"


@cache
def machine(name: str) -> Machine:
    """A sample as it is read."""
    return read(SAMPLES / f"{name}.yaml")


@cache
def design(name: str) -> Design:
    """A sample designed as it stands."""
    return pipeline.design(machine(name))


@cache
def workbook(name: str) -> bytes:
    """The workbook of a sample, as it is written."""
    return workbook_bytes(design(name))


@cache
def opened(name: str) -> Workbook:
    """The same as a reader of workbooks has it."""
    return load_workbook(io.BytesIO(workbook(name)))
