"""How the loom goes on paper: figures on sheets, words beside them, tables and key where there is room."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from dataclasses import field as made

from harness.drawing import loom_ends, loom_key, loom_place, loom_tree, loom_words, metrics
from harness.drawing import sheet as paper
from harness.drawing.ink import Box
from harness.drawing.loom_ends import Entry, Row, Table
from harness.drawing.loom_field import Field, Patch, Thing, moved
from harness.drawing.loom_key import Key
from harness.drawing.loom_marks import at_share
from harness.drawing.loom_place import Figure
from harness.drawing.loom_room import Room
from harness.drawing.loom_tree import Tree
from harness.drawing.loom_words import Label, Put
from harness.drawing.svg import Spot
from harness.model.design import Design, RunResult

HEAD_MM = 9.0  # strip over the figures, with scale and scale bar
TITLE, TITLE_MM, TITLE_WIDE_MM = 3.5, 6.0, 120.0
BESIDE_MM = 16.0  # left free round a figure that shares a sheet
GAP_MM = 2.0
MOST_COLUMNS = 4
SMALL_WIRES = 40  # with more the loom does not go on one A4 sheet, so that is not tried

Block = Table | Key


@dataclass(slots=True)
class Shown:
    """One figure on its sheet, with the words beside it."""

    figure: Figure
    number: int
    title: str
    at: Spot  # of the figure's origin
    title_at: Spot
    tree_at: int = 0  # which of the trees it is of
    labels: dict[int, tuple[Label, Put | None]] = made(default_factory=dict)  # by limb
    names: dict[int, tuple[list[str], list[str], Put]] = made(default_factory=dict)  # by node
    tags: list[tuple[str, Put]] = made(default_factory=list)  # names of splices in runs
    flags: list[tuple[str, Put]] = made(default_factory=list)  # where what is cut off goes on
    splices: dict[int, list[tuple[str, float]]] = made(default_factory=dict)  # by limb: name and share

    def spot(self, node: int) -> Spot:
        """Where a node lies on the sheet."""
        x, y = self.figure.spots[node]
        return x + self.at[0], y + self.at[1]


@dataclass(slots=True)
class Sheet:
    """One sheet; without figures it holds tables only."""

    field: Field
    scale: int = 0  # 1:N; 0 without figures
    shown: list[Shown] = made(default_factory=list)
    blocks: list[tuple[Block, Spot]] = made(default_factory=list)


@dataclass(slots=True)
class Plan:
    """All sheets of the loom drawing on one paper."""

    form: paper.Format
    sheets: list[Sheet]
    letters: dict[str, str]

    @property
    def runs(self) -> int:
        """How many runs are drawn."""
        return sum(len(shown.figure.laid) for sheet in self.sheets for shown in sheet.shown)


def letter(number: int) -> str:
    """A, B, ... Z, A1, B1, ..."""
    return chr(65 + number % 26) + (str(number // 26) if number >= 26 else "")


def _letters(design: Design, trees: Sequence[Tree]) -> dict[str, str]:
    """Give every place its letter, in the order of the figures; last those that no run reaches."""
    names = [place for tree in trees for place in tree.places]
    rest = [*design.places, *(part.place for part in design.parts)]
    return {place: letter(at) for at, place in enumerate(dict.fromkeys((*names, *rest)))}


def _title(figure: Figure, number: int, letters: dict[str, str], first: bool) -> str:
    words = f"Figure {number}: {figure.tree.loom}"
    if not first:
        words += f", from {letters[figure.tree.places[figure.root]]}"
    return words


def _things(figure: Figure) -> list[Thing]:
    return [thing for thing in figure.field.things if thing is not None]


def _bounds(things: Sequence[Thing]) -> Box:
    boxes = [thing.box for thing in things]
    return (
        min(box[0] for box in boxes), min(box[1] for box in boxes),
        max(box[2] for box in boxes), max(box[3] for box in boxes),
    )  # fmt: skip


def _set(sheet: Sheet, figure: Figure, number: int, title: str, room: Room | None) -> bool:
    """Put a figure on a sheet: on an empty one where it lies, else where there is room."""
    things = _things(figure)
    left, top, right, low = _bounds(things)
    if room is None:
        at, title_at = (0.0, TITLE_MM), (0.0, 0.0)
    else:
        wide = max(right - left, 60.0) + 2 * BESIDE_MM
        found = room.nearest((wide, low - top + 2 * BESIDE_MM + TITLE_MM), (0.0, 0.0))
        if found is None:
            return False
        title_at = found[1]
        at = (title_at[0] + BESIDE_MM - left, title_at[1] + TITLE_MM + BESIDE_MM - top)
    sheet.field.add(Patch((*title_at, title_at[0] + TITLE_WIDE_MM, title_at[1] + TITLE_MM)))
    for thing in things:
        sheet.field.add(moved(thing, *at))
    sheet.shown.append(Shown(figure, number, title, at, title_at))
    return True


def _sheets(
    trees: Sequence[Tree], letters: dict[str, str], wide_mm: float, high_mm: float
) -> tuple[list[Sheet], dict[tuple[int, int], int]]:
    """Lay all figures and put them on sheets; also in which figure a limb begins that was cut off."""
    sheets: list[Sheet] = []
    begins: dict[tuple[int, int], int] = {}
    number = 0
    for tree_at, tree in enumerate(trees):
        figures = loom_place.best(tree, wide_mm=wide_mm, high_mm=high_mm - HEAD_MM - TITLE_MM)
        cuts = [at for figure in figures for at in figure.cuts]
        for order, figure in enumerate(figures):
            number += 1
            if order:
                begins[tree_at, cuts[order - 1]] = number
            scale = round(1 / figure.scale)
            title = _title(figure, number, letters, order == 0)
            for sheet in sheets:
                if sheet.scale == scale and _set(sheet, figure, number, title, Room(sheet.field, GAP_MM)):
                    break
            else:
                sheets.append(Sheet(Field(wide_mm, high_mm - HEAD_MM), scale))
                _set(sheets[-1], figure, number, title, None)
            sheet = next(each for each in sheets if any(one.number == number for one in each.shown))
            sheet.shown[-1].tree_at = tree_at
    return sheets, begins


class _Writer:
    """Puts the words on one sheet."""

    def __init__(self, design: Design, sheet: Sheet, numbers: dict[str, int]) -> None:
        self.design, self.sheet, self.numbers = design, sheet, numbers

    def _laid(self, shown: Shown, at: int) -> loom_place.Laid:
        laid, (x, y) = shown.figure.laid[at], shown.at
        return replace(laid, a=(laid.a[0] + x, laid.a[1] + y), b=(laid.b[0] + x, laid.b[1] + y))

    def write(self, begins: Mapping[tuple[int, int], int]) -> None:
        """Write all words, the ones that matter most first."""
        self.labels()
        self.flags(begins)
        self.names()
        self.splices()
        self.more()

    def labels(self) -> None:
        """Write number, length and bundle at every run, those with least room first."""
        here = self.sheet.field
        for shown in self.sheet.shown:
            limbs = shown.figure.tree.limbs
            for at in sorted(shown.figure.laid, key=lambda at: self._reach(shown, at)):
                run, laid = limbs[at].run, self._laid(shown, at)
                one = loom_words.label(run, self.numbers[run.name], laid.drawn, full=False)
                put = loom_words.put_label(here, limbs[at], laid, one)
                if put is None:
                    one = replace(one, length="", lines=())
                shown.labels[at] = (one, put)

    def _reach(self, shown: Shown, at: int) -> tuple[float, int]:
        laid = shown.figure.laid[at]
        return abs(laid.a[0] - laid.b[0]) + abs(laid.a[1] - laid.b[1]), at

    def flags(self, begins: Mapping[tuple[int, int], int]) -> None:
        """Write beside a place where what is cut off there goes on."""
        for shown in self.sheet.shown:
            tree = shown.figure.tree
            by_node: dict[int, list[str]] = {}
            for at in shown.figure.cuts:
                limb = tree.limbs[at]
                words = f"{self.numbers[limb.run.name]}: figure {begins[shown.tree_at, at]}"
                by_node.setdefault(limb.above, []).append(words)
            if shown.figure.root:
                by_node.setdefault(shown.figure.root, []).append("goes on from another figure")
            for node, said in by_node.items():
                words = "; ".join(said)
                size = metrics.width(words, loom_words.SMALL) + 2.0, metrics.LINE * loom_words.SMALL + 0.8
                put = loom_words.put_name(self.sheet.field, shown.spot(node), size)
                if put is not None:
                    shown.flags.append((words, put))

    def names(self) -> None:
        """Write the name of every place beside it where there is room; its letter stands there anyway."""
        at_place: dict[str, list[str]] = {}
        for splice in self.design.splices:
            if not splice.run:
                at_place.setdefault(splice.place, []).append(splice.name)
        for shown in self.sheet.shown:
            nodes = sorted(shown.figure.spots)
            for node in nodes:
                others = [shown.spot(each) for each in nodes if each != node]
                place = shown.figure.tree.places[node]
                name, splices = loom_words.name_lines(place, at_place.get(place, ()))
                for few in (splices, []):
                    wide = max(
                        metrics.widest(name, loom_words.NAME, bold=True),
                        metrics.widest(few, loom_words.SMALL),
                    )
                    high = metrics.LINE * (len(name) * loom_words.NAME + len(few) * loom_words.SMALL)
                    put = loom_words.put_name(self.sheet.field, shown.spot(node), (wide, high), others)
                    if put is not None:
                        shown.names[node] = (name, few, put)
                        break

    def splices(self) -> None:
        """Mark every splice in a run at its spot, with its name where there is room."""
        inside: dict[str, list[tuple[str, str, float]]] = {}
        for splice in self.design.splices:
            if splice.run:
                inside.setdefault(splice.run, []).append((splice.name, splice.from_place, splice.offset_m))
        for shown in self.sheet.shown:
            tree = shown.figure.tree
            for at in shown.figure.laid:
                limb = tree.limbs[at]
                for name, near, offset in inside.get(limb.run.name, ()):
                    share = min(1.0, max(0.0, offset / limb.run.length_m if limb.run.length_m else 0.5))
                    share = share if near == tree.places[limb.above] else 1 - share
                    shown.splices.setdefault(at, []).append((name, share))
                    x, y = at_share(self._laid(shown, at), share)
                    size = metrics.width(name, loom_words.SMALL, bold=True), metrics.LINE * loom_words.SMALL
                    put = loom_words.put_name(self.sheet.field, (x, y), size)
                    if put is not None:
                        shown.tags.append((name, put))

    def more(self) -> None:
        """Write all that is said of a run beside it instead, where there is room."""
        here = self.sheet.field
        for shown in self.sheet.shown:
            limbs = shown.figure.tree.limbs
            for at in sorted(shown.figure.laid, key=lambda at: self._reach(shown, at), reverse=True):
                run, laid = limbs[at].run, self._laid(shown, at)
                _, before = shown.labels[at]
                held = [here.things[each] for each in before.held] if before is not None else []
                if before is not None:
                    for each in before.held:
                        here.drop(each)
                one = loom_words.label(run, self.numbers[run.name], laid.drawn, full=True)
                put = loom_words.put_label(here, limbs[at], laid, one)
                if put is not None:
                    shown.labels[at] = (one, put)
                    continue
                for thing in held:
                    if thing is not None:
                        here.add(thing)

    def unsaid(self) -> Iterator[tuple[RunResult, int, str]]:
        """Runs whose words found no room: they go into a table."""
        for shown in self.sheet.shown:
            for at, (one, _) in shown.labels.items():
                limb = shown.figure.tree.limbs[at]
                words = loom_words.run_words(limb.run)
                full = loom_words.label(limb.run, 0, shown.figure.laid[at].drawn, full=True)
                if one.lines != full.lines:
                    yield limb.run, self.numbers[limb.run.name], "; ".join(words)


def _run_table(found: Sequence[tuple[RunResult, int, str]], number: int) -> Table | None:
    """The table of the runs of a sheet that have no room for their words beside them."""
    entries = []
    for run, at, words in sorted(found, key=lambda each: each[1]):
        said = f"{run.length_m:.2f} m, {run.start} to {run.end}: {words}"
        room = loom_ends.COLUMN_MM - 2 * loom_ends.PAD_MM - 8.0
        row = Row(((0.0, (str(at),)), (8.0, tuple(metrics.wrap(said, loom_ends.TEXT, room)))))
        entries.append(Entry(run.name, "run", (row,)))
    return Table("", f"Runs of sheet {number}", "", (tuple(entries),)) if entries else None


def _shapes(block: Block | Sequence[Key]) -> Iterator[Block]:
    if isinstance(block, Table):
        yield block
        for count in range(2, min(MOST_COLUMNS, len(block.columns[0])) + 1):
            yield loom_ends.in_columns(block, count)
    elif isinstance(block, Key):
        yield block
    else:
        yield from block


def _put(sheet: Sheet, room: Room, block: Block | Sequence[Key], spot: Spot) -> bool:
    """Put a block in one of its shapes where there is room nearest to a spot."""
    best: tuple[float, Block, Spot] | None = None
    for number, shape in enumerate(_shapes(block)):
        found = room.nearest(shape.size, spot)
        if found is not None and (best is None or found[0] + 25.0 * number < best[0]):
            best = found[0] + 25.0 * number, shape, found[1]
    if best is None:
        return False
    _, shape, (x, y) = best
    room.take((x, y, x + shape.size[0], y + shape.size[1]))
    sheet.blocks.append((shape, (x, y)))
    return True


def _table_sheets(tables: Sequence[Table], wide_mm: float, high_mm: float, key: Key | None) -> list[Sheet]:
    """Set tables in columns on sheets of their own, first the key where it is still without a place."""
    count = max(1, int((wide_mm + GAP_MM) // (loom_ends.COLUMN_MM + GAP_MM)))
    step = (wide_mm - count * loom_ends.COLUMN_MM) / max(1, count - 1)
    step = loom_ends.COLUMN_MM + min(step, 3 * GAP_MM)
    sheets: list[Sheet] = []
    column, y = count, 0.0
    waiting: list[Table] = list(tables)[::-1]
    if key is not None:
        sheets.append(Sheet(Field(wide_mm, high_mm)))
        sheets[-1].blocks.append((key, (0.0, 0.0)))
        column, y = 0, key.size[1] + GAP_MM
    while waiting:
        if column >= count:
            sheets.append(Sheet(Field(wide_mm, high_mm)))
            column, y = 0, 0.0
        one, rest = loom_ends.split(waiting.pop(), high_mm - y, high_mm)
        if one is not None:
            sheets[-1].blocks.append((one, (column * step, y)))
            y += one.high_mm + GAP_MM
        if rest is not None:
            waiting.append(rest)
            column, y = column + 1, 0.0
    return sheets


def _doubled(trees: Sequence[Tree]) -> set[str]:
    """Places at which a ring is left open, so that two branches end at them."""
    return {place for tree in trees for place, count in Counter(tree.places).items() if count > 1}


def _numbers(trees: Sequence[Tree]) -> dict[str, int]:
    """Number the runs in the order of the figures, each trunk first."""
    names = []
    for tree in trees:
        trunk = tree.chain(tree.leaving[0][0]) if tree.leaving[0] else []
        order = dict.fromkeys((*trunk, *range(len(tree.limbs))))
        names += [tree.limbs[at].run.name for at in order]
    return {name: at + 1 for at, name in enumerate(names)}


def plan(design: Design, form: paper.Format, trees: Sequence[Tree]) -> Plan:
    """Lay the whole loom on sheets of one paper."""
    _, _, wide, high = paper.room(design, form)
    letters, numbers = _letters(design, trees), _numbers(trees)
    sheets, begins = _sheets(trees, letters, wide, high)
    on_sheet = {shown.number: at + 1 for at, sheet in enumerate(sheets) for shown in sheet.shown}
    notes = _notes(trees, numbers, begins, on_sheet)
    known = loom_ends.index(design)
    left: list[Table] = []
    told: set[str] = set()
    key: Sequence[Key] = _key(design, sheets)
    for number, sheet in enumerate(sheets):
        writer = _Writer(design, sheet, numbers)
        writer.write(begins)
        room = Room(sheet.field, GAP_MM / 2)
        if key and _put(sheet, room, key, (0.0, high)):
            key = ()
        runs = _run_table(list(writer.unsaid()), number + 1)
        here: list[tuple[Table, Spot]] = [(runs, (wide, high))] if runs is not None else []
        for shown in sheet.shown:
            for node in sorted(shown.figure.spots):
                place = shown.figure.tree.places[node]
                if place not in told:
                    told.add(place)
                    table = loom_ends.table(design, known, place, letters[place], notes.get(place, ()))
                    here.append((table, shown.spot(node)))
        left += [
            table
            for table, spot in sorted(here, key=lambda each: each[0].high_mm)
            if not _put(sheet, room, table, spot)
        ]
    order = {place: at for at, place in enumerate(letters)}
    left.sort(key=lambda table: order.get(table.place, -1) if table.letter else -1)
    left += [
        loom_ends.table(design, known, place, sign, ("no run of the loom reaches this place",))
        for place, sign in letters.items()
        if place not in told
    ]
    sheets += _table_sheets(left, wide, high, key[0] if key and trees else None)
    return Plan(form, sheets or [Sheet(Field(wide, high))], letters)


def _key(design: Design, sheets: Sequence[Sheet]) -> list[Key]:
    drawn = [laid.drawn for sheet in sheets for shown in sheet.shown for laid in shown.figure.laid.values()]
    off = any(each != "to scale" for each in drawn)
    return loom_key.keys(loom_key.signs(design, off_scale=off, broken="broken" in drawn))


def _notes(
    trees: Sequence[Tree],
    numbers: Mapping[str, int],
    begins: Mapping[tuple[int, int], int],
    on_sheet: Mapping[int, int],
) -> dict[str, list[str]]:
    """What is to be said of a place besides what lands there: open rings, and where runs go on."""
    found = {place: ["a ring is left open: two branches end here"] for place in _doubled(trees)}
    for number, tree in enumerate(trees):
        for at, limb in enumerate(tree.limbs):
            figure = begins.get((number, at))
            if figure is not None:
                words = f"run {numbers[limb.run.name]} goes on in figure {figure}, sheet {on_sheet[figure]}"
                found.setdefault(tree.places[limb.above], []).append(words)
    return found


def chosen(design: Design) -> Plan:
    """Take A4 where one sheet of it holds all, else A3; raises EngineFailed."""
    trees = loom_tree.trees(design)
    small, large = paper.FORMATS[:2]
    if len(design.wires) <= SMALL_WIRES:
        found = plan(design, small, trees)
        if len(found.sheets) == 1:
            return found
    return plan(design, large, trees)
