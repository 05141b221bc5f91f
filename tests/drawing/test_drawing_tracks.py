"""The current tracks: read back by geometry they are the machine's own net, and nothing covers anything."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections import Counter
from functools import cache
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from harness.drawing import sheet as paper
from harness.drawing.tracks import net as nets
from harness.drawing.tracks import rails
from harness.drawing.tracks.sheets import NoSuchPage, circuits_svg, tracks_svg
from harness.model.design import Design, Point
from tests.published.recorder import Cells, published

from . import reading, tracing
from .conftest import machine
from .factories import Builder
from .machines import builders


@cache
def tracks_of(name: str, sheet: str | None = None) -> str:
    """Tracks of a machine on one paper."""
    return tracks_svg(machine(name), sheet)


def check_nothing_covers(svg: str) -> None:
    """No text on another, no stroke or ring through a text, nothing over the edge of the paper."""
    assert list(reading.overlapping_texts(svg)) == []
    assert list(tracing.struck(svg)) == []
    wide, high = reading.page(svg)
    rings = list(tracing.rings(svg))
    for box in reading.texts(svg):
        assert box.left >= 0 and box.right <= wide and box.top >= 0 and box.low <= high, box
        for x, y, r in (ring for ring in rings if abs(ring[1] - box.top) < 8):
            near_x, near_y = min(max(x, box.left), box.right), min(max(y, box.top), box.low)
            inside = ((near_x - x) ** 2 + (near_y - y) ** 2) ** 0.5 < r - 0.05
            letter = abs((box.left + box.right) / 2 - x) < 0.1 and len(box.text) == 1
            assert letter or not inside, box


@pytest.mark.parametrize("sheet", paper.LANDSCAPE)
def test_nothing_covers_anything_on_any_paper(name: str, sheet: str) -> None:
    check_nothing_covers(tracks_of(name, sheet))


def _points(design: Design) -> dict[tuple[str, ...], str]:
    """Every terminal and the electrical point it is, straight from the survey's wires: no drawing code."""
    bodies = {part.name: part.body or part.name for part in design.parts if part.role == "ground"}
    found = {}
    for wire in design.wires:
        for point in (wire.from_, wire.to):
            found[point.part, point.terminal] = _point(point.part, point.terminal, bodies, design)
    for part in design.parts:
        for link in part.links:
            for end in (link.a, link.b):
                found[part.name, end] = _point(part.name, end, bodies, design)
    return found


def _point(part: str, terminal: str, bodies: dict[str, str], design: Design) -> str:
    if part in bodies:
        return f"metal {bodies[part]}"
    if terminal == "case":
        body = next((each.body for each in design.parts if each.name == part), None)
        if body is not None:
            return f"metal {body}"
    return f"{part}|{terminal}"


def _ends(design: Design, drawn: tracing.Drawn) -> set[str]:
    points = _points(design)
    if drawn.name[0] == "wire":
        wire = next(each for each in design.wires if each.number == drawn.name[1])
        ends: tuple[Point, Point] = (wire.from_, wire.to)
        return {points[each.part, each.terminal] for each in ends}
    part = next(each for each in design.parts if each.name == drawn.name[1])
    link = next(each for each in part.links if each.name == drawn.name[2])
    return {points[part.name, link.a], points[part.name, link.b]}


def check_net(design: Design, svg: str) -> None:
    """Lines that touch on paper are one point of the machine, and points that meet on a sheet touch.

    The net is read from the drawing by geometry and held against the design's wires and links.
    """
    frames = tracing.frames(svg)
    loose = 0
    for sheet in tracing.sheets(svg):
        joined = tracing.Joined(sheet)
        at: dict[int, list[set[str]]] = {}
        for each in tracing.drawn(sheet):
            ends = _ends(design, each)
            for spot in each.ends:
                found = joined.at(spot)
                assert len(found) <= 1, (each.name, "short circuit")
                if found:
                    at.setdefault(found.pop(), []).append(ends)
                    continue
                loose += 1
                near = [text for box, text in frames if box.left - 1 < spot[0] < box.right + 1
                        and box.top - 2 < spot[1] < box.low + 2]  # fmt: skip
                assert near or _open(design, each), (each.name, "ends in the air")
        meaning = {group: set.intersection(*ends) for group, ends in at.items()}
        for group, common in meaning.items():
            assert common, (at[group], "one point on paper, but not in the machine")
        single = [next(iter(common)) for common in meaning.values() if len(common) == 1]
        again = {name for name, times in Counter(single).items() if times > 1}
        for name in again:  # the same point twice on a sheet: told by its reference
            assert frames or any(word in text for box in reading.texts(svg) for word in ("to ",)
                                 for text in (box.text,)), name  # fmt: skip


def _open(design: Design, drawn: tracing.Drawn) -> bool:
    """Whether one end of a way has nothing else on it in the machine."""
    count = Counter(
        end
        for wire in design.wires
        for end in _ends(design, tracing.Drawn(("wire", wire.number), ((0, 0), (0, 0))))
    )
    return any(count[end] <= 1 for end in _ends(design, drawn))


def test_lines_that_touch_are_one_point_of_the_machine(name: str) -> None:
    check_net(machine(name), tracks_of(name))


def test_a_broken_track_reads_back_too(name: str) -> None:
    check_net(machine(name), tracks_of(name, "A4"))


def test_every_wire_stands_once_with_number_size_and_colour(name: str) -> None:
    design = machine(name)
    groups = reading.groups(tracks_of(name), "wire")
    assert Counter(each.attrib["data-wire"] for each in groups) == Counter(w.number for w in design.wires)
    by_number = {wire.number: wire for wire in design.wires}
    for group in groups:
        wire = by_number[group.attrib["data-wire"]]
        words = [reading.said(text) for text in group.iter(f"{reading.SVG}text")]
        kept = ["kept"] if wire.kept else []
        assert " ".join(words).split() == [wire.number, *wire.size.split(), wire.colour, *kept]


def test_every_part_and_splice_with_a_wire_is_there(name: str) -> None:
    design, svg = machine(name), tracks_of(name)
    shown = {each.attrib["data-part"] for each in reading.groups(svg, "part")}
    shown |= {each.attrib["data-rail"].rpartition(" ")[0] for each in reading.groups(svg, "rail")}
    assert shown >= {part.name for part in design.parts if any(use.wires for use in part.terminals)}
    assert {each.attrib["data-splice"] for each in reading.groups(svg, "splice")} == {
        splice.name for splice in design.splices
    }


def _words(group: object) -> str:
    return " ".join(reading.said(text) for text in group.iter(f"{reading.SVG}text"))  # type: ignore[attr-defined]


def test_coil_and_contact_of_a_relay_name_each_other(name: str) -> None:
    svg = tracks_of(name)
    tracks: dict[tuple[str, str], str] = {}
    for group in reading.groups(svg, "link"):
        tracks[group.attrib["data-part"], group.attrib["data-link"]] = group.attrib["data-track"]
    for part in machine(name).parts:
        if part.role != "relay" or part.symbol != "relay":
            continue
        by_kind = {link.kind: tracks.get((part.name, link.name)) for link in reversed(part.links)}
        coil, contact = by_kind.get("load"), by_kind.get("contact")
        if coil is None or contact is None:
            continue
        for group in reading.groups(svg, "link"):
            if group.attrib["data-part"] == part.name:
                other = f"coil: {coil}" if group.attrib["data-track"] == contact else f"contact: {contact}"
                assert other in _words(group)


def test_fuses_show_their_ratings(name: str) -> None:
    groups = {(each.attrib["data-part"], each.attrib["data-link"]): _words(each)
              for each in reading.groups(tracks_of(name), "link")}  # fmt: skip
    for fuse in machine(name).fuses:
        if (fuse.part, fuse.link) in groups:
            assert f"{fuse.rating_a:g} A" in groups[fuse.part, fuse.link]


def test_rails_are_numbered_after_din_72552() -> None:
    """30 is the battery direct, 15 what the key turns on (DIN 72552-2, 1971, read)."""
    for name, wanted in (
        ("roller", {"battery": "30", "panel": "30", "key panel": "15"}),
        ("grader", {"high battery": "30", "panel": "30", "cab panel": "15", "converter": ""}),
        ("orchard", {"battery": "30", "junction": "30"}),
    ):
        net = nets.build(machine(name))
        assert {node.part: rails.supply_mark(net, node) for node in net.supply} == wanted


def test_a_positive_ground_machine_says_which_pole_the_rails_are() -> None:
    texts = [box.text for box in reading.texts(tracks_of("orchard"))]
    assert "30 (−)" in texts and "31 (+)" in texts


def test_battery_starter_and_generator_come_first(name: str) -> None:
    if name == "by hand":
        return
    groups = reading.groups(tracks_of(name), "link")
    first = {group.attrib["data-part"]: int(group.attrib["data-track"]) for group in reversed(groups)}
    batteries = [part.name for part in machine(name).parts if part.kind == "battery"]
    assert all(first[each] <= len(batteries) for each in batteries)
    assert first["starter"] <= 4


def test_rails_that_go_on_name_each_other() -> None:
    """Where a rail leaves a sheet by an arrow to track n of sheet m, track n is on sheet m."""
    svg = tracks_of("roller")
    sheets = tracing.sheets(svg)
    for number, sheet in enumerate(sheets, 1):
        for rail in (each for each in sheet.iter(f"{reading.SVG}g") if "data-rail" in each.attrib):
            words = [reading.said(text) for text in rail.iter(f"{reading.SVG}text")]
            onward = [word.removeprefix("to ") for word in words if word.startswith("to ")]
            for track in onward:
                page = next(word.removeprefix("sheet ") for word in words if word.startswith("sheet "))
                assert int(page) > number
                there = {reading.said(each) for each in sheets[int(page) - 1].iter(f"{reading.SVG}text")}
                assert track in there


@settings(
    max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow],
    phases=(Phase.explicit, Phase.generate),
)  # fmt: skip
@given(builders())
def test_any_machine_reads_back_and_nothing_covers_anything(builder: Builder) -> None:
    design = builder.build()
    svg = tracks_svg(design, "A4")
    check_nothing_covers(svg)
    check_net(design, svg)
    shown = Counter(each.attrib["data-wire"] for each in reading.groups(svg, "wire"))
    assert shown == Counter(wire.number for wire in design.wires)


def test_the_same_machine_gives_the_same_bytes() -> None:
    assert tracks_svg(machine("pump")) == tracks_svg(machine("pump"))


def test_paper_is_what_was_asked_for() -> None:
    for sheet in paper.LANDSCAPE:
        form = paper.LANDSCAPE[sheet]
        wide, high = reading.page(tracks_svg(machine("grader"), sheet, 2))
        assert (round(wide, 1), round(high, 1)) == (round(form.width_mm, 1), round(form.height_mm, 1))


@published("ISO 216 and ASME Y14.1", "sheets, mm and inches", "memory")
def test_paper_sizes_are_those_of_the_standards(cells: Cells) -> None:
    printed = {"A4": (297, 210, 1), "A3": (420, 297, 1), "Letter": (11, 8.5, 25.4), "Tabloid": (17, 11, 25.4)}
    assert set(paper.LANDSCAPE) == set(printed)
    for name, (wide, high, unit_mm) in printed.items():
        form = paper.LANDSCAPE[name]
        cells.kept(f"{name} wide", form.width_mm / unit_mm, wide)
        cells.kept(f"{name} high", form.height_mm / unit_mm, high)


def test_a_sheet_that_is_not_there_is_refused() -> None:
    with pytest.raises(NoSuchPage):
        tracks_svg(machine("pump"), "A4", 9)


@cache
def alone_of(name: str, sheet: str = "A4") -> str:
    """Circuit sheets of a machine."""
    return circuits_svg(machine(name), sheet)


@pytest.mark.parametrize("sheet", ["A4", "Tabloid"])
def test_nothing_covers_anything_on_the_sheets_of_circuits(name: str, sheet: str) -> None:
    check_nothing_covers(alone_of(name, sheet))


def test_sheets_of_circuits_read_back(name: str) -> None:
    check_net(machine(name), alone_of(name))


def _sheet_of(name: str, circuit: str) -> ET.Element:
    """The sheet of a circuit, known by its title block."""
    for sheet in tracing.sheets(alone_of(name)):
        words = " ".join(reading.said(each) for each in sheet.findall(f"{reading.SVG}text"))
        if f"Circuit: {circuit}." in words:
            return sheet
    raise AssertionError(circuit)


def test_a_circuit_sheet_has_all_its_wires_and_its_feed_from_the_battery() -> None:
    """Traced by hand in samples/pump.yaml: the key's terminal 15 hangs on the main fuse at the battery."""
    sheet = _sheet_of("pump", "Running")
    shown = {_words(each).split()[0] for each in sheet.iter(f"{reading.SVG}g") if "data-wire" in each.attrib}
    assert shown == {"(1c)", "(4)", "6", "7a", "7b", "7c", "7d", "8", "9"}


def _volts(text: str) -> float:
    return float(text.removesuffix(" V").rpartition(" / ")[2].replace("−", "-"))


def test_volts_fall_from_the_battery_to_the_load() -> None:
    """Down a track no point has more volts than the one above it (Kirchhoff); what charges is left out."""
    for name, circuit, sign in (
        ("pump", "Starting", 1),
        ("orchard", "Starting", -1),
        ("grader", "Horn", 1),
    ):
        sheet = _sheet_of(name, circuit)
        columns: dict[float, list[tuple[float, float]]] = {}
        for group in (each for each in sheet.iter(f"{reading.SVG}g") if "data-terminal" in each.attrib):
            ring = next(iter(group.findall(f"{reading.SVG}circle")), None)
            said = [reading.said(text) for text in group.findall(f"{reading.SVG}text")]
            volts = next((text for text in said if text.endswith(" V")), None)
            if ring is not None and volts is not None:
                spot = float(ring.attrib["cx"]), float(ring.attrib["cy"])
                columns.setdefault(spot[0], []).append((spot[1], sign * _volts(volts)))
        assert max(len(column) for column in columns.values()) >= 3
        for column in columns.values():
            values = [value for _, value in sorted(column)]
            assert values == sorted(values, reverse=True)
            assert all(value >= -0.05 for value in values)


def test_the_index_names_every_part_with_its_tracks(name: str) -> None:
    design, svg = machine(name), tracks_of(name)
    rows = {each.attrib["data-index"]: _words(each) for each in reading.groups(svg, "index")}
    assert set(rows) == {part.name for part in design.parts} | {splice.name for splice in design.splices}
    for group in reading.groups(svg, "link"):
        assert group.attrib["data-track"] in rows[group.attrib["data-part"]].replace(",", " ").split()


@pytest.mark.parametrize(("name", "solenoid"), [("pump", True), ("orchard", False)])
def test_a_starter_with_a_solenoid_has_its_main_contact_drawn_open(name: str, solenoid: bool) -> None:
    """At rest no current may seem to flow through a starter on the battery cable: IEC 60617 draws at rest."""
    design = machine(name)
    (starter,) = [part for part in design.parts if part.kind == "starter motor"]
    assert any(use.terminal == "50" and use.wires for use in starter.terminals) is solenoid
    signs = [
        group
        for group in reading.groups(tracks_of(name), "link")
        if group.attrib["data-part"] == starter.name
    ]
    motors = [
        sign for sign in signs if any(reading.said(text) == "M" for text in sign.iter(f"{reading.SVG}text"))
    ]
    assert len(motors) == 1
    arms = [
        spots
        for line in motors[0].iter(f"{reading.SVG}polyline")
        for spots in [[tuple(map(float, each.split())) for each in line.attrib["points"].split(", ")]]
        if any(abs(a[0] - b[0]) > 0.5 and abs(a[1] - b[1]) > 0.5 for a, b in pairwise(spots))
    ]
    assert bool(arms) is solenoid
