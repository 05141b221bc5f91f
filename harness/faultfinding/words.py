"""Faults, points and wires in the words of the machine."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from harness.electric.graph import EdgeKey, Node
from harness.faultfinding.diagnose import Explanation
from harness.faultfinding.faults import Suspect
from harness.model.design import Wire

WHAT = {
    "open wire": "broken, or off at one of its ends",
    "open ground": "is loose or rusted through",
    "open contact": "does not close",
    "open fuse": "is blown or not in its clips; find out why before a new one goes in",
    "open coupler": "makes no contact",
    "open inside": "is open inside",
    "dead lamp": "is burnt out",
    "dead load": "is open inside",
    "bad wire": "has a bad crimp, end or strand",
    "bad ground": "makes bad contact",
    "bad contact": "is burnt",
    "bad fuse": "has bad contact in its clips",
    "bad coupler": "is corroded",
    "leak": "leaks to the chassis",
    "short": "touches the chassis, or a load on it is shorted",
    "stuck contact": "is closed where it should be open",
    "wrong feed": "touches something live",
    "flat battery": "is low",
    "tired battery": "is worn out: too much inner resistance",
    "no charge": "gives nothing",
    "overcharge": "is held too high",
}


def node_words(node: Node) -> str:
    """A point to hold a probe on."""
    if node.kind == "body":
        return f"bare metal of {node.name}"
    return f"splice {node.name}" if node.kind == "splice" else str(node)


def wire_words(wire: Wire) -> str:
    """A wire with its ends, size and colour."""
    return f"wire {wire.number} ({wire.size} {wire.colour}) from {wire.from_} to {wire.to}"


def key_words(key: EdgeKey, wires: Sequence[Wire]) -> str:
    """A wire or the inside of a part."""
    if isinstance(key, int):
        return wire_words(wires[key])
    part, link = key
    return f"{part} {link}"


def ohm_words(ohm: float) -> str:
    """A resistance to two digits.

    >>> ohm_words(0.0412), ohm_words(1.06), ohm_words(870)
    ('0.041 ohm', '1.1 ohm', '870 ohm')
    """
    return f"{float(f'{ohm:.2g}'):g} ohm"


def suspect_words(suspect: Suspect | None, wires: Sequence[Wire]) -> str:
    """What is wrong, in one sentence."""
    if suspect is None:
        return "nothing is wrong: this is what a sound machine shows"
    fault = suspect.fault
    if fault.key is not None and fault.kind not in ("dead lamp", "dead load"):
        name = key_words(fault.key, wires)
    elif fault.node is not None:
        name = f"the stretch {fault.name}" if fault.name else node_words(fault.node)
    else:
        name = fault.name
    return f"{name} {WHAT[fault.kind]}"


def size_words(one: Explanation) -> str:
    """How large the fault would have to be, "" where it has no size."""
    if one.suspect is None or one.value is None:
        return ""
    kind = one.suspect.fault.kind
    if kind == "leak" or one.suspect.adds_ohm:
        return f"about {ohm_words(one.value)}" + ("" if kind == "leak" else " too much")
    if kind == "tired battery":
        return f"about {one.value:.1f} times its resistance"
    return "" if kind == "wrong feed" else f"about {100 * one.value:.0f} % of its volts"


def points_of(nodes: Sequence[Node]) -> Mapping[str, Node]:
    """Every point by the words a person would type for it; the bare name of a part with one terminal too."""
    found = {str(node): node for node in nodes}
    found |= {node_words(node): node for node in nodes}
    alone: dict[str, list[Node]] = {}
    for node in nodes:
        if node.kind == "terminal":
            alone.setdefault(node.name, []).append(node)
    return found | {name: own[0] for name, own in alone.items() if len(own) == 1 and name not in found}
