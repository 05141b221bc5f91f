"""Sets blocks on pages in rows; low blocks stand on one another beside a high one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

AHEAD = 6  # how far a block may be taken out of its turn to fill a row

Size = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Placed:
    """Where one block went: its field on the page, and how much smaller than drawn it is."""

    page: int
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    scale: float


@dataclass(slots=True)
class _Column:
    """Blocks that stand on one another."""

    blocks: list[int]
    width_mm: float
    height_mm: float


@dataclass(slots=True)
class _Row:
    columns: list[_Column] = field(default_factory=list)

    @property
    def height_mm(self) -> float:
        return max(column.height_mm for column in self.columns)


def _next(waiting: Sequence[int], sizes: Sequence[Size], width_mm: float, height_mm: float) -> int | None:
    return next(
        (index for index in waiting[:AHEAD] if sizes[index][0] <= width_mm and sizes[index][1] <= height_mm),
        None,
    )


def _fill(row: _Row, waiting: list[int], sizes: Sequence[Size], width_mm: float, gap_mm: float) -> None:
    """Stand further blocks beside the first of a row, none higher than the row but by a little."""
    high = row.height_mm
    left = width_mm - row.columns[0].width_mm - gap_mm
    while (index := _next(waiting, sizes, left, high * 1.1)) is not None:
        waiting.remove(index)
        column = _Column([index], *sizes[index])
        high = max(high, column.height_mm)
        while (index := _next(waiting, sizes, left, high - column.height_mm - gap_mm)) is not None:
            waiting.remove(index)
            column.blocks.append(index)
            column.width_mm = max(column.width_mm, sizes[index][0])
            column.height_mm += gap_mm + sizes[index][1]
        row.columns.append(column)
        left -= column.width_mm + gap_mm


def _place_row(
    row: _Row,
    page: int,
    y_mm: float,
    sizes: Sequence[Size],
    scales: Sequence[float],
    width_mm: float,
    gap_mm: float,
) -> dict[int, Placed]:
    """Spread a row over the whole width, and each of its columns over the row's height."""
    used = sum(column.width_mm for column in row.columns) + gap_mm * (len(row.columns) - 1)
    spare = (width_mm - used) / len(row.columns)
    placed: dict[int, Placed] = {}
    x = 0.0
    for column in row.columns:
        extra = (row.height_mm - column.height_mm) / len(column.blocks)
        y = y_mm
        for index in column.blocks:
            high = sizes[index][1] + extra
            placed[index] = Placed(page, x, y, column.width_mm + spare, high, scales[index])
            y += high + gap_mm
        x += column.width_mm + spare + gap_mm
    return placed


def flow(
    blocks: Sequence[Size], *, width_mm: float, height_mm: float, gap_mm: float, scale: float = 1.0
) -> list[Placed]:
    """Set ``blocks`` at ``scale`` on pages of the given size; one too large for a page is made smaller."""
    scales = [min(scale, width_mm / wide, height_mm / high) for wide, high in blocks]
    sizes = [(wide * own, high * own) for (wide, high), own in zip(blocks, scales, strict=True)]
    waiting = list(range(len(blocks)))
    placed: dict[int, Placed] = {}
    page, y = 0, 0.0
    while waiting:
        first = waiting.pop(0)
        row = _Row([_Column([first], *sizes[first])])
        _fill(row, waiting, sizes, width_mm, gap_mm)
        if y > 0 and y + row.height_mm > height_mm + 1e-6:
            page, y = page + 1, 0.0
        placed.update(_place_row(row, page, y, sizes, scales, width_mm, gap_mm))
        y += row.height_mm + gap_mm
    return [placed[index] for index in range(len(blocks))]
