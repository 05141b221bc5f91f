"""How each loom is built on the board: laid branch by branch, joined, tied, finished, covered and tested."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from harness.lists.branches import Branch
from harness.lists.cutlist import CutLine
from harness.lists.measure import CENTIMETRE, natural, round_up
from harness.lists.steps import BOARD, Draft, words
from harness.lists.tally import count_of
from harness.model.design import Design, RunResult, Splice

BARE_MM = 100  # left uncovered before each end until the machine has passed its test (common practice)


def board_steps(design: Design, branches: Sequence[Branch]) -> Iterator[Draft]:
    """Yield the steps of every loom, in the order of the branches."""
    runs = {run.name: run for run in design.runs}
    for loom in dict.fromkeys(branch.loom for branch in branches):
        mine = [branch for branch in branches if branch.loom == loom]
        if any(branch.lines for branch in mine):
            yield from _of_loom(design, loom, mine, runs)


def _of_loom(
    design: Design, loom: str, mine: Sequence[Branch], runs: Mapping[str, RunResult]
) -> Iterator[Draft]:
    lines = [line for branch in mine for line in branch.lines]
    numbers = [line.number for line in lines]
    laid = [runs[name] for branch in mine for name in branch.runs if name in runs]
    root = mine[0].places[0]
    yield Draft(BOARD, loom, root, _pegs(root, laid))
    yield Draft(BOARD, loom, "bench", _cutting(lines), source="longest first: common practice")
    joined = _joints(design.splices, mine)
    for at, branch in enumerate(mine):
        if branch.lines:
            yield Draft(BOARD, loom, branch.title, _laying(branch), [line.number for line in branch.lines])
        for splice in joined.get(at, ()):
            yield _joining(loom, splice)
    yield from _tying(loom, mine, laid, set(numbers))
    yield Draft(
        BOARD, loom, "every end",
        "finish the ends branch by branch, in the order of work that the cut list gives for each; pull every "
        "crimp by hand, and tick it off",
    )  # fmt: skip
    yield from _halves(design, loom, set(numbers))
    yield from _covering(loom, laid)
    yield Draft(
        BOARD, loom, "before it leaves the board",
        f"test each of the {count_of(len(numbers), 'wire')} end to end with a meter, and between neighbours "
        "on the same plug or stud for nothing; read both labels as you go",
        source="continuity of every wire end to end and to nothing else: common practice",
    )  # fmt: skip


def _pegs(root: str, laid: Sequence[RunResult]) -> str:
    if not laid:
        return f"all of this loom lies at {root}: lay it out there to the full size of the parts"
    ways = "; ".join(f"{run.start} - {run.end} {run.length_m:.2f} m" for run in laid)
    return f"set the pegs from {root}, the main junction, outwards to these lengths: {ways}"


def _cutting(lines: Sequence[CutLine]) -> str:
    batches = sorted({line.batch for line in lines if line.batch}, key=lambda mark: (len(mark), mark))
    text = f"cut {count_of(len(lines), 'piece')} by the cut list, longest first off each roll"
    if batches:
        text += f"; cut and crimp together what carries one batch mark ({', '.join(batches)})"
    return text + "; write the number on both ends before a piece leaves the bench"


def _laying(branch: Branch) -> str:
    longest = round_up(branch.lines[0].length_m, step=CENTIMETRE)
    what = "the trunk" if branch.kind == "trunk" else "the branch"
    way = " - ".join(branch.places)
    if len(branch.places) == 1:
        return f"lay what stays at {way}, {longest:.2f} m at most"
    return f"lay {what} along {way}, the longest first ({longest:.2f} m), each with its end at the last peg"


def _joints(splices: Sequence[Splice], mine: Sequence[Branch]) -> dict[int, list[Splice]]:
    """Splices by the branch after which all their wires lie on the board."""
    at = {line.number: index for index, branch in enumerate(mine) for line in branch.lines}
    found: dict[int, list[Splice]] = {}
    for splice in splices:
        laid = [at[number] for number in splice.wires if number in at]
        if laid:
            found.setdefault(max(laid), []).append(splice)
    return found


def _joining(loom: str, splice: Splice) -> Draft:
    first = f"slide on {splice.shrink}, cut {splice.shrink_mm:g} mm; " if splice.shrink else ""
    fitting = splice.fitting or "the joint named in the cut list"
    spot = splice.spot if splice.run else f"at {splice.place}"
    return Draft(
        BOARD, loom, splice.place,
        f"make splice {splice.name} {spot}: {first}join {words(splice.wires)} with {fitting}",
        list(splice.wires),
        source="heat-shrink on before the barrel: common practice",
    )  # fmt: skip


def _tying(loom: str, mine: Sequence[Branch], laid: Sequence[RunResult], new: set[str]) -> Iterator[Draft]:
    ways: dict[str, int] = {}
    for run in laid:
        for place in (run.start, run.end):
            ways[place] = ways.get(place, 0) + 1
    forks = sorted((place for place, count in ways.items() if count > 2), key=natural)
    ties: dict[str, int] = {}
    for run in laid:
        if run.ties and run.tie:
            ties[run.tie] = ties.get(run.tie, 0) + run.ties
    if not laid:
        return
    at = f", and on every side of the branches at {words(forks)}" if forks else ""
    counted = "; ".join(f"{count} x {tie}" for tie, count in ties.items())
    yield Draft(
        BOARD, loom, mine[0].title,
        f"tie as you lay, every 100 to 150 mm{at}"
        + (f"; for the finished loom: {counted}" if counted else ""),
        source="ties every 100 to 150 mm and both sides of a branch: common practice",
    )  # fmt: skip
    for run in laid:
        if run.grommet:
            yield Draft(
                BOARD, loom, run.name,
                f"before the ends beyond it are crimped, slide onto the bundle for the {run.hole_mm:g} mm "
                f"hole of {run.name}: {run.grommet}",
                [number for number in (*run.wires, *run.spares) if number in new],
            )  # fmt: skip


def _halves(design: Design, loom: str, numbers: set[str]) -> Iterator[Draft]:
    """The halves of couplers that belong to a loom: contacts in their ways, plugs in those left over."""
    for coupler in design.couplers:
        for half, place, named in (
            ("A", coupler.half_a, [(way.way, way.wire_a) for way in coupler.ways]),
            ("B", coupler.half_b, [(way.way, way.wire_b) for way in coupler.ways]),
        ):
            mine = [(way, number) for way, number in named if number in numbers]
            if not mine:
                continue
            spare = [way for way, number in named if not number]
            plugs = f"; sealing plugs into the spare ways {words(spare)}" if spare else ""
            ways = ", ".join(f"{number} into way {way}" for way, number in mine)
            yield Draft(
                BOARD, loom, f"{coupler.name}, half {half}",
                f"fit half {half} of {coupler.name} (it faces {place}): {ways}{plugs}; pull each contact to "
                "feel that it has locked",
                [number for _, number in mine],
            )  # fmt: skip


def _covering(loom: str, laid: Sequence[RunResult]) -> Iterator[Draft]:
    held: dict[str, list[RunResult]] = {}
    for run in laid:
        if run.covering:
            held.setdefault(run.covering, []).append(run)
    for covering, runs in held.items():
        ways = "; ".join(f"{run.name} {run.length_m:.2f} m" for run in runs)
        yield Draft(
            BOARD, loom, runs[0].name,
            f"cover with {covering}: {ways}; leave the last {BARE_MM} mm before each end bare until the "
            "machine has passed its test",
            source="last 100 mm bare until tested: common practice",
        )  # fmt: skip
