"""The circuit drawing: every circuit in a band of its own, from source on the left to ground on the right."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from harness.drawing import flow, legend, metrics
from harness.drawing import sheet as paper
from harness.drawing.band import Band, bands, draw_band
from harness.drawing.circuit_graph import circuit_graph
from harness.drawing.circuit_index import index
from harness.drawing.svg import SOFT, Canvas, document
from harness.model.design import CircuitResult, Design

TITLE_SIZE = 3.4
MODES_SIZE = 2.3
PAD_MM = 2.0
GAP_MM = 2.5
SCALES = (1.0, 0.96, 0.92, 0.88)  # the first that needs the fewest pages is taken
LEAST_SCALE = 0.75  # of a circuit too large for a page
DRAWING = "Circuits"
NOTE = "Each circuit from its source on the left to ground on the right. Signs and marks: see the key."


@dataclass(frozen=True, slots=True)
class _Block:
    """A band with its title, ready for the flow."""

    band: Band
    modes: str
    head_mm: float  # height of the title strip

    @property
    def size(self) -> tuple[float, float]:
        head = metrics.width(self.band.graph.circuit.name, TITLE_SIZE, bold=True)
        head = min(head, 90.0) + min(metrics.width(self.modes, MODES_SIZE), 70.0) + 8.0
        return max(
            self.band.layout.width_mm + 2 * PAD_MM, head
        ), self.head_mm + self.band.layout.height_mm + PAD_MM


def _modes(design: Design, circuit: CircuitResult) -> str:
    if len(circuit.modes) == len(design.modes):
        return "works in every mode"
    return f"works in: {', '.join(circuit.modes)}" if circuit.modes else "works in no mode"


def _block(design: Design, band: Band) -> _Block:
    modes = _modes(design, band.graph.circuit)
    title = metrics.wrap(band.graph.circuit.name, TITLE_SIZE, 92.0, bold=True)
    words = metrics.wrap(modes, MODES_SIZE, 72.0)
    high = max(len(title) * metrics.LINE * TITLE_SIZE, len(words) * metrics.LINE * MODES_SIZE)
    return _Block(band, modes, high + 2.4)


def _draw_block(c: Canvas, block: _Block, place: flow.Placed) -> None:
    """Draw a band's frame, title and circuit at its place."""
    circuit = block.band.graph.circuit
    here = c.at(place.x_mm, place.y_mm)
    here.rect(0, 0, place.width_mm, place.height_mm, fill="none", stroke=legend.FRAME, wide=0.25)
    inner = here.at(0, 0, place.scale)
    wide = place.width_mm / place.scale
    inner.rect(0, 0, wide, block.head_mm - 0.8, fill="#eceae2", stroke="none")
    title = metrics.wrap(circuit.name, TITLE_SIZE, 92.0, bold=True)
    words = metrics.wrap(block.modes, MODES_SIZE, 72.0)
    inner.lines(PAD_MM, 0.8, title, TITLE_SIZE, bold=True)
    inner.lines(wide - PAD_MM, 1.5, words, MODES_SIZE, anchor="end", fill=SOFT)
    spare = wide - block.band.layout.width_mm
    draw_band(inner.at(min(spare / 2, 6.0), block.head_mm), block.band)


def _on(design: Design, sizes: Sequence[flow.Size], form: paper.Format, scale: float) -> list[flow.Placed]:
    _, _, wide, high = paper.room(design, form)
    return flow.flow(sizes, width_mm=wide, height_mm=high, gap_mm=GAP_MM, scale=scale)


def _pages(placed: Sequence[flow.Placed]) -> int:
    return max((place.page for place in placed), default=0) + 1


def _choose(design: Design, sizes: Sequence[flow.Size]) -> tuple[paper.Format, list[flow.Placed]]:
    """Choose the smallest paper on which nothing shrinks much, and on it the size that saves a page.

    A4 is for drawings of a single sheet only.
    """
    for form in paper.FORMATS:
        tries = [_on(design, sizes, form, scale) for scale in SCALES]
        best = min(tries, key=_pages)
        small = min((place.scale for place in best), default=1.0) < LEAST_SCALE
        if not small and (form is not paper.FORMATS[0] or _pages(best) == 1):
            break
    return form, best


@dataclass(frozen=True, slots=True)
class _Pages:
    """The whole drawing, page by page: the inner markup of each."""

    paper: paper.Format
    markup: list[str]


def _page_markup(design: Design, tall: bool) -> _Pages:
    known = index(design)
    blocks = [
        _block(design, band) for band in bands([circuit_graph(known, each) for each in design.circuits])
    ]
    key = legend.circuit_key(design, [block.band for block in blocks])
    form, placed = _choose(design, [*(block.size for block in blocks), key.size])
    pages = _pages(placed)
    left, top, _, _ = paper.room(design, form)
    markup = []
    for page in range(pages):
        c = Canvas(y=page * form.height_mm if tall else 0.0)
        with c.group(sheet=str(page + 1)):
            paper.draw_sheet(c, paper.Sheet(form, design, DRAWING, page + 1, pages, NOTE))
            for block, place in zip(blocks, placed, strict=False):
                if place.page == page:
                    with c.group(block.band.graph.circuit.name, circuit=block.band.graph.circuit.name):
                        _draw_block(c.at(left, top), block, place)
            if placed[-1].page == page:
                legend.draw_key(c.at(left, top), key, placed[-1])
        markup.append(c.markup())
    return _Pages(form, markup)


def _titles(design: Design) -> tuple[str, str]:
    info = design.machine
    title = f"{info.name}: circuits"
    about = (
        f"{len(design.circuits)} circuits with {len(design.wires)} wires of a {info.voltage_v:g} V machine "
        f"with the {paper.ground_words(info.chassis_post)}; every wire with number, size and colour."
    )
    return title, about


def circuits_svg(design: Design) -> str:
    """Draw all circuits as one SVG, its pages below one another; raises EngineFailed."""
    pages = _page_markup(design, tall=True)
    title, about = _titles(design)
    return document(
        body="\n".join(pages.markup),
        width_mm=pages.paper.width_mm,
        height_mm=pages.paper.height_mm * len(pages.markup),
        title=title,
        about=about,
    )


def circuits_pages(design: Design) -> list[str]:
    """Draw all circuits as one SVG a page; raises EngineFailed."""
    pages = _page_markup(design, tall=False)
    title, about = _titles(design)
    return [
        document(
            body=each,
            width_mm=pages.paper.width_mm,
            height_mm=pages.paper.height_mm,
            title=title,
            about=about,
        )
        for each in pages.markup
    ]
