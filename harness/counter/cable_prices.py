"""Prices of cable by the metre, to pick sizes by: out of a table of their own, or a counter's price list."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from decimal import ROUND_UP, Decimal, InvalidOperation
from difflib import get_close_matches

from harness.counter.colours import letters_of_bs
from harness.counter.grammar import KIND, UNKNOWN
from harness.counter.grid import decoded
from harness.counter.pricelist import read_price_list
from harness.electric.prices import HEAVY_TYPES, STEP, Prices
from harness.electric.ruleset import UnknownSize, rule_set
from harness.model.limits import LIMITS
from harness.model.pricing import PriceList
from harness.model.problem import Problem, SurveyWrong, Where
from harness.survey.csvtext import TableRow, table_rows
from harness.survey.units import nearest_size
from harness.tables import load

NEEDED = ("cable", "size", "price_per_m")
COLUMNS = (*NEEDED, "currency", "colour")
MOST_PRICE = Decimal(LIMITS["cable price"].most)
EXAMPLE = "'cable,size,price_per_m,currency,colour', then for example 'GXL,14,0.62,EUR,'"


def cable_prices(content: bytes, file: str) -> Prices:
    """Prices of cable in a file of either kind. Raises SurveyWrong with every mistake in it.

    A table of cables is known by its column price_per_m, or by columns cable and size; anything else is read
    as a counter's list.
    """
    first = content[:2000].decode("utf-8", "replace").partition("\n")[0].lower()
    titles = {title.strip(' "\r\ufeff') for title in re.split("[,;\t]", first)}
    if "price_per_m" in first or {"cable", "size"} <= titles:
        return read_prices(decoded(content, file)[0], file)
    return of_list(read_price_list(content, file))


def of_list(one: PriceList) -> Prices:
    """What a metre of cable costs by a counter's list: the cheapest way the line is sold, one unit of it.

    A colour that is not listed counts as the dearest that is in that cable and size.
    Lines with words that are not understood are left out. Raises SurveyWrong where no line is of cable.
    """
    steps: dict[tuple[str, str, str], int] = {}
    for offer in one.offers:
        said = offer.traits
        cable, size, colour = (said.get(trait, ()) for trait in ("cable", "size", "colour"))
        if said.get(KIND) != ("wire",) or UNKNOWN in said or offer.unit != "m":
            continue
        if not len(cable) == len(size) == len(colour) == 1 or said.get("strands") == ("fine",):
            continue
        price = (offer.breaks[0].price / offer.content / STEP).to_integral_value(ROUND_UP)
        for letters in {colour[0], letters_of_bs(colour[0])}:
            key = (cable[0], size[0], letters)
            steps[key] = min(steps.get(key, int(price)), int(price))
    steps = _with_dearest(steps)
    if not steps:
        fix = "describe cable as 'GXL 14 RD', sold by the metre, foot or roll"
        raise SurveyWrong(
            [Problem(Where(one.file), "no line of this list is cable with type, size and colour", fix)]
        )
    return Prices(one.file, one.currency, steps)


def of_lists(lists: Sequence[PriceList]) -> Prices:
    """What a metre of cable costs by the cheapest of several lists. Raises SurveyWrong where none has any."""
    steps: dict[tuple[str, str, str], int] = {}
    problems: list[Problem] = []
    for one in lists:
        try:
            found = of_list(one)
        except SurveyWrong as wrong:
            problems += wrong.problems
            continue
        steps |= {key: min(cost, steps.get(key, cost)) for key, cost in found.steps.items() if key[2]}
    if not steps:
        raise SurveyWrong(problems)
    currency = next((one.currency for one in lists if one.currency), "")
    return Prices(", ".join(one.file for one in lists), currency, _with_dearest(steps))


def _with_dearest(steps: Mapping[tuple[str, str, str], int]) -> dict[tuple[str, str, str], int]:
    """The same with the dearest colour of each cable and size for what is not listed."""
    dearest: dict[tuple[str, str, str], int] = {}
    for (cable, size, _), cost in steps.items():
        dearest[cable, size, ""] = max(cost, dearest.get((cable, size, ""), 0))
    return {**steps, **dearest}


def _known_types() -> list[str]:
    sae = [row["type"] for row in load("sae_j1128_types").rows]
    heavy = [kind for kind in HEAVY_TYPES if kind not in sae]
    return [*sae, *heavy, *(f"class {row['class']}" for row in load("cable_temperature_class_iso").rows)]


def _cable(row: TableRow, problems: list[Problem]) -> str | None:
    known = _known_types()
    word = row.cells["cable"]
    found = next((one for one in known if one.lower() == word.lower()), None)
    if found is None:
        near = get_close_matches(word.upper(), known, n=1, cutoff=0.3) or known[:1]
        fix = f"nearest: {near[0]}; there are: {', '.join(known)}"
        problems.append(row.problem("cable", f"{word!r} is no cable type", fix))
    return found


def _size(row: TableRow, cable: str, problems: list[Problem]) -> str | None:
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
    near = nearest_size(text, known) or known[0]
    problems.append(
        row.problem("size", f"{word!r} is no size of {cable}", f"nearest: {near}; {', '.join(known)}")
    )
    return None


def _steps(row: TableRow, problems: list[Problem]) -> int | None:
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


def _colour(row: TableRow, problems: list[Problem]) -> str | None:
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
    table = table_rows(
        text, file, problems, columns=COLUMNS, needed=NEEDED, what="a price list", example=EXAMPLE
    )
    for row in table:
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
