"""What a rail is called: its terminal number after DIN 72552 where it has one, and what it hangs on."""

from __future__ import annotations

from harness.drawing.tracks.net import Edge, Net, Node
from harness.drawing.tracks.words import shown

BATTERY, GROUND = "30", "31"
_NO_SWITCH = ("coupler", "gauge", "module", "breaker", "resistor", "diode")


def _switched_by(net: Net, edge: Edge, seen: set[Node]) -> str | None:
    """What a contact makes of the rail below it: the key's terminal, None for what does not switch."""
    part, link = edge.part, edge.link
    if part is None or link is None or link.kind != "contact" or edge.symbol in _NO_SWITCH:
        return None
    if part.symbol == "key switch":
        return edge.low.terminal
    coils = [e for e in net.of_part.get(part.name, ()) if e.link is not None and e.link.kind == "load"]
    if part.role == "relay" and coils:
        mark = _mark(net, coils[0].top, seen)
        return "" if mark == BATTERY else mark
    return ""


def _mark(net: Net, node: Node, seen: set[Node]) -> str:
    while node not in net.posts:
        into = net.into.get(node, ())
        if not into or node in seen:
            return ""
        seen.add(node)
        switched = _switched_by(net, into[0], seen)
        if switched is not None:
            return switched
        node = into[0].top
    return BATTERY


def supply_mark(net: Net, node: Node) -> str:
    """Terminal number of a supply rail: 30 straight from the battery, 15 through the key, "" for others."""
    return _mark(net.whole or net, node, set())


def _pole(net: Net, mark: str) -> str:
    """The pole of a live or chassis rail, said only where the chassis is positive and it surprises."""
    if net.design.machine.chassis_post != "positive" or not mark:
        return mark
    return f"{mark} (+)" if mark == GROUND else f"{mark} (−)"


def supply_name(net: Net, node: Node) -> tuple[str, str]:
    """Mark and name of a supply rail."""
    terminal = "" if node.terminal in ("stud", "bus", "in") else f" {shown(node.terminal)}"
    return _pole(net, supply_mark(net, node)), f"{node.part}{terminal}"


def return_name(net: Net, rail: Node | str) -> tuple[str, str]:
    """Mark and name of a rail below: the metal it is, or the stud that brings returns together."""
    name = rail if isinstance(rail, str) else f"{rail.part} {rail.terminal}".removesuffix(" stud")
    return _pole(net, GROUND), name
