"""A tidied survey says the same, keeps its remarks, and is not changed a second time."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings

from harness.cli import main
from harness.model.problem import SurveyWrong
from harness.survey import read
from harness.survey.tidying import tidied
from tests.properties.machines import surveys
from tests.survey.sheets.test_sheets_reading import SAMPLES, alike, sample
from tests.survey.texts import TROLLEY

FEW = settings(max_examples=10, suppress_health_check=[HealthCheck.too_slow], derandomize=True)

UNTIDY = """\
# head


parts:
  battery:    {is: battery,   at: box}   # a
  a lamp: {is: lamp, at: box, power: 5 W}
runs:
  - {from: box, to: left corner, length: 1 m}
  - {from: left corner,to: box,length: 12 m}  \r
# of the machine
machine: {name: x}
"""
TIDY = """\
# head

# of the machine
machine: {name: x}

runs:
  - {from: box,         to: left corner, length: 1 m}
  - {from: left corner, to: box,         length: 12 m}

parts:
  battery: {is: battery, at: box}   # a
  a lamp:  {is: lamp, at: box, power: 5 W}
"""


def test_an_untidy_survey_is_laid_out() -> None:
    assert tidied(UNTIDY, "a.yaml") == TIDY


@pytest.mark.parametrize("name", SAMPLES)
def test_a_sample_says_the_same_and_keeps_its_remarks(name: str) -> None:
    text = sample(name)
    made = tidied(text, name)
    assert alike(read("a.yaml", text=made)) == alike(read("a.yaml", text=text))
    remarks, kept = (
        sorted(filter(None, (line.partition("#")[2] for line in each.splitlines()))) for each in (text, made)
    )
    assert kept == remarks
    assert tidied(made, name) == made


@FEW
@given(surveys())
def test_any_survey_says_the_same_and_is_tidied_once(text: str) -> None:
    made = tidied(text, "a.yaml")
    assert alike(read("a.yaml", text=made)) == alike(read("a.yaml", text=text))
    assert tidied(made, "a.yaml") == made


@pytest.mark.parametrize(
    "text",
    [
        "notes:\n  - |\n    one  \n\n\n    two\nmachine: {name: x}\n",
        'notes: ["a  ,b"]\n',
        "zones: &z {a: {ambient: 5 °C}}\nplaces: *z\n",
        "{machine: {name: x}}\n",
        "machine: {name: x,\n  voltage: 12 V}\n",
    ],
)
def test_what_cannot_be_moved_keeps_its_meaning(text: str) -> None:
    from harness.survey.located import plain
    from harness.survey.yamltext import compose

    made = tidied(text, "a.yaml")
    assert plain(compose(made, "a")[0]) == plain(compose(text, "a")[0])
    assert tidied(made, "a.yaml") == made


def test_no_yaml_is_told() -> None:
    with pytest.raises(SurveyWrong):
        tidied("machine: {name: x\n", "a.yaml")


def test_the_command(tmp_path: Path) -> None:
    survey = tmp_path / "a.yaml"
    survey.write_text(UNTIDY, encoding="utf-8", newline="")

    def run(*call: str, given: str | None = None) -> tuple[int, str]:
        done = CliRunner().invoke(main, ["tidy", *call], input=given)
        return done.exit_code, done.output

    assert run("--check", str(survey))[0] == 1
    assert survey.read_text(encoding="utf-8") != TIDY
    assert run("-", given=UNTIDY) == (0, TIDY)
    assert run(str(survey))[0] == 0
    assert survey.read_text(encoding="utf-8") == TIDY
    assert run("--check", str(survey))[0] == 0
    survey.write_text(TROLLEY.replace("12 V", "[12 V"), encoding="utf-8")
    assert run(str(survey))[0] == 2
