"""Files made to grow, to nest or to mislead: refused, or read in bounded memory."""

from __future__ import annotations

import io
import subprocess
import sys
import zipfile

import pytest

from harness.model.problem import SurveyWrong
from harness.survey import read
from tests.limits.cases import _packed
from tests.survey.texts import TROLLEY

# ------------------------------------------------------------------------------------------------- one by one

BOMB = "a: &a [x, x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"{new}: &{new} [{', '.join([f'*{old}'] * 10)}]\n"
    for old, new in zip("abcdefgh", "bcdefghi", strict=True)
)
ODD = {
    "aliases of aliases": (BOMB, "grows beyond 150,000 entries"),
    "an alias in itself": ("a: &a [*a]", "would never end"),
    "brackets": ("[" * 10_000, "12 deep"),
    "braces": ("{a: " * 10_000, "12 deep"),
    "dashes": ("- " * 10_000 + "x", "12 deep"),
    "indents": ("".join(f"{' ' * at}a:\n" for at in range(1_000)), "12 deep"),
    "merge keys": (TROLLEY + "x: {<<: {a: 1}}\n", "merge keys"),
    "a key twice": (TROLLEY + "runs: []\n", "stands twice"),
    "an exponent": (TROLLEY.replace("6 A", "1e999999 A"), "is more than 2000 A"),
    "a negative exponent": (TROLLEY.replace("6 A", "1e-999999 A"), "is zero"),
    "digits": (TROLLEY.replace("6 A", "9" * 5_000 + " A"), "too long"),
    "digits of a count": (
        TROLLEY.replace("is: fuse,", f"is: fuse panel, ways: {'9' * 5_000},"), "count of ways"
    ),
    "noughts before a count": (
        TROLLEY.replace("is: fuse,", "is: fuse panel, ways: 0001999999999,"), "count of ways"
    ),
    "a figure of another script": (TROLLEY.replace("6 A", "٦ A"), "'٦ A'"),
    "a tab": (TROLLEY.replace("  F1:", "\tF1:"), "a tab stands here"),
    "no line break": ("x" * 100_000, "made of sections"),
    "a long value": (TROLLEY.replace("Water trailer", "x" * 100_000), "longer than 80 letters"),
    "CR alone": (TROLLEY.replace("\n", "\r"), "CARRIAGE RETURN"),
    "null bytes": (TROLLEY.encode().replace(b"Water", b"W\0ter"), "null bytes"),
    "UTF-16 without its mark": (TROLLEY.encode("utf-16-le"), "not text"),
    "UTF-32": (TROLLEY.encode("utf-32"), "not text"),
    "half of a letter": (TROLLEY.encode() + b"# \xc3", "not text in UTF-8 (byte"),
    "binary": (bytes(range(256)) * 100, "not text"),
}  # fmt: skip
READ = {
    "byte order mark": TROLLEY.encode("utf-8-sig"),
    "UTF-16": TROLLEY.encode("utf-16"),
    "CRLF": TROLLEY.replace("\n", "\r\n").encode(),
    "blank lines": TROLLEY.replace("parts:\n", "\n" * 100_000 + "parts:\n").encode(),
    "a long remark": TROLLEY.encode() + b"#" + b" x" * 50_000,
    "dots at the end": TROLLEY.encode() + b"...\n",
}


def _said(content: str | bytes) -> str:
    try:
        read("t.yaml", text=content)
    except SurveyWrong as wrong:
        return "\n".join(map(str, wrong.problems))
    return ""


@pytest.mark.parametrize("name", ODD)
def test_what_would_grow_or_mislead_is_refused_in_plain_words(name: str) -> None:
    content, words = ODD[name]
    said = _said(content)
    assert words in said
    assert len(said) < 3_000 and "Traceback" not in said


@pytest.mark.parametrize("name", READ)
def test_the_same_survey_in_other_clothes_is_read(name: str) -> None:
    assert _said(READ[name]) == ""


@pytest.mark.parametrize("sign", ["\u2028", "\u2029", "\u0085", "\v", "\f"])
def test_odd_line_separators_are_told(sign: str) -> None:
    said = _said(TROLLEY.replace("Water trailer", f"Water{sign}trailer"))
    assert said.startswith("t.yaml:2:") and f"U+{ord(sign):04X}" in said


# ------------------------------------------------------------------------- in no more memory than is stated

TRIED = """
import resource, sys
from harness.model.problem import SurveyWrong
from harness.survey import read
most = 400_000_000
resource.setrlimit(resource.RLIMIT_AS, (most, most))
data = sys.stdin.buffer.read()
try:
    read(sys.argv[1], text=data)
except SurveyWrong as wrong:
    print(wrong.problems[0].what)
"""


def _nested_zip(levels: int) -> bytes:
    """Noughts packed again and again, as a picture in a workbook."""
    content = b"\0" * 1_000_000
    for _ in range(levels):
        target = io.BytesIO()
        with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as packed:
            for number in range(3):
                packed.writestr(f"{number}.zip", content)
        content = target.getvalue()
    return content


def _bomb() -> bytes:
    """A sheet that unpacks to 90 MB."""
    target = io.BytesIO(_packed("<c><v>1</v></c>"))
    with zipfile.ZipFile(target, "a", zipfile.ZIP_DEFLATED) as book:
        with book.open("XL/T.XML", "w") as part:  # names are the same whatever their capitals
            for _ in range(90):
                part.write(b" " * 1_000_000)
        book.writestr("xl/media/1.zip", _nested_zip(2))
    return target.getvalue()


def test_a_packed_sheet_is_unpacked_no_further_than_stated() -> None:
    done = subprocess.run(
        [sys.executable, "-c", TRIED, "t.xlsx"], input=_bomb(), capture_output=True, check=False
    )
    assert done.stdout.decode().strip() == "the workbook unpacks to more than 60 MB, which no survey does"
    assert done.stderr == b""
