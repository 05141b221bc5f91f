"""Writes drawn pages as PDF through Typst, every text handed over as data, the same bytes each time."""

from __future__ import annotations

import json
from collections.abc import Sequence

from harness.drawing.ink import Ink, Page, Ring, Stroke
from harness.drawing.letters import printable
from harness.drawing.svg import clean, isolate

FACE = "DejaVu Sans Mono"  # comes with Typst, so that no font of the machine is asked

_SOURCE = """
#let d = json(bytes(sys.inputs.data))
#set document(title: d.title, date: none)
#set text(font: "FACE", fallback: true, ligatures: false)
#let paint(each, dx, dy) = {
  if each.k == "l" {
    let stroke = (paint: rgb(each.c), thickness: each.w * 1mm, cap: "butt", join: "miter")
    if each.d.len() > 0 { stroke.insert("dash", each.d.map(n => n * 1mm)) }
    let spots = each.p.map(p => ((p.at(0) - dx) * 1mm, (p.at(1) - dy) * 1mm))
    let rest = spots.slice(1).map(s => curve.line(s))
    place(top + left, curve(stroke: stroke, curve.move(spots.at(0)), ..rest))
  } else if each.k == "o" {
    place(top + left, dx: (each.x - each.r - dx) * 1mm, dy: (each.y - each.r - dy) * 1mm,
      circle(radius: each.r * 1mm, fill: rgb(each.f), stroke: each.w * 1mm + black))
  } else {
    let body = text(size: each.s * 1mm, weight: if each.b { "bold" } else { "regular" }, fill: rgb(each.c),
      top-edge: "baseline", bottom-edge: "baseline", each.t)
    place(top + left, dx: (each.x - dx) * 1mm, dy: (each.y - dy) * 1mm, box(width: 5000mm, body))
  }
}
#for p in d.pages {
  page(width: p.w * 1mm, height: p.h * 1mm, margin: 0mm, {
    let (x0, y0, x1, y1) = p.box
    place(top + left, dx: x0 * 1mm, dy: y0 * 1mm,
      box(width: (x1 - x0) * 1mm, height: (y1 - y0) * 1mm, clip: true, {
        for each in p.inside { paint(each, x0, y0) }
      }))
    for each in p.outside { paint(each, 0, 0) }
  })
}
""".replace("FACE", FACE)


def _ink(ink: Ink) -> dict[str, object]:
    if isinstance(ink, Stroke):
        spots = [[round(x, 3), round(y, 3)] for x, y in ink.spots]
        return {
            "k": "l",
            "p": spots,
            "w": round(ink.wide_mm, 3),
            "c": ink.colour,
            "d": [round(each, 3) for each in ink.dash],
        }
    if isinstance(ink, Ring):
        return {
            "k": "o", "x": round(ink.x, 3), "y": round(ink.y, 3), "r": round(ink.r, 3), "f": ink.fill,
            "w": round(ink.wide_mm, 3),
        }  # fmt: skip
    return {
        "k": "t", "x": round(ink.x, 3), "y": round(ink.y, 3), "s": round(ink.size_mm, 3), "b": ink.bold,
        "c": ink.colour, "t": isolate(printable(clean(ink.text))),
    }  # fmt: skip


def pdf_bytes(pages: Sequence[Page], *, title: str) -> bytes:
    """All pages as one PDF at full size. Raises typst.TypstError where the typesetter fails."""
    import typst

    data = {
        "title": printable(clean(title)),
        "pages": [
            {
                "w": page.paper.width_mm, "h": page.paper.height_mm, "box": page.window,
                "inside": [_ink(each) for each in page.inside],
                "outside": [_ink(each) for each in page.outside],
            }
            for page in pages
        ],
    }  # fmt: skip
    made = typst.compile(
        _SOURCE.encode(), sys_inputs={"data": json.dumps(data)}, ignore_system_fonts=True, pdf_tags=False
    )
    assert isinstance(made, bytes)
    return made
