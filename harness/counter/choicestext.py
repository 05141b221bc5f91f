"""The file of choices as text: made from nothing, or what is accepted set into the file that is there.

Of a file that is there every remark and the order stay; what comes out is read again, and where it does not
say what it should, the section, and in the last resort the whole, is written anew.
"""

from __future__ import annotations

from dataclasses import replace

from harness.counter.choices import BOUGHT, CABLES, COLOURS, IS, PART, SECTIONS, SIZES, WIRED, read_choices
from harness.counter.quoted import quoted
from harness.model.accepted import Accepted
from harness.model.problem import SurveyWrong
from harness.survey.located import canonical
from harness.survey.sheets.spans import Span, spans_of

HEAD = """\
# What was settled for this machine: substitutions accepted in a quote (`harness quote --accept`) and sizes
# that are in it already (`harness as-wired`). Whatever designs the machine reads this file when it lies
# beside the survey as MACHINE-choices.yaml. Delete a line to take it back.
"""
Lines = dict[str, str]  # what is said of which thing, as it is written behind its colon; "" for an item


def _sections(accepted: Accepted) -> dict[str, Lines]:
    """What each section says, by the name or item of every line."""
    bought = {}
    for key, number in accepted.bought.items():
        said = f", {IS}: {quoted(accepted.words[key])}" if accepted.words.get(key) else ""
        bought[key] = f"{{{PART}: {quoted(number)}{said}}}"
    return {
        SIZES: dict.fromkeys(accepted.sizes, ""),
        COLOURS: {spool: quoted(colour) for spool, colour in accepted.colours.items()},
        CABLES: {spool: quoted(cable) for spool, cable in accepted.cables.items()},
        BOUGHT: bought,
        WIRED: {wire: quoted(size) for wire, size in accepted.wired.items()},
    }


def _line(name: str, value: str, indent: str = "  ") -> str:
    return f"{indent}{quoted(name)}: {value}\n" if value else f"{indent}- {quoted(name)}\n"


def _section(name: str, lines: Lines) -> str:
    return f"{name}:\n" + "".join(_line(key, value) for key, value in lines.items())


def choices_text(accepted: Accepted) -> str:
    """The file of choices that says this; empty sections are left out."""
    written = [_section(name, lines) for name, lines in _sections(accepted).items() if lines]
    return HEAD + ("".join(written) or f"{SIZES}: []\n")


def changed_text(text: str, accepted: Accepted) -> str:
    """A file of choices with what changed set into it."""
    text = text.removeprefix("\ufeff")
    try:
        before = read_choices(text, "")
    except SurveyWrong:
        return choices_text(accepted)
    for name in SECTIONS:
        was, now = _sections(before)[name], _sections(accepted)[name]
        if was == now:
            continue
        for change in (_set_in, _anew):
            made = change(text, name, was, now)
            if made is not None and _says(made, name) == now:
                text = made
                break
        else:
            return choices_text(accepted)
    return text if _same(text, accepted) else choices_text(accepted)


def _says(text: str, name: str) -> Lines | None:
    try:
        return _sections(read_choices(text, ""))[name]
    except SurveyWrong:
        return None


def _same(text: str, accepted: Accepted) -> bool:
    try:
        found = read_choices(text, "")
    except SurveyWrong:
        return False
    return replace(found, digest="") == replace(accepted, file="", digest="")


def _set_in(text: str, name: str, was: Lines, now: Lines) -> str | None:
    """The section with single lines changed, taken out and added; None where it is not written in lines."""
    found = spans_of(text).below(name)
    if found is None:
        return text.rstrip("\n") + "\n" + _section(name, now)
    span = found[1]
    pairs = span.pairs or [(item, item) for item in span.items]
    names = [canonical(key.value or "") for key, _ in pairs]
    if span.flow or span.shared or names != list(was) or not now:
        return None
    edits: list[tuple[int, int, str]] = []
    for each, (key, value) in zip(names, pairs, strict=True):
        said = now.get(each)
        if said is None:
            edits.append((_line_start(text, key.start), _line_end(text, value), ""))
        elif said != was[each]:
            edits.append((value.start, value.end, said))
    indent = text[_line_start(text, pairs[0][0].start) : pairs[0][0].start].partition("-")[0]
    end = _line_end(text, pairs[-1][1])
    fresh = "".join(_line(key, said, indent) for key, said in now.items() if key not in was)
    edits.append((end, end, fresh if text[end - 1 : end] == "\n" or not fresh else "\n" + fresh))
    for start, end, words in sorted(edits, reverse=True):
        text = text[:start] + words + text[end:]
    return text


def _anew(text: str, name: str, _was: Lines, now: Lines) -> str | None:
    """The section taken out and written anew in its place, its remarks lost; the others stay."""
    found = spans_of(text).below(name)
    if found is None:
        return None
    start, end = _line_start(text, found[0].start), max(_line_end(text, each) for each in found)
    made = text[:start] + (_section(name, now) if now else "") + text[end:]
    return made if spans_of(made).pairs else made + f"{SIZES}: []\n"


def _line_start(text: str, at: int) -> int:
    return text.rfind("\n", 0, at) + 1


def _line_end(text: str, span: Span) -> int:
    """Behind the line on which a value ends."""
    found = text.find("\n", span.end)
    return len(text) if found < 0 else found + 1
