"""Sets the sheet for the cab as PDF with Typst; every text is data, never markup."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from harness.book.field.paper import PAPERS, printed
from harness.lists.symptoms import fuse_facts
from harness.model.design import Design, PartResult

WIRES = 8  # numbers told of a fuse; the rest is counted
CAUTIONS = (
    "Chassis lead of the battery off first, on last. Machine chocked, works on the ground, key out.",
    "Never a bigger fuse than this sheet says: the wire behind it is what burns. Find the fault first.",
    "The maker's instructions and local codes go before this sheet.",
)


def _some(names: list[str]) -> str:
    more = len(names) - WIRES
    return ", ".join(names[:WIRES]) + (f" and {more} more" if more > 0 else "")


def _fuses(design: Design) -> list[list[str]]:
    facts = {one.fuse: one for one in fuse_facts(design)}
    return [
        [
            fuse.name, f"link {fuse.size}" if fuse.size else f"{fuse.rating_a:g} A", fuse.colour,
            facts[fuse.name].dies, _some(fuse.wires), f"{facts[fuse.name].spare_a:.1f} A", fuse.place,
        ]
        for fuse in design.fuses
    ]  # fmt: skip


def _relays(design: Design) -> list[list[str]]:
    circuits = {wire: circuit.name for circuit in design.circuits for wire in circuit.wires}

    def switched(part: PartResult) -> str:
        landed = {use.terminal: use.wires for use in part.terminals}
        contacts = [link for link in part.links if link.kind in ("contact", "changeover")]
        ends = [end for link in contacts for end in (link.a, link.b)]
        names = dict.fromkeys(circuits[one] for end in ends for one in landed.get(end, []) if one in circuits)
        return ", ".join(names)

    return [[part.name, switched(part), part.place] for part in design.parts if part.role == "relay"]


def _grounds(design: Design) -> list[list[str]]:
    found = []
    for part in design.parts:
        if part.role == "ground":
            wires = list(dict.fromkeys(one for use in part.terminals for one in use.wires))
            found.append([part.name, part.body or "", part.place, _some(wires)])
    return found


def cab_data(design: Design) -> dict[str, Any]:
    """What stands on the sheet: texts and rows of texts."""
    machine = design.machine
    revision = f"revision {machine.revision}, " if machine.revision else ""
    return {
        "title": machine.name,
        "volts": f"{machine.voltage_v:g} V",
        "post": f"{machine.chassis_post} post on the chassis",
        "foot": f"{revision}survey {machine.file}, digest {machine.digest}; {design.program}",
        "cautions": list(CAUTIONS),
        "fuses": _fuses(design),
        "relays": _relays(design),
        "grounds": _grounds(design),
    }


def cab_pdf(design: Design, *, paper: str) -> bytes:
    """The sheet of a machine; ``paper`` is a key of PAPERS, the same bytes each time.

    Raises typst.TypstError where the typesetter fails.
    """
    import typst

    told = json.dumps(
        printed({**cab_data(design), "paper": PAPERS[paper]}), ensure_ascii=False, allow_nan=False
    )
    source = files(__package__).joinpath("sheet.typ").read_bytes()
    made: bytes = typst.compile(source, sys_inputs={"data": told}, ignore_system_fonts=True, pdf_tags=False)
    return made
