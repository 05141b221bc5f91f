"""A sheet of paper: frame, title block and caution line, and the sizes it comes in."""

from __future__ import annotations

from dataclasses import dataclass

from harness.drawing import metrics
from harness.drawing.svg import INK, PAPER, SOFT, Canvas
from harness.model.design import Design, MachineInfo

MARGIN_MM = 8.0
INSET_MM = 3.0  # from the frame to what is drawn
BLOCK_MM = 16.0
CAUTION_SIZE = 2.2
CAUTION_FILL = "#fff3c4"


@dataclass(frozen=True, slots=True)
class Format:
    """A paper size as the sheet is held."""

    name: str
    width_mm: float
    height_mm: float


# ISO 216 sizes; the standard gives them in whole millimetres (memory)
FORMATS = (
    Format("A4", 297, 210), Format("A3", 420, 297), Format("A2", 594, 420), Format("A1", 841, 594),
    Format("A0", 1189, 841),
)  # fmt: skip
# ANSI/ASME Y14.1 sizes A and B, 11 by 8.5 and 17 by 11 inches (memory)
LETTER, TABLOID = Format("Letter", 279.4, 215.9), Format("Tabloid", 431.8, 279.4)
LANDSCAPE = {each.name: each for each in (*FORMATS[:2], LETTER, TABLOID)}


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet of a drawing, with what its title block says."""

    paper: Format
    design: Design
    drawing: str  # "Circuits"
    page: int
    pages: int
    note: str  # short key under the drawing's name

    @property
    def caution_lines(self) -> list[str]:
        """Lines of the caution strip."""
        return caution_lines(self.design, self.paper)


def caution_lines(design: Design, paper: Format) -> list[str]:
    """Break the cautions that a drawing repeats into lines: the first two and the last."""
    all_ = design.cautions
    chosen = list(dict.fromkeys((*all_[:2], *all_[-1:])))
    room = paper.width_mm - 2 * MARGIN_MM - 24.0
    return metrics.wrap(" ".join(chosen), CAUTION_SIZE, room) if chosen else []


def caution_mm(design: Design, paper: Format) -> float:
    """Height of the caution strip [mm], 0 when there is nothing to say."""
    lines = len(caution_lines(design, paper))
    return lines * metrics.LINE * CAUTION_SIZE + 1.6 if lines else 0.0


def room(design: Design, paper: Format) -> tuple[float, float, float, float]:
    """Left, top, width and height of what may be drawn on [mm]."""
    edge = MARGIN_MM + INSET_MM
    low = MARGIN_MM + BLOCK_MM + caution_mm(design, paper) + INSET_MM
    return edge, edge, paper.width_mm - 2 * edge, paper.height_mm - edge - low


def origin_words(info: MachineInfo) -> str:
    """Say which survey a paper without a title block was made from: "digest 5e9dcf, revision B"."""
    return f"digest {info.digest}" + (f", revision {info.revision}" if info.revision else "")


def ground_words(post: str) -> str:
    """Say which battery post is on the chassis."""
    return f"{post} post on the chassis"


def fitted(
    text: str, size: float, room_mm: float, high_mm: float, *, bold: bool = False
) -> tuple[list[str], float]:
    """Break ``text`` into a field, in smaller type when it does not fit: lines and type size."""
    while True:
        lines = metrics.wrap(text, size, room_mm, bold=bold)
        if len(lines) * metrics.LINE * size <= high_mm or size < 0.4:
            return lines, size
        size *= 0.92


@dataclass(frozen=True, slots=True)
class _Cell:
    head: str
    text: str
    share: float  # of the block's width
    size: float = 2.4
    bold: bool = False


def _cells(sheet: Sheet) -> list[_Cell]:
    info: MachineInfo = sheet.design.machine
    system = f"{info.voltage_v:g} V, {ground_words(info.chassis_post)}"
    cable = f"{info.cable} in {info.sizes}; colours {info.colours}; numbers {info.numbering}"
    file = info.file.replace("\\", "/").rpartition("/")[2]
    origin = f"{file}, digest {info.digest}"
    page = f"{sheet.page} of {sheet.pages}, {sheet.paper.name}"
    page += f"; revision {info.revision}" if info.revision else ""
    return [
        _Cell("machine", info.name, 0.27, 4.2, True),
        _Cell("drawing", f"{sheet.drawing}. {sheet.note}", 0.23, 2.5),
        _Cell("system", system, 0.11, 2.6, True),
        _Cell("wire", f"{cable}. Rules: {info.rules_title}", 0.2),
        _Cell("from the survey", f"{origin}. {sheet.design.program}", 0.13),
        _Cell("sheet", page, 0.06, 2.6, True),
    ]


def _draw_block(c: Canvas, sheet: Sheet) -> None:
    wide = sheet.paper.width_mm - 2 * MARGIN_MM
    x = 0.0
    for cell in _cells(sheet):
        room_mm = cell.share * wide
        c.line([(x, 0), (x, BLOCK_MM)], wide=0.25)
        c.text(x + 1.5, 2.9, cell.head, 1.9, fill=SOFT)
        lines, size = fitted(cell.text, cell.size, room_mm - 3.0, BLOCK_MM - 5.0, bold=cell.bold)
        c.lines(x + 1.5, 3.9, lines, size, bold=cell.bold)
        x += room_mm
    c.line([(0, 0), (wide, 0)], wide=0.5)


def _draw_cautions(c: Canvas, sheet: Sheet) -> None:
    high, wide = caution_mm(sheet.design, sheet.paper), sheet.paper.width_mm - 2 * MARGIN_MM
    if not high:
        return
    c.rect(0, 0, wide, high, fill=CAUTION_FILL, wide=0.25)
    c.text(2.0, 0.8 + metrics.ASCENT * CAUTION_SIZE, "CAUTION", CAUTION_SIZE, bold=True)
    c.lines(19.0, 0.8, sheet.caution_lines, CAUTION_SIZE)


def draw_sheet(c: Canvas, sheet: Sheet) -> None:
    """Draw the empty sheet with its upper left corner at (0, 0)."""
    paper = sheet.paper
    wide, high = paper.width_mm - 2 * MARGIN_MM, paper.height_mm - 2 * MARGIN_MM
    c.rect(0, 0, paper.width_mm, paper.height_mm, fill=PAPER, stroke="none")
    c.rect(MARGIN_MM, MARGIN_MM, wide, high, fill="none", stroke=INK, wide=0.5)
    low = paper.height_mm - MARGIN_MM - BLOCK_MM
    _draw_cautions(c.at(MARGIN_MM, low - caution_mm(sheet.design, paper)), sheet)
    _draw_block(c.at(MARGIN_MM, low), sheet)
