"""Names that mean mischief come through as they are, and no input whatever gives anything but SurveyWrong."""

from __future__ import annotations

import unicodedata
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from harness.model.problem import SurveyWrong
from harness.survey import read
from tests.survey.texts import TROLLEY, changed, machine, problems, wires

ROOT = Path(__file__).parents[2]
FEW = settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow], derandomize=True)

HOSTILE = [
    "<script>alert(1)</script>".replace("(", "[").replace(")", "]").replace(">", "»").replace("/", "|"),
    "<b & 'single' \"double\"",
    "=1+1",
    "@SUM[A1]",
    "-- drop table",
    "{{ 7*7 }}",
    "${HOME} `id` $x",
    "%s %d {0} {what}",
    '\\n \\\\ \\"',
    "💡🚜 lamp",
    "👩‍🔧 switch",
    "مصباح أمامي",
    "פנס קדמי",
    "前照灯",
    "żółta lampa nº 5",
    "yes",
    "null lamp",
    "0x1F",
    "1-2",
    "#5",
    "&anchor",
    "*alias",
    "!tag",
    "? key",
    "- dash",
    "a: b",
    "[1]",
    "S1",
    "case",
]


def quoted(name: str) -> str:
    """The name as a YAML text in double quotes."""
    return '"' + name.replace("\\", "\\\\").replace('"', '\\"') + '"'


def with_part(name: str) -> str:
    """The trailer with its pump called ``name``."""
    path = quoted(f"battery + > F1 > pump switch > {name} > frame")
    return changed(
        ("  pump: {is", f"  {quoted(name)}: {{is"),
        ("      - battery + > F1 > pump switch > pump > frame", f"      - {path}"),
    )


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_part_name_comes_through_unharmed(name: str) -> None:
    found = machine(with_part(name))
    assert found.parts[name].name == name
    assert f"pump switch 2 > {name} +" in wires(found)
    assert f"{name} - > frame" in wires(found)


@pytest.mark.parametrize("name", [*HOSTILE, "a > b", "x (y), z", "up/down"])
def test_hostile_names_elsewhere(name: str) -> None:
    text = changed(
        ("  name: Water trailer", f"  name: {quoted(name)}"),
        ("  frame: {ambient", f"  {quoted(name)}: {{ambient"),
        ("zone: frame", f"zone: {quoted(name)}"),
        ("  Water pump:", f"  {quoted(name)}:"),
    )
    found = machine(text + f"notes: [{quoted(name)}]\n")
    assert (found.name, found.runs[0].zone, found.circuits[0].name, found.notes) == (
        name,
        name,
        name,
        (name,),
    )
    assert list(found.zones) == [name]


@pytest.mark.parametrize("name", [name for name in HOSTILE if name not in ("case",)])
def test_hostile_place_and_body(name: str) -> None:
    text = TROLLEY.replace("dash", quoted(name)).replace("on: frame", f"on: {quoted(name)}")
    text = text.replace(
        "      - battery + > F1 > pump switch > pump > frame", "      - battery + > F1 > pump switch > pump"
    )
    text = text.replace("      - frame > battery -", f"      - {quoted(name + ' > battery -')}")
    found = machine(text)
    assert found.runs[0].end == name
    assert list(found.bodies) == [name]


@pytest.mark.parametrize(
    ("escape", "words"),
    [
        ("a\\nb", "holds a line break or a tab"),
        ("a\\tb", "holds a line break or a tab"),
        ("a\\0b", "(U+0000)"),
        ("a\\eb", "(U+001B)"),
        ("a\\x7fb", "(U+007F)"),
        ("a\\Nb", "(U+0085)"),
        ("a\\Lb", "(U+2028)"),
        ("a\\u202eb", "(U+202E)"),
        ("a\\u2066b", "(U+2066)"),
        ("a\\ud83db", "(U+D83D)"),
        ("a\\uffffb", "(U+FFFF)"),
        ("a > b", "holds '>', which has a meaning in paths"),
        ("a (b", "holds '(', which has a meaning in paths"),
        ("a, b", "holds ',', which has a meaning in paths"),
        ("a/b", "holds '/', which has a meaning in paths"),
        ("x" * 81, "longer than 80 letters"),
        ("", "a key is missing"),
        ("   ", "a key is missing"),
    ],
)
def test_names_that_cannot_be_carried_are_refused_where_they_stand(escape: str, words: str) -> None:
    found = problems(changed(("  ground:", f'  "{escape}": {{is: lamp, at: dash}}\n  ground:')))
    assert words in found[0].what
    assert (found[0].where.line, found[0].where.column) == (14, 3)


def test_composed_and_decomposed_letters_are_the_same_name() -> None:
    text = with_part("pomp\u00e9").replace("> pomp\u00e9 >", "> pompe\u0301 >")
    assert "pump switch 2 > pomp\u00e9 +" in wires(machine(text))


def test_literal_text_of_several_lines_is_kept_in_notes() -> None:
    assert machine(TROLLEY + "notes:\n  - |\n    one\n    two\n").notes == ("one\ntwo\n",)


def refused_or_read(text: str | bytes) -> None:
    """Reading gives a machine, or SurveyWrong with problems that can be printed; nothing else will do."""
    try:
        read("test.yaml", text=text)
    except SurveyWrong as wrong:
        assert wrong.problems
        for problem in wrong.problems:
            assert problem.what and problem.fix
            assert str(problem).startswith("test.yaml")


@FEW
@given(st.binary(max_size=300))
def test_any_bytes(data: bytes) -> None:
    refused_or_read(data)


@FEW
@given(st.text(max_size=200))
def test_any_text(text: str) -> None:
    refused_or_read(text)


SAMPLES = [
    TROLLEY,
    *(path.read_text(encoding="utf-8") for path in sorted((ROOT / "samples/wrong").glob("*.yaml"))),
]
SAMPLES.append((ROOT / "samples" / "pump.yaml").read_text(encoding="utf-8"))
BITS = st.sampled_from(
    [*"{}[]:,>()/&*!|#~'\"?%@`-+<=", "\n", "\t", "  ", "- ", "---\n", "...\n", " at ", "is: ", "on: ", "<<: ",
     "ways: ", "\ufeff", "\u202e", "💡", "\r", "\x85", "9" * 50, "nan", "&a ", "*a", "[]", "{}", "case"]
)  # fmt: skip
CHANGE = st.tuples(st.floats(0, 1), st.integers(0, 30), BITS)


@FEW
@given(st.sampled_from(SAMPLES), st.lists(CHANGE, min_size=1, max_size=4))
def test_any_damaged_survey(text: str, changes: list[tuple[float, int, str]]) -> None:
    for where, length, bit in changes:
        at = int(where * len(text))
        text = text[:at] + bit + text[at + length :]
    refused_or_read(text)


@FEW
@given(st.sampled_from(SAMPLES), st.integers(1, 19))
def test_any_survey_cut_short(text: str, twentieths: int) -> None:
    refused_or_read(text[: len(text) * twentieths // 20])


WORDS = st.text(
    st.characters(categories=("L", "N", "S", "P"), exclude_characters=">(),/"), min_size=1, max_size=12
)


@FEW
@given(st.data())
def test_any_survey_that_follows_the_language_is_read(data: st.DataObject) -> None:
    """A chain of places, a battery, and lamps with any names: every lamp is one path of three wires."""
    names = data.draw(st.lists(WORDS, min_size=1, max_size=5, unique_by=str.casefold))
    lamps = list(dict.fromkeys(unicodedata.normalize("NFC", f"lamp {name}") for name in names))
    watts = data.draw(st.lists(st.integers(1, 200), min_size=len(lamps), max_size=len(lamps)))
    feet = data.draw(st.lists(st.integers(1, 60), min_size=len(lamps), max_size=len(lamps)))
    voltage = data.draw(st.sampled_from([6, 12, 24]))
    post = data.draw(st.sampled_from(["negative", "positive"]))
    spots = ["yard", *(f"spot {number}" for number in range(len(lamps)))]
    lines = [
        f"machine: {{name: Any, voltage: {voltage} V, chassis post: {post}}}",
        "zones: {z: {ambient: 40 °C}}",
        "runs:",
    ]
    lines += [
        f"  - {{from: {spots[n]}, to: {spots[n + 1]}, length: {feet[n]} ft 3 in, zone: z}}"
        for n in range(len(lamps))
    ]
    lines += [
        "parts:",
        "  battery: {is: battery, at: yard}",
        "  stud: {is: ground point, at: yard, on: frame}",
    ]
    lines += [f"  panel: {{is: fuse panel, at: yard, ways: {len(lamps)}}}"]
    lines += [
        f"  {quoted(lamp)}: {{is: lamp, at: spot {n}, power: {watts[n]} W}}" for n, lamp in enumerate(lamps)
    ]
    lines += ["circuits:", "  all:", "    paths:", "      - battery > panel"]
    lines += ["      - " + quoted(f"panel F{n + 1} > {lamp} > frame") for n, lamp in enumerate(lamps)]
    found = machine("\n".join(lines) + "\n")
    assert len(found.wires) == 1 + 2 * len(lamps)
    assert sum(run.length_m for run in found.runs) == pytest.approx(
        sum(feet) * 0.3048 + len(lamps) * 3 * 0.0254
    )
    live = "+" if post == "negative" else "-"
    for lamp, power in zip(lamps, watts, strict=True):
        load = found.parts[lamp].links[0].load
        assert load is not None
        assert load.steady_a == pytest.approx(power / voltage, abs=1e-6)
        assert found.parts[lamp].inlet == live


def test_thousands_of_mistakes_are_cut_off() -> None:
    lamps = "".join(f"  lmp {n}: {{is: lampp, at: dsh {n}, powr: 5 m}}\n" for n in range(1500))
    runs = "".join(f"  - {{from: dash, to: front {n}, lenght: 5 A, zone: z{n}}}\n" for n in range(1500))
    paths = "".join(f"      - lamp {n} > lmap {n}\n" for n in range(1500))
    found = problems(
        changed(("parts:\n", f"{runs}parts:\n{lamps}"), ("    paths:\n", f"    paths:\n{paths}"))
    )
    assert 200 <= len(found) <= 202
