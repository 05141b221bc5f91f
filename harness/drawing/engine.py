"""Places boxes in columns with Graphviz: writes DOT, runs the engine that pip brought, reads positions back.

Only our own short names go into DOT, never a word of a survey, and every size is given by us. Lengths are
handed over in tenths of a millimetre as points, so that the whole numbers of a table cell are fine enough.
"""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib import metadata
from pathlib import Path

import graphviz  # type: ignore[import-untyped]

PACKAGE = "graphviz-pure"
PATIENCE_S = 60
_POINTS_PER_MM = 10
_POINTS_PER_INCH = 72
_PIN = 2  # height of the table cell that stands for a pin, in points


class EngineFailed(Exception):
    """The layout engine is missing, did not finish or gave an answer that does not fit the question."""


@dataclass(frozen=True, slots=True)
class Node:
    """A box to place: its height and how far below its top the pins are, on either side."""

    height_mm: float
    pins_mm: tuple[float, ...]  # rising, each at least 0.3 mm from the next and from the ends


@dataclass(frozen=True, slots=True)
class Edge:
    """A line from a pin on the right of one box to a pin on the left of another in the next column."""

    tail: int  # index of the node
    tail_pin: int
    head: int
    head_pin: int
    weight: int = 1  # how much it wants to be straight


@dataclass(frozen=True, slots=True)
class Graph:
    """Boxes in columns. Every edge spans one column; the graph hangs together."""

    nodes: tuple[Node, ...]
    edges: tuple[Edge, ...]
    gap_mm: float  # least room between two boxes of a column


def _points(length_mm: float) -> int:
    return round(length_mm * _POINTS_PER_MM)


def _cell(height: int, port: int | None = None) -> str:
    name = f' PORT="p{port}"' if port is not None else ""
    return f'<TR><TD{name} HEIGHT="{height}"></TD></TR>'


def _table(node: Node) -> str:
    """Return the box as an HTML-like label: a column of empty cells, those of pins with a name."""
    cells, reached = [], 0
    for index, pin_mm in enumerate(node.pins_mm):
        top = _points(pin_mm) - _PIN // 2
        cells += [_cell(top - reached), _cell(_PIN, index)]
        reached = top + _PIN
    cells.append(_cell(_points(node.height_mm) - reached))
    rows = "".join(cells)
    return f'<<TABLE BORDER="0" CELLBORDER="0" CELLSPACING="0" CELLPADDING="0">{rows}</TABLE>>'


def dot(graph: Graph) -> str:
    """Write one graph as DOT."""
    drawing = graphviz.Digraph(
        graph_attr={"rankdir": "LR", "splines": "false", "ranksep": "0.5"},
        node_attr={"shape": "plain"},
        edge_attr={"arrowhead": "none"},
    )
    drawing.attr(nodesep=f"{_points(graph.gap_mm) / _POINTS_PER_INCH:.4f}")
    for index, node in enumerate(graph.nodes):
        drawing.node(f"n{index}", label=_table(node))
    for edge in graph.edges:
        tail, head = f"n{edge.tail}:p{edge.tail_pin}:e", f"n{edge.head}:p{edge.head_pin}:w"
        drawing.edge(tail, head, weight=str(edge.weight))
    return str(drawing.source)


@cache
def _program() -> str:
    """Find the engine among the files of its package, wherever pip put them."""
    try:
        files = metadata.files(PACKAGE) or []
    except metadata.PackageNotFoundError:
        files = []
    for file in files:
        found = Path(str(file.locate()))
        if found.stem == PACKAGE and found.is_file():
            return str(found)
    found_on_path = shutil.which(PACKAGE)
    if found_on_path is None:
        raise EngineFailed(f"the layout engine is missing: run `pip install {PACKAGE}`")
    return found_on_path


def _run(source: str) -> str:
    try:
        done = subprocess.run(
            [_program(), "-Kdot", "-Tplain"],
            input=source.encode(),
            capture_output=True,
            timeout=PATIENCE_S,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise EngineFailed(f"the layout engine did not finish within {PATIENCE_S} s") from None
    except OSError as exc:
        raise EngineFailed(f"the layout engine cannot be started: {exc}") from exc
    if done.returncode != 0:
        words = done.stderr.decode(errors="replace").strip() or "no reason given"
        raise EngineFailed(f"the layout engine stopped with code {done.returncode}: {words}")
    return done.stdout.decode(errors="replace")


def _read(block: str, graph: Graph) -> list[float]:
    """Read the top of every box [mm], measured down from the top of the drawing."""
    heights, tops = 0.0, [0.0] * len(graph.nodes)
    columns: dict[int, float] = {}
    per_inch = _POINTS_PER_INCH / _POINTS_PER_MM
    for line in block.splitlines():
        words = line.split(" ")
        if words[0] == "graph":
            heights = float(words[3]) * per_inch
        elif words[0] == "node":
            index = int(words[1].removeprefix("n"))
            columns[index] = float(words[2])
            tops[index] = heights - float(words[3]) * per_inch - graph.nodes[index].height_mm / 2
    if len(columns) != len(graph.nodes) or any(columns[e.tail] >= columns[e.head] for e in graph.edges):
        raise EngineFailed("the layout engine gave an answer that does not fit the question")
    return tops


def tops_mm(graphs: Sequence[Graph]) -> list[list[float]]:
    """Lay out ``graphs`` in one go: for each the distance of every box's top from the drawing's top [mm].

    Raises EngineFailed.
    """
    if not graphs:
        return []
    blocks = _run("\n".join(dot(graph) for graph in graphs)).split("\nstop")
    if len(blocks) != len(graphs) + 1:
        raise EngineFailed(f"the layout engine gave {len(blocks) - 1} drawings, asked for {len(graphs)}")
    try:
        return [_read(block, graph) for block, graph in zip(blocks, graphs, strict=False)]
    except (ValueError, IndexError) as exc:
        raise EngineFailed(f"the layout engine gave an answer that cannot be read: {exc}") from exc
