"""What the counter's accepted substitutions make of wires, and the words that tell them in every output."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from harness.lists.cutlist import cable_words
from harness.model.accepted import Accepted
from harness.model.design import Wire
from harness.model.machine import Machine


def _spool(wire: Wire) -> str:
    return " ".join((cable_words(wire), wire.size, wire.colour))


def recoloured(wires: Iterable[Wire], accepted: Accepted) -> list[Wire]:
    """The wires in the colours that their spools come in; what is kept stays as it is."""
    return [
        wire if wire.kept else replace(wire, colour=accepted.colours.get(_spool(wire), wire.colour))
        for wire in wires
    ]


def recabled(machine: Machine, wires: Sequence[Wire], accepted: Accepted) -> Machine:
    """The machine with other cable for the wires of the spools that are replaced, to be sized again.

    ``wires``: as designed from that machine, in its order.
    """
    cables = [
        spec.cable if wire.kept else accepted.cables.get(_spool(wire), spec.cable)
        for spec, wire in zip(machine.wires, wires, strict=True)
    ]
    specs = tuple(replace(spec, cable=cable) for spec, cable in zip(machine.wires, cables, strict=True))
    return machine if specs == machine.wires else replace(machine, wires=specs)


def accepted_words(accepted: Accepted, lost: Sequence[str] = ()) -> list[str]:
    """Every substitution as a sentence, the file first; none where none was accepted.

    ``lost``: wires whose size was kept and that the machine does not have any more.
    """
    words = [f"{size} is not to be had: the next size that does" for size in accepted.sizes]
    words += [
        f"{spool}: comes in {colour}; the labels on both ends must stay"
        for spool, colour in accepted.colours.items()
    ]
    words += [f"{spool}: comes as {cable}" for spool, cable in accepted.cables.items()]
    words += [
        f"{key}: bought as part number {number}"
        + (f", {accepted.words[key]}" if accepted.words.get(key) else "")
        for key, number in accepted.bought.items()
    ]
    if accepted.wired:
        words.append(f"{len(accepted.wired)} wires stay as they are in the machine, where that will do")
    words += [f"no wire goes {name} any more" for name in lost]
    return [f"by {accepted.file}, digest {accepted.digest}", *words] if words else []
