"""From the text of a survey to a located tree: everything YAML itself can be wrong about is said here.

ruamel.yaml's pure parser gives events with marks; the tree is composed here, so that depth, aliases, tags and
duplicate keys are under our own rules and every scalar stays text (``yes`` and ``1-2`` too).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any, NoReturn

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)
from ruamel.yaml.reader import ReaderError

from harness import signs
from harness.model.limits import LIMITS
from harness.model.problem import Problem, SurveyWrong, Where, stop_when_many
from harness.survey.located import Entry, Mapping, Node, Sequence, Spot, Text, canonical

DEEPEST = LIMITS["survey depth"].most
MOST_NODES = LIMITS["survey entries"].most
LONGEST_KEY = LIMITS["key letters"].most
TOO_LONG = (
    f"a key is longer than {LIMITS['key letters']}",
    "shorten it; long text is a value, behind a colon",
)
UNSEEN = "the text holds a sign that nobody sees: {}"
QUOTES_HINT = "put the text in quotes if the sign belongs to it"

# What the parser says, in the words of someone who has never met YAML; first match counts.
PLAIN_WORDS = (
    ("'\\t'", "a tab stands here where only spaces may", "replace the tab with spaces"),
    (
        "mapping values are not allowed",
        "a colon stands here where none can: the line is indented wrongly, or the text holds a colon",
        "line the key up with its neighbours, or put the text in quotes",
    ),
    (
        "expected <block end>",
        "this line does not line up with the lines above it",
        "indent it exactly as far as its neighbours, with spaces",
    ),
    (
        "could not find expected ':'",
        "this line is neither a key with its colon nor part of the line above",
        "write 'key: value', here and in the line above with a blank behind the colon, or indent the line as"
        " its neighbours are",
    ),
    ("found unexpected end of stream", "a quote is opened here and never closed", "close the quote"),
    (
        "expected ',' or '}'",
        "braces are not closed, or a comma is missing before this",
        "write {key: value, key: value}",
    ),
    (
        "expected ',' or ']'",
        "a list in brackets is not closed, or a comma is missing before this",
        "write [one, two]",
    ),
    (
        "found character",
        "text cannot begin with this sign",
        QUOTES_HINT,
    ),
    ("expected the node content", "something is missing here", "write the value, or leave out the comma"),
    (
        "document start",
        "this does not belong to what stands above it",
        "check the indentation, and that no comma or colon is missing",
    ),
)


@dataclass(slots=True)
class _Open:
    """A mapping or list being composed."""

    spot: Spot
    is_map: bool
    anchor: str | None
    entries: dict[str, Entry] = field(default_factory=dict)
    items: list[Node] = field(default_factory=list)
    key: Text | None = None
    skip_value: bool = False  # the value belongs to a key that cannot be kept
    weight: int = 1


class _Composer:
    """Builds the tree from parser events and collects what is wrong on the way."""

    def __init__(self, text: str, file: str) -> None:
        self.text = text
        self.file = file
        self.problems: list[Problem] = []
        self.root: Node | None = None
        self._stack: list[_Open] = []
        self._anchors: dict[str, Node | None] = {}  # None while the anchored node is still open
        self._documents = 0

    def complain(self, spot: Spot, what: str, fix: str) -> None:
        self.problems.append(Problem(Where(self.file, spot.line, spot.column), what, fix))
        stop_when_many(self.file, self.problems)

    def stop(self, spot: Spot, what: str, fix: str) -> NoReturn:
        """Complain of something that makes reading on pointless or dangerous: raises SurveyWrong."""
        self.complain(spot, what, fix)
        raise SurveyWrong(self.problems)

    def take(self, event: Any) -> bool:
        """Take one event in; False when the rest of the file must not be read."""
        if isinstance(event, DocumentStartEvent):
            self._documents += 1
            if self._documents == 2:
                self.complain(
                    _spot(event),
                    "a second machine starts here ('---')",
                    "put each machine in a file of its own",
                )
                return False
        elif isinstance(event, MappingStartEvent | SequenceStartEvent):
            self._open(event)
        elif isinstance(event, MappingEndEvent | SequenceEndEvent):
            self._close()
        elif isinstance(event, ScalarEvent):
            self._scalar(event)
        elif isinstance(event, AliasEvent):
            self._alias(event)
        return True

    def _open(self, event: Any) -> None:
        self._bar_tag(event)
        if len(self._stack) >= DEEPEST:
            self.stop(
                _spot(event),
                f"lists and mappings are nested more than {DEEPEST} deep here",
                "a survey needs no more than 5 levels",
            )
        if event.anchor:
            self._anchors[event.anchor] = None
        self._stack.append(_Open(_spot(event), isinstance(event, MappingStartEvent), event.anchor))

    def _close(self) -> None:
        done = self._stack.pop()
        node: Node
        if done.is_map:
            node = Mapping(done.entries, done.spot, done.weight)
        else:
            node = Sequence(tuple(done.items), done.spot, done.weight)
        if done.anchor:
            self._anchors[done.anchor] = node
        self._place(node)

    def _scalar(self, event: Any) -> None:
        self._bar_tag(event)
        text = self._text(event)
        text = self._seen(text)
        if event.anchor:
            self._anchors[event.anchor] = text
        if self._is_key_next() and event.style is None and text.value == "<<":
            self.complain(
                text.spot, "merge keys ('<<') are not read in a survey", "write the keys out in each place"
            )
        self._place(text)

    def _text(self, event: Any) -> Text:
        start, end = event.start_mark, event.end_mark
        raw = self.text[start.index : end.index]
        spot = _spot(event)
        if event.anchor and raw.startswith("&"):  # the mark stands at the anchor, not at the text
            shift = len(raw) - len(raw[1 + len(event.anchor) :].lstrip(" "))
            raw, spot = raw[shift:], Spot(spot.line, spot.column + shift)
        value = "" if event.style is None and event.value in ("~", "null") else event.value
        return Text(value, spot, raw)

    def _alias(self, event: Any) -> None:
        name, spot = event.anchor, _spot(event)
        if name not in self._anchors:
            self.complain(
                spot,
                f"'*{name}' stands for something named '&{name}', which nothing above is",
                QUOTES_HINT,
            )
            self._place(Text("", spot, ""))
            return
        node = self._anchors[name]
        if node is None:
            self.stop(
                spot, f"'*{name}' stands inside '&{name}' itself and would never end", "write it out instead"
            )
        self._place(node)

    def _is_key_next(self) -> bool:
        return bool(self._stack) and self._stack[-1].is_map and not self._key_waits()

    def _key_waits(self) -> bool:
        top = self._stack[-1]
        return top.key is not None or top.skip_value

    def _place(self, node: Node) -> None:
        """Hang a finished node where it belongs: as the root, an item, a key or a value."""
        if not self._stack:
            self.root = node
            return
        top = self._stack[-1]
        top.weight += node.weight
        if top.weight > MOST_NODES:
            self.stop(
                node.spot,
                f"the survey grows beyond {LIMITS['survey entries']} here",
                "no machine needs so many; aliases ('*name') that repeat one another must be written out",
            )
        if not top.is_map:
            top.items.append(node)
        elif not self._key_waits():
            self._take_key(top, node)
        else:
            if top.key is not None:
                top.entries[canonical(top.key.value)] = Entry(top.key, node)
            top.key, top.skip_value = None, False

    def _take_key(self, top: _Open, node: Node) -> None:
        if not isinstance(node, Text):
            self.complain(
                node.spot, "a key must be plain text", "put a name with brackets or braces in quotes"
            )
            top.skip_value = True
            return
        if len(node.value) > LONGEST_KEY:
            self.complain(node.spot, *TOO_LONG)
            top.skip_value = True
            return
        if not node.value.strip():
            self.complain(node.spot, "a key is missing before this colon", "write 'key: value'")
            top.skip_value = True
            return
        known = top.entries.get(canonical(node.value))
        if known is not None:
            self.complain(
                node.spot,
                f"{node.value!r} stands twice: here and at line {known.key.spot.line}",
                "give one of them another name, or leave one out",
            )
            top.skip_value = True
            return
        top.key = node

    def _bar_tag(self, event: Any) -> None:
        # In this parser "!" comes for quoted text too; only a tag that somebody wrote has a suffix.
        tag = event.tag
        if tag is not None and str(tag) != "!":
            self.complain(_spot(event), f"the tag {str(tag)!r} is not read in a survey", "leave the tag out")

    def _seen(self, text: Text) -> Text:
        """The text; one with a sign that nobody sees is complained of, and read on with the sign's number."""
        at = signs.unseen(text.value)
        if at is None:
            return text
        self.complain(text.at(at), UNSEEN.format(signs.sign_name(text.value[at])), "leave it out")
        return replace(text, value=signs.shown(text.value))

    def bar_unseen_remarks(self) -> None:
        """Complain of signs that nobody sees outside of the texts, as in remarks, a line at a time."""
        told = {problem.where.line for problem in self.problems}
        for number, line in enumerate(
            self.text.split("\n") if signs.unseen(self.text) is not None else (), 1
        ):
            at = signs.unseen(line.removesuffix("\r"))
            if at is not None and number not in told:
                self.complain(Spot(number, at + 1), UNSEEN.format(signs.sign_name(line[at])), "leave it out")


def _spot(event: Any) -> Spot:
    return Spot(event.start_mark.line + 1, event.start_mark.column + 1)


def _in_plain_words(error: MarkedYAMLError, file: str) -> Problem:
    """Say what the YAML parser found wrong without its jargon."""
    said = error.problem or error.context or ""
    mark = error.problem_mark or error.context_mark
    if "unexpected end of stream" in said and error.context_mark is not None:
        mark = error.context_mark
    where = Where(file, mark.line + 1, mark.column + 1) if mark is not None else Where(file)
    for key, what, fix in PLAIN_WORDS:
        if key in said:
            return Problem(where, what, fix)
    return Problem(where, f"this cannot be read as YAML: {said}", QUOTES_HINT)


def _long_key(error: MarkedYAMLError, text: str, file: str) -> Problem | None:
    """What is wrong where the parser stopped at a colon because the key before it is too long for it."""
    mark = error.problem_mark
    if mark is None or text[mark.index : mark.index + 1] != ":":
        return None
    line = text.rfind("\n", 0, mark.index) + 1
    before = text[line : mark.index].rstrip()
    if before[-1:] in ('"', "'"):
        start = before.rfind(before[-1], 0, -1)
    else:
        start = max(before.rfind(sign) for sign in "{[,") + 1
    start += len(before[start:]) - len(before[start:].lstrip(" -"))
    if len(before) - start <= LONGEST_KEY:
        return None
    return Problem(Where(file, mark.line + 1, start + 1), *TOO_LONG)


def _events(text: str) -> Iterator[Any]:
    yield from YAML(typ="safe", pure=True).parse(text)


EMPTY = ("the survey is empty", "start with 'machine:'; see the samples")


def compose(text: str, file: str, empty: tuple[str, str] = EMPTY) -> tuple[Node, list[Problem]]:
    """Read the text of a survey into a located tree, with the problems that leave the tree usable.

    ``empty``: what is wrong, and what would be right, where the text holds nothing.
    Raises SurveyWrong when there is no tree to go on with.
    """
    composer = _Composer(text, file)
    try:
        for event in _events(text):
            if not composer.take(event):
                break
    except ReaderError as error:
        before = text[: error.position]
        spot = Spot(before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1)
        composer.stop(
            spot,
            f"a sign stands here that YAML does not allow: {signs.sign_name(_letter(error))}",
            "leave it out",
        )
    except MarkedYAMLError as error:
        problem = _long_key(error, text, file) or _in_plain_words(error, file)
        if problem.where.line not in {known.where.line for known in composer.problems}:
            composer.problems.append(problem)  # else it only follows from what was said of that line
        raise SurveyWrong(composer.problems) from None
    except (YAMLError, RecursionError, ValueError, IndexError, AttributeError) as error:
        # The parser's own slips on odd input; the text is at fault, not the user's machine.
        composer.problems.append(
            Problem(Where(file), f"this cannot be read as YAML: {error}", "start again from a sample survey")
        )
        raise SurveyWrong(composer.problems) from None
    composer.bar_unseen_remarks()
    if composer.root is None:
        composer.stop(Spot(1, 1), *empty)
    return composer.root, composer.problems


def _letter(error: ReaderError) -> str:
    letter: Any = error.character
    return chr(letter) if isinstance(letter, int) else str(letter)[:1] or "?"
