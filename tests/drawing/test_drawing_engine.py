"""The layout engine: what it is given, what it gives back, and what is said when it fails."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given

from harness.drawing import engine
from harness.drawing.engine import Edge, EngineFailed, Graph, Node
from harness.drawing.loom import loom_svg

from .factories import medium
from .machines import builders

FORK = Graph(
    (Node(10, (3, 7)), Node(8, (4,)), Node(8, (4,)), Node(30, (4, 26))),
    (Edge(0, 0, 1, 0), Edge(0, 1, 2, 0), Edge(1, 0, 3, 0), Edge(2, 0, 3, 1)),
    3.0,
)


def _program(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, script: str) -> None:
    path = tmp_path / "engine"
    path.write_text(f"#!/bin/sh\n{script}\n")
    path.chmod(0o755)
    monkeypatch.setattr(engine, "_program", lambda: str(path))


def test_boxes_of_a_column_keep_their_gap() -> None:
    (tops,) = engine.tops_mm([FORK])
    upper, lower = sorted(tops[1:3])
    assert lower >= upper + 8 + 3 - 0.1


def test_pins_are_levelled_where_that_is_possible() -> None:
    chain = Graph((Node(20, (5,)), Node(8, (2,)), Node(30, (25,))), (Edge(0, 0, 1, 0), Edge(1, 0, 2, 0)), 2)
    (tops,) = engine.tops_mm([chain])
    levels = [top + node.pins_mm[0] for top, node in zip(tops, chain.nodes, strict=True)]
    assert max(levels) - min(levels) < 0.3


def test_several_graphs_in_one_go_are_the_same_as_one_by_one() -> None:
    other = Graph((Node(5, (2,)), Node(9, (2,))), (Edge(0, 0, 1, 0),), 1.0)
    assert engine.tops_mm([FORK, other]) == [*engine.tops_mm([FORK]), *engine.tops_mm([other])]
    assert engine.tops_mm([]) == []


@given(builders())
def test_no_word_of_a_survey_reaches_the_engine(builder: object) -> None:
    design = builder.build()  # type: ignore[attr-defined]
    seen: list[str] = []
    run = engine._run

    def listen(source: str) -> str:
        seen.append(source)
        return run(source)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(engine, "_run", listen)
        loom_svg(design)
    words = set(re.findall(r"[^\W\d_]+", "".join(seen)))
    assert words <= {
        "digraph", "graph", "node", "edge", "rankdir", "LR", "ranksep", "splines", "false", "shape", "plain",
        "arrowhead", "none", "nodesep", "label", "TABLE", "BORDER", "CELLBORDER", "CELLSPACING",
        "CELLPADDING",        "TR", "TD", "HEIGHT", "PORT", "weight", "n", "p", "e", "w",
    }  # fmt: skip


def test_a_missing_engine_is_named_with_its_cure(monkeypatch: pytest.MonkeyPatch) -> None:
    def no_package(name: str) -> list[object]:
        raise engine.metadata.PackageNotFoundError(name)

    monkeypatch.setattr(engine.metadata, "files", no_package)
    monkeypatch.setattr(engine.shutil, "which", lambda name: None)
    engine._program.cache_clear()
    try:
        with pytest.raises(EngineFailed, match="pip install graphviz-pure"):
            loom_svg(medium().build())
    finally:
        engine._program.cache_clear()


def test_an_engine_that_cannot_start(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engine, "_program", lambda: "/nowhere/engine")
    with pytest.raises(EngineFailed, match="cannot be started"):
        engine.tops_mm([FORK])


@pytest.mark.parametrize(
    ("script", "said"),
    [
        ("echo broken pipe of dreams >&2; exit 3", "code 3: broken pipe of dreams"),
        ("exit 1", "no reason given"),
        ("cat >/dev/null", "gave 0 drawings, asked for 1"),
        ("cat >/dev/null; echo 'graph 1 2 x'; echo stop", "cannot be read"),
        ("cat >/dev/null; echo 'node n7 1 1'; echo stop", "cannot be read"),
        ("cat >/dev/null; echo 'graph 1 1 1'; echo stop", "does not fit"),
    ],
)
def test_an_engine_that_fails_is_told_in_words(
    script: str, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _program(tmp_path, monkeypatch, script)
    with pytest.raises(EngineFailed, match=re.escape(said)):
        engine.tops_mm([FORK])


def test_an_engine_that_hangs_is_stopped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _program(tmp_path, monkeypatch, "exec sleep 30")
    monkeypatch.setattr(engine, "PATIENCE_S", 0.2)
    with pytest.raises(EngineFailed, match="did not finish"):
        loom_svg(medium().build())
