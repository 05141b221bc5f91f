"""The key of the current tracks: what signs mean, and beside them sentences on lines and marks."""

from __future__ import annotations

from dataclasses import dataclass

from harness.drawing import metrics, symbols
from harness.drawing.svg import Canvas

SIZE = 2.2
FRAME = "#9a9a92"
ROW_MM = 7.0
SIGN_MM = 10.0
COLUMN_MM = 48.0
WORDS_MM = 92.0
TITLE_MM = 6.0


@dataclass(frozen=True, slots=True)
class Key:
    """A key ready to be set: names of symbols with their meaning, then sentences beside them."""

    signs: tuple[tuple[str, str], ...]
    words: tuple[str, ...]
    columns: int

    @property
    def size(self) -> tuple[float, float]:
        """Width and height it takes [mm]."""
        lines = sum(len(metrics.wrap(each, SIZE, WORDS_MM)) for each in self.words)
        words = (lines + len(self.words) * 0.4) * metrics.LINE * SIZE
        signs = -(-len(self.signs) // self.columns) * ROW_MM
        return self.columns * COLUMN_MM + WORDS_MM + 8.0, TITLE_MM + max(signs, words) + 2.0


def draw_key(c: Canvas, key: Key, scale: float) -> None:
    """Draw a key with its upper left corner at (0, 0)."""
    here = c.at(0, 0, scale)
    here.rect(0, 0, *key.size, fill="none", stroke=FRAME, wide=0.25)
    here.text(2.0, 4.2, "Key", 3.0, bold=True)
    rows = -(-len(key.signs) // key.columns)
    for number, (name, meaning) in enumerate(key.signs):
        x, y = number // rows * COLUMN_MM + 2.0, TITLE_MM + number % rows * ROW_MM + ROW_MM / 2
        symbols.SYMBOLS[name](here.at(x + SIGN_MM / 2, y + 0.4))
        here.text(x + SIGN_MM + 1.0, y + 1.1, meaning, SIZE)
    x, y = key.columns * COLUMN_MM + 4.0, TITLE_MM - 1.0
    for each in key.words:
        y = here.lines(x, y, metrics.wrap(each, SIZE, WORDS_MM), SIZE)
        y += 0.4 * metrics.LINE * SIZE
