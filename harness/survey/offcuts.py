"""A list of offcuts on a shop's shelf, a CSV table: what each is, and how long."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from harness.model.limits import LIMITS
from harness.model.problem import Problem, SurveyWrong, Where
from harness.model.stock import Offcut
from harness.survey.csvtext import MOST_SHOWN, TableRow, shown, table_rows
from harness.survey.fields import wire_colour
from harness.survey.units import WrongQuantity, nearest_size, quantity, whole, wire_size
from harness.survey.words import listed, nearest

NEEDED = ("item", "length")
COLUMNS = ("item", "size", "colour", "length", "count")
FINE = "fine-stranded"
WIRE = "wire, "  # how the list of materials calls cable
MOST_ALIKE = LIMITS["offcuts alike"].most
EXAMPLE = "'item,size,colour,length', then for example 'GXL,14 AWG,RD,2.3 m'"


@dataclass(frozen=True, slots=True)
class Known:
    """What may lie on a shelf: cable -> its sizes, and other things in the words of the list of materials."""

    cables: Mapping[str, Sequence[str]]
    others: Sequence[str]


def _item(row: TableRow, known: Known, problems: list[Problem]) -> str | None:
    """The item in the words of the list of materials, without "wire, " for cable."""
    word = " ".join(row.cells["item"].split())
    bare = word.removeprefix(WIRE)
    for each in (*known.cables, *known.others):
        if each.lower() in (word.lower(), bare.lower()):
            return each
    near = nearest(bare, known.cables) or nearest(word, known.others)
    plain = listed((each for each in known.cables if FINE not in each), len(known.cables))
    fix = (
        f"did you mean {near!r}?"
        if near
        else (f"cable is {plain}, each also {FINE}; heat-shrink and covering as the sheet Buying calls them")
    )
    what = f"{shown(word)} is nothing that is cut to length here" if word else "the item is missing"
    problems.append(row.problem("item", what, fix))
    return None


def _size(row: TableRow, cable: str, sizes: Sequence[str], problems: list[Problem]) -> str | None:
    word = row.cells.get("size", "")
    unit = sizes[0].split()[1]
    try:
        if not word:
            raise WrongQuantity(f"the size of this {cable} is missing", f"write for example {sizes[0]}")
        label = wire_size(word if " " in word or not word[-1].isdigit() else f"{word} {unit}")
    except WrongQuantity as wrong:
        problems.append(row.problem("size", wrong.what, wrong.fix))
        return None
    if label not in sizes:
        mine = [size for size in sizes if size.split()[1] == label.split()[1]] or sizes
        near = nearest_size(label, mine)
        what, fix = f"{label} is no size of {cable}", f"nearest: {near}; there are: {listed(mine, 24)}"
        problems.append(row.problem("size", what, fix))
        return None
    return label


def _colour(row: TableRow, problems: list[Problem]) -> str | None:
    word = row.cells.get("colour", "")
    try:
        if not word:
            raise WrongQuantity("the colour of this wire is missing", "write for example RD or BU/WH")
        if len(word) > MOST_SHOWN:
            raise WrongQuantity(f"{shown(word)} is not a wire colour", "write for example RD or BU/WH")
        return wire_colour(word)
    except WrongQuantity as wrong:
        problems.append(row.problem("colour", wrong.what, wrong.fix))
        return None


def _length_m(row: TableRow, problems: list[Problem]) -> float | None:
    try:
        return quantity("offcut", row.cells["length"])
    except WrongQuantity as wrong:
        problems.append(row.problem("length", wrong.what, wrong.fix))
        return None


def _count(row: TableRow, problems: list[Problem]) -> int | None:
    word = row.cells.get("count", "") or "1"
    found = whole(word, 1, MOST_ALIKE)
    if found is not None:
        return found
    fix = f"write how many of this length there are, 1 to {MOST_ALIKE}; left out: 1"
    problems.append(row.problem("count", f"{shown(word)} is no count", fix))
    return None


def _of_row(row: TableRow, known: Known, problems: list[Problem]) -> list[Offcut]:
    """The offcuts of one row, none when something in it is wrong."""
    item = _item(row, known, problems)
    length_m, count = _length_m(row, problems), _count(row, problems)
    size: str | None = ""
    colour: str | None = ""
    if item is not None and item in known.cables:
        size, colour = _size(row, item, known.cables[item], problems), _colour(row, problems)
    elif item is not None:
        for column in ("size", "colour"):
            if row.cells.get(column):
                what = f"a {column} for {shown(item)}, whose words say it all"
                problems.append(row.problem(column, what, "leave this cell empty"))
    if item is None or size is None or colour is None or length_m is None or count is None:
        return []
    name = WIRE + item if item in known.cables else item
    return [Offcut(name, size, colour, length_m)] * count


def read_offcuts(text: str, file: str, known: Known) -> tuple[Offcut, ...]:
    """The offcuts in a CSV text. Raises SurveyWrong with every mistake in it, by line and column."""
    problems: list[Problem] = []
    rows = table_rows(
        text, file, problems, columns=COLUMNS, needed=NEEDED, what="a list of offcuts", example=EXAMPLE
    )
    found = [one for row in rows for one in _of_row(row, known, problems)]
    if not found and not problems:
        problems.append(Problem(Where(file, 1, 1), "no offcut in the list", f"write {EXAMPLE}"))
    if problems:
        raise SurveyWrong(problems)
    return tuple(found)
