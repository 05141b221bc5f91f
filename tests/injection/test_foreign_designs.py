"""A design.json that somebody wrote by hand or tampered with: refused with the place, or shown harmlessly."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from harness.book.data import plain
from harness.cli import main
from harness.comparing.differences import compare
from harness.comparing.stored import MOST_BYTES, design_of_json
from harness.comparing.words import data
from harness.model.problem import SurveyWrong
from harness.signs import json_text
from tests.docs.pages import ROOT
from tests.injection.chosen import harmless

PUMP = ROOT / "exports" / "pump" / "design.json"
PRICES = str(ROOT / "samples" / "prices-one.csv")
HOSTILE = "\x1b[31m<b>\u202e\n=1 \ud800 \x00"
WRONG: tuple[Any, ...] = (None, True, [], {}, "", HOSTILE, -1, 0, 1e11, 1e300, 10**400, [HOSTILE])
Way = tuple[str | int, ...]


@pytest.fixture(scope="module")
def whole() -> dict[str, Any]:
    found: dict[str, Any] = json.loads(PUMP.read_text(encoding="utf-8"))
    return found


def ways(value: object, way: Way = ()) -> Iterator[Way]:
    """Every way into the data, of a list that into its first entry."""
    pairs: list[tuple[str | int, object]] = []
    if isinstance(value, dict):
        pairs = list(value.items())
    elif isinstance(value, list):
        pairs = list(enumerate(value[:1]))
    for step, inner in pairs:
        yield (*way, step)
        yield from ways(inner, (*way, step))


def changed(whole: dict[str, Any], way: Way, value: object) -> bytes:
    """The design with one value put in place of another; None takes it out."""
    found = copy.copy(whole)
    here: Any = found
    for step in way[:-1]:
        here[step] = copy.copy(here[step])
        here = here[step]
    if value is None:
        del here[way[-1]]
    else:
        here[way[-1]] = value
    return json.dumps(found).encode()


def test_every_value_is_refused_by_its_name_or_told_harmlessly(whole: dict[str, Any]) -> None:
    """Each ninth place with one wrong value or another; some that are designs still are compared."""
    good = design_of_json(json.dumps(whole).encode(), "good.json")
    refused, taken = 0, []
    for at, way in enumerate(ways(whole)):
        if at % 9:
            continue
        try:
            taken.append(design_of_json(changed(whole, way, WRONG[at // 9 % len(WRONG)]), "x.json"))
        except SurveyWrong as wrong:
            (problem,) = wrong.problems
            assert str(way[0]) in problem.what or "format" in problem.what, (way, problem)
            refused += 1
    assert refused > 30 and len(taken) > 6
    for other in taken[::5]:
        harmless(json_text(plain(data(compare(good, other)))))


def written(folder: Path, content: bytes) -> str:
    (folder / "x.json").write_bytes(content)
    return str(folder / "x.json")


def run(*words: str) -> str:
    done = CliRunner().invoke(main, list(words), color=True)
    assert done.exit_code in (0, 2), done.output
    harmless(done.output)
    return done.output


@pytest.mark.parametrize("way", [
    ("wires",), ("wires", 0, "size"), ("wires", 0, "area_mm2"), ("materials", 0, "group"), ("machine",),
    ("totals",), ("buying", 0, "unit"), ("machine", "name"),
], ids=lambda way: ".".join(map(str, way)))  # fmt: skip
def test_a_quote_and_a_comparison_refuse_what_lacks_a_value(
    way: Way, whole: dict[str, Any], tmp_path: Path
) -> None:
    file = written(tmp_path, changed(whole, way, None))
    for words in (
        ("quote", file, "--prices", PRICES, "--plain", "--out", str(tmp_path / "out")),
        ("compare", file, str(PUMP)),
    ):
        assert "make it anew" in run(*words)
    assert not (tmp_path / "out").exists()


def test_hostile_texts_in_every_field_come_through_a_quote_and_a_comparison(
    whole: dict[str, Any], tmp_path: Path, blank_paper: None
) -> None:
    """Every text that is no word of a list, at once, with the hostile one behind it."""

    def marked(value: Any, way: tuple[str, ...] = ()) -> Any:
        if isinstance(value, dict):
            return {key: marked(each, (*way, key)) for key, each in value.items()}
        if isinstance(value, list):
            return [marked(each, way) for each in value]
        free = "limits" not in way and way[-1:] in (
            ("name",),
            ("place",),
            ("item",),
            ("text",),
            ("cure",),
            ("circuit",),
            ("part",),
        )
        return f"{value} {HOSTILE}" if isinstance(value, str) and free else value

    content = json.dumps(marked(whole)).encode()
    try:
        design_of_json(content, "x.json")
    except SurveyWrong as wrong:
        pytest.fail(str(wrong.problems[0]))
    file = written(tmp_path, content)
    out = str(tmp_path / "out")
    for more in ((), ("--json",)):
        run("quote", file, "--prices", PRICES, "--plain", "--out", out, *more)
        run("quote", file, "--out", out, *more)
        run("compare", file, str(PUMP), *more)
    run("compare", file, str(PUMP), "-o", str(tmp_path / "c.html"))


@pytest.mark.parametrize(
    "content",
    [
        b"", b"null", b"[]", b"{", b"\xff\xfe", b'{"format": "harness design 1"}', b"[" * 100_000,
        b'{"a":' * 50_000, b'{"format": NaN}', b'{"format": ' + b"9" * 6000 + b"}", b'"\\ud800"',
    ],
)  # fmt: skip
def test_what_is_no_design_is_refused(content: bytes, tmp_path: Path) -> None:
    file = written(tmp_path, content)
    for words in (
        ("quote", file, "--prices", PRICES), ("compare", file, file),
        ("prices", "match", file, "--prices", PRICES),
        ("diagnose", file, "--mode", "running", "--reading", "x = dead"),
    ):  # fmt: skip
        done = CliRunner().invoke(main, list(words), color=True)
        assert done.exit_code == 2, (words, done.output)
        harmless(done.output)


def test_one_that_is_too_large_is_refused_before_it_is_read(tmp_path: Path) -> None:
    file = tmp_path / "x.json"
    with file.open("wb") as stream:
        stream.truncate(max(MOST_BYTES + 1, 100 << 20))
    for words in (("quote", str(file), "--prices", PRICES), ("compare", str(file), str(PUMP))):
        assert "is larger than" in run(*words)


def test_numbers_that_are_none_and_keys_twice(whole: dict[str, Any], tmp_path: Path) -> None:
    text = json.dumps(whole)
    for word in ("NaN", "Infinity", "-Infinity", "1e999", "1" * 400):
        content = text.replace('"length_m": ', f'"length_m": {word}, "was": ', 1).encode()
        with pytest.raises(SurveyWrong):
            design_of_json(content, "x.json")
    twice = text.replace('"length_m": ', '"length_m": 1.5, "length_m": ', 1).encode()
    assert design_of_json(twice, "x.json") == design_of_json(text.encode(), "x.json")  # the last one counts
