"""A survey in which every field of free text holds a chosen text, and the walk that finds those fields.

The fields are read off the survey's own forms. One that holds a name something else has to name again stands
in ``NAMED`` with how it is written; any other is written by itself, so that a new one is tried at once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any, get_args, get_origin

from pydantic import PlainValidator

from harness.survey.schema import SECTION_FORMS, SurveyForm

FREE = {"_name", "_part_name", "_place_name", "_note"}
PLAIN = "plain"
Slot = tuple[str, str]  # section and key; the key "" is the name an entry itself has

# Fields that repeat a name given elsewhere, or take a word of a list: they are checked against that.
REPEATED: set[Slot] = {
    ("places", "zone"), ("runs", "zone"), ("runs", "from"), ("runs", "to"), ("parts", "at"), ("parts", "on"),
    ("circuits", "works in"), ("circuits", "via"), ("circuits", "avoid"), ("circuits", "paths"),
    ("wires", "via"), ("wires", "avoid"), ("wires", ""), ("old wires", "from"), ("old wires", "to"),
    ("old wires", "through"), ("spare wires", "from"), ("spare wires", "to"),
    ("parts", "is"), ("parts", "form"), ("parts", "terminals"), ("circuits", "function"),
    ("machine", "spare"),
}  # fmt: skip
ONCE: set[Slot] = {("machine", "name"), ("machine", "revision")}  # one in a survey


def _validators(kind: Any) -> Iterator[str]:
    """Names of the functions that read the texts of a type, however deep they lie."""
    for each in get_args(kind):
        if isinstance(each, PlainValidator):
            yield getattr(each.func, "__name__", "")
        elif get_origin(each) is not None:
            yield from _validators(each)


def free_fields() -> set[Slot]:
    """Every place of the survey where a person may write what they like."""
    found = set()
    for section, form in SECTION_FORMS.items():
        for name, field in form.model_fields.items():
            own = {
                getattr(each.func, "__name__", "")
                for each in field.metadata
                if isinstance(each, PlainValidator)
            }
            if FREE & (own | set(_validators(field.annotation))):
                found.add((section, field.alias or name))
    for name, field in SurveyForm.model_fields.items():
        section = field.alias or name
        if FREE & set(_validators(field.annotation)):
            found.add((section, ""))
    return found


def own_fields() -> list[Slot]:
    """Those of them that hold a text of their own, in the order of their names."""
    return sorted(free_fields() - REPEATED)


def quoted(text: str) -> str:
    """The text in double quotes as YAML has them, every sign that could be lost on the way as its number."""
    signs = []
    for sign in text:
        code = ord(sign)
        if sign in '"\\':
            signs.append("\\" + sign)
        elif sign.isprintable() and code < 0xD800:
            signs.append(sign)
        else:
            signs.append(f"\\U{code:08x}" if code > 0xFFFF else f"\\u{code:04x}")
    return '"' + "".join(signs) + '"'


Chosen = Callable[[int, Slot], str]


def survey(
    count: int, chosen: Chosen, *, modes: int = 1, looms: bool = False
) -> tuple[str, dict[int, tuple[int, Slot]]]:
    """The survey of so many lamps, each with a fuse, place, zone and all else of its own; and which text of
    which lamp stands in a line. A field not named below goes to the end of the entry it belongs to. All lamps
    burn in all modes, whose number is given apart: every mode is solved with every lamp. ``looms``: every
    lamp hangs in a loom of its own behind a coupler, as one lamp alone always does."""
    lines: list[str] = []
    at: dict[int, tuple[int, Slot]] = {}
    spare = set(own_fields())

    def name(k: int, slot: Slot, suffix: str = "") -> str:
        spare.discard(slot)
        return chosen(k, slot) + suffix

    def put(text: str, k: int | None = None, slot: Slot | None = None) -> None:
        lines.append(text)
        if k is not None and slot is not None:
            at[len(lines)] = (k, slot)

    def more(section: str, k: int, indent: str, taken: Sequence[str]) -> None:
        for slot in own_fields():
            if slot[0] == section and slot[1] and slot[1] not in taken:
                put(f"{indent}{slot[1]}: {quoted(chosen(k, slot))}", k, slot)

    zone, place, body, part = ("zones", ""), ("places", ""), ("bodies", ""), ("parts", "")
    mode, circuit, way = ("modes", ""), ("circuits", ""), ("parts", "ways")
    every = range(count)
    looms = looms or count == 1
    put("machine:")
    put(f"  name: {quoted(chosen(0, ('machine', 'name')))}", 0, ("machine", "name"))
    put("  voltage: 12 V")
    put("  chassis post: negative")
    more("machine", 0, "  ", ["name"])
    put("zones:")
    put("  yard: {ambient: 40 °C}")
    for k in every:
        put(f"  {quoted(name(k, zone, f' {k}'))}: {{ambient: 40 °C}}", k, zone)
    put("runs:")
    for k in every:
        if looms:
            put(f"  - {{from: box, to: tee {k}, length: 1 m, zone: yard}}")
        put(f"  - from: {f'tee {k}' if looms else 'box'}")
        put(f"    to: {quoted(name(k, place, f' {k}'))}")
        put("    length: 2 m")
        put(f"    zone: {quoted(name(k, zone, f' {k}'))}")
        more("runs", k, "    ", [])
    put("places:")
    for k in every:
        put(f"  {quoted(name(k, place, f' {k}'))}:", k, place)
        put("    reach: 0.1 m")
        more("places", k, "    ", [] if looms else ["loom"])
    put("bodies:")
    put("  frame:")
    for k in every:
        put(f"  {quoted(name(k, body, f' body {k}'))}:", k, body)
    put("parts:")
    put("  battery: {is: battery, at: box, capacity: 70 Ah, cranking: 540 A}")
    put("  box ground: {is: ground point, at: box, on: frame}")
    for k in every:
        here = quoted(name(k, place, f" {k}"))
        put(f"  {quoted(name(k, part, f' {k}'))}:", k, part)
        put("    is: work lamp")
        put(f"    at: {here}")
        put("    power: 20 W")
        more("parts", k, "    ", ["ways"])
        if looms:
            put(f"  plug {k}: {{is: coupler, at: tee {k}}}")
        put(f"  ground {k}: {{is: ground point, at: {here}, on: {quoted(name(k, body, f' body {k}'))}}}")
        put(f"  panel {k}: {{is: fuse panel, at: box, ways: {{{quoted(name(k, way, ' way'))}: }}}}", k, way)
    put("modes:")
    for k in range(modes):
        put(f"  {quoted(name(k, mode, f' {k}'))}: {{engine: stopped}}", k, mode)
    put("circuits:")
    put("  home: {paths: [frame > battery -]}")
    for k in every:
        put(f"  {quoted(name(k, circuit, f' {k}'))}:", k, circuit)
        put(f"    works in: [{', '.join(quoted(name(m, mode, f' {m}')) for m in range(modes))}]")
        more("circuits", k, "    ", [])
        first = f"battery + > panel {k} {name(k, way, ' way')} > {name(k, part, f' {k}')}"
        put("    paths:")
        put(f"      - {quoted(first + ' > ' + name(k, body, f' body {k}'))}")
        put(f"      - {quoted(name(k, body, f' body {k}') + ' > battery -')}")
    put("old wires:")
    for k in every:
        put("  - from: box")
        put(f"    to: {quoted(name(k, place, f' {k}'))}")
        more("old wires", k, "    ", [])
    put("notes:")
    for k in every:
        put(f"  - {quoted(chosen(k, ('notes', '')))}", k, ("notes", ""))
    return "\n".join(lines) + "\n", at
