"""From the text of a kit to a Kit, or every mistake in it at its line and column."""

from __future__ import annotations

from collections.abc import Iterator

from pydantic import ValidationError

from harness.kinds import find as find_kind
from harness.kits.form import (
    POSTS,
    SIZES,
    VOLTAGES,
    Content,
    Figure,
    Kit,
    KitCircuit,
    KitPart,
    KitPath,
    NewPlace,
    Variant,
)
from harness.kits.paths import FEEDS
from harness.kits.tree import Tree
from harness.kits.yamlwords import scalar
from harness.model.limits import LIMITS
from harness.model.problem import SurveyWrong
from harness.survey.complaints import known_kinds
from harness.survey.fields import LONGEST_NAME
from harness.survey.located import Entry, Mapping, Node, Sequence, Spot, Text, Word
from harness.survey.reader import letters
from harness.survey.schema import CircuitForm, Form, PartForm, keys_of
from harness.survey.units import WrongQuantity, quantity, whole
from harness.survey.words import hint
from harness.survey.yamltext import compose

CONTENT_KEYS = (
    "needs", "places", "parts", "circuits", "measure", "cautions", "figures", "notes",
)  # fmt: skip
KIT_KEYS = ("title", "for", "order", "usual on", "voltages", "chassis post", "variants", *CONTENT_KEYS)
VARIANT_KEYS = ("title", "voltages", "chassis post", *CONTENT_KEYS)
CIRCUIT_KEYS = ("works in", "drop", "paths")
PLACE_KEYS = ("near", "length", "zone", "is")
MODES = ("parked", "cranking", "running", "night work")
LAST = 1000  # where a kit that says no order stands
LONGEST = LONGEST_NAME - len(" ground 99")  # a ground is called by its place, a second part by a number
AS_NEEDED = "as needed"
COUNTED = tuple(f"part {panel!r}" for panel in FEEDS.values())  # their ways are counted by what hangs on them
LARGEST_BYTES = LIMITS["kit bytes"].most
EMPTY = ("the kit is empty", "start with title: and what it is; see `harness guide kits`")


def read_kit(content: str | bytes, file: str, name: str, *, own: bool = False) -> Kit:
    """Read one kit; ``file`` is its name in messages.

    Raises SurveyWrong with every problem found.
    """
    if len(content) > LARGEST_BYTES:
        tree = Tree(file)
        tree.say(Spot(1, 1), "is too large for a kit", "a kit has a few dozen lines")
        raise SurveyWrong(tree.problems)
    text = letters(content, file) if isinstance(content, bytes) else content
    root, problems = compose(text, file, EMPTY)
    tree = Tree(file, problems)
    kit = _Reader(tree, root, name, own).kit()
    if tree.problems:
        raise SurveyWrong(tree.problems)
    return kit


class _Reader:
    """Reads one kit out of its tree."""

    def __init__(self, tree: Tree, root: Node, name: str, own: bool) -> None:
        self.tree, self.root, self.name, self.own = tree, root, name, own

    def kit(self) -> Kit:
        tree, owner = self.tree, f"kit {self.name!r}"
        entries = tree.entries(self.root, owner)
        tree.known(entries, KIT_KEYS, owner)
        volts = self._volts(entries, owner)
        content = self._content(entries, owner, volts)
        kit = Kit(
            name=self.name,
            title=tree.text(entries, "title", owner, self.root.spot, needed="Horn with relay and button"),
            purpose=tree.text(entries, "for", owner, self.root.spot, needed="what it is good for"),
            order=self._order(entries, owner),
            usual_on=tuple(tree.lines(entries, "usual on", owner)),
            volts=volts,
            posts=self._posts(entries, owner),
            content=content,
            variants=tuple(self._variants(entries, volts)),
            where=tree.where(self.root.spot),
            own=self.own,
        )
        if not content.parts and not content.notes and not kit.variants and "parts" not in entries:
            tree.say(self.root.spot, f"{owner} has no parts", "write parts: and circuits: below it")
        return kit

    def _order(self, entries: dict[str, Entry], owner: str) -> int:
        if "order" not in entries:
            return LAST
        text = self.tree.text(entries, "order", owner, self.root.spot)
        number = whole(text, 0, 99_999)
        if number is not None:
            return number
        if text:
            self.tree.say(entries["order"].value.spot, f"{text!r} is no whole number", "write order: 50")
        return LAST

    def _volts(self, entries: dict[str, Entry], owner: str) -> tuple[float, ...]:
        found = [
            volts
            for text, node in self.tree.words(entries, "voltages", owner)
            if (volts := self._system_v(text, node)) is not None
        ]
        return tuple(found) or VOLTAGES

    def _system_v(self, text: str, node: Text) -> float | None:
        try:
            volts = quantity("voltage", text)
        except WrongQuantity as wrong:
            self.tree.say(node.spot, wrong.what, wrong.fix)
            return None
        if volts not in VOLTAGES:
            self.tree.say(node.spot, f"kits are for 6, 12 or 24 V, not for {text}", "write one of these")
            return None
        return volts

    def _posts(self, entries: dict[str, Entry], owner: str) -> tuple[str, ...]:
        """The battery posts on the chassis that it suits."""
        found = []
        for word, node in self.tree.words(entries, "chassis post", owner):
            found.append(word)
            if word not in POSTS:
                self.tree.say(node.spot, f"{word!r} is no battery post", hint(word, POSTS))
        return tuple(found) or POSTS

    def _variants(self, entries: dict[str, Entry], volts: tuple[float, ...]) -> Iterator[Variant]:
        entry = entries.get("variants")
        for name, each in self.tree.entries(entry.value, "'variants'").items() if entry else ():
            owner = f"variant {name!r}"
            below = self.tree.entries(each.value, owner)
            self.tree.known(below, VARIANT_KEYS, owner)
            some = self._volts(below, owner) if "voltages" in below else volts
            yield Variant(
                name=name,
                title=self.tree.text(below, "title", owner, each.key.spot, needed="what it is in words"),
                volts=some,
                posts=self._posts(below, owner),
                content=self._content(below, owner, some),
                where=self.tree.where(each.key.spot),
            )

    def _content(self, entries: dict[str, Entry], owner: str, volts: tuple[float, ...]) -> Content:
        lines = self.tree.lines
        return Content(
            parts=tuple(self._parts(entries, volts)),
            circuits=tuple(self._circuits(entries)),
            needs=tuple(lines(entries, "needs", owner)),
            measure=tuple(lines(entries, "measure", owner)),
            cautions=tuple(lines(entries, "cautions", owner)),
            figures=tuple(lines(entries, "figures", owner)),
            notes=tuple(lines(entries, "notes", owner)),
            places=tuple(self._places(entries)),
        )

    # ------------------------------------------------------------------------------------------ places

    def _places(self, entries: dict[str, Entry]) -> Iterator[NewPlace]:
        entry = entries.get("places")
        for name, each in self.tree.entries(entry.value, "'places'").items() if entry else ():
            owner = f"place {name!r}"
            self._name(name, each)
            below = self.tree.entries(each.value, owner)
            self.tree.known(below, PLACE_KEYS, owner)
            text = self.tree.text
            length = text(below, "length", owner, each.key.spot, needed="1.5 m")
            if length:
                self._quantity("run length", length, below["length"].value)
            near = text(below, "near", owner, each.key.spot, needed="dash")
            zone, what = (text(below, key, owner, each.key.spot) for key in ("zone", "is"))
            yield NewPlace(name, near, length, zone, what)

    def _quantity(self, measure: str, text: str, node: Node) -> None:
        try:
            quantity(measure, text)
        except WrongQuantity as wrong:
            self.tree.say(node.spot, wrong.what, wrong.fix)

    def _name(self, name: str, entry: Entry, barred: str = ">(),?/") -> None:
        """A name that paths can hold, and the ground that is called by its place too."""
        if set(name) & set(barred) or "\n" in entry.key.value or "\t" in entry.key.value:
            what = f"{name!r} cannot stand in a path"
            self.tree.say(entry.key.spot, what, "leave out > ( ) , / and ?, and write it on one line")
        elif len(name) > LONGEST:
            what = f"{name!r} is longer than {LONGEST} letters"
            self.tree.say(entry.key.spot, what, "shorten it; put the rest into notes")

    # ------------------------------------------------------------------------------------------- parts

    def _parts(self, entries: dict[str, Entry], volts: tuple[float, ...]) -> Iterator[KitPart]:
        entry = entries.get("parts")
        for name, each in self.tree.entries(entry.value, "'parts'").items() if entry else ():
            self._name(name, each)
            part = self._part(name, each, volts)
            if part is not None:
                yield part

    def _part(self, name: str, entry: Entry, volts: tuple[float, ...]) -> KitPart | None:
        tree, owner = self.tree, f"part {name!r}"
        below = tree.entries(entry.value, owner)
        word = tree.text(below, "is", owner, entry.key.spot, needed="horn")
        place = tree.text(below, "at", owner, entry.key.spot, needed="front left")
        kind = find_kind(word) if word else None
        if word and kind is None:
            tree.say(below["is"].value.spot, f"{word!r} is no kind of part", hint(word, known_kinds()))
        if kind is None or not place:
            return None
        accepted = (*sorted(kind.accepts), "shared")
        tree.known(below, accepted, f"{owner}, a {kind.name},")
        figures = {
            key: figure
            for key, each in below.items()
            if key in accepted
            and key not in ("is", "at", "on", "shared")
            and (figure := self._figure(key, each, owner, volts)) is not None
        }
        shared = tree.text(below, "shared", owner, entry.key.spot) in ("yes", "true")
        body = tree.text(below, "on", owner, entry.key.spot)
        return KitPart(name, kind.name, place, body, figures, shared, tree.where(entry.key.spot))

    def _figure(self, key: str, entry: Entry, owner: str, volts: tuple[float, ...]) -> Figure | None:
        """A value, by volts and by size where the kit tells them apart."""
        node = entry.value
        if key == "terminals":
            below = self.tree.entries(node, f"'terminals' of {owner}")
            said = {Word(end, each.key): self.tree.line(each.value, repr(end)) for end, each in below.items()}
            self._as_survey(PartForm, {"is": "x", "at": "x", key: said}, node, "'terminals'")
            words = ", ".join(f"{scalar(end)}: {scalar(each)}" for end, each in said.items())
            return Figure(dict.fromkeys(volts, (f"{{{words}}}",)))
        if isinstance(node, Mapping) and "least of" in node.entries:
            return self._least(key, node, owner, volts)
        if not isinstance(node, Mapping):
            return Figure(dict.fromkeys(volts, self._sizes(key, node, owner)))
        found: dict[float, tuple[str, ...]] = {}
        for word, each in node.entries.items():
            at = self._system_v(word, each.key)
            if at is not None:
                found[at] = self._sizes(key, each.value, owner)
        missing = [f"{each:g} V" for each in volts if each not in found]
        if missing:
            what = f"{key!r} of {owner} says nothing for {', '.join(missing)}"
            self.tree.say(entry.key.spot, what, "write it, or say voltages: of the kit")
        return Figure(found)

    def _least(self, key: str, node: Mapping, owner: str, volts: tuple[float, ...]) -> Figure:
        entry = node.entries["least of"]
        items = entry.value.items if isinstance(entry.value, Sequence) else (entry.value,)
        return Figure(dict.fromkeys(volts, tuple(self._value(key, each, owner) for each in items)), True)

    def _sizes(self, key: str, node: Node, owner: str) -> tuple[str, ...]:
        if not isinstance(node, Sequence):
            return (self._value(key, node, owner),)
        if len(node.items) != len(SIZES):
            what = f"{key!r} of {owner} has {len(node.items)} values"
            self.tree.say(node.spot, what, f"write one, or three: for a {', '.join(SIZES)} machine")
        return tuple(self._value(key, each, owner) for each in node.items)

    def _value(self, key: str, node: Node, owner: str) -> str:
        """One value, checked as a survey checks it."""
        text = self.tree.line(node, f"{key!r} of {owner}")
        counted = key == "ways" and text == AS_NEEDED and owner in COUNTED
        if text and isinstance(node, Text) and key in keys_of(PartForm) and not counted:
            self._as_survey(PartForm, {"is": "x", "at": "x", key: Word(text, node)}, node, f"{key!r}")
        return text

    def _as_survey(self, form: type[Form], data: dict[str, object], node: Node, what: str) -> None:
        """Complain of what a survey would not take as it is."""
        try:
            form.model_validate(data)
        except ValidationError as error:
            for each in error.errors(include_url=False, include_input=False):
                context = each.get("ctx", {})
                fix = str(context.get("fix", "write it as a survey does"))
                self.tree.say(node.spot, str(context.get("what", f"{what} cannot be read")), fix)

    # ---------------------------------------------------------------------------------------- circuits

    def _circuits(self, entries: dict[str, Entry]) -> Iterator[KitCircuit]:
        entry = entries.get("circuits")
        for name, each in self.tree.entries(entry.value, "'circuits'").items() if entry else ():
            owner = f"circuit {name!r}"
            self._name(name, each, barred="")
            below = self.tree.entries(each.value, owner)
            self.tree.known(below, CIRCUIT_KEYS, owner)
            modes = []
            for word, node in self.tree.words(below, "works in", owner):
                modes.append(word)
                if word not in MODES:
                    self.tree.say(node.spot, f"{word!r} is no mode of a started survey", hint(word, MODES))
            paths = tuple(
                KitPath(text, self.tree.where(node.at(0)))
                for text, node in self.tree.words(below, "paths", owner)
            )
            if not paths:
                self.tree.say(
                    each.key.spot, f"{owner} has no paths", "write paths: [key feed > horn > ground]"
                )
            drop = self.tree.text(below, "drop", owner, each.key.spot)
            if drop:
                said = below["drop"].value
                self._as_survey(CircuitForm, {"paths": ["x"], "drop": drop}, said, "'drop'")
            yield KitCircuit(name, tuple(modes), drop, paths, self.tree.where(each.key.spot))
