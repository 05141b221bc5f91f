"""All sheets of the workbook, in the order they are bound."""

from __future__ import annotations

from harness.book.assembly_sheet import assembly_sheet
from harness.book.bench_sheets import cut_sheet, grounds_sheet, hook_up_sheet, runs_sheet, wires_sheet
from harness.book.branch_sheet import branch_sheet
from harness.book.buying_sheet import buying_sheet
from harness.book.couplers_sheet import couplers_sheet
from harness.book.fuse_sheet import fuses_sheet
from harness.book.labels_sheet import labels_sheet
from harness.book.machine_sheet import machine_sheet
from harness.book.marks import marks_of
from harness.book.settled import supply_sheet
from harness.book.sheet import Sheet
from harness.book.splices_sheet import splices_sheet
from harness.book.stores_sheets import (
    assumed_sheet,
    findings_sheet,
    loads_sheet,
    materials_sheet,
    sources_sheet,
)
from harness.book.studs_sheet import studs_sheet
from harness.book.tests_sheet import tests_sheet
from harness.book.tools_sheet import tools_sheet
from harness.model.design import Design


def sheets(design: Design) -> list[Sheet]:
    """Return the sheets: the machine, then bench, counter and meter, then what they rest on."""
    marks = marks_of(design)
    return [
        machine_sheet(design),
        cut_sheet(design),
        branch_sheet(design),
        assembly_sheet(design),
        materials_sheet(design, marks),
        buying_sheet(design),
        tools_sheet(design),
        wires_sheet(design, marks),
        runs_sheet(design),
        hook_up_sheet(design),
        studs_sheet(design),
        splices_sheet(design),
        labels_sheet(design),
        couplers_sheet(design),
        fuses_sheet(design, marks),
        loads_sheet(design, marks),
        supply_sheet(design),
        grounds_sheet(design),
        tests_sheet(design),
        findings_sheet(design),
        assumed_sheet(marks),
        sources_sheet(marks),
    ]
