"""A mode's operating point as a SPICE netlist, so that another program can check the solve.

Wires, contacts and joints are R, batteries V behind R, constant currents I, and what follows its volts B.
Nodes are numbers of ours; the words of the survey stand in comments only, one line each. Nothing of our
solution is handed over: the other program starts from the sources' own volts at rest.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence

from harness.electric.laws import DROP_OUT, LAMP_EXPONENT, LAMP_LINEAR, STALLS, Draw, Giver
from harness.electric.operating import Model, node_label
from harness.electric.settle import Grid

OPTIONS = ".options reltol=1e-9 abstol=1e-9 vntol=1e-10 gmin=1e-15 itl1=2000"
MOST_LETTERS = 120
BEYOND_OHM = 1e5  # of a source beyond its limit: leaves some ten microamperes, finds its way


def comment(text: str) -> str:
    """A comment line that no word of a survey can break out of: plain ASCII on one line."""
    plain = "".join(letter if letter.isprintable() else " " for letter in text)
    return "* " + plain.encode("ascii", "backslashreplace").decode("ascii")[:MOST_LETTERS]


def node_numbers(model: Model) -> dict[Hashable, int]:
    """The netlist's number of every node that hangs together with the reference, which is 0."""
    grid = Grid(model.branches, model.givers, model.reference)
    ends = [(each.a, each.b) for each in model.branches] + [(each.a, each.b) for each in model.givers]
    nodes = dict.fromkeys(node for pair in ends for node in pair if grid.holds(node))
    nodes.pop(model.reference, None)
    return {model.reference: 0, **{node: at for at, node in enumerate(nodes, start=1)}}


def _branches(model: Model, number: dict[Hashable, int]) -> Iterator[str]:
    for at, (branch, key) in enumerate(zip(model.branches, model.keys, strict=True), start=1):
        if branch.a not in number or branch.a == branch.b:
            continue
        yield comment(f"wire {key}" if isinstance(key, int) else " ".join(key))
        yield f"R{at} {number[branch.a]} {number[branch.b]} {branch.ohm:.12g}"


def _giver(at: int, one: Giver, a: int, b: int, middle: int) -> list[str]:
    """A source on one straight line as V and R, else as volts that follow its current, read by a V of zero.

    Told by its current such a source finds its piece of the line from any start; told by its volts it does
    not, because the piece on which an alternator regulates is some hundredths of a volt wide.
    """
    if one.back_ohm == one.ohm and one.most_a is None:
        return [f"VG{at} {middle} {b} {one.emf_v:.12g}", f"RG{at} {middle} {a} {one.ohm:.12g}"]
    amps = f"I(VG{at})"
    volts = f"{one.emf_v:.12g}-{one.ohm:.12g}*{amps}-{one.back_ohm - one.ohm:.12g}*min({amps},0)"
    if one.most_a is not None:
        volts += f"-{BEYOND_OHM:g}*max({amps}-{one.most_a:.12g},0)"
    return [f"BG{at} {middle} {b} V={volts}", f"VG{at} {middle} {a} 0"]


def _draw(at: int, one: Draw, a: int, b: int) -> str:
    share = f"(V({a},{b})/{one.rated_v:.12g})"
    if one.law == "current":
        return f"ID{at} {a} {b} {one.rated_a:.12g}"
    if one.law == "resistance":
        return f"RD{at} {a} {b} {one.rated_v / one.rated_a:.12g}"
    if one.law == "power":
        return f"BD{at} {a} {b} I={one.rated_a:.12g}*{share}/max({share},{DROP_OUT:g})^2"
    if one.law == "motor":
        return f"BD{at} {a} {b} I={one.rated_a:.12g}*tanh({STALLS:g}*{share})/tanh({STALLS:g})"
    power = LAMP_EXPONENT - 1
    return (
        f"BD{at} {a} {b} I={one.rated_a:.12g}*{share}*exp({power:.12g}*ln(max(abs({share}),{LAMP_LINEAR:g})))"
    )


def _starts(model: Model, number: dict[Hashable, int]) -> Iterator[str]:
    """For the search to begin at: every source's own volts at rest at its live side, to three digits."""
    rough = {number[one.a]: one.emf_v for one in model.givers}
    yield from (f".nodeset V({node})={volts:.3g}" for node, volts in rough.items() if node)


def netlist(model: Model, title: str, notes: Sequence[str] = ()) -> str:
    """The netlist of a mode's operating point, to be run as it is: it prints the volts of every node.

    ``notes`` stand below the title as comments.
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
        *_starts(model, number),
        OPTIONS,
        ".control",
        "set numdgt=12",
        "op",
        "print all",
        "quit",
        ".endc",
        ".end",
    ]
    return "\n".join(lines) + "\n"
