"""The loom at full size: every run as long as measured, nothing crossing, and paper that measures true."""

from __future__ import annotations

import subprocess
from functools import cache
from itertools import combinations, pairwise
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from harness.cli import main
from harness.drawing.board_ink import drawn
from harness.drawing.board_layout import Board, Limb, Node, lay
from harness.drawing.board_plan import LoomBoard, loom_boards
from harness.drawing.board_sheets import MARGIN_MM, OVERLAP_MM, board_pages
from harness.drawing.ink import Stroke, Words
from harness.drawing.pdf import pdf_bytes
from harness.drawing.sheet import LANDSCAPE
from harness.model.design import Design
from tests.samples import made as samples

ROOT = Path(__file__).parents[2]
SAMPLES = ("pump", "orchard", "roller", "grader")


@cache
def made(name: str) -> Design:
    return samples.design(name)


@cache
def boards(name: str) -> list[LoomBoard]:
    return loom_boards(made(name), width_mm=2400.0)


def segments(board: Board) -> list[tuple[int, tuple[float, float], tuple[float, float]]]:
    """Straight pieces of all runs, with the number of the run."""
    return [
        (number, a, b)
        for number, run in enumerate(board.runs)
        for a, b in pairwise(run.spots)
        if abs(a[0] - b[0]) + abs(a[1] - b[1]) > 1e-6
    ]


def crossing(board: Board) -> list[tuple[str, str]]:
    """Pairs of runs with pieces that meet elsewhere than at a place both touch, by looking at every pair."""
    found = []
    joints = [{run.spots[0], run.spots[-1]} for run in board.runs]
    for (i, a, b), (j, c, d) in combinations(segments(board), 2):
        if i == j:
            continue
        apart_x = max(min(a[0], b[0]), min(c[0], d[0])) > min(max(a[0], b[0]), max(c[0], d[0])) + 1e-6
        apart_y = max(min(a[1], b[1]), min(c[1], d[1])) > min(max(a[1], b[1]), max(c[1], d[1])) + 1e-6
        if apart_x or apart_y:
            continue
        shared = {(round(x, 3), round(y, 3)) for x, y in joints[i]} & {
            (round(x, 3), round(y, 3)) for x, y in joints[j]
        }
        x = (max(min(a[0], b[0]), min(c[0], d[0])), min(max(a[0], b[0]), max(c[0], d[0])))
        y = (max(min(a[1], b[1]), min(c[1], d[1])), min(max(a[1], b[1]), max(c[1], d[1])))
        # a branch that shares its place leaves beside the line for some millimetres before it goes down
        near = any(
            abs(far - p) < 14.5 * len(board.runs) and abs(low - q) < 1e-3
            for p, q in shared
            for far, low in zip(x, y, strict=True)
        )
        if not near:
            found.append((board.runs[i].limb.run, board.runs[j].limb.run))
    return found


def covered(board: Board) -> list[tuple[str, tuple[float, float, float, float]]]:
    """Boxes of notes and labels."""
    ink = [each for each in drawn(board) if isinstance(each, Words)]
    return [(each.text, each.box) for each in ink]


def overlapping(board: Board) -> list[tuple[str, str]]:
    boxes = covered(board)
    return [
        (one, other)
        for (one, p), (other, q) in combinations(boxes, 2)
        if p[0] < q[2] - 0.01 and q[0] < p[2] - 0.01 and p[1] < q[3] - 0.01 and q[1] < p[3] - 0.01
    ]  # fmt: skip


def struck(board: Board) -> list[tuple[str, str]]:
    """Words that a line of the loom runs through."""
    found = []
    for text, (left, top, right, bottom) in covered(board):
        for number, a, b in segments(board):
            half = board.runs[number].limb.thick_mm / 2
            across, down = (0.0, half) if a[1] == b[1] else (half, 0.0)
            inside_x = min(a[0], b[0]) - across < right - 0.01 and max(a[0], b[0]) + across > left + 0.01
            inside_y = min(a[1], b[1]) - down < bottom - 0.01 and max(a[1], b[1]) + down > top + 0.01
            if inside_x and inside_y:
                found.append((text, board.runs[number].limb.run))
    return found


def drawn_mm(board: Board) -> dict[str, float]:
    return {
        run.limb.run: sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in pairwise(run.spots))
        for run in board.runs
    }


@pytest.mark.parametrize("name", SAMPLES)
def test_every_run_with_new_wire_lies_on_one_board_at_its_length(name: str) -> None:
    new = {wire.number for wire in made(name).wires if not wire.kept}
    wanted = {run.name: 1000 * run.length_m for run in made(name).runs if new & set(run.wires)}
    laid = [drawn_mm(one.board) for one in boards(name)]
    assert sorted(run for each in laid for run in each) == sorted(wanted)
    for each in laid:
        for run, length_mm in each.items():
            assert length_mm == pytest.approx(wanted[run], abs=0.01), run


@pytest.mark.parametrize("name", SAMPLES)
def test_nothing_crosses_overlaps_or_leaves_the_board(name: str) -> None:
    for one in boards(name):
        assert crossing(one.board) == []
        assert overlapping(one.board) == []
        assert struck(one.board) == []
        for box in [each.box for each in drawn(one.board)]:
            assert box[0] >= 0 and box[1] >= 0
            assert box[2] <= one.board.width_mm and box[3] <= one.board.height_mm


@pytest.mark.parametrize("name", SAMPLES)
def test_every_new_wire_end_is_written_at_its_place(name: str) -> None:
    said: dict[str, str] = {}
    for one in boards(name):
        for note in one.board.notes:
            said[note.node.name] = said.get(note.node.name, "") + " ".join(note.node.lines)
        for place, lines in one.listed:
            said[place] = said.get(place, "") + " ".join(lines)
    for wire in (*made(name).wires, *made(name).spares):
        if wire.kept:
            continue
        for point in (wire.from_, wire.to):
            assert wire.number in said[point.place], (wire.number, point.place)


@st.composite
def looms(draw: st.DrawFn) -> Node:
    """A loom of up to 14 runs that hang on one another as they come, a few of them very short or long."""
    lengths = draw(st.lists(st.integers(60, 2600), min_size=1, max_size=14))
    hangs = [draw(st.integers(0, number)) for number in range(len(lengths))]
    words = draw(st.lists(st.integers(0, 30), min_size=len(lengths) + 1, max_size=len(lengths) + 1))

    def node(number: int) -> Node:
        limbs = tuple(
            Limb(
                f"run {child}",
                float(length),
                8.0,
                ("1.00 m, 3 wires",),
                node(child + 1),
                (),
                "corrugated",
                length,
            )
            for child, (length, on) in enumerate(zip(lengths, hangs, strict=True))
            if on == number
        )
        return Node(f"place {number}", tuple(f"part {n}: 1a" for n in range(words[number])), limbs)

    return node(0)


@settings(max_examples=150, deadline=None)
@given(looms(), st.sampled_from([900.0, 1500.0, 2400.0]))
def test_any_loom_is_laid_without_crossing_and_what_is_not_to_length_is_said(root: Node, wide: float) -> None:
    board = lay(root, width_mm=wide)
    assert crossing(board) == []
    assert overlapping(board) == [] and struck(board) == []
    length = drawn_mm(board)
    for run in board.runs:
        assert length[run.limb.run] == pytest.approx(run.limb.length_mm + run.stretched_mm, abs=0.01)
        assert run.stretched_mm >= 0
    assert len(board.nodes) == len(board.runs) + 1
    told = len(board.notes) + len(board.listed)
    assert told == len(board.nodes)


@pytest.mark.parametrize("sheet", list(LANDSCAPE))
def test_sheets_show_all_of_the_board(sheet: str) -> None:
    paper = LANDSCAPE[sheet]
    pages = board_pages(made("roller"), paper=paper, width_mm=2400.0)
    strokes = sum(
        len([each for each in drawn(one.board) if isinstance(each, Words)]) for one in boards("roller")
    )
    shown = {
        (each.text, round(each.size_mm, 3))
        for page in pages
        for each in page.inside
        if isinstance(each, Words)
    }
    wanted = {
        (each.text, each.size_mm)
        for one in boards("roller")
        for each in drawn(one.board)
        if isinstance(each, Words)
    }
    assert strokes and shown == wanted
    for page in pages:
        for each in page.outside:
            left, top, right, bottom = each.box
            assert left >= 0 and right <= paper.width_mm, each
            assert top >= 0 and bottom <= paper.height_mm, each


def test_the_printed_rule_is_true_to_size(tmp_path: Path) -> None:
    """Rendered by poppler at 254 dots an inch 100 mm are 1000 dots: ISO 32000-1 user space (memory)."""
    file = tmp_path / "board.pdf"
    pages = board_pages(made("pump"), paper=LANDSCAPE["A4"], width_mm=2400.0)
    file.write_bytes(pdf_bytes(pages, title="pump"))
    subprocess.run(
        ["pdftoppm", "-r", "254", "-f", "2", "-l", "2", "-gray", str(file), str(tmp_path / "p")], check=True
    )
    image = next(tmp_path.glob("p*.pgm")).read_bytes()
    head = image.split(b"\n", 3)
    wide, high = map(int, head[1].split())
    assert (wide, high) == pytest.approx((2970, 2100), abs=1)  # A4 across, ISO 216: 297 x 210 mm
    dots = head[3]
    foot_y = round(10 * (210 - MARGIN_MM - 8.0 + 6.5))
    best = 0
    for row in range(foot_y - 8, foot_y + 8):
        line = dots[row * wide : (row + 1) * wide]
        dark = bytes(255 if dot < 128 else 32 for dot in line).split()
        best = max(best, *(len(each) for each in dark), 0)
    assert best == pytest.approx(1000, abs=6)


def test_pdf_is_the_same_each_time_and_embeds_its_fonts(tmp_path: Path) -> None:
    pages = board_pages(made("pump"), paper=LANDSCAPE["Letter"], width_mm=2400.0)
    once, again = (pdf_bytes(pages, title="pump") for _ in range(2))
    assert once == again
    file = tmp_path / "board.pdf"
    file.write_bytes(once)
    fonts = subprocess.run(["pdffonts", str(file)], check=True, capture_output=True, text=True).stdout
    for line in fonts.splitlines()[2:]:
        assert line.split()[-5] == "yes", line  # column emb
    about = subprocess.run(["pdfinfo", str(file)], check=True, capture_output=True, text=True).stdout
    assert f"Pages:           {len(pages)}" in about
    assert "612 x 792" in about or "792 x 612" in about  # US Letter in points


def test_hostile_names_stay_text(tmp_path: Path) -> None:
    bad = "#image[x] <b>&amp;$a_1$ \\u{41} *b*"
    survey = (ROOT / "samples" / "pump.yaml").read_text(encoding="utf-8")
    name = survey.split("name: ", 1)[1].split("\n", 1)[0]
    file = tmp_path / "bad.yaml"
    file.write_text(survey.replace(name, f"'{bad}'", 1), encoding="utf-8")
    out = tmp_path / "board.pdf"
    result = CliRunner().invoke(main, ["draw", str(file), "board", "--out", str(out)])
    assert result.exit_code == 0, result.output
    text = subprocess.run(
        ["pdftotext", "-layout", str(out), "-"], check=True, capture_output=True, text=True
    ).stdout
    assert bad in text


@pytest.mark.parametrize(
    ("board", "said"),
    [
        ("8", "is not two sides"),
        ("2.4 x 1.2", "no unit"),
        ("2.4 x 1.2 kg", "kg"),
        ("90 x 1.2 m", "90"),
    ],
)
def test_a_board_that_cannot_be_is_refused(board: str, said: str) -> None:
    result = CliRunner().invoke(
        main, ["draw", str(ROOT / "samples" / "pump.yaml"), "board", "--board", board]
    )
    assert result.exit_code == 2
    assert "--board" in result.output and said in result.output


def test_feet_do_as_well_and_either_order(tmp_path: Path) -> None:
    def pages(board: str) -> bytes:
        out = tmp_path / "b.pdf"
        args = ["draw", str(ROOT / "samples" / "pump.yaml"), "board", "--board", board, "--out", str(out)]
        assert CliRunner().invoke(main, args).exit_code == 0
        return out.read_bytes()

    assert pages("8 x 4 ft") == pages("4 x 8 ft") == pages("8 ft by 48 in")


def test_every_seam_is_glued_with_overlap() -> None:
    """What lies in the seam is shown on both sheets, or nobody could glue them true."""
    one = boards("roller")[0]
    paper = LANDSCAPE["A4"]
    pages = board_pages(made("roller"), paper=paper, width_mm=2400.0)[1:]
    wide = paper.width_mm - 2 * MARGIN_MM
    seam = wide - OVERLAP_MM / 2
    through = [
        stroke
        for stroke in drawn(one.board)
        if isinstance(stroke, Stroke)
        and min(x for x, _ in stroke.spots) < seam < max(x for x, _ in stroke.spots)
    ]
    assert through
    for stroke in through:
        seen = sum(
            any(isinstance(each, Stroke) and each.colour == stroke.colour and each.wide_mm == stroke.wide_mm
                and len(each.spots) == len(stroke.spots) for each in page.inside)
            for page in pages
        )  # fmt: skip
        assert seen >= 2


def test_splices_lie_on_their_run_as_far_from_their_place_as_said() -> None:
    """Found again by walking the drawn line from the place each is measured from."""
    spliced = [splice for splice in made("roller").splices if splice.run]
    assert spliced
    for splice in spliced:
        (board, run) = next(
            (one.board, run)
            for one in boards("roller")
            for run in one.board.runs
            if run.limb.run == splice.run
        )
        at_start = {node.name for node, spot in board.nodes if spot == pytest.approx(run.spots[0], abs=0.01)}
        (mark,) = [mark for mark in run.limb.marks if mark.text == splice.name]
        expected = 1000 * splice.offset_m
        if splice.from_place not in at_start:
            expected = run.limb.length_mm - expected
        assert mark.at_mm == pytest.approx(expected)
        assert 0 < mark.at_mm < run.limb.length_mm


def nested(deep: int) -> Node:
    """A place whose branch has a branch, and so on: as many chains within one another."""
    node = Node("tip", (), ())
    for number in range(deep):
        end = Node(f"end {number}", (), ())
        trunk = Limb(f"trunk {number}", 400.0, 3.0, (), end, pull=2.0 + number)  # the branch has less to say
        branch = Limb(f"branch {number}", 300.0, 3.0, (), node, pull=0.5)
        node = Node(f"fork {number}", (), (trunk, branch))
    return node


def test_branches_that_hang_on_branches_400_deep_are_laid() -> None:
    """Python gives up 1000 calls within one another, and each took three."""
    board = lay(nested(400), width_mm=5e6)
    wanted = [f"{kind} {number}" for kind in ("branch", "trunk") for number in range(400)]
    assert sorted(run.limb.run for run in board.runs) == sorted(wanted)


def test_a_trunk_of_3000_runs_is_laid() -> None:
    node = Node("tip", (), ())
    for number in range(3000):
        node = Node(f"place {number}", (), (Limb(f"trunk {number}", 400.0, 3.0, (), node),))
    board = lay(node, width_mm=5e6)
    assert [run.limb.run for run in board.runs] == [f"trunk {2999 - number}" for number in range(3000)]


def test_where_branches_leave_each_other_no_room_the_board_still_comes_to_its_end() -> None:
    """Each is drawn longer for its way down; on 2.4 m 15 of them once went down for ever."""
    board = lay(nested(15), width_mm=2400.0)
    assert len(board.runs) == 30


def test_the_words_of_forty_branches_at_one_place_lie_on_nothing() -> None:
    """All leave side by side, so the last begin half a metre off; their words stand where they run."""
    lands = tuple(f"lamp {each}: 12a female push-on 6.3 mm" for each in range(4))
    branches = tuple(
        Limb(f"r{at}", 500.0 + 50.0 * at, 6.0, (f"{0.5 + 0.05 * at:.2f} m",), Node(f"n{at}", lands, ()))
        for at in range(39)
    )
    trunk = Limb("r39", 2450.0, 6.0, ("2.45 m",), Node("box", ("panel",), branches))
    board = lay(Node("n39", lands, (trunk,)), width_mm=2400.0)
    assert overlapping(board) == []
    assert struck(board) == []
