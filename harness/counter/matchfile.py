"""The file that says which line of the price lists is which material: a person can read and correct it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from harness.counter.matching import Choices, unlike_numbers
from harness.counter.quoted import on_one_line, quoted
from harness.model.pricing import Matching, Need, Offer, PriceList
from harness.model.problem import Problem, SurveyWrong, Where, stop_when_many
from harness.survey import located
from harness.survey.csvtext import shown
from harness.survey.words import hint
from harness.survey.yamltext import compose

HAND, OPEN, FOUND, SILENT = "by hand", "open", "found", "words that say nothing"
SECTIONS = (SILENT, HAND, OPEN, FOUND)
NONE = "none"
HEAD = """\
# Which line of the price lists is which material. `harness prices match` keeps this file; you correct it.
#
# 'open' lists what no line serves for certain, with the nearest lines. Write a part number behind a material,
# several as [A1, A2] where all of them are the very same thing, or none where these lists do not have it.
# What you wrote moves to 'by hand', which always goes before what the program finds, and is never changed.
# 'found' is looked for anew on every run. Words that say nothing about what a thing is, such as a trade
# name, go into the list of that name: [BRANDX, PREMIUM].
"""


@dataclass(frozen=True, slots=True)
class MatchFile:
    """What a file of matches says."""

    hand: Mapping[str, tuple[str, ...]] = field(default_factory=dict)  # none of them: not in the lists
    found: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    silent: tuple[str, ...] = ()
    kept: tuple[str, ...] = ()  # the lines of 'by hand' as they stand in the file
    moved: tuple[str, ...] = ()  # materials that stood in 'open' and are settled now
    remarks: Mapping[str, str] = field(default_factory=dict)  # what stood behind them: "# rang the maker"

    def choices(self) -> Choices:
        """The same for the matching."""
        return Choices(self.hand, frozenset(word.casefold() for word in self.silent))


def read_matches(text: str, file: str, lists: Sequence[PriceList]) -> MatchFile:
    """A file of matches against the lists it is used with. Raises SurveyWrong with every mistake in it."""
    root, problems = compose(text, file, ("the file is empty", "delete it: it is made anew"))
    if not isinstance(root, located.Mapping):
        what = "a file of matches has the sections " + ", ".join(SECTIONS)
        raise SurveyWrong([*problems, Problem(Where(file, 1, 1), what, "delete it: it is made anew")])
    numbers = {name for one in lists for offer in one.offers for name in (offer.part_number, offer.id)}
    unlike = unlike_numbers(lists)
    said: dict[str, dict[str, tuple[str, ...]]] = {HAND: {}, OPEN: {}, FOUND: {}}
    remarks: dict[str, str] = {}
    lines = text.splitlines()
    silent: tuple[str, ...] = ()
    for name, entry in root.entries.items():
        if name not in SECTIONS:
            spot = entry.key.spot
            what = f"a file of matches has no section {shown(name)}"
            problems.append(Problem(Where(file, spot.line, spot.column), what, hint(name, SECTIONS)))
        elif name == SILENT:
            silent = tuple(each.value for each in _texts(entry.value) if each.value)
        elif isinstance(entry.value, located.Mapping):
            for key, line in entry.value.entries.items():
                found = _numbers(line.value, file, numbers if name != FOUND else None, unlike, problems)
                if found is not None:
                    said[name][key] = found
                    remarks[key] = (
                        _remark(lines[line.value.spot.line - 1], line.value) if name == OPEN else ""
                    )
                stop_when_many(file, problems)
        elif not (isinstance(entry.value, located.Text) and entry.value.value in ("", "{}")):
            spot = entry.value.spot
            what, fix = (
                f"{name!r} must be lines of material: part number",
                "write 'wire: wire, GXL; 14 AWG; RD': A1",
            )
            problems.append(Problem(Where(file, spot.line, spot.column), what, fix))
    if problems:
        raise SurveyWrong(problems)
    moved = tuple(key for key in said[OPEN] if key not in said[HAND])
    return MatchFile(said[OPEN] | said[HAND], said[FOUND], silent, tuple(_kept(text)), moved, remarks)


def _remark(line: str, node: located.Node) -> str:
    """What a person wrote behind a value, "# rang the maker"; "" for nothing."""
    end = node.spot.column - 1 + len(node.raw) if isinstance(node, located.Text) else line.rfind("]") + 1
    found = re.fullmatch(r"\s+(#.*)", line[end:])
    return found[1] if found else ""


def _texts(node: located.Node) -> list[located.Text]:
    if isinstance(node, located.Text):
        return [node]
    if isinstance(node, located.Sequence):
        return [item for item in node.items if isinstance(item, located.Text)]
    return []


def _numbers(
    node: located.Node, file: str, known: set[str] | None, unlike: Mapping[str, list[str]],
    problems: list[Problem],
) -> tuple[str, ...] | None:  # fmt: skip
    """The part numbers of one line, none of them for "none"; None where nothing is written."""
    texts = _texts(node)
    if not texts and not (isinstance(node, located.Sequence) and not node.items):
        fix = "write a part number, [several], or none"
        problems.append(Problem(Where(file, node.spot.line, node.spot.column), "this is no part number", fix))
    words = [each for each in texts if each.value.strip()]
    if not words:
        return None
    if len(words) == 1 and words[0].value.lower() == NONE and words[0].value not in (known or ()):
        return ()
    for each in words:
        if known is not None and each.value not in known:
            fix = hint(each.value, sorted(known)) or "write the number of a line"
            if "," in each.value:
                fix = f"of several, write [{', '.join(one.strip() for one in each.value.split(','))}]."
            fix += " If it is of another list, give that one with --prices too."
            what = f"no list given has the part number {shown(each.value)}"
            problems.append(Problem(Where(file, each.spot.line, each.spot.column), what, fix))
        elif known is not None and each.value in unlike:
            what = f"{shown(each.value)} is a part number of several lists, for unlike things"
            fix = "write " + " or ".join(repr(name) for name in unlike[each.value])
            problems.append(Problem(Where(file, each.spot.line, each.spot.column), what, fix))
    return tuple(each.value for each in words)


def _kept(text: str) -> Iterator[str]:
    """The lines below 'by hand', with a person's remarks."""
    inside = False
    for line in text.splitlines():
        if re.match(r"\S", line) and not line.startswith("#"):
            inside = re.match(rf"""['"]?{HAND}['"]?\s*:\s*(#.*)?$""", line) is not None
        elif inside and line.strip():
            yield line


def _quoted(word: str) -> str:
    if re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9._/-]*", word) and word.casefold() not in (NONE, "null"):
        return word
    return quoted(word)


def _listed(numbers: Sequence[str]) -> str:
    if not numbers:
        return NONE
    return _quoted(numbers[0]) if len(numbers) == 1 else f"[{', '.join(map(_quoted, numbers))}]"


def priced_as(offer: Offer) -> str:
    """What one line costs and how it is sold: "0.62 EUR by the metre"."""
    return " ".join(word for word in (f"{offer.breaks[0].price:f}", offer.currency, offer.sold_as) if word)


def _by_hand(file: MatchFile) -> Iterator[str]:
    """The lines of a person as they stood, and what they settled since."""
    if file.kept:
        yield from file.kept
        said = next((line for line in file.kept if not line.lstrip().startswith("#")), "  ")
        indent = said[: len(said) - len(said.lstrip())] if said.strip() else said
        fresh: Iterable[str] = file.moved
    else:
        indent, fresh = "  ", file.hand
    for key in fresh:
        yield f"{indent}{_quoted(key)}: {_listed(file.hand[key])}  {file.remarks.get(key, '')}".rstrip()


def matches_text(needs: Sequence[Need], matching: Matching, before: MatchFile) -> str:
    """The file anew: a person's lines as they are, what is open with its candidates, what was found."""
    lines = [HEAD.rstrip(), "", f"{SILENT}: [{', '.join(map(_quoted, before.silent))}]", "", f"{HAND}:"]
    lines += _by_hand(before)
    lines += ["", f"{OPEN}:"]
    for open_ in matching.unmatched:
        if open_.key in before.hand:
            continue
        lines.append(f"  # {on_one_line(open_.why)}" + (":" if open_.candidates else ""))
        for one in open_.candidates:
            said = on_one_line(one.offer.description)
            words = f"{_quoted(one.offer.part_number)}  {said}; {priced_as(one.offer)}"
            against = "; ".join(one.why)
            lines.append(f"  #   {words}" + (f"   ({on_one_line(against)})" if against else ""))
        lines.append(f"  {_quoted(open_.key)}:")
    lines += ["", f"{FOUND}:"]
    for match in matching.matches:
        if match.how == "exact":
            numbers = list(dict.fromkeys(offer.part_number for offer in match.offers))
            said = on_one_line(match.offers[0].description)
            lines.append(f"  {_quoted(match.key)}: {_listed(numbers)}  # {said}")
    now = {need.key for need in needs}
    others = {
        key: numbers for key, numbers in before.found.items() if key not in now and key not in before.hand
    }
    lines += [
        f"  {_quoted(key)}: {_listed(numbers)}  # of another machine" for key, numbers in others.items()
    ]
    return "\n".join(lines) + "\n"


def settled(before: MatchFile, matching: Matching, lists: Sequence[PriceList]) -> MatchFile:
    """The same file with lines of 'found' that a person must have changed taken as theirs.

    That is a line that says none, or part numbers of these lists that would not be found for it.
    """
    known = {name for one in lists for offer in one.offers for name in (offer.part_number, offer.id)}
    fresh = {one.key: {offer.part_number for offer in one.offers} for one in matching.matches}
    fresh |= {one.key: set() for one in matching.unmatched}
    changed = {
        key: numbers
        for key, numbers in before.found.items()
        if key in fresh and key not in before.hand
        if not numbers or (known.issuperset(numbers) and not fresh[key].issuperset(numbers))
    }
    return replace(before, hand={**before.hand, **changed}, moved=(*before.moved, *changed))
