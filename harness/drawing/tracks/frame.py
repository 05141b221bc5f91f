"""The frame of one sheet of tracks: where rails, columns and the rows at the foot lie."""

from __future__ import annotations

from dataclasses import dataclass

from harness.drawing import sheet as paper
from harness.drawing.tracks.net import Net, Node
from harness.drawing.tracks.place import Limits
from harness.drawing.tracks.plates import Plate, Room
from harness.drawing.tracks.words import STUD_MM, TEXT_MM
from harness.model.design import Design

LEFT_MM, RIGHT_MM = 26.0, 15.0  # beside the tracks, for the names of the rails and where they go on
LINE_MM = 5.8  # from a column's edge to its line
ABOVE_MM, BELOW_MM = 6.6, 5.8  # from rail to rail
NUMBERS_MM, STRIP_MM = 5.4, 8.0  # rows at the foot
SLACK_MM = 2.0  # for the rows of terminals that end a column
MOST_ABOVE, MOST_BELOW = 5, 6
WALL_MM = 350.0  # wider paper hangs on a wall and is read from farther away
WALL_SCALES, DESK_SCALES = (1.2, 1.1, 1.0), (1.0, 0.95, 0.9)


@dataclass(frozen=True, slots=True)
class Frame:
    """Measures of a sheet from its upper left corner [mm before ``scale``]."""

    form: paper.Format
    left: float
    top: float
    wide: float
    high: float
    pitch: float
    scale: float  # larger than 1 on large paper, which hangs on a wall

    @property
    def columns(self) -> int:
        """How many tracks stand side by side."""
        return max(2, int((self.wide - LEFT_MM - RIGHT_MM) / self.pitch))

    @property
    def text_mm(self) -> float:
        """Room for the texts beside a track."""
        return self.pitch - LINE_MM - TEXT_MM - 0.6

    @property
    def strip_y(self) -> float:
        """Top of the row with the names of the circuits."""
        return self.top + self.high - STRIP_MM

    @property
    def numbers_y(self) -> float:
        """Top of the row with the numbers of the tracks."""
        return self.strip_y - NUMBERS_MM

    def x(self, column: int) -> float:
        """Line of a column."""
        return self.left + LEFT_MM + column * self.pitch + LINE_MM

    @property
    def right(self) -> float:
        """Right edge of the tracks."""
        return self.left + LEFT_MM + self.columns * self.pitch

    def supply_y(self, number: int) -> float:
        """Height of a supply rail."""
        return self.top + 3.4 + number * ABOVE_MM

    def content_y(self, plate: Plate) -> float:
        """Top of what hangs below the supply rails."""
        return self.top + 2.4 + len(plate.supply) * ABOVE_MM

    def below_y(self, plate: Plate, number: int) -> float:
        """Height of a rail below: first the studs that bring returns together, then the metal."""
        count = len(plate.returns) + len(plate.metal)
        return self.numbers_y - 3.2 - (count - 1 - number) * BELOW_MM

    def studs_y(self, plate: Plate) -> float:
        """Top of the names of the ground studs."""
        return self.below_y(plate, 0) - STUD_MM - 1.4

    def rail_y(self, plate: Plate, net: Net, node: Node) -> float:
        """Height of the rail that a node is or lies on."""
        if node in plate.supply:
            return self.supply_y(plate.supply.index(node))
        if node in plate.returns:
            return self.below_y(plate, plate.returns.index(node))
        return self.below_y(plate, len(plate.returns) + plate.metal.index(net.metal[node]))

    def room(self, net: Net) -> Room:
        """How much a sheet takes, with the rails it may have."""
        above = max(1, min(MOST_ABOVE, len(net.supply)))
        below = max(1, min(MOST_BELOW, len(net.returns) + len(set(net.metal.values()))))
        foot = STRIP_MM + NUMBERS_MM + 3.2 + (below - 1) * BELOW_MM + STUD_MM + 1.4
        high = self.high - 2.4 - above * ABOVE_MM - foot - SLACK_MM
        return Room(Limits(self.columns, high), above, below)


def scales(form: paper.Format) -> tuple[float, ...]:
    """List how large a drawing may stand on a paper, the first the best to read."""
    return WALL_SCALES if form.width_mm > WALL_MM else DESK_SCALES


def frame(design: Design, form: paper.Format, pitch: float, k: float) -> Frame:
    """Measure a sheet of a design on which everything is drawn ``k`` times as large."""
    left, top, wide, high = paper.room(design, form)
    return Frame(form, left / k, top / k, wide / k, high / k, pitch, k)
