"""A page of the guide as a page for any browser: just the marks that the guide uses, no script."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from html import escape

_FENCE = "```"
_ITEM = re.compile(r"^(?:[-*]|\d+\.) +")
_RULE = re.compile(r"^\|[-:| ]+\|$")
_CELLS = re.compile(r"(?<!\\)\|")
_INLINE = re.compile(
    r"`(?P<code>[^`]+)`|\*\*(?P<bold>.+?)\*\*|\*(?P<soft>[^*\s][^*]*?)\*|\[(?P<words>[^\]]+)\]\((?P<link>[^)\s]+)\)",
    re.S,
)


def inline(text: str, known: Collection[str]) -> str:
    """One stretch of words with its marks; links lead to ``known`` pages only."""
    out, at = [], 0
    for found in _INLINE.finditer(text):
        out.append(escape(text[at : found.start()]))
        at = found.end()
        if found["code"] is not None:
            out.append(f"<code>{escape(found['code'])}</code>")
        elif found["bold"] is not None:
            out.append(f"<strong>{inline(found['bold'], known)}</strong>")
        elif found["soft"] is not None:
            out.append(f"<em>{inline(found['soft'], known)}</em>")
        else:
            page, _, _ = found["link"].partition("#")
            name = page.removesuffix(".md")
            words = inline(found["words"], known)
            out.append(f'<a href="{escape(name)}.html">{words}</a>' if name in known else words)
    return "".join([*out, escape(text[at:])])


def _blocks(lines: Sequence[str]) -> Iterator[list[str]]:
    """Lines that belong together; a fence keeps its empty lines."""
    block: list[str] = []
    fenced = False
    for line in lines:
        if line.lstrip().startswith("<!--"):
            continue
        if line.startswith(_FENCE):
            if not fenced and block:
                yield block
                block = []
            block.append(line)
            if fenced:
                yield block
                block = []
            fenced = not fenced
        elif fenced or line.strip():
            block.append(line)
        elif block:
            yield block
            block = []
    if block:
        yield block


def _items(block: Sequence[str]) -> Iterator[str]:
    item: list[str] = []
    for line in block:
        if _ITEM.match(line):
            if item:
                yield "\n".join(item)
            item = [_ITEM.sub("", line)]
        else:
            item.append(line.strip())
    if item:
        yield "\n".join(item)


def _table(block: Sequence[str], known: Collection[str]) -> str:
    rows = [_CELLS.split(line.strip().strip("|")) for line in block if not _RULE.match(line.strip())]
    out = []
    for number, row in enumerate(rows):
        cells = [inline(cell.replace("\\|", "|").strip(), known) for cell in row]
        heads = [number == 0 and bool(cell) for cell in cells]
        marked = (
            f"<th scope=col>{cell}</th>" if head else f"<td>{cell}</td>"
            for head, cell in zip(heads, cells, strict=True)
        )  # fmt: skip
        out.append(f"<tr>{''.join(marked)}</tr>")
    return f'<div class="wide" tabindex="0"><table>{"".join(out)}</table></div>'


def _block(block: Sequence[str], known: Collection[str]) -> Iterator[str]:
    first = block[0]
    if first.startswith(_FENCE):
        code = escape("\n".join(line for line in block[1:] if not line.startswith(_FENCE)))
        yield f'<pre tabindex="0"><code>{code}</code></pre>'
    elif first.startswith("#"):
        level = min(3, len(first) - len(first.lstrip("#")))
        yield f"<h{level}>{inline(first.lstrip('# '), known)}</h{level}>"
        if block[1:]:
            yield from _block(block[1:], known)
    elif first.startswith("|"):
        yield _table(block, known)
    elif _ITEM.match(first):
        tag = "ol" if first[0].isdigit() else "ul"
        yield f"<{tag}>" + "".join(f"<li>{inline(item, known)}</li>" for item in _items(block)) + f"</{tag}>"
    else:
        at = next((at for at, line in enumerate(block) if at and _ITEM.match(line)), len(block))
        yield f"<p>{inline(chr(10).join(block[:at]), known)}</p>"
        if block[at:]:
            yield from _block(block[at:], known)


def guide_body(text: str, known: Collection[str]) -> str:
    """The markup of a page; a link to a page that is not ``known`` stays words."""
    return "\n".join(line for block in _blocks(text.splitlines()) for line in _block(block, known))
