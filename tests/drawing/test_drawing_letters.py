"""Letters for print, held against the typesetter itself: as PDF/UA it refuses a letter that no face has."""

from __future__ import annotations

import csv
import json
from importlib.resources import files

import pytest
import typst

from harness.drawing.letters import missing, printable

SOURCE = b"""#set document(title: "letters")
#set text(font: ("Libertinus Serif", "DejaVu Sans Mono"))
#let each = json(bytes(sys.inputs.data))
#for one in each { one; [ ] }
"""


def typeset(letters: list[str]) -> None:
    typst.compile(
        SOURCE, sys_inputs={"data": json.dumps(letters)}, ignore_system_fonts=True, pdf_standards=["ua-1"]
    )


def test_what_the_list_holds_is_printed() -> None:
    text = files("harness.drawing").joinpath("letters.csv").read_text(encoding="ascii")
    rows = list(csv.DictReader(text.splitlines()))
    ends = [chr(int(row[side], 16)) for row in rows for side in ("first", "last")]
    typeset([letter for letter in ends if letter.isprintable()])


@pytest.mark.parametrize("letter", list("压ロร롤😀🚜"))
def test_what_the_list_lacks_is_not(letter: str) -> None:
    with pytest.raises(typst.TypstError):
        typeset([letter])
    assert missing(letter) == letter
    assert printable(f"a {letter} b") == f"a [U+{ord(letter):04X}] b"
    typeset([printable(letter)])


def test_letters_of_the_trade_stay() -> None:
    said = "Ω µ ≤ ≥ × − → … “x” ° ² ½ Лев Ωμέγα ßØŁ"
    assert printable(said) == said
    assert missing(said) == ""
