"""Changes that keep most of a thing whole, so that what is wrong lies deep: of trees, of XML, of packages."""

from __future__ import annotations

import io
import random
import re
import zipfile
from collections.abc import Callable, Mapping
from typing import Any

from tests.injection.words import WORDS

FIGURES = (
    "0", "-0", "-1", "1", "1e400", "-1e308", "1e-320", "NaN", "Infinity", "0x10", "1_000", "١٢", "½", "1,5",
    "1.5.2", "9" * 400, "2147483648", "18446744073709551616", "1" * 5000, " 3 ", "3 m", "3 V?", "1e6 A", "",
)  # fmt: skip
PARTS = (
    "",
    "a",
    ">",
    "a > b",
    "(",
    "{",
    "[",
    "yes",
    "no",
    "true",
    "null",
    "~",
    "&a",
    "*a",
    "\u202e",
    "\ud7ff",
)
HOSTILE = (*WORDS, *FIGURES, *PARTS)

# ------------------------------------------------------------------------------------------------- trees


def changed_tree(tree: Any, chance: random.Random, times: int = 0) -> Any:
    """A tree of mappings, lists and values with a few places exchanged, lost, doubled or nested."""
    for _ in range(times or chance.randint(1, 4)):
        tree = _one_place(tree, chance)
    return tree


def _one_place(tree: Any, chance: random.Random) -> Any:
    if isinstance(tree, dict) and tree and chance.random() < 0.9:
        key = chance.choice(list(tree))
        what = chance.random()
        if what < 0.75:
            return {**tree, key: _one_place(tree[key], chance)}
        if what < 0.85:
            return {each: value for each, value in tree.items() if each != key}
        if what < 0.95:
            return {(chance.choice(HOSTILE) if each == key else each): value for each, value in tree.items()}
        return {**tree, chance.choice(HOSTILE): tree[key]}
    if isinstance(tree, list) and tree and chance.random() < 0.9:
        at = chance.randrange(len(tree))
        what = chance.random()
        if what < 0.75:
            return [*tree[:at], _one_place(tree[at], chance), *tree[at + 1 :]]
        if what < 0.85:
            return [*tree[:at], *tree[at + 1 :]]
        return [*tree[:at], tree[at], *tree[at:]]
    return _other_value(tree, chance)


def _other_value(value: Any, chance: random.Random) -> Any:
    numbers = (0, -1, 1, True, False, None, 10**400, -(10**30), 1e308, 1e-300, 2**63, 0.1, 1e12)
    deep: Any = "x"
    for _ in range(chance.choice((1, 3, 30, 300))):
        deep = [deep] if chance.random() < 0.5 else {"a": deep}
    made: tuple[Callable[[], Any], ...] = (
        lambda: chance.choice(HOSTILE), lambda: chance.choice(numbers), list, dict, lambda: deep,
        lambda: [value], lambda: {"is": value}, lambda: f"{value}{chance.choice(HOSTILE)}",
        lambda: chance.choice(FIGURES), lambda: [value] * 3, lambda: str(value)[:-1], lambda: str(value) * 2,
    )  # fmt: skip
    return chance.choice(made)()


# --------------------------------------------------------------------------------------------------- XML

_TOKEN = re.compile(rb"<[^>]*>|[^<]+")
_ATTRIBUTE = re.compile(rb'([\w:]+)="([^"]*)"')
_CELL = re.compile(rb"<c\b[^>]*/>|<c\b.*?</c>", re.DOTALL)
REFERENCES = (
    "A1", "B3", "XFD1048576", "XFE1", "A1048577", "A0", "A9999999", "ZZZ9999999", "a1", "1A", "", "$A$1",
    "A-1", "A1:B2", "Ａ1", "A١", "A" * 300,
)  # fmt: skip
KINDS = ("s", "str", "inlineStr", "b", "e", "d", "n", "", "x", "S")
FORMATS = (
    "General", "0.00", "@", "0 %", "yyyy-mm-dd", "d/m", '0.0" m"', '0.0" mm"', "[h]:mm", '"d"0', "#,##0.00",
    "0" * 255, '"', "\\", "[", "[Red]0;[Blue]-0", '_-* #,##0.00 "A"_-', "", "general", "m", "#14", "#9999",
)  # fmt: skip


def _escaped(text: str) -> bytes:
    kept = text.encode("utf-8", "replace")
    for sign, name in ((b"&", b"&amp;"), (b"<", b"&lt;"), (b">", b"&gt;"), (b'"', b"&quot;")):
        kept = kept.replace(sign, name)
    return kept


def some_cell(chance: random.Random) -> bytes:
    """A cell as no spreadsheet program would write it, or only a hurried one."""
    reference = chance.choice((*REFERENCES, f"{chance.choice('ABCDEFG')}{chance.randint(1, 30)}"))
    kind, text = chance.choice(KINDS), _escaped(chance.choice((*HOSTILE, str(chance.randint(-2, 90000)))))
    style = chance.choice(("0", "1", "2", "3", "-1", "99999", "x", "1" * 30))
    told = chance.choice(
        (
            b"<v>%s</v>" % text, b"<is><t>%s</t></is>" % text, b"<f>1+1</f><v>%s</v>" % text, b"<f/>", b"",
            b"<v>%s</v><v>%s</v>" % (text, text), b"<is><r><t>%s</t></r><rPh><t>x</t></rPh></is>" % text,
            b"<v>#REF!</v>", b"<v>2026-02-30T25:61:00</v>", b"<v>45000.5</v>",
            b"<v><c r='A1'><v>1</v></c></v>",
        )
    )  # fmt: skip
    return b'<c r="%s" s="%s" t="%s">%s</c>' % (_escaped(reference), style.encode(), kind.encode(), told)


def changed_xml(part: bytes, chance: random.Random) -> bytes:
    """A part of a package with a cell, an element, an attribute or a text changed, or its very letters."""
    ways: list[Callable[[bytes, random.Random], bytes]] = [
        _other_token, _other_token, _other_attribute, _other_attribute, _other_letters, _whole,
    ]  # fmt: skip
    if _CELL.search(part):
        ways += [_other_cell] * 6
        ways.append(_other_merging)
    if b"formatCode" in part or b"numFmtId" in part:
        ways += [_other_format] * 3
    return chance.choice(ways)(part, chance)


def _other_cell(part: bytes, chance: random.Random) -> bytes:
    found = chance.choice(list(_CELL.finditer(part)))
    what = chance.random()
    if what < 0.4:
        new = some_cell(chance)
    elif what < 0.6:  # the same place and style with something else in it
        old = re.match(rb'<c r="([A-Z0-9]+)"', found[0])
        new = re.sub(rb'r="[^"]*"', b'r="%s"' % (old[1] if old else b"B2"), some_cell(chance), count=1)
    elif what < 0.8:  # another cell of the sheet
        new = chance.choice(_CELL.findall(part))
    else:
        text = _escaped(chance.choice(HOSTILE))
        new = re.sub(rb"<(v|t)([^>]*)>[^<]*<", lambda was: b"<%s%s>%s<" % (was[1], was[2], text), found[0])
    return part[: found.start()] + new + part[found.end() :]


def _other_merging(part: bytes, chance: random.Random) -> bytes:
    pair = f"{chance.choice(REFERENCES)}:{chance.choice(REFERENCES)}"
    few = chance.choice(("A1:B2", "B2:B9", "A1:XFD1048576", "C9:A2", pair, "B3"))
    added = b'<mergeCells count="1"><mergeCell ref="%s"/></mergeCells>' % _escaped(few)
    return part.replace(b"</sheetData>", b"</sheetData>" + added)


def _other_format(part: bytes, chance: random.Random) -> bytes:
    new = _escaped(chance.choice(FORMATS))
    if b"formatCode" in part and chance.random() < 0.7:
        return re.sub(rb'formatCode="[^"]*"', lambda _: b'formatCode="%s"' % new, part)
    number = str(chance.choice((0, 9, 10, 14, 22, 46, 49, 164, 165, 99999, -1, "x"))).encode()
    return re.sub(rb'(<xf [^>]*numFmtId=")[^"]*', lambda was: was[1] + number, part)


def _other_token(part: bytes, chance: random.Random) -> bytes:
    tokens = _TOKEN.findall(part)
    if not tokens:
        return part + b"<x/>"
    at, other = chance.randrange(len(tokens)), chance.randrange(len(tokens))
    what = chance.randrange(6)
    if what == 0:
        del tokens[at]
    elif what == 1:
        tokens.insert(at, tokens[other])
    elif what == 2:
        tokens[at], tokens[other] = tokens[other], tokens[at]
    elif what == 3:
        tokens[at] = _escaped(chance.choice(HOSTILE))
    elif what == 4:
        low, high = sorted((at, other))
        tokens[low:high] = []
    else:
        tokens.insert(
            at, chance.choice((b"<!-- x -->", b"<![CDATA[<c>]]>", b"<?x y?>", b"<a:b xmlns:a='c'>"))
        )
    return b"".join(tokens)


def _other_attribute(part: bytes, chance: random.Random) -> bytes:
    found = list(_ATTRIBUTE.finditer(part))
    if not found:
        return _other_token(part, chance)
    one = chance.choice(found)
    words = (*HOSTILE, *REFERENCES, *KINDS, chance.choice(found)[2].decode("utf-8", "replace"))
    new = b'%s="%s"' % (one[1], _escaped(chance.choice(words)))
    return part[: one.start()] + chance.choice((new, new, new, b"")) + part[one.end() :]


def _other_letters(part: bytes, chance: random.Random) -> bytes:
    if not part:
        return b"\0"
    kept = bytearray(part)
    for _ in range(chance.randint(1, 6)):
        kept[chance.randrange(len(kept))] = chance.randrange(256)
    return bytes(kept)


def _whole(part: bytes, chance: random.Random) -> bytes:
    text = part.decode("utf-8", "replace")
    head = '<?xml version="1.0" encoding="{}"?>'
    body = re.sub(r"^<\?xml[^>]*\?>", "", text)
    bomb = '<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]>'
    made: tuple[bytes, ...] = (
        b"", part[: len(part) // 2], part + part, text.encode("utf-16"), b"\xef\xbb\xbf" + part,
        (head.format("latin-1") + body).encode("latin-1", "replace"), (head.format("none") + body).encode(),
        (head.format("utf-16") + body).encode(), (bomb + body).encode(), b"<a>" * 3000 + b"</a>" * 3000,
        b"\n" * 2000 + part, text.replace("xmlns=", "xmlns:q=").encode(), b"<x/>",
    )  # fmt: skip
    return chance.choice(made)


# ----------------------------------------------------------------------------------------------- packages


def unpacked(data: bytes) -> dict[str, bytes]:
    """The parts of a package by name."""
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        return {name: package.read(name) for name in package.namelist()}


def packed(parts: Mapping[str, bytes], way: int = zipfile.ZIP_STORED) -> bytes:
    """A package of these parts."""
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w", way) as package:
        for name, content in parts.items():
            package.writestr(zipfile.ZipInfo(name), content, compress_type=way)
    return kept.getvalue()


def changed_package(parts: Mapping[str, bytes], chance: random.Random) -> bytes:
    """A package with one to four of its parts changed, now and then itself too."""
    made = dict(parts)
    sheets = [name for name in made if "sheet" in name or "Strings" in name] or list(made)
    for _ in range(chance.randint(1, 4)):
        name = chance.choice(sheets if chance.random() < 0.7 else list(made))
        made[name] = changed_xml(made[name], chance)
    what = chance.random()
    if what < 0.04:
        del made[chance.choice(list(made))]
    elif what < 0.08:
        name = chance.choice(list(made))
        made[chance.choice((name.upper(), f"/{name}", f"../{name}", name.replace("/", "\\"), "a\nb"))] = (
            made.pop(name)
        )
    data = packed(made, chance.choice((zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)))
    return data if chance.random() < 0.85 else _other_letters(data, chance)
