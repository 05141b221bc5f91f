"""Reading a shop's own catalogue: items into rows of the tables, or every mistake at its line and column."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from hashlib import sha256

from harness.catalogue import KINDS, ItemKind, Key, kind_of
from harness.model.catalogue import Catalogue, OwnItem
from harness.model.problem import Problem, SurveyWrong, Where, stop_when_many
from harness.survey.itemvalues import READ, SEVERAL, Row
from harness.survey.located import Entry, Mapping, Node, Sequence, Spot, Text
from harness.survey.reader import letters
from harness.survey.units import WrongQuantity, tidy
from harness.survey.words import hint, listed
from harness.survey.yamltext import compose
from harness.tables import NO_WORD, OWN, OWN_WORD, load

NOT_STOCKED = "not stocked"
ALL = "all"
EMPTY = ("the catalogue is empty", f"write a kind and its items, as {KINDS[0].name}: [{KINDS[0].example}]")
SAME_MM = 0.03  # sizes this near are the same: 3/8 in stands in tables as 9.52 and as 9.53 mm
RATIO_SLACK = 1.25  # of a tube's sizes against the ratio in its name


@dataclass(slots=True)
class _Reading:
    """One catalogue being read: its problems, and the tables as they come to stand."""

    file: str
    problems: list[Problem]
    rows: dict[str, tuple[Row, ...]] = field(default_factory=dict)
    own: list[OwnItem] = field(default_factory=list)
    gone: list[str] = field(default_factory=list)

    def say(self, spot: Spot, what: str, fix: str) -> None:
        self.problems.append(Problem(Where(self.file, spot.line, spot.column), what, fix))
        stop_when_many(self.file, self.problems)

    def table(self, kind: ItemKind) -> tuple[Row, ...]:
        return self.rows.get(kind.table) or load(kind.table).rows


# ------------------------------------------------------------------------------------------------ items


def _entries(node: Node, reading: _Reading, kind: ItemKind) -> Iterator[Mapping]:
    """The items of one kind; says what is not one."""
    if isinstance(node, Text) and not node.value.strip():
        return
    items = node.items if isinstance(node, Sequence) else (node,)
    for item in items:
        if isinstance(item, Mapping):
            yield item
        else:
            reading.say(item.spot, f"an item of {kind.name!r} is written in braces", f"- {kind.example}")


def _columns(item: Mapping, kind: ItemKind, reading: _Reading) -> tuple[Row, bool]:
    """What an item says, by column; and whether all of it could be read."""
    keys = {key.word: key for key in kind.keys}
    found: Row = {}
    sound = True
    for word, entry in item.entries.items():
        said = _value(word, entry, keys, kind, reading)
        sound = sound and said is not None
        found |= said or {}
    return found, sound


def _value(
    word: str, entry: Entry, keys: dict[str, Key], kind: ItemKind, reading: _Reading
) -> Row | None:  # fmt: skip
    if word not in keys:
        reading.say(entry.key.spot, f"an item of {kind.name!r} has no key {word!r}", hint(word, keys))
        return None
    text = _text(entry.value, several=keys[word].reads == "studs")
    if text is None:
        reading.say(entry.value.spot, f"{word!r} takes one value", f"write it as in {kind.example}")
        return None
    try:
        return READ[keys[word].reads](text, keys[word])
    except WrongQuantity as error:
        reading.say(entry.value.spot, error.what, error.fix)
        return None


def _text(node: Node, *, several: bool) -> str | None:
    """One value, or a list of them in one text where a list may stand; None for anything else."""
    if isinstance(node, Text):
        return node.value
    if several and isinstance(node, Sequence) and node.items:
        found = [item.value for item in node.items if isinstance(item, Text)]
        return SEVERAL.join(found) if len(found) == len(node.items) else None
    return None


def _says(row: Row, kind: ItemKind) -> str:
    """An item in words: "hole 27 mm, inside 19 mm"."""
    return ", ".join(words_of(row, kind))


def words_of(row: Row, kind: ItemKind) -> list[str]:
    """What a row says of an item, key by key; what is not known is left out."""
    return [f"{key.word} {_said(row, key)}{_unit(row, key)}" for key in kind.keys if row.get(key.column)]


def _said(row: Row, key: Key) -> str:
    """A cell in words; what a person wrote stays as it is."""
    text = row[key.column]
    return text if key.reads == "text" else text.replace("_", " ")


def _unit(row: Row, key: Key) -> str:
    if key.reads == "amount":  # so many pieces, or a length
        return "" if row.get(key.also, "each") == "each" else " m"
    return {"length": " mm", "current": " A", "gauge": " mm2"}.get(key.reads, "")


def _grows(row: Row, kind: ItemKind, spot: Spot, reading: _Reading) -> bool:
    columns = {key.word: key.column for key in kind.keys}
    for less, more in zip(kind.grows, kind.grows[1:], strict=False):
        if float(row[columns[less]]) >= float(row[columns[more]]):
            what = f"{less} {row[columns[less]]} mm is not smaller than {more} {row[columns[more]]} mm"
            reading.say(spot, what, f"measure both again; {less} must be the smaller one")
            return False
    return True


def _ratio_holds(row: Row, spot: Spot, reading: _Reading) -> bool:
    """Whether a tube shrinks by about the ratio it is called by."""
    if "ratio" not in row:
        return True
    said = float(row["ratio"].removesuffix(":1"))
    real = float(row["expanded_id_min_mm"]) / float(row["recovered_id_max_mm"])
    if said / RATIO_SLACK <= real <= said * RATIO_SLACK:
        return True
    reading.say(spot, f"the tube is called {row['ratio']}, its sizes are {real:.1f}:1", "look at its sheet")
    return False


def _add(item: Mapping, kind: ItemKind, reading: _Reading) -> None:
    row, sound = _columns(item, kind, reading)
    known = {key.word for key in kind.keys}
    missing = [key.word for key in kind.keys if key.needed and key.word not in item.entries]
    if missing and known.issuperset(item.entries):  # else it may only be misspelt
        lacks = f"an item of {kind.name!r} does not say {missing[0]!r}"
        reading.say(item.spot, lacks, f"write it as in {kind.example}")
    if missing or not sound:
        return
    if not (_grows(row, kind, item.spot, reading) and _ratio_holds(row, item.spot, reading)):
        return
    source = f"your own catalogue {reading.file} line {item.spot.line}"
    if kind.cell:
        _add_word(row, kind, source, reading)
        return
    row = dict.fromkeys(load(kind.table).rows[0], "") | row | dict(kind.fixed)
    row |= {"source": source, "certainty": OWN}
    _name(row, kind)
    _shelve(row, kind, reading)
    reading.own.append(OwnItem(kind.name, _says(row, kind), kind.group, kind.mark.format(**row), source))


def _name(row: Row, kind: ItemKind) -> None:
    """Fill in what was left out and can be made from the rest."""
    if row.get("unit") == "m" and not row["name"]:
        row["name"] = f"length of {row['amount']} m"
    for key in kind.keys:
        if key.default and not row[key.column]:
            row[key.column] = key.default.format(**row)
    if kind.table == "heat_shrink":
        both = f"{row['expanded_id_min_mm']}/{row['recovered_id_max_mm']}"
        row["nominal_size"] = row["expanded_id_min_mm"] if row["lining"] == "thin wall" else both


def _shelve(row: Row, kind: ItemKind, reading: _Reading) -> None:
    """Put a row into its table, in place of a published one of the same sizes."""
    sizes = {key.column: row[key.column] for key in kind.keys if key.needed}
    kept = [each for each in reading.table(kind) if each.get("certainty") == OWN or not _alike(each, sizes)]
    new = [row | {"series": series} for series in kind.series] or [row]
    ahead = kind.first and row.get("item_has") != ""  # of packs only those for one sort of thing
    reading.rows[kind.table] = (*new, *kept) if ahead else (*kept, *new)
    if kind.beside:
        twin = {column: row.get(column, "") for column in load(kind.beside).rows[0]}
        kept = list(reading.rows.get(kind.beside) or load(kind.beside).rows)
        others = [each for each in kept if not _same(each[kind.sort], row[kind.sort])]
        reading.rows[kind.beside] = (*others, twin)


def _sort(kind: ItemKind, reading: _Reading) -> None:
    """Put the rows of a table that is read from the smallest up into their order again."""
    if kind.sort and kind.table in reading.rows:
        order = {series: at for at, series in enumerate(kind.series)}
        reading.rows[kind.table] = tuple(
            sorted(
                reading.rows[kind.table],
                key=lambda each: (order.get(each.get("series", ""), 0), float(each[kind.sort])),
            )
        )


def _with_word(row: Row, cell: str, word: str, source: str) -> Row:
    words = [one for one in row[cell].split() if one != word]
    return row | {cell: " ".join([*words, word]), OWN_WORD + word: source}


def _without_word(row: Row, cell: str, word: str) -> Row:
    return row | {cell: " ".join(one for one in row[cell].split() if one != word), NO_WORD + word: word}


def _add_word(row: Row, kind: ItemKind, source: str, reading: _Reading) -> None:
    """Add a word to the list in a cell of the row that has the same other keys, and say whose it is."""
    word = row[kind.cell]
    rest = {column: value for column, value in row.items() if column != kind.cell}
    reading.rows[kind.table] = tuple(
        _with_word(each, kind.cell, word, source) if _alike(each, rest) else each
        for each in reading.table(kind)
    )
    reading.own.append(OwnItem(kind.name, _says(row, kind), kind.group, "", source))


def _take_word(item: Mapping, row: Row, kind: ItemKind, reading: _Reading) -> None:
    """Take a word out of the list in a cell, in every row that has the other keys."""
    word = row.get(kind.cell, "")
    rest = {column: value for column, value in row.items() if column != kind.cell}
    found = [each for each in reading.table(kind) if _alike(each, rest) and word in each[kind.cell].split()]
    if not word or not found:
        what = f"the catalogue has no {kind.name} with {_says(row, kind)}"
        reading.say(item.spot, what, f"leave it out, or write it as in {kind.example}")
        return
    reading.rows[kind.table] = tuple(
        _without_word(each, kind.cell, word) if each in found else each for each in reading.table(kind)
    )
    reading.gone.append(f"{kind.name}: {_says(row, kind)}")


def _alike(row: Row, sizes: Row) -> bool:
    """Whether a row has these sizes."""
    return all(_same(row[column], value) for column, value in sizes.items())


def _same(one: str, other: str) -> bool:
    try:
        return abs(float(one) - float(other)) <= SAME_MM
    except ValueError:
        return one.lower() == other.lower()


# ------------------------------------------------------------------------------------------ not stocked


def _take(kind: ItemKind, node: Node, reading: _Reading) -> None:
    if isinstance(node, Text) and tidy(node.value).lower() == ALL:
        if kind.cell:
            reading.say(node.spot, f"{kind.name!r} cannot all be left out", f"name them, as {kind.example}")
            return
        reading.rows[kind.table] = tuple(row for row in reading.table(kind) if row.get("certainty") == OWN)
        reading.gone.append(f"all {kind.name} but your own")
        return
    for item in _entries(node, reading, kind):
        sizes, sound = _columns(item, kind, reading)
        columns = set(load(kind.table).rows[0])
        wanted = {column: value for column, value in sizes.items() if column in columns}
        for key in kind.keys:
            if key.also != "wire_awg_nearest":
                wanted.pop(key.also, None)
        if not sound or not wanted:
            continue
        if kind.cell:
            _take_word(item, sizes, kind, reading)
            continue
        left = tuple(row for row in reading.table(kind) if not _matches(row, wanted))
        if len(left) == len(reading.table(kind)):
            _none_such(item, kind, wanted, reading)
        reading.rows[kind.table] = left
        reading.gone.append(f"{kind.name}: {_says(wanted, kind)}")


def _matches(row: Row, wanted: Row) -> bool:
    """As ``_alike``; a family of tube is meant by its beginning, whichever sheet it is from.

    A lug is meant by its wire in either system: 2 AWG is 33.6 mm2, and the lug for it is marked 35.
    """
    family, awg = wanted.get("family", ""), wanted.get("wire_awg_nearest")
    apart = {"family", "wire_awg_nearest"}
    if awg is not None and awg in row["wire_awg_nearest"].split(" / "):
        apart.add("wire_mm2")
    rest = {column: value for column, value in wanted.items() if column not in apart}
    return row.get("family", "").startswith(family) and _alike(row, rest)


def _none_such(item: Mapping, kind: ItemKind, wanted: Row, reading: _Reading) -> None:
    key = next(key for key in kind.keys if key.column in wanted)
    known = dict.fromkeys(row[key.column] for row in reading.table(kind))
    unit = {"length": " mm", "gauge": " mm2"}.get(key.reads, "")
    reading.say(
        item.spot,
        f"the catalogue has no {kind.name} with {_says(wanted, kind)}",
        f"leave it out; {key.word} is there as {listed([each + unit for each in known])}",
    )


# ------------------------------------------------------------------------------------------------ file


def _sections(root: Node, reading: _Reading) -> Iterator[tuple[ItemKind, Node, bool]]:
    """Every section that names a kind, what it holds, and whether that is not stocked; own items first."""
    if not isinstance(root, Mapping):
        reading.say(
            root.spot,
            "a catalogue is made of kinds of items, each with its name and a colon",
            f"grommets: [{KINDS[0].example}]",
        )
        return
    late: list[tuple[ItemKind, Node, bool]] = []
    for word, entry in root.entries.items():
        if word == NOT_STOCKED:
            late += _gone_sections(entry, reading)
        elif (kind := kind_of(word)) is not None:
            yield kind, entry.value, False
        else:
            known = [*(kind.name for kind in KINDS), NOT_STOCKED]
            reading.say(entry.key.spot, f"a catalogue has no kind of items {word!r}", hint(word, known))
    yield from late


def _gone_sections(entry: Entry, reading: _Reading) -> Iterator[tuple[ItemKind, Node, bool]]:
    if not isinstance(entry.value, Mapping):
        fix = f"write the kind and its items below it, as grommets: [{KINDS[0].example}]"
        reading.say(entry.value.spot, f"{NOT_STOCKED!r} must hold kinds of items", fix)
        return
    for word, below in entry.value.entries.items():
        kind = kind_of(word)
        if kind is None:
            known = [kind.name for kind in KINDS]
            reading.say(below.key.spot, f"a catalogue has no kind of items {word!r}", hint(word, known))
        else:
            yield kind, below.value, True


def read_catalogue(content: str | bytes, file: str) -> Catalogue:
    """Read a catalogue; ``file`` is its name in messages and sources.

    Raises SurveyWrong with every problem found.
    """
    text = letters(content, file) if isinstance(content, bytes) else content
    root, problems = compose(text, file, EMPTY)
    reading = _Reading(file, problems)
    for kind, node, gone in _sections(root, reading):
        if gone:
            _take(kind, node, reading)
        else:
            for item in _entries(node, reading, kind):
                _add(item, kind, reading)
            _sort(kind, reading)
    if reading.problems:
        raise SurveyWrong(reading.problems)
    digest = sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:12]
    return Catalogue(file, digest, reading.rows, tuple(reading.own), tuple(reading.gone))
