"""The reader that the other tests lean on must itself find what is wrong."""

from __future__ import annotations

from harness.drawing.svg import Canvas, document

from . import reading


def _drawing(c: Canvas) -> str:
    return document(body=c.markup(), width_mm=100, height_mm=50, title="t", about="a")


def test_two_texts_on_each_other_are_found() -> None:
    c = Canvas()
    c.text(10, 10, "head lamp", 3)
    c.text(12, 11, "horn", 3)
    c.text(10, 20, "far away", 3)
    assert [{a.text, b.text} for a, b in reading.overlapping_texts(_drawing(c))] == [{"head lamp", "horn"}]


def test_a_line_through_a_text_is_found() -> None:
    c = Canvas()
    c.text(10, 10, "head lamp", 3)
    with c.group(wire="7"):
        c.line([(0, 9), (50, 9)])
        c.line([(0, 20), (50, 20)])
    assert [each.owner for each, _ in reading.struck_texts(_drawing(c), "wire")] == ["7"]


def test_lines_on_each_other_are_found_and_crossing_ones_are_not() -> None:
    c = Canvas()
    for number, spots in (
        ("1", [(0, 9), (50, 9)]),
        ("2", [(40, 9.2), (60, 9.2)]),
        ("3", [(45, 0), (45, 30)]),
    ):
        with c.group(wire=number):
            c.line(spots)
    assert [(a.owner, b.owner) for a, b in reading.lying_on(_drawing(c), "wire")] == [("1", "2")]


def test_anchors_are_read() -> None:
    c = Canvas()
    for anchor in ("start", "middle", "end"):
        c.text(50, 10, "iiii", 10, anchor=anchor)
    start, middle, end = reading.texts(_drawing(c))
    assert start.left == 50
    assert (middle.left + middle.right) / 2 == 50
    assert end.right == 50
