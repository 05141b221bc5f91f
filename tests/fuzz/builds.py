"""Designs a great many made-up machines and makes every output of each; tells what broke.

    python -m tests.fuzz.builds COUNT [SEED]

Half of the machines are kits picked at random, half are drawn by the grammar of ``tests/properties``; in some
of them figures are then changed at random, as by a slip of the pen. What broke is written to
``tests/fuzz/broken/`` as a survey to be built by hand. The print is made of each 25th: it takes longest.
"""

from __future__ import annotations

import gc
import json
import random
import re
import sys
import traceback
import warnings
import xml.etree.ElementTree as ET
import zipfile
from io import BytesIO
from pathlib import Path

from harness.kits.answers import usual_charging
from harness.kits.plan import CannotPlan, Wish, plan
from harness.kits.shelf import built_in
from harness.kits.sorts import sorts
from harness.kits.written import survey_text
from harness.making.outputs import DRAWINGS, OUTPUTS, OutputFailed, output
from harness.model.problem import SurveyWrong
from harness.pipeline import design
from harness.survey import read
from tests.fuzz.targets import hold

BROKEN = Path(__file__).parent / "broken"
PRINTED = 25
NUMBER = re.compile(r"(?<=[ {\"])\d+(?:\.\d+)?(?= (?:m|mm|A|W|V|Ah|°C)\b)")


def of_kits(chance: random.Random) -> str:
    """A survey out of kits picked at random. Raises CannotPlan."""
    kits = built_in()
    volts, post = chance.choice(
        ((6.0, "positive"), (12.0, "negative"), (12.0, "positive"), (24.0, "negative"))
    )
    fitting = [kit for kit in kits.values() if kit.suits(volts, post)]
    picks = {"starting": "", "charging": usual_charging(volts, post)}
    for kit in chance.sample(fitting, chance.randint(1, len(fitting))):
        variants = [each.name for each in kit.variants_for(volts, post)]
        picks[kit.name] = chance.choice(["", *variants])
    sort = chance.choice(list(sorts().values()))
    wish = Wish("Fuzzed", volts, post, chance.choice(("AWG", "mm2")), sort, chance.randrange(3), picks)
    return survey_text(plan(wish, kits), "survey.yaml")


def of_grammar(chance: random.Random) -> str:
    """A survey drawn by one of the grammars of the property tests: the one of shapes, or the one of words."""
    from hypothesis import HealthCheck, Phase, given, seed, settings

    from tests.properties.machines import surveys
    from tests.properties.wide import wide_survey

    if chance.random() < 0.5:
        return wide_survey(chance.randrange(2**32))
    drawn: list[str] = []

    @seed(chance.randrange(2**32))
    @settings(max_examples=3, database=None, phases=[Phase.generate], suppress_health_check=list(HealthCheck))
    @given(surveys())
    def take(text: str) -> None:
        drawn.append(text)

    take()
    return drawn[-1]


def slipped(text: str, chance: random.Random) -> str:
    """The survey with a few figures changed: tens, tenths, noughts, or anything."""

    def other(found: re.Match[str]) -> str:
        if chance.random() > 0.05:
            return found[0]
        value = float(found[0])
        return f"{chance.choice((value * 10, value / 10, value * chance.uniform(0.2, 5.0))):.4f}"

    return NUMBER.sub(other, text)


def built(text: str, *, printed: bool) -> None:
    """Design a survey, make every output, and read each back. Raises what is wrong."""
    made = design(read("survey.yaml", text=text))
    files: dict[str, bytes] = {}
    for name in OUTPUTS:
        if name.endswith(".pdf") and not printed:
            continue
        try:
            files[name] = output(name, made, files)
        except OutputFailed as error:
            raise AssertionError(f"{name}: {error}") from error
    for name in DRAWINGS:
        ET.fromstring(files[name])
    json.loads(files["design.json"])
    with zipfile.ZipFile(BytesIO(files["harness.xlsx"])) as package:
        assert package.testzip() is None
    assert files["book.html"].rstrip().endswith(b"</html>")


def main() -> None:
    """Design them; exit code 1 where anything broke."""
    count = int(sys.argv[1])
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    warnings.simplefilter("error")
    gc.disable()  # as a command does
    good = refused = broken = 0
    for at in range(first, first + count):
        chance = random.Random(at)
        text = ""
        try:
            text = of_kits(chance) if at % 2 else of_grammar(chance)
            if chance.random() < 0.5:
                text = slipped(text, chance)
            built(text, printed=at % PRINTED == 0)
            good += 1
        except CannotPlan:
            refused += 1
        except SurveyWrong as wrong:
            hold(wrong.problems)
            refused += 1
        except Exception:
            broken += 1
            BROKEN.mkdir(exist_ok=True)
            (BROKEN / f"{at}.yaml").write_text(text, encoding="utf-8")
            print(f"{at}: {traceback.format_exc().strip().splitlines()[-1]}", flush=True)
        if at % 50 == 49:
            gc.collect()
            print(f"{at + 1 - first} machines: {good} built, {refused} refused, {broken} broke", flush=True)
    print(f"{count} machines: {good} built, {refused} refused, {broken} broke")
    raise SystemExit(1 if broken else 0)


if __name__ == "__main__":
    main()
