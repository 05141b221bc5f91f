"""A price list of cable, a CSV table: what a metre of each size costs, and what that makes of a wire."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal, InvalidOperation
from difflib import get_close_matches
from io import StringIO

from harness.electric.ruleset import HEAVY_MM2, RuleSet, Size, UnknownSize, rule_set
from harness.model.problem import Problem, SurveyWrong, Where
from harness.tables import load

NEEDED = ("cable", "size", "price_per_m")
COLUMNS = (*NEEDED, "currency", "colour")
STEP = Decimal("0.0001")  # prices are counted in whole such steps
MOST_PRICE = Decimal(1_000_000)  # a metre; more is a slip of the pen
PER_M = 1000  # lengths count in millimetres, so that a wire's price is a whole number
HEAVY_TYPES = ("SGT", "SGX", "STX", "STT", "SGR")  # battery cable, J1127: the heavy sizes of any light type
EXAMPLE = "'cable,size,price_per_m,currency,colour', then for example 'GXL,14,0.62,EUR,'"


class NoPrice(Exception):
    """Something that has to be bought has no price; the message names it."""


@dataclass(frozen=True, slots=True)
class Prices:
    """What a metre costs, in ten-thousandths: cable, size and colour ("": any) -> whole steps."""

    file: str
    currency: str  # "" where the list does not say
    steps: Mapping[tuple[str, str, str], int]

    def of(self, rules: RuleSet, cable: str, size: Size, colour: str) -> int | None:
        """Steps a metre of a wire's cable costs, None where the list has none.

        Light cable is listed under its own type, its heavy sizes also under a battery-cable type.
        """
        kinds = [cable]
        if rules.name == "sae" and size.area_mm2 > HEAVY_MM2:
            kinds += [kind for kind in HEAVY_TYPES if kind != cable]
        found = (self.steps.get((kind, size.label, shade)) for kind in kinds for shade in (colour, ""))
        return next((steps for steps in found if steps is not None), None)


def wire_steps(steps_per_m: int, length_m: float) -> int:
    """What a wire costs, in ten-millionths of the currency: whole, so that sums are exact."""
    return steps_per_m * round(length_m * PER_M)


def money(wire_steps_: int) -> str:
    """An amount as a decimal number with four digits behind the point, rounded up.

    >>> money(12_345_001)
    '1.2346'
    """
    units = -(-wire_steps_ // PER_M)
    return f"{Decimal(units) * STEP:.4f}"


def _known_types() -> list[str]:
    sae = [row["type"] for row in load("sae_j1128_types").rows]
    heavy = [kind for kind in HEAVY_TYPES if kind not in sae]
    return [*sae, *heavy, *(f"class {row['class']}" for row in load("cable_temperature_class_iso").rows)]


@dataclass(frozen=True, slots=True)
class _Row:
    """One row of the list, by column, and where it stands."""

    file: str
    line: int
    cells: Mapping[str, str]
    at: Mapping[str, int]  # column of the text where each cell begins

    def problem(self, column: str, what: str, fix: str) -> Problem:
        return Problem(Where(self.file, self.line, self.at.get(column, 1)), what, fix)


def _cell_starts(cells: Sequence[str]) -> list[int]:
    starts, here = [], 1
    for cell in cells:
        starts.append(here)
        here += len(cell) + 1
    return starts


def _rows(text: str, file: str, problems: list[Problem]) -> Iterator[_Row]:
    """The rows below the header, as far as the header can be understood."""
    lines = csv.reader(StringIO(text, newline=""))
    try:
        header = [cell.strip().lower() for cell in next(lines, [])]
        missing = [name for name in NEEDED if name not in header]
        for at, name in zip(_cell_starts(header), header, strict=True):
            if name not in COLUMNS or header.count(name) > 1:
                near = get_close_matches(name, COLUMNS, n=1, cutoff=0.5)
                hint = f"nearest: {near[0]}; " if near and name not in COLUMNS else ""
                what = "stands twice" if name in COLUMNS else "is no column of a price list"
                problems.append(
                    Problem(Where(file, 1, at), f"{name!r} {what}", f"{hint}columns: {', '.join(COLUMNS)}")
                )
        if missing:
            what = f"the header lacks {', '.join(missing)}"
            problems.append(Problem(Where(file, 1, 1), what, f"begin with {EXAMPLE}, with commas between"))
            return
        for cells in lines:
            line = lines.line_num
            if not any(cell.strip() for cell in cells):
                continue
            if len(cells) > len(header):
                fix = "write a decimal point in prices, and quotes around what holds a comma"
                problems.append(
                    Problem(
                        Where(file, line, 1), f"{len(cells)} cells where the header has {len(header)}", fix
                    )
                )
                continue
            padded = [*cells, *[""] * (len(header) - len(cells))]
            values = {name: cell.strip() for name, cell in zip(header, padded, strict=True)}
            yield _Row(file, line, values, dict(zip(header, _cell_starts(padded), strict=True)))
    except csv.Error as error:
        where = Where(file, lines.line_num, 1)
        problems.append(
            Problem(where, f"cannot be read as a table: {error}", "save it as CSV, commas, UTF-8")
        )


def _cable(row: _Row, problems: list[Problem]) -> str | None:
    known = _known_types()
    word = row.cells["cable"]
    found = next((one for one in known if one.lower() == word.lower()), None)
    if found is None:
        near = get_close_matches(word.upper(), known, n=1, cutoff=0.3) or known[:1]
        fix = f"nearest: {near[0]}; there are: {', '.join(known)}"
        problems.append(row.problem("cable", f"{word!r} is no cable type", fix))
    return found


def _size(row: _Row, cable: str, problems: list[Problem]) -> str | None:
    """The label of a size of the cable's rule set."""
    rules = rule_set("iso" if cable.startswith("class") else "sae", "SGX" if cable in HEAVY_TYPES else cable)
    known = [size.label for size in rules.sizes]
    word = row.cells["size"]
    text = f"{word} {known[0].split()[1]}" if word and word[-1].isdigit() and " " not in word else word
    try:
        label = rules.size(text).label if text else ""
    except (UnknownSize, ValueError):
        label = ""
    if label in known:
        return label
    near = get_close_matches(text, known, n=1, cutoff=0.0)[0]
    problems.append(
        row.problem("size", f"{word!r} is no size of {cable}", f"nearest: {near}; {', '.join(known)}")
    )
    return None


def _steps(row: _Row, problems: list[Problem]) -> int | None:
    """The price as whole steps."""
    word = row.cells["price_per_m"]
    try:
        price = Decimal(word)
    except InvalidOperation:
        price = Decimal("NaN")
    if not price.is_finite() or not 0 < price <= MOST_PRICE:
        fix = "write a number above zero with a decimal point, such as 0.62"
        problems.append(row.problem("price_per_m", f"{word!r} is no price of a metre", fix))
        return None
    if price % STEP:
        fix = f"at most four digits behind the point: {price.quantize(STEP)}"
        problems.append(row.problem("price_per_m", f"{word} is finer than prices are counted", fix))
        return None
    return int(price / STEP)


def _colour(row: _Row, problems: list[Problem]) -> str | None:
    """Colour letters, one or two with a stroke; empty for any colour."""
    word = row.cells.get("colour", "").upper()
    known = [one["iec60757"] for one in load("colour_codes").rows if one["iec60757"]]
    wrong = [letters for letters in word.split("/") if letters not in known]
    if word and (wrong or word.count("/") > 1):
        near = get_close_matches(wrong[0] if wrong else word, known, n=1, cutoff=0.3)
        hint = f"nearest: {near[0]}; " if near else ""
        fix = f"{hint}letters of IEC 60757, such as RD or RD/BK; leave it empty for any colour"
        problems.append(row.problem("colour", f"{word!r} is no colour", fix))
        return None
    return word


def read_prices(text: str, file: str) -> Prices:
    """The price list in a CSV text. Raises SurveyWrong with every mistake in it, by line."""
    problems: list[Problem] = []
    steps: dict[tuple[str, str, str], int] = {}
    lines: dict[tuple[str, str, str], int] = {}
    currency: tuple[str, int] | None = None
    rows = 0
    for row in _rows(text.removeprefix("\ufeff"), file, problems):
        rows += 1
        cable = _cable(row, problems)
        size = _size(row, cable, problems) if cable else None
        price, colour = _steps(row, problems), _colour(row, problems)
        word = row.cells.get("currency", "")
        currency = currency or (word, row.line)
        if word != currency[0]:
            what = f"currency {word!r}, but {currency[0]!r} in line {currency[1]}"
            problems.append(row.problem("currency", what, "give all prices in one currency"))
        if cable is None or size is None or price is None or colour is None:
            continue
        key = (cable, size, colour)
        if key in steps:
            what = f"{' '.join(part for part in key if part)} has a price in line {lines[key]} already"
            problems.append(row.problem("cable", what, "give each cable, size and colour one price"))
        steps[key], lines[key] = price, row.line
    if not rows and not problems:
        problems.append(Problem(Where(file, 1, 1), "no price in the list", f"write {EXAMPLE}"))
    if problems:
        raise SurveyWrong(problems)
    return Prices(file, (currency or ("", 0))[0], steps)


def priced(rules: RuleSet, prices: Prices, cable: str, light: str, heavy: str, heavy_mm2: float) -> RuleSet:
    """A rule set with only the sizes that have a price in a wire's colour, as light and as heavy cable.

    Thinner and thicker ones than any listed are taken as not sold. Raises NoPrice where none is left, and
    where a size between two listed ones is missing: that is more likely forgotten than not sold.
    """

    def has(size: Size) -> bool:
        colour = heavy if size.area_mm2 > heavy_mm2 else light
        return prices.of(rules, cable, size, colour) is not None

    found = [at for at, size in enumerate(rules.sizes) if has(size)]
    if not found:
        raise NoPrice(f"{prices.file} has no price for any {cable} in {light}")
    for at in range(found[0], found[-1]):
        if at not in found:
            size = rules.sizes[at]
            colour = heavy if size.area_mm2 > heavy_mm2 else light
            raise NoPrice(
                f"{prices.file} has no price for {cable} {size.label} in {colour}; give it, or say with"
                " --stock what is to be used"
            )
    return replace(rules, sizes=tuple(rules.sizes[at] for at in found))
