"""The record and the survey as built, used as an owner would from the command line."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner, Result
from openpyxl import load_workbook

from harness.cli import clock, main
from harness.record.store import Record, record_folder
from harness.survey import read, workbook_of

SURVEY = """\
# a trailer behind the yard's roller
machine: {name: Trailer, voltage: 12 V, chassis post: negative, revision: B}
zones: {deck: {ambient: 40 °C}}
runs:
  - {from: box, to: tail, length: 2 m, zone: deck}   # with a string
parts:
  battery: {is: battery, at: box, capacity: 70 Ah, cranking: 540 A}
  lamp fuse: {is: fuse, at: box}
  left lamp: {is: work lamp, at: tail, power: 55 W}   # cracked glass
  ground: {is: ground point, at: tail, on: frame}
  box ground: {is: ground point, at: box, on: frame}
circuits:
  Work lights:
    paths: ["battery + > lamp fuse > left lamp > frame", "frame > battery -"]
"""
NASTY = "a\u202eb \x1b[2J\x07 \x9b \x85 <script>alert(1)</script>\n  second\tline \u2028 end"


class Owner:
    """Somebody who types commands beside a survey."""

    def __init__(self, folder: Path) -> None:
        self.survey = folder / "trailer.yaml"
        self.survey.write_text(SURVEY, encoding="utf-8")
        self.folder = folder

    def __call__(self, *words: str, code: int = 0, given: str | bytes = "") -> Result:
        result = CliRunner().invoke(main, [*words], input=given)
        assert result.exit_code == code, result.output
        assert not set(result.output) & set("\x1b\x07\x9b\x85\u202e\u2028")
        return result

    def add(self, kind: str, *words: str, code: int = 0, given: str = "") -> Result:
        return self("record", "add", str(self.survey), kind, *words, code=code, given=given)

    def change(self, *words: str, code: int = 0) -> Result:
        return self("record", "change", str(self.survey), *words, code=code)

    def show(self, *words: str) -> str:
        return self("record", "show", str(self.survey), *words).stdout

    def as_built(self, *words: str, code: int = 0) -> Result:
        return self("as-built", str(self.survey), *words, code=code)

    @property
    def record(self) -> Record:
        return Record.open(record_folder(self.survey))


@pytest.fixture
def owner(tmp_path: Path) -> Owner:
    return Owner(tmp_path)


def test_an_owner_keeps_and_finds_entries(owner: Owner) -> None:
    photo = owner.folder / "Left Lamp.JPG"
    photo.write_bytes(b"x" * 1500)
    said = owner.add(
        "repair", "--subject", "LEFT lamp", "--text", "new bulb\nold one black", "--hours", "4210.5 h",
        "--by", "J", "--when", "2025-03-01", "--attach", str(photo), "--detail", "fitted = 55 W, clear",
    ).stdout  # fmt: skip
    assert said.splitlines() == [
        "kept: 1  2025-03-01  repair  left lamp  4210.5 h  by J",
        "    new bulb",
        "    old one black",
        "    fitted: 55 W, clear",
        f"    attachments/{owner.record.entries().entries[0].attachments[0].file} (Left Lamp.JPG, 2 kB)",
    ]
    owner.add("hours", "--hours", "4300")
    owner.add("note", "--text", "hums when cold")
    shown = owner.show()
    assert [line[0] for line in shown.splitlines() if line and line[0].isdigit()] == ["3", "2", "1"]
    assert [line[0] for line in owner.show("--in-order").splitlines() if line and line[0].isdigit()] == [
        "1",
        "2",
        "3",
    ]
    assert owner.show("--kind", "repair") == said.removeprefix("kept: ")
    assert owner.show("--subject", "Left lamp") == said.removeprefix("kept: ")
    assert owner.show("--kind", "Repair") == said.removeprefix("kept: ")
    assert "new bulb" not in owner.show("--since", "2025-03-02")
    assert "new bulb" in owner.show("--since", "2025-03-01")
    found = owner("record", "search", str(owner.survey), "BULB", "clear").stdout
    assert found == said.removeprefix("kept: ")
    held = json.loads(owner.show("--json"))
    assert [entry["number"] for entry in held["entries"]] == [3, 2, 1]
    assert held["damaged"] == []
    assert "whole: 3 lines" in owner("record", "verify", str(owner.survey)).stdout
    assert owner("record", "show", str(owner.record.folder)).stdout == shown  # the folder alone will do
    owner.survey.unlink()
    assert owner.show() == shown


def test_subjects_are_those_of_the_machine_with_the_nearest_word(owner: Owner) -> None:
    assert (
        "did you mean 'left lamp'" in owner.add("note", "--text", "x", "--subject", "lef lamp", code=2).output
    )
    assert not owner.record.folder.exists()
    for subject, kept in (
        ("work lights", "Work lights"), ("frame", "frame"), ("tail", "tail"), ("battery +", "battery +"),
        ("wire 1", "wire 1"), ("LAMP FUSE", "lamp fuse"),
    ):  # fmt: skip
        owner.add("note", "--text", "x", "--subject", subject)
        assert owner.record.entries().entries[-1].subject == kept
    owner.add("note", "--text", "leaks", "--subject", "radiator", "--other")
    owner.change("--set", "parts.horn = {is: horn, at: tail}", "--text", "not wired yet")
    owner.add("note", "--text", "too quiet", "--subject", "Horn")  # of the machine as it is today
    assert owner.record.entries().entries[-1].subject == "horn"
    result = owner("record", "show", str(owner.survey), "--subject", "radiatr")
    assert "did you mean 'radiator'" in result.stderr


def test_what_is_typed_wrong_is_told_and_nothing_is_kept(owner: Owner) -> None:
    for words, said in (
        (("repare", "--text", "x"), "did you mean 'repair'"),
        (("repair",), "say its text"),
        (("replaced", "--text", "x"), "say its subject"),
        (("photo",), "say its attachment"),
        (("hours",), "say its hours"),
        (("note", "--text", "x", "--when", "yesterday"), "write it as 2026-11-26"),
        (("note", "--text", "x", "--hours", "many"), "write it as 4210.5"),
        (("note", "--text", "x", "--attach", "none.jpg"), "no such file"),
        (("note", "--text", "x", "--detail", "fitted"), "name = value"),
        (("note", "--text", "x", "--set", "parts.a = b"), "belong to a change"),
    ):
        assert said in owner.add(*words, code=2).output
    assert not (owner.record.folder / "record.jsonl").exists()
    assert (
        "no such file"
        in owner("record", "add", str(owner.folder / "trailr.yaml"), "note", "--text", "x", code=3).output
    )
    assert "no such file" in owner("record", "show", str(owner.folder / "trailr.yaml"), code=3).output
    assert "standard input" in owner("record", "show", "-", code=2).output
    assert "nothing to check" in owner("record", "verify", str(owner.survey), code=3).output
    assert "nothing is kept yet" in owner("record", "show", str(owner.survey)).stderr


def test_hostile_texts_go_through_every_path(owner: Owner) -> None:
    path = owner.folder / "a\u202e<b>\x1b[31m.jpg"
    path.write_bytes(b"x")
    owner.add(
        "note", "--text", NASTY, "--subject", NASTY, "--other", "--by", NASTY, "--attach", str(path),
        "--detail", f"{NASTY} = {NASTY}",
    )  # fmt: skip
    owner.show()
    assert json.loads(owner.show("--json"))["entries"][0]["text"] == NASTY
    owner("record", "search", str(owner.survey), "second", "\x1b[2J")
    owner("record", "search", str(owner.survey), NASTY, "nowhere")
    owner("record", "show", str(owner.survey), "--subject", NASTY + "x", "--kind", NASTY)
    owner("record", "verify", str(owner.survey))
    owner("record", "verify", str(owner.survey), "--json")
    owner.change("--set", f"parts.left lamp.notes = {NASTY}", "--text", NASTY, code=2)
    owner.change("--set", f"{NASTY} = 5", "--text", NASTY, code=2)
    owner.add("note", "--attach", str(path) + "gone", code=2)
    with owner.record.file.open("ab") as stream:
        stream.write(NASTY.encode())
    assert "line 2" in owner("record", "show", str(owner.survey)).stderr
    owner("record", "verify", str(owner.survey), code=1)


def test_a_note_of_a_megabyte_comes_by_standard_input(owner: Owner) -> None:
    owner.add("note", "--text", "-", given="long " * 200_000)
    assert len(owner.record.entries().entries[0].text) == 1_000_000
    assert "attach the long text" in owner.add("note", "--text", "-", given="x" * 3_000_000, code=2).output


def test_a_clock_that_went_back_is_said(owner: Owner, monkeypatch: pytest.MonkeyPatch) -> None:
    moment = datetime(2026, 11, 26, 12, 0, tzinfo=UTC)
    monkeypatch.setattr(clock, "now", lambda: moment)
    owner.add("hours", "--hours", "4300")
    monkeypatch.setattr(clock, "now", lambda: moment - timedelta(days=20000))
    said = owner.add("hours", "--hours", "4200", "--when", "2026-11-27").stderr
    assert "the clock of this computer" in said
    assert "showed 4300 h at entry 1 already" in said
    assert "lies ahead of the computer's clock" in said
    assert [entry.number for entry in owner.record.entries()] == [1, 2]
    assert "clock" in owner("record", "verify", str(owner.survey)).stdout


def test_a_broken_record_is_told_with_what_is_still_good(owner: Owner) -> None:
    for text in ("one", "two", "three", "four"):
        owner.add("note", "--text", text)
    lines = owner.record.file.read_text(encoding="utf-8").replace('"text": "two"', '"text": "2"')
    owner.record.file.write_text(lines, encoding="utf-8")
    said = owner("record", "verify", str(owner.survey), code=1).stdout
    assert "broken: line 2: was altered" in said
    assert "still good: lines 1, 3 to 4 of 4." in said
    assert "altered after it was written" in owner.show()


# ------------------------------------------------------------------------------------------------- as built


def test_a_change_is_in_the_survey_as_built_and_the_rest_of_its_text_stays(owner: Owner) -> None:
    owner.add("note", "--text", "first of all")
    said = owner.change(
        "--set", "parts.left lamp.power = 70 W", "--set", "runs.tail to box.length = 2.4 m",
        "--text", "brighter", "--when", "2026-11-20",
    ).stdout  # fmt: skip
    assert "parts.left lamp.power: 55 W -> 70 W" in said
    out = owner.folder / "today.yaml"
    said = owner.as_built("-o", str(out)).stdout
    assert "1 change made, revision B.2, 2026-11-20" in said
    assert out.read_text(encoding="utf-8") == (
        SURVEY.replace("revision: B", 'revision: "B.2, 2026-11-20"')
        .replace("55 W", "70 W")
        .replace("2 m,", "2.4 m,")
    )
    assert owner.survey.read_text(encoding="utf-8") == SURVEY
    assert read(out).revision == "B.2, 2026-11-20"
    assert owner.as_built().stdout == out.read_text(encoding="utf-8")
    assert owner.as_built("--at", "1").stdout == SURVEY
    assert owner.as_built("--at", "2026-11-19").stdout == SURVEY
    assert owner.as_built("--at", "2026-11-20").stdout == out.read_text(encoding="utf-8")
    assert "neither the number" in owner.as_built("--at", "soon", code=2).output
    assert "nor a day" in owner.as_built("--at", "2026-02-31", code=2).output
    assert "is there already" in owner.as_built("-o", str(out), code=2).output
    owner.as_built("-o", str(out), "--force")
    assert "is read by this command" in owner.as_built("-o", str(owner.survey), "--force", code=2).output


def test_the_revision_of_the_state_stands_on_the_drawings(owner: Owner) -> None:
    owner.change("--set", "parts.left lamp.power = 70 W", "--text", "brighter", "--when", "2026-11-20")
    out = owner.folder / "today.yaml"
    owner.as_built("-o", str(out))
    owner("draw", str(out), "circuit", "-o", str(owner.folder / "tracks.svg"))
    drawn = ElementTree.parse(owner.folder / "tracks.svg").getroot()
    assert "revisionB.1,2026-11-20" in "".join("".join(drawn.itertext()).split())


def test_a_change_that_makes_the_survey_wrong_is_refused_with_the_reader_s_words(owner: Owner) -> None:
    for change, said in (
        ("parts.left lamp.power = 70", "has no unit"),
        ("parts.left lamp.pwer = 70 W", "did you mean 'power'"),
        ("parts.lamp fuse =", "there is no part or body 'lamp fuse'"),
        ("prts.horn = {is: horn}", "did you mean 'parts'"),
        ("runs.+ = {from: tail, to: nose}", "does not say"),
    ):
        result = owner.change("--set", change, "--text", "x", code=2)
        assert said in result.output
        assert "nothing was written" in result.output
    assert not owner.record.folder.exists()


def test_a_change_by_an_edited_copy(owner: Owner, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock, "now", lambda: datetime(2026, 3, 1, 23, 30, tzinfo=UTC))
    copied = owner.folder / "copy.yaml"
    edited = SURVEY.replace("power: 55 W", "power: 60 W").replace(
        "  ground:", "  right lamp: {is: work lamp, at: tail, power: 60 W}\n  ground:"
    ).replace("> left lamp >", "> (left lamp, right lamp) >")  # fmt: skip
    copied.write_text(edited, encoding="utf-8")
    said = owner.change("--edited", str(copied), "--text", "a second lamp").stdout
    assert "parts.right lamp: new: {is: work lamp, at: tail, power: 60 W}" in said
    assert owner.as_built().stdout == edited.replace("revision: B", 'revision: "B.1, 2026-03-01"')
    owner.as_built("-o", str(owner.folder / "today.yaml"))
    assert (
        "nothing differs"
        in owner.change("--edited", str(owner.folder / "today.yaml"), "--text", "x", code=2).output
    )
    copied.write_text(edited.replace("60 W", "60"), encoding="utf-8")
    wrong = owner.change("--edited", str(copied), "--text", "x", code=2).output
    assert f"{copied}:9:" in wrong
    copied.write_text("[", encoding="utf-8")
    owner.change("--edited", str(copied), "--text", "x", code=2)


def test_a_workbook_has_a_record_and_is_as_built_too(owner: Owner) -> None:
    book = owner.folder / "yard.xlsx"
    book.write_bytes(workbook_of(SURVEY))
    owner(
        "record",
        "change",
        str(book),
        "--set",
        "parts.left lamp.power = 60 W",
        "--text",
        "x",
        "--when",
        "2026-11-20",
    )
    assert (owner.folder / "yard-record" / "record.jsonl").is_file()
    assert 'revision: "B.1, 2026-11-20"' in owner("as-built", str(book)).stdout
    today = owner.folder / "today.xlsx"
    owner("as-built", str(book), "-o", str(today))
    assert read(today).revision == "B.1, 2026-11-20"
    edited = load_workbook(today)
    edited.save(owner.folder / "edited.xlsx")
    owner("record", "change", str(book), "--edited", str(owner.folder / "edited.xlsx"), "--text", "x", code=2)


def test_where_the_survey_went_on_by_itself_that_is_told_and_notes_are_still_kept(owner: Owner) -> None:
    owner.change("--set", "parts.left lamp.power = 70 W", "--text", "brighter")
    owner.survey.write_text(SURVEY.replace("55 W", "21 W"), encoding="utf-8")
    result = owner.as_built(code=1)
    assert "the survey says 21 W now and said 55 W" in result.stderr
    assert "power: 70 W" in result.stdout
    owner.survey.write_text(SURVEY.replace("left lamp", "lamp of the left"), encoding="utf-8")
    assert "nothing is changed there" in owner.as_built(code=1).stderr
    owner.add("note", "--text", "x", "--subject", "lamp of the left")


def test_what_somebody_else_kept_at_the_same_moment_is_told(
    owner: Owner, monkeypatch: pytest.MonkeyPatch
) -> None:
    moment = datetime(2026, 11, 26, 12, 0, tzinfo=UTC)

    def now() -> datetime:
        monkeypatch.setattr(clock, "now", lambda: moment)
        owner.record.append("note", "by the other one", written=moment)
        return moment

    monkeypatch.setattr(clock, "now", now)
    said = owner.change("--set", "parts.left lamp.power = 70 W", "--text", "brighter").stderr
    assert "at the same moment" in said
    assert [entry.text for entry in owner.record.entries()] == ["by the other one", "brighter"]
    assert (
        "at the same moment"
        not in owner.change("--set", "parts.left lamp.power = 60 W", "--text", "x").stderr
    )


HOSTILE_EDITS: list[Any] = [
    {"at": ["machine"], "old": None, "new": "gone"},
    {"at": ["machine", "revision"], "old": "B", "new": "C\u202e\x1b[2J\n- x"},
    {"at": ["machine", "name"], "old": "Trailer", "new": "x: {y}\n# z"},
    {"at": ["parts", NASTY], "old": None, "new": {"is": "lamp", "at": NASTY}},
    {"at": ["parts", "left lamp", "notes"], "old": None, "new": "'}, {\"# : x", "after": "nowhere"},
    {"at": ["parts"], "old": {}, "new": []},
    {"at": ["runs"], "old": None, "new": {"from": {"a": ["b"]}}, "item": 10**12},
    {"at": ["circuits", "Work lights", "paths"], "old": "frame > battery -", "new": "> > (((", "item": 2},
    {"at": ["circuits", "Work lights", "paths", "deeper", "still"], "old": None, "new": "x"},
    {"at": [""] * 15, "old": None, "new": "x"},
    {"at": ["machine", "catalogue"], "old": None, "new": "../../etc/passwd"},
    {"at": ["x"], "old": None, "new": "y" * 1_500_000},
    {"at": ["runs"], "old": "no such", "new": None, "item": 1},
    "nonsense",
]


@pytest.mark.parametrize("edit", HOSTILE_EDITS, ids=range(len(HOSTILE_EDITS)))
def test_a_record_of_a_stranger_does_no_harm(edit: Any, owner: Owner) -> None:
    """Its changes are made, told as impossible, or refused in the reader's words; no more than that."""
    owner.record.append("change", "x", {"edits": [edit]}, written=datetime(2026, 11, 26, tzinfo=UTC))
    out = owner.folder / "today.yaml"
    result = CliRunner().invoke(main, ["as-built", str(owner.survey), "-o", str(out)])
    assert result.exit_code in (0, 1, 2), result.output
    assert not set(result.output) & set("\x1b\x07\x9b\u202e")
    if result.exit_code == 2:
        assert not out.exists()
    else:
        read(out)
    owner.show()
    owner.add("note", "--text", "x", "--subject", "left lamp")
