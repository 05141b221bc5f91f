"""Every survey in samples/wrong gives its error at the line and column counted by hand in an editor."""

from __future__ import annotations

from pathlib import Path

import pytest

from harness.model.problem import SurveyWrong
from harness.survey import read

WRONG = Path(__file__).parents[2] / "samples" / "wrong"

# file -> (line, column, words of the complaint, words of the cure); counted by hand, the first column is 1
EXPECTED: dict[str, list[tuple[int, int, str, str]]] = {
    "absurd": [(9, 43, "'10 km' is more than 200 m", "for example 1.15 m")],
    "absurd-lamp": [(14, 48, "'5000 A' is more than 2000 A", "check the figure and its unit")],
    "allowance": [
        (18, 9, "'60' has no unit", "for example 50 mm"),
        (19, 3, "section 'allowances' has no key 'drip lop'", "did you mean 'drip loop'?"),
        (20, 17, "'twice' is not a count of times", "a whole number from 0 to 9"),
        (21, 10, "'3 m' is more than 2 m", "check the figure"),
    ],
    "catalogue-elsewhere": [(6, 14, "'../shop.yaml' is not a catalogue beside", "such as my-items.yaml")],
    "colon-in-text": [(3, 22, "a colon stands here where none can", "put the text in quotes")],
    "comma-in-braces": [
        (9, 43, "'1' has no unit", "for example 1.15 m"),
        (9, 45, "has no key '2 m'", "a comma in braces parts entries"),
    ],
    "dead-short": [(20, 17, "battery + straight to body frame is a dead short", "'battery -'")],
    "duplicate-part": [(15, 3, "'F1' stands twice: here and at line 12", "another name")],
    "duplicate-run": [(10, 12, "stands twice: here and at line 9", "a name of its own")],
    "ends-of-new-wire": [(22, 36, "'ends' is said of a wire that is made new", "write keep: yes")],
    "edge": [
        (9, 12, "lies against 2 m of edge but is 1.2 m long", "how much of the run touches"),
        (10, 66, "'long' is not a length of an edge", "for example 0.3 m"),
    ],
    "empty-quantity": [(9, 35, "the run length is missing", "for example 1.15 m")],
    "hot": [(7, 20, "'900 °C' is more than 200 °C", "check the figure")],
    "indentation": [(12, 4, "does not line up", "indent it exactly as far as its neighbours")],
    "kept-without-size": [(22, 3, "a kept cable does not say its size", "size: 2/0 AWG")],
    "key-of-another-kind": [(13, 39, "'power' means nothing for a switch", "a switch takes: ")],
    "laughing-aliases": [(7, 5, "the survey grows beyond 150,000 entries", "written out")],
    "missing-quantity": [(9, 5, "run 1 does not say 'length'", "length: 1.15 m")],
    "misspelt-body": [(19, 47, "no part or body 'farme'", "did you mean 'frame'?")],
    "misspelt-kind": [(14, 14, "'eletric pump' is no kind of part", "did you mean 'electric pump'?")],
    "misspelt-metal": [(11, 18, "'aluminim' is not one of the words", "did you mean 'aluminium'?")],
    "misspelt-mode": [(18, 15, "there is no mode 'nigth work'", "did you mean 'night work'?")],
    "misspelt-part": [(19, 26, "no part or body 'pump swich'", "did you mean 'pump switch'?")],
    "misspelt-place": [(13, 33, "no run leads to a place 'dahs'", "did you mean 'dash'?")],
    "misspelt-terminal": [(19, 40, "'pump switch' has no terminal '3'", "known are: 1, 2")],
    "misspelt-via": [
        (19, 13, "no place or run 'battery box - dahs'", "did you mean 'battery box - dash'?"),
        (24, 27, "no place or run 'rigth rail'", "did you mean 'right rail'?"),
    ],
    "misspelt-zone": [(9, 56, "there is no zone 'frmae'", "did you mean 'frame'?")],
    "name-with-sign": [
        (13, 3, "holds '>', which has a meaning in paths", "leave the sign out"),
        (19, 26, "no part or body 'pump switch'", "did you mean 'pump'?"),
    ],
    "negative": [(9, 43, "'-1.2 m' is negative", "for example 1.15 m")],
    "no-ground-point": [(21, 9, "no ground point on 'frame' takes this wire", "is: ground point")],
    "no-such-wire": [(22, 3, "no path has the wire 'F1 > pump'", "did you mean")],
    "no-unit": [(14, 48, "'6' has no unit", "for example 4.5 A")],
    "no-way-left": [
        (26, 27, "'right rail' stands under via and under avoid", "leave it out of one"),
        (27, 45, "without 'mast' no way is left for the wire pump switch 2 > pump +", "round it"),
        (28, 37, "without 'battery box - dash' no way is left for the wire pump - > frame", "round it"),
    ],
    "no-way-through": [(19, 38, "no way inside 'pump switch' from 15 to 50", "30/15, 30/50")],
    "old-wires": [
        (23, 29, "no run leads to a place 'tnak'", "did you mean 'tank'?"),
        (24, 38, "there is no run 'dash - tenk'", "did you mean 'dash - tank'?"),
        (25, 45, "do not lead one after the other from 'battery box' to 'tank'", "in their order"),
        (26, 36, "'mauve' is not a wire colour", "BU/WH"),
        (26, 57, "'perhaps' is not one of the words", "yes, no"),
        (27, 5, "old wire 6 does not say 'to'", "the place it ends at"),
        (28, 24, "'pump' has no terminal 'plus'", "known are: +, -"),
        (28, 41, "'14' has no unit", "write the wire size as 14 AWG"),
        (28, 51, "'maybe' is not one of the words", "yes, no"),
        (29, 12, "no run leads to a place 'pmp +'", "did you mean 'pump'?"),
    ],
    "one-resistance": [(14, 69, "'240 ohm' does not say two resistances", "240 to 33 ohm, empty to full")],
    "open-parenthesis": [(19, 26, "this parenthesis is never closed", "close it")],
    "open-quote": [(3, 9, "a quote is opened here and never closed", "close the quote")],
    "recursive-alias": [(18, 25, "'*pump' stands inside '&pump' itself", "write it out")],
    "run-to-nowhere": [(10, 22, "this run leads nowhere: nothing sits at 'rear rigth'", "leave the run out")],
    "spares": [
        (22, 3, "section 'spares' has no key 'terminal'", "did you mean 'terminals'?"),
        (23, 9, "'10 m' is a length where a share belongs", "10 % at least 2"),
        (24, 11, "'plenty'", "10 % at least 2"),
        (25, 10, "'5000' is more than 1000 pieces", "check the figure"),
        (26, 10, "'ten' does not say for how many wires", "write 1 in 10, or none"),
        (27, 14, "'14'", "write the wire size as 14 AWG"),
        (29, 12, "no run leads to a place 'dahs'", "did you mean 'dash'?"),
        (30, 5, "spare wire 2 does not say 'from'", "write the place it starts at"),
        (31, 22, "a spare wire leads from 'dash' back to itself", "write the place it ends at"),
        (32, 42, "'0' is not a count of wires", "write count: 2"),
    ],
    "supports": [
        (6, 17, "'10 m' is more than 1.22 m", "check the figure"),
        (11, 75, "'2 m' is more than 0.61 m", "check the figure"),
        (12, 68, "'glued' is not one of the words", "yes, no, true, false, thin, adhesive"),
    ],
    "tab": [(12, 1, "a tab stands here", "replace the tab with spaces")],
    "two-machines": [(21, 1, "a second machine starts here", "a file of its own")],
    "two-ways-to-read": [(9, 43, "'1,200 m' can be read two ways", "1200 if the comma parts thousands")],
    "unknown-alias": [(3, 9, "'*Water' stands for something named '&Water'", "in quotes")],
    "unknown-key": [(14, 39, "part 'pump' has no key 'curent'", "did you mean 'current'?")],
    "unknown-section": [(6, 1, "a survey has no section 'zoness'", "did you mean 'zones'?")],
    "unreachable": [(15, 33, "no runs lead from 'tank' to 'dash'", "measure a run that joins 'tank'")],
    "wrong-kind-of-unit": [(14, 48, "'6 m' is a length where a current belongs", "for example 4.5 A")],
    "zero": [(14, 48, "current '0 A' is zero", "for example 4.5 A")],
    "everything": [
        (4, 12, "'13 V' is not the voltage of a machine's system", "6, 12, 24"),
        (5, 17, "'negativ' is not one of the words for this", "did you mean 'negative'?"),
        (7, 25, "'900 °C' is more than 200 °C", "check the figure"),
        (8, 11, "zone 'frame' has no key 'ambeint'", "did you mean 'ambient'?"),
        (10, 43, "'1.2 A' is a current where a run length belongs", "1.15 m"),
        (11, 37, "'2 ft 3' has no unit", "1.15 m"),
        (11, 51, "there is no zone 'fraem'", "did you mean 'frame'?"),
        (12, 5, "run 3 does not say 'length'", "length: 1.15 m"),
        (14, 17, "'batery' is no kind of part", "did you mean 'battery'?"),
        (15, 43, "'-15 A' is negative", "15 A"),
        (16, 29, "no run leads to a place 'dahs'", "did you mean 'dash'?"),
        (17, 44, "part 'lamp' says both power and current", "leave one of them out"),
        (18, 34, "'ways' means nothing for a beacon", "a beacon takes"),
        (19, 3, "'F1' stands twice: here and at line 15", "another name"),
        (20, 3, "does not say which metal it is on", "write on:"),
        (23, 15, "there is no mode 'nite work'", "did you mean 'night work'?"),
        (24, 11, "'3 A' is a current where a voltage drop belongs", "0.4 V"),
        (26, 33, "'key' has no terminal '16'", "30, 15, 50"),
        (27, 14, "there is no part or body 'lmap'", "did you mean 'lamp'?"),
        (28, 14, "this parenthesis is never closed", "close it"),
        (30, 13, "'BU/XX' is not a wire colour", "BU/WH"),
        (31, 15, "'becon' is no function of a circuit", "did you mean 'beacon'?"),
        (32, 12, "circuit 'Beacon' has no paths", "write one"),
        (34, 3, "a kept cable does not say its size", "2/0 AWG"),
    ],
}


def test_every_wrong_sample_has_its_errors_listed_here() -> None:
    assert {path.stem for path in WRONG.glob("*.yaml")} == set(EXPECTED)


@pytest.mark.parametrize("name", sorted(EXPECTED))
def test_wrong_sample(name: str) -> None:
    path = WRONG / f"{name}.yaml"
    with pytest.raises(SurveyWrong) as caught:
        read(path)
    found = caught.value.problems
    assert [(each.where.line, each.where.column) for each in found] == [each[:2] for each in EXPECTED[name]]
    for problem, (line, column, what, fix) in zip(found, EXPECTED[name], strict=True):
        assert what in problem.what
        assert fix in problem.fix
        assert str(problem).startswith(f"{path}:{line}:{column}: ")


def test_a_way_that_does_not_lead_there_is_told_at_its_line_though_an_old_wire_before_it_was_lost() -> None:
    text = (WRONG.parent / "pump.yaml").read_text(encoding="utf-8")
    text += (
        "old wires:\n"
        "  - {from: battery tray}\n"
        "  - {from: battery tray, to: box, through: [engine block - alternator]}\n"
    )
    with pytest.raises(SurveyWrong) as caught:
        read("pump.yaml", text=text)
    last = text.count("\n")
    assert [(one.where.line, one.where.column) for one in caught.value.problems][1:] == [(last, 45)]
