"""A mode's operating point as a SPICE netlist, so that another program can check the solve.

Wires, contacts and joints are R, batteries V behind R, constant currents I, and what follows its volts B.
Nodes are numbers of ours; the words of the survey stand in comments only, one line each. Given volts to start
from (.nodeset), the other program lets go of them and stops only where its own equations are met: sources
with a limit have corners that it does not find its way around from zero volts.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence

from harness.electric.network import Branch, Network
from harness.electric.operating import (
    DROP_OUT,
    LAMP_EXPONENT,
    LAMP_LINEAR,
    LEAK_S,
    Draw,
    Giver,
    Model,
    node_label,
)

OPTIONS = ".options reltol=1e-9 abstol=1e-9 vntol=1e-10 gmin=1e-15 itl1=2000"
MOST_LETTERS = 120


def comment(text: str) -> str:
    """A comment line that no word of a survey can break out of: plain ASCII on one line."""
    plain = "".join(letter if letter.isprintable() else " " for letter in text)
    return "* " + plain.encode("ascii", "backslashreplace").decode("ascii")[:MOST_LETTERS]


def node_numbers(model: Model) -> dict[Hashable, int]:
    """The netlist's number of every node that hangs together with the reference, which is 0."""
    ties = [*model.branches, *(Branch(one.a, one.b, one.ohm) for one in model.givers)]
    network = Network(ties, model.reference)
    nodes = dict.fromkeys(node for branch in ties for node in (branch.a, branch.b) if network.holds(node))
    nodes.pop(model.reference, None)
    return {model.reference: 0, **{node: at for at, node in enumerate(nodes, start=1)}}


def _branches(model: Model, number: dict[Hashable, int]) -> Iterator[str]:
    for at, (branch, key) in enumerate(zip(model.branches, model.keys, strict=True), start=1):
        if branch.a not in number or branch.a == branch.b:
            continue
        yield comment(f"wire {key}" if isinstance(key, int) else " ".join(key))
        yield f"R{at} {number[branch.a]} {number[branch.b]} {branch.ohm:.12g}"


def _giver(at: int, one: Giver, a: int, b: int, middle: int) -> list[str]:
    """A source that gives without limit as V and R; one with a limit as a B current into its live node."""
    if not one.one_way and one.most_a is None:
        return [f"VG{at} {middle} {b} {one.emf_v:.12g}", f"RG{at} {middle} {a} {one.ohm:.12g}"]
    gap = f"({one.emf_v:.12g}-V({a},{b}))"
    free = f"max({gap},0)/{one.ohm:.12g}"
    if one.most_a is not None:
        free = f"min({free},{one.most_a:.12g})"
    leak = f"+min({gap},0)*{LEAK_S:g}" if one.one_way else f"+min({gap},0)/{one.ohm:.12g}"
    return [f"BG{at} {b} {a} I={free}{leak}"]


def _draw(at: int, one: Draw, a: int, b: int) -> str:
    share = f"(V({a},{b})/{one.rated_v:.12g})"
    if one.law == "current":
        return f"ID{at} {a} {b} {one.rated_a:.12g}"
    if one.law == "resistance":
        return f"RD{at} {a} {b} {one.rated_v / one.rated_a:.12g}"
    if one.law == "power":
        return f"BD{at} {a} {b} I={one.rated_a:.12g}*{share}/max({share},{DROP_OUT:g})^2"
    power = LAMP_EXPONENT - 1
    return (
        f"BD{at} {a} {b} I={one.rated_a:.12g}*{share}*exp({power:.12g}*ln(max(abs({share}),{LAMP_LINEAR:g})))"
    )


def netlist(
    model: Model, title: str, start: Mapping[Hashable, float] | None = None, notes: Sequence[str] = ()
) -> str:
    """The netlist of a mode's operating point, to be run as it is: it prints the volts of every node.

    ``start``: volts of nodes to begin the search at [V]. ``notes`` stand below the title as comments.
    """
    number = node_numbers(model)
    lines = [comment(f"{title}: operating point of mode {model.mode}"), *map(comment, notes), "* nodes"]
    lines += [comment(f"{at} = {node_label(node)}") for node, at in number.items()]
    lines += ["* wires, contacts, fuses, joints", *_branches(model, number), "* sources"]
    for at, giver in enumerate(model.givers, start=1):
        lines.append(comment(giver.name))
        lines += _giver(at, giver, number[giver.a], number[giver.b], len(number) + at - 1)
    lines.append("* loads")
    for at, draw in enumerate(model.draws, start=1):
        if number[draw.a] != number[draw.b]:
            lines += [comment(f"{draw.name} ({draw.law})"), _draw(at, draw, number[draw.a], number[draw.b])]
    lines += [
        f".nodeset V({number[node]})={volts:.9g}" for node, volts in (start or {}).items() if number[node]
    ]
    lines += [OPTIONS, ".control", "set numdgt=12", "op", "print all", "quit", ".endc", ".end"]
    return "\n".join(lines) + "\n"
