"""The whole circuit diagram as current tracks, sheet by sheet."""

from __future__ import annotations

from dataclasses import dataclass, replace

from harness.drawing import circuit_index
from harness.drawing import sheet as paper
from harness.drawing.svg import Canvas, document
from harness.drawing.tracks import net, words
from harness.drawing.tracks.alone import alone, guests, indexed, shown_modes, volts_text
from harness.drawing.tracks.draw import Marker, Scene, draw_plate
from harness.drawing.tracks.frame import Frame, frame, scales
from harness.drawing.tracks.index import draw_index, index_plan
from harness.drawing.tracks.plates import Laid, Plate, plates
from harness.model.design import CircuitResult, Design

PITCH_MM, WIDE_PITCH_MM = 26.0, 34.0  # wide where volts stand at every point
SMALL_WIRES = 40  # with more a machine does not go on one A4 sheet, so that is not tried
LARGER = (1.6, 1.5, 1.4, 1.3, 1.2, 1.1)
DRAWING = "Current tracks"
INDEX_NOTE = "Index of parts, and what signs and marks mean."
NOTE = "Supply above, chassis below; at rest, without current. Framed number: the track where a line goes on."


class NoSuchPage(IndexError):
    """A sheet that a drawing does not have; holds how many it has."""


@dataclass(frozen=True, slots=True)
class Pages:
    """A drawing sheet by sheet: the inner markup of each."""

    form: paper.Format
    markup: list[str]
    title: str
    about: str


def svg_of(design: Design, pages: Pages) -> str:
    """Return one SVG of sheets that stand below one another, or of a single one."""
    return document(
        body="\n".join(pages.markup), width_mm=pages.form.width_mm,
        height_mm=pages.form.height_mm * max(1, len(pages.markup)),
        title=f"{design.machine.name}: {pages.title}", about=pages.about,
    )  # fmt: skip


def only(pages: Pages, page: int) -> Pages:
    """Return one page, from 1, of pages that are not stacked; raises NoSuchPage."""
    if not 1 <= page <= len(pages.markup):
        raise NoSuchPage(len(pages.markup))
    return replace(pages, markup=[pages.markup[page - 1]])


@dataclass(frozen=True, slots=True)
class Lay:
    """Tracks laid on sheets of a paper, ready to be drawn."""

    frame: Frame
    laid: Laid
    words: words.Words


def _lay(whole: net.Net, said: words.Words, form: paper.Format, pitch: float) -> Lay:
    """Lay all tracks at the largest scale at which the fewest lines are broken off."""
    best: Lay | None = None
    for scale in scales(form):
        measured = frame(whole.design, form, pitch, scale)
        fits = replace(said, room_mm=measured.text_mm)
        laid = plates(whole, fits, measured.room(whole))
        if best is None or laid.broken < best.laid.broken:
            best = Lay(measured, laid, fits)
        if not laid.broken:
            break
    assert best is not None
    return _grown(best, form, pitch)


def _grown(found: Lay, form: paper.Format, pitch: float) -> Lay:
    """Draw what leaves its one sheet half empty as large as the sheet takes; the layout stays as it is."""
    laid = found.laid
    if len(laid.plates) != 1 or laid.broken:
        return found
    (plate,) = laid.plates
    tallest = max(tree.high for tree in plate.trees)
    for scale in LARGER:
        measured = frame(laid.net.design, form, pitch, scale)
        fits = measured.columns >= plate.tracks and measured.room(laid.net).limits.high_mm >= tallest
        if fits and scale > found.frame.scale:
            return replace(found, frame=measured)
    return found


def _whole(design: Design, form: paper.Format) -> Lay:
    whole = net.build(design)
    said = words.Words(whole, circuit_index.index(design), 0.0, linked=words.in_pieces(whole))
    return _lay(whole, said, form, PITCH_MM)


def _chosen(design: Design) -> Lay:
    """Lay the tracks on A4 when one sheet does, else on A3."""
    small, large = paper.FORMATS[:2]
    if len(design.wires) > SMALL_WIRES:
        return _whole(design, large)
    found = _whole(design, small)
    return found if len(found.laid.plates) <= 1 and not found.laid.broken else _whole(design, large)


def _plates(
    found: Lay, plate: Plate, sheet: paper.Sheet, y: float, marker: Marker | None = None
) -> str:  # fmt: skip
    """Draw one sheet of tracks; y: of its upper edge."""
    c = Canvas(y=y)
    with c.group(sheet=str(sheet.page)):
        paper.draw_sheet(c, sheet)
        draw_plate(c.at(0, 0, found.frame.scale), Scene(found.frame, found.laid, plate, found.words, marker))
    return c.markup()


def tracks_pages(
    design: Design, form: paper.Format | None = None, *, stacked: bool = True, marker: Marker | None = None,
    drawing: str = DRAWING,
) -> Pages:  # fmt: skip
    """Draw the machine as current tracks, then index and key; ``stacked``: one sheet below the other.

    ``marker``: marks what has changed. ``drawing``: its name in the title block.
    """
    found = _whole(design, form) if form is not None else _chosen(design)
    form, laid = found.frame.form, found.laid
    plan = index_plan(design, laid, form)
    pages = len(laid.plates) + plan.pages
    high = form.height_mm if stacked else 0.0
    markup = []
    for at, plate in enumerate(laid.plates):
        note = f"Tracks {plate.first} to {plate.first + plate.tracks - 1}. {NOTE}"
        markup.append(
            _plates(found, plate, paper.Sheet(form, design, drawing, at + 1, pages, note), at * high, marker)
        )
    left, top, _, _ = paper.room(design, form)
    for page in range(plan.pages):
        at = len(laid.plates) + page
        c = Canvas(y=at * high)
        with c.group(sheet=str(at + 1)):
            paper.draw_sheet(c, paper.Sheet(form, design, DRAWING, at + 1, pages, INDEX_NOTE))
            draw_index(c.at(left, top), plan, page)
        markup.append(c.markup())
    about = f"{len(design.wires)} wires with everything between supply and chassis, a column for each load."
    return Pages(form, markup, "current tracks", about)


def _works(design: Design, circuit: CircuitResult) -> str:
    if len(circuit.modes) == len(design.modes):
        return "Works in every mode."
    return f"Works in: {', '.join(circuit.modes)}." if circuit.modes else "Works in no mode."


def _volts(design: Design, circuit: CircuitResult) -> tuple[words.Volts | None, str]:
    """What tells the volts of a point in a circuit's modes, and the words that say which modes."""
    modes, works = shown_modes(design, circuit), _works(design, circuit)
    if not modes:
        why = ": its modes come to no rest" if circuit.modes else ""
        return None, f"{works} Volts are not known{why}. ( ): other circuit."
    points = [mode.points_v for mode in modes]
    post = design.machine.chassis_post
    positive = post == "positive"
    names = " / ".join(mode.mode for mode in modes)
    meter = f"black lead of the meter on the battery's {post} post"
    text = f"{works} Volts in {names}; {meter}. ( ): other circuit."
    return lambda node: volts_text(points, node, positive=positive), text


def circuit_sheets(design: Design, form: paper.Format | None = None, *, stacked: bool = True) -> Pages:
    """Draw every circuit alone with its feed from the battery and the volts to expect at each point."""
    form = form or paper.FORMATS[0]
    whole, known = net.build(design), circuit_index.index(design)
    linked, all_ = words.in_pieces(whole), indexed(whole)
    drawn: list[tuple[str, str, Lay, Plate]] = []
    for circuit in design.circuits:
        part = alone(all_, circuit)
        if not part.edges:
            continue
        volts, note = _volts(design, circuit)
        said = words.Words(part, known, 0.0, guests(part, circuit), volts, linked)
        found = _lay(part, said, form, WIDE_PITCH_MM if " / " in note else PITCH_MM)
        found.laid.before = len(drawn)
        drawn += [(f"Circuit: {circuit.name}", note, found, plate) for plate in found.laid.plates]
    high = form.height_mm if stacked else 0.0
    markup = [
        _plates(found, plate, paper.Sheet(form, design, name, at + 1, len(drawn), note), at * high)
        for at, (name, note, found, plate) in enumerate(drawn)
    ]
    about = (
        "Every circuit alone: its feed from the battery, its wires, and the volts to expect at each point."
    )
    return Pages(form, markup, "circuits with volts", about)


def tracks_svg(design: Design, sheet: str | None = None, page: int | None = None) -> str:
    """Draw the machine as current tracks: all sheets below one another, or one page, from 1.

    Without a ``sheet`` the drawing chooses its paper. Raises KeyError for a paper, NoSuchPage for a page that
    is not there.
    """
    form = paper.LANDSCAPE[sheet] if sheet is not None else None
    pages = tracks_pages(design, form, stacked=page is None)
    return svg_of(design, pages if page is None else only(pages, page))


def circuits_svg(design: Design, sheet: str | None = None, page: int | None = None) -> str:
    """Draw every circuit alone; arguments and errors as of ``tracks_svg``."""
    form = paper.LANDSCAPE[sheet] if sheet is not None else None
    pages = circuit_sheets(design, form, stacked=page is None)
    return svg_of(design, pages if page is None else only(pages, page))
