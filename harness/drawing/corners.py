"""Finds room for lists and keys in what a drawing leaves free of its sheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from harness.drawing.flow import Placed, Size

STEP_MM = 5.0


@dataclass(frozen=True, slots=True)
class Area:
    """A rectangle on the sheet."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float

    def clear_of(self, other: Area, gap_mm: float) -> bool:
        """Whether the two keep ``gap_mm`` apart."""
        return (
            self.x_mm + self.width_mm + gap_mm <= other.x_mm
            or other.x_mm + other.width_mm + gap_mm <= self.x_mm
            or self.y_mm + self.height_mm + gap_mm <= other.y_mm
            or other.y_mm + other.height_mm + gap_mm <= self.y_mm
        )


def _steps(room_mm: float) -> Iterator[float]:
    count = int(room_mm // STEP_MM)
    return (index * STEP_MM for index in range(count + 1))


def _spots(size: Size, width_mm: float, height_mm: float) -> Iterator[tuple[float, float]]:
    """Places along the edges of the sheet, the upper corners first."""
    right, low = width_mm - size[0], height_mm - size[1]
    if right < 0 or low < 0:
        return
    for y in _steps(low):
        yield 0.0, y
        yield right, y
    yield 0.0, low
    yield right, low
    for x in _steps(right):
        yield x, 0.0
        yield x, low


def _fit(size: Size, taken: Sequence[Area], width_mm: float, height_mm: float, gap_mm: float) -> Area | None:
    for x, y in _spots(size, width_mm, height_mm):
        area = Area(x, y, *size)
        if all(area.clear_of(other, gap_mm) for other in taken):
            return area
    return None


def place(
    shapes: Sequence[Sequence[Size]],
    taken: Sequence[Area],
    *,
    width_mm: float,
    height_mm: float,
    gap_mm: float,
    scale: float,
) -> list[tuple[int, Placed]] | None:
    """Put every block, in one of its shapes, where nothing is ``taken``: number of the shape, and where.

    ``scale``: of the blocks; the taken areas are on paper already. None if one of them has no room.
    """
    taken = list(taken)
    placed: list[tuple[int, Placed]] = []
    for choices in shapes:
        areas = (
            (shape, _fit((wide * scale, high * scale), taken, width_mm, height_mm, gap_mm))
            for shape, (wide, high) in enumerate(choices)
        )
        found = next(((shape, area) for shape, area in areas if area is not None), None)
        if found is None:
            return None
        shape, area = found
        taken.append(area)
        placed.append((shape, Placed(0, area.x_mm, area.y_mm, area.width_mm, area.height_mm, scale)))
    return placed
