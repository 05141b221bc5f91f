"""What an export holds: every file with its name, its content and the words the index has for it."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from html import escape
from importlib.resources import files
from urllib.parse import quote

from harness.book.text import csv_cell, one_line
from harness.keeping.guidepage import guide_body
from harness.keeping.page import page
from harness.model.design import Design

GUIDES = ("safety", "faults", "owner", "record", "commissioning", "comparing", "survey")
INDEX, CHECKS, FORMATS = "index.html", "checksums.sha256", "formats.txt"


@dataclass(frozen=True, slots=True)
class Linked:
    """One file in the index."""

    path: str
    title: str
    about: str


def wires_csv(design: Design) -> bytes:
    """Every wire on a line."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")  # RFC 4180
    writer.writerow((
        "wire", "circuit", "from", "from place", "from terminal", "to", "to place", "to terminal", "length_m",
        "size", "area_mm2", "colour", "cable", "fuse", "fuse_a", "way",
    ))  # fmt: skip
    for wire in design.wires:
        texts = (
            wire.number, wire.circuit, wire.from_, wire.from_.place, wire.from_end.terminal,
            wire.to, wire.to.place, wire.to_end.terminal, f"{wire.length_m:.3f}", wire.size,
            f"{wire.area_mm2:g}", wire.colour, wire.cable, wire.fuse,
            "" if wire.fuse_a is None else f"{wire.fuse_a:g}", "; ".join(wire.runs),
        )  # fmt: skip
        writer.writerow([csv_cell(str(text)) for text in texts])
    return out.getvalue().encode("utf-8", "replace")


def guide_pages() -> dict[str, bytes]:
    """The pages of the guide that an owner needs."""
    found = {}
    for name in GUIDES:
        text = files("harness.guide").joinpath(f"{name}.md").read_text(encoding="utf-8")
        body = guide_body(text, GUIDES) + '\n<p><a href="../index.html">Back to the list of all files</a></p>'
        found[f"guide/{name}.html"] = page(text.splitlines()[0].lstrip("# "), body)
    return found


_SURVEY = "survey/survey.yaml"
_SECTIONS: Sequence[tuple[str, Sequence[Linked]]] = (
    ("To work from", (
        Linked("book.html", "Shop book", "cautions, findings, drawings, lists, tests; for a phone too"),
        Linked("book.pdf", "Shop book on paper", "the same to print"),
        Linked("record/record.html", "Record", "what happened to the machine since, newest first"),
    )),
    ("Drawings", (
        Linked("drawings/tracks.svg", "Current tracks", "the whole machine, supply above, chassis below"),
        Linked("drawings/circuit-sheets.svg", "Circuits", "each alone, with the volts to expect"),
        Linked("drawings/loom.svg", "Loom", "as it lies on the machine, with lengths, holes and grommets"),
        Linked("drawings/fuses.svg", "Fuses", "when each opens, beside the wire it guards"),
    )),
    ("How to", (
        Linked("guide/safety.html", "Safety", "read this first"),
        Linked("guide/faults.html", "Fault-finding", "from what a meter shows to the bad joint"),
        Linked("guide/owner.html", "Owner", "what to keep, and how to add something later"),
        Linked("guide/record.html", "Record", "how repairs and readings are kept"),
        Linked("guide/commissioning.html", "First power", "in which order, and what readings mean"),
        Linked("guide/comparing.html", "Comparing", "what differs between two states of the machine"),
        Linked("guide/survey.html", "Survey", "how the description of the machine is written"),
    )),
    ("For programs, and for later", (
        Linked("harness.xlsx", "Workbook", "all lists, for a spreadsheet program"),
        Linked("wires.csv", "Wires", "one a line, for anything that reads text"),
        Linked(_SURVEY, "Survey", "the description that everything here is worked out from"),
        Linked("survey/survey-choices.yaml", "Choices", "what was settled at the counter; sizes as wired"),
        Linked("survey/survey.xlsx", "Survey as it was filled in", "the workbook"),
        Linked("design.json", "Design data", "every figure, with its unit in its name"),
        Linked("record/record.jsonl", "Record data", "one entry a line"),
        Linked(FORMATS, "Formats", "what these files are, in plain words"),
        Linked(CHECKS, "Checksums", "to see that no file has changed"),
    )),
)  # fmt: skip


def index_page(design: Design, there: Mapping[str, object] | set[str]) -> bytes:
    """The page to start from; only what is ``there`` is listed."""
    machine = design.machine
    name = escape(one_line(machine.name))
    facts = [f"{machine.voltage_v:g} V, {machine.chassis_post} post on the chassis"]
    if machine.revision:
        facts.append(f"revision {one_line(machine.revision)}")
    facts.append(f"{len(design.wires)} wires, {len(design.fuses)} fuses")
    facts.append(f"from {one_line(machine.file)}, digest {machine.digest}; {design.program}")
    body = [
        f"<h1>Wiring of {name}</h1>",
        f'<p class="soft">{escape(". ".join(facts))}.</p>',
        files(__package__).joinpath("intro.html").read_text(encoding="utf-8").strip(),
    ]
    known = {link.path for _, links in _SECTIONS for link in links}
    for title, links in _SECTIONS:
        rows = [link for link in links if link.path in there]
        if any(link.path == _SURVEY for link in rows):
            rows += [
                Linked(path, "Own items", "what the catalogue of the survey's owner holds")
                for path in sorted(there)
                if path.startswith("survey/") and path not in known
            ]
        if rows:
            body.append(f"<h2>{title}</h2>\n<dl>")
            body += [
                f'<dt><a href="{quote(link.path)}">{escape(link.title)}</a></dt>'
                f"<dd>{escape(link.about)} ({escape(link.path.rpartition('/')[2])})</dd>"
                for link in rows
            ]
            body.append("</dl>")
    return page(f"Wiring of {machine.name}", "\n".join(body))


def formats_text() -> bytes:
    """What the files are, in plain words."""
    return files(__package__).joinpath("formats.txt").read_bytes()


def checksums(digests: Mapping[str, str]) -> bytes:
    """Names and their SHA-256, as `sha256sum -c` reads them."""
    return "".join(f"{digests[name]}  {name}\n" for name in sorted(digests)).encode()


def digest(content: bytes) -> str:
    """SHA-256 of a file's content."""
    return sha256(content).hexdigest()
