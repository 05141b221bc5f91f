"""The sheet of tests: what to measure, the band it has to lie in, and a field for what the meter shows."""

from __future__ import annotations

from harness.book.sheet import Column, Row, Sheet, number
from harness.commissioning.judging import figure
from harness.commissioning.plan import sheets_of
from harness.commissioning.trial import Test
from harness.commissioning.typed import KEY, READING, SHEET
from harness.model.design import Design


def _row(test: Test) -> Row:
    def shown(value: float | None) -> str:
        return figure(value, "").strip() if value is not None else ""

    return Row(
        (
            test.what, shown(test.expected), shown(test.low), shown(test.high), test.unit, None, test.how,
            test.key,
        )
    )  # fmt: skip


def tests_sheet(design: Design) -> Sheet:
    """Return every test, by what it is about; the key is what a reading is kept under."""
    columns = (
        Column("Measure", 40),
        number("Expect", "@", 9),
        number("At least", "@", 9),
        number("At most", "@", 9),
        Column("Unit", 6),
        Column(READING, 10, least=10),
        Column("How", 52),
        Column(KEY, 30),
    )
    rows: list[Row] = []
    for sheet in sheets_of(design):
        rows.append(Row((f"{sheet.title}. {sheet.note}".rstrip(),), "heading"))
        rows += map(_row, sheet.rows)
    return Sheet(SHEET, columns, tuple(rows), spilling=frozenset({0}))
