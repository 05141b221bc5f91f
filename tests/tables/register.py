"""The register of compared tables: run it with a table's name and document once its cells are compared again.

    python -m tests.tables.register grommets "a maker's sheet, compared cell by cell" 2026-11-25

writes the count and digest of the cells as they stand. Without a name it lists what is not as registered.
"""

from __future__ import annotations

import csv
import sys
from dataclasses import astuple, dataclass, fields
from hashlib import sha256
from pathlib import Path

from harness.tables import load, names

FILE = Path(__file__).with_name("register.csv")


@dataclass(frozen=True, slots=True)
class Entry:
    """One table as it was when somebody compared it with its document."""

    table: str
    cells: str
    sha256: str
    compared_on: str
    compared_with: str


def normal(cell: str) -> str:
    """A cell as it is compared: a number by its value, words by their letters."""
    text = " ".join(cell.split())
    try:
        return f"{float(text):.10g}"
    except ValueError:
        return text


def cells(name: str) -> list[str]:
    """Every filled cell of a table, with its column and row."""
    return [
        f"{at}:{column}:{normal(cell)}"
        for at, row in enumerate(load(name).rows)
        for column, cell in row.items()
        if cell != ""
    ]


def state(name: str) -> tuple[str, str]:
    """Number of cells and their digest."""
    found = cells(name)
    return str(len(found)), sha256("\n".join(found).encode()).hexdigest()


def entries() -> dict[str, Entry]:
    """The register, by table."""
    with FILE.open(encoding="utf-8", newline="") as file:
        return {row["table"]: Entry(**row) for row in csv.DictReader(file)}


def write(found: dict[str, Entry]) -> None:
    """Write the register in the order of its tables."""
    with FILE.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow([field.name for field in fields(Entry)])
        writer.writerows(astuple(found[name]) for name in sorted(found))


def changed() -> list[str]:
    """Tables that are not as they were registered, or not registered at all."""
    known = entries()
    return [
        name
        for name in names()
        if name not in known or (known[name].cells, known[name].sha256) != state(name)
    ]


if __name__ == "__main__":
    if len(sys.argv) == 4:
        register = entries()
        register[sys.argv[1]] = Entry(sys.argv[1], *state(sys.argv[1]), sys.argv[3], sys.argv[2])
        write(register)
    print("\n".join(changed()) or "every table is as registered")
