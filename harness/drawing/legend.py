"""The keys of the drawings: what their signs, lines and marks mean."""

from __future__ import annotations

from dataclasses import dataclass

from harness.drawing import bundles, metrics, symbols
from harness.drawing.flow import Placed
from harness.drawing.svg import INK, Canvas

SIZE = 2.2
FRAME = "#9a9a92"
ROW_MM = 7.0
SIGN_MM = 10.0
COLUMN_MM = 48.0
WORDS_MM = 92.0
TITLE_MM = 6.0
STYLE_WORDS = {
    "corrugated": "corrugated tube", "braid": "braided sleeve", "tape": "tape", "shrink": "heat-shrink",
    "spiral": "spiral wrap", "glass": "glass-fibre sleeve",
    "bare": "no covering", "other": "other covering",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Key:
    """A key ready to be set: signs with their meaning, then sentences beside them or under them."""

    signs: tuple[tuple[str, str], ...]
    words: tuple[str, ...]
    columns: int
    under: bool = False

    @property
    def signs_mm(self) -> float:
        """Height of the signs [mm]."""
        return -(-len(self.signs) // self.columns) * ROW_MM

    @property
    def size(self) -> tuple[float, float]:
        """Width and height it takes [mm]."""
        lines = sum(len(metrics.wrap(each, SIZE, WORDS_MM)) for each in self.words)
        words = (lines + len(self.words) * 0.4) * metrics.LINE * SIZE
        if self.under:
            wide = max(self.columns * COLUMN_MM, WORDS_MM) + 6.0
            return wide, TITLE_MM + self.signs_mm + 2.0 + words + 2.0
        return self.columns * COLUMN_MM + WORDS_MM + 8.0, TITLE_MM + max(self.signs_mm, words) + 2.0


def _draw_sign(c: Canvas, name: str) -> None:
    if name in symbols.SYMBOLS:
        symbols.SYMBOLS[name](c)
    elif name in bundles.STYLES:
        bundles.draw_pattern(c, [(-4.5, 0), (4.5, 0)], wide=2.0, look=name)
    elif name == "splice":
        c.circle(0, 0, 1.0, fill=INK)
    elif name == "spare":
        bundles.draw_spare(c.at(-1.2, 0))
    elif name == "ground":
        symbols.ground(c.at(-2.0, 0, 0.85))
    elif name == "part box":
        c.rect(-1.0, -0.9, 2.0, 1.8, wide=0.3)
    else:
        bundles.draw_sign(c, name)


def draw_key(c: Canvas, key: Key, place: Placed) -> None:
    """Draw a key at its place."""
    outer = c.at(place.x_mm, place.y_mm)
    outer.rect(0, 0, place.width_mm, place.height_mm, fill="none", stroke=FRAME, wide=0.25)
    here = outer.at(0, 0, place.scale)
    here.text(2.0, 4.2, "Key", 3.0, bold=True)
    rows = -(-len(key.signs) // key.columns)
    for number, (name, meaning) in enumerate(key.signs):
        x, y = number // rows * COLUMN_MM + 2.0, TITLE_MM + number % rows * ROW_MM + ROW_MM / 2
        _draw_sign(here.at(x + SIGN_MM / 2, y + 0.4), name)
        here.text(x + SIGN_MM + 1.0, y + 1.1, meaning, SIZE)
    x, y = key.columns * COLUMN_MM + 4.0, TITLE_MM - 1.0
    if key.under:
        x, y = 3.0, TITLE_MM + key.signs_mm + 2.0
    for each in key.words:
        y = here.lines(x, y, metrics.wrap(each, SIZE, WORDS_MM), SIZE)
        y += 0.4 * metrics.LINE * SIZE
