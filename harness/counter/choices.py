"""The file of substitutions accepted in a quote: what a design takes otherwise, and what is bought."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from hashlib import sha256

from harness.counter.insulation import heat_c
from harness.counter.matching import unlike_numbers
from harness.model.accepted import ARROW, Accepted, Choice
from harness.model.pricing import PriceList
from harness.model.problem import Problem, SurveyWrong, Where, stop_when_many
from harness.survey import located
from harness.survey.csvtext import shown
from harness.survey.fields import wire_colour
from harness.survey.units import nearest_size
from harness.survey.words import ISO_CLASSES, SAE_CABLES, hint
from harness.survey.yamltext import compose

SIZES, COLOURS, CABLES, BOUGHT = "leave out sizes", "other colours", "other cable", "bought instead"
WIRED = "as wired"
SECTIONS = (SIZES, COLOURS, CABLES, BOUGHT, WIRED)
PART, IS = "part", "is"
FINE = " fine-stranded"
EXAMPLES = {
    SIZES: f"write {SIZES}: and below it lines such as '- GXL 16 AWG'",
    COLOURS: f"write {COLOURS}: and below it lines such as 'GXL 12 AWG WH/OG': BK",
    CABLES: f"write {CABLES}: and below it lines such as 'GXL 12 AWG WH/OG': SXL",
    BOUGHT: f"write {BOUGHT}: and below it lines such as 'relays: relay; 12 V': R12",
    WIRED: f"write {WIRED}: and below it lines such as 'battery + > starter 30': SGX 2 AWG",
}


@dataclass(slots=True)
class _Reading:
    """A file of choices while it is read."""

    file: str
    sizes: Collection[str] | None  # that may be meant; None: any
    numbers: Collection[str] | None  # part numbers of the lists; None: no lists are there
    unlike: Mapping[str, list[str]]  # part numbers of several lists, and how to name each line
    problems: list[Problem] = field(default_factory=list)

    def wrong(self, node: located.Node, what: str, fix: str) -> None:
        self.problems.append(Problem(Where(self.file, node.spot.line, node.spot.column), what, fix))
        stop_when_many(self.file, self.problems)

    def text(self, node: located.Node, fix: str) -> str | None:
        if isinstance(node, located.Text) and node.value.strip():
            return node.value
        self.wrong(node, "a text belongs here", fix)
        return None

    def size(self, node: located.Node) -> str | None:
        word = self.text(node, EXAMPLES[SIZES])
        if word is None or self.sizes is None or word in self.sizes:
            return word
        size, _, colour = word.rpartition(" ")
        if size in self.sizes and _letters(colour):  # not to be had in this colour
            return word
        self.wrong(node, f"{shown(word)} is no size of this machine's cable", _size_hint(word, self.sizes))
        return None

    def spool(self, entry: located.Entry) -> str | None:
        """Cable, size and colour of a spool."""
        name = entry.key.value
        cut, _, colour = name.rpartition(" ")
        plain = cut.replace(FINE, "", 1)
        if self.sizes is None or plain in self.sizes:
            if _letters(colour):
                return name
            self.wrong(entry.key, f"{shown(colour)} is no colour of a spool", "end with letters, as WH/OG")
            return None
        fix = hint(plain, sorted(self.sizes), EXAMPLES[COLOURS])
        self.wrong(entry.key, f"{shown(name)} is no cable, size and colour of this machine", fix)
        return None

    def number(self, node: located.Node) -> str | None:
        word = self.text(node, "write a part number")
        if word is not None and word in self.unlike:
            fix = "write " + " or ".join(repr(name) for name in self.unlike[word])
            self.wrong(node, f"{shown(word)} is a part number of several lists, for unlike things", fix)
            return None
        if word is None or self.numbers is None or word in self.numbers:
            return word
        self.wrong(node, f"{shown(word)} is no part number of these lists", hint(word, sorted(self.numbers)))
        return None


def _size_hint(word: str, sizes: Collection[str]) -> str:
    """The size that must be meant, or the nearest in number of the same cable."""
    near = nearest_size(word, sorted(sizes))
    return f"nearest: {near}" if near else hint(word, sorted(sizes))


def _letters(word: str) -> str:
    """A colour as letters, "" for none."""
    try:
        return wire_colour(word)
    except ValueError:
        return ""


def read_choices(
    text: str, file: str, lists: Sequence[PriceList] | None = None, sizes: Collection[str] | None = None
) -> Accepted:
    """A file of choices. Raises SurveyWrong with every mistake.

    ``lists``: part numbers are held against them; ``sizes``: those of the machine's cable, as "GXL 12 AWG".
    Without one of them what it would say is taken as it is written.
    """
    root, problems = compose(
        text, file, ("the file is empty", "delete it, or accept an alternate with --accept")
    )
    if not isinstance(root, located.Mapping):
        what = "a file of choices has the sections " + ", ".join(SECTIONS)
        raise SurveyWrong([*problems, Problem(Where(file, 1, 1), what, EXAMPLES[SIZES])])
    offers = [offer for one in lists or () for offer in one.offers]
    numbers = None if lists is None else {name for one in offers for name in (one.part_number, one.id)}
    reading = _Reading(file, sizes, numbers, unlike_numbers(lists or ()), problems)
    left: list[str] = []
    colours: dict[str, str] = {}
    cables: dict[str, str] = {}
    bought: dict[str, str] = {}
    words: dict[str, str] = {}
    wired: dict[str, str] = {}
    for name, entry in root.entries.items():
        if name not in SECTIONS:
            reading.wrong(entry.key, f"a file of choices has no section {shown(name)}", hint(name, SECTIONS))
        elif isinstance(entry.value, located.Text) and entry.value.value in ("", "{}", "[]"):
            continue
        elif name == SIZES and isinstance(entry.value, located.Sequence):
            left += [size for item in entry.value.items if (size := reading.size(item)) is not None]
        elif name == COLOURS and isinstance(entry.value, located.Mapping):
            colours = _spools(reading, entry.value, _colour_of)
        elif name == CABLES and isinstance(entry.value, located.Mapping):
            cables = _spools(reading, entry.value, _cable_of)
        elif name == BOUGHT and isinstance(entry.value, located.Mapping):
            bought, words = _bought(reading, entry.value)
        elif name == WIRED and isinstance(entry.value, located.Mapping):
            wired = _wired(reading, entry.value)
        else:
            reading.wrong(entry.value, f"{name!r} is not written as it should be", EXAMPLES[name])
    if reading.problems:
        raise SurveyWrong(reading.problems)
    digest = sha256(text.encode()).hexdigest()[:12]
    return Accepted(bought, tuple(dict.fromkeys(left)), colours, cables, words, file, digest, wired)


def _spools(
    reading: _Reading, section: located.Mapping, value: Callable[[_Reading, str, located.Node], str | None]
) -> dict[str, str]:
    found = {}
    for entry in section.entries.values():
        spool = reading.spool(entry)
        taken = value(reading, entry.key.value, entry.value)
        if spool is not None and taken is not None:
            found[spool] = taken
    return found


def _colour_of(reading: _Reading, _spool: str, node: located.Node) -> str | None:
    word = reading.text(node, EXAMPLES[COLOURS])
    letters = _letters(word) if word is not None else ""
    if word is not None and not letters:
        reading.wrong(node, f"{shown(word)} is no colour", "write letters of IEC 60757, such as RD or RD/BK")
    return letters or None


def _cable_of(reading: _Reading, spool: str, node: located.Node) -> str | None:
    """Cable of the same standard that stands as much heat or more."""
    word = reading.text(node, EXAMPLES[CABLES])
    if word is None:
        return None
    known = ISO_CLASSES if spool.startswith("class ") else SAE_CABLES
    if word not in known:
        reading.wrong(node, f"{shown(word)} is no cable that can stand in for it", hint(word, known))
        return None
    asked = next((one for one in known if spool.startswith(f"{one} ")), "")
    wanted, stands = heat_c(asked), heat_c(word)
    if wanted is not None and (stands is None or stands < wanted):
        what = f"{word} stands less heat than {asked}: never"
        reading.wrong(node, what, f"take cable for {wanted:g} °C or more")
        return None
    return word


def _bought(reading: _Reading, section: located.Mapping) -> tuple[dict[str, str], dict[str, str]]:
    """Part numbers by material, and what they are where the file says it."""
    numbers: dict[str, str] = {}
    words: dict[str, str] = {}
    for key, entry in section.entries.items():
        node = entry.value
        if isinstance(node, located.Mapping):
            for name in node.entries:
                if name not in (PART, IS):
                    fix = hint(name, (PART, IS))
                    reading.wrong(node.entries[name].key, f"a line of {BOUGHT!r} has no {shown(name)}", fix)
            if PART not in node.entries:
                reading.wrong(node, "no part number is given", f"write {{{PART}: R12, {IS}: what it is}}")
                continue
            said = node.entries.get(IS)
            if said is not None and isinstance(said.value, located.Text):
                words[key] = said.value.value
            node = node.entries[PART].value
        number = reading.number(node)
        if number is not None:
            numbers[key] = number
    return numbers, words


def _wired(reading: _Reading, section: located.Mapping) -> dict[str, str]:
    """The size a wire has in the machine, by its ends."""
    found = {}
    for name, entry in section.entries.items():
        a, arrow, b = name.partition(ARROW)
        if not (arrow and a.strip() and b.strip()):
            what = f"{shown(name)} names no wire by its two ends"
            reading.wrong(entry.key, what, f"write it as 'battery +{ARROW}starter 30'")
        word = reading.text(entry.value, EXAMPLES[WIRED])
        if word is not None and reading.sizes is not None and word not in reading.sizes:
            what = f"{shown(word)} is no cable and size of this machine"
            reading.wrong(entry.value, what, _size_hint(word, reading.sizes))
        elif word is not None:
            found[name] = word
    return found


def joined(several: Sequence[Accepted]) -> Accepted:
    """All that was accepted for any of several machines."""

    def all_of(pick: Callable[[Accepted], Mapping[str, str]]) -> dict[str, str]:
        return {key: value for one in several for key, value in pick(one).items()}

    return Accepted(
        all_of(lambda one: one.bought), tuple(dict.fromkeys(size for one in several for size in one.sizes)),
        all_of(lambda one: one.colours), all_of(lambda one: one.cables), all_of(lambda one: one.words),
        wired=all_of(lambda one: one.wired),
    )  # fmt: skip


def with_choice(accepted: Accepted, one: Choice) -> Accepted:
    """The same with one more."""
    if one.section == SIZES:
        return replace(accepted, sizes=tuple(dict.fromkeys((*accepted.sizes, one.key))))
    if one.section == COLOURS:
        return replace(accepted, colours={**accepted.colours, one.key: one.value})
    if one.section == CABLES:
        return replace(accepted, cables={**accepted.cables, one.key: one.value})
    bought = {**accepted.bought, one.key: one.value}
    return replace(accepted, bought=bought, words={**accepted.words, one.key: one.words})
