"""Starts a survey: asks what the machine is, and writes the first survey of it from kits."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from harness.cli.files import CannotWrite
from harness.cli.kits import kit_named, kits_of
from harness.cli.read import tell
from harness.kits.answers import (
    CHARGING,
    ENGINES,
    STOPS,
    USUAL,
    engine_picks,
    offered,
    usual,
    usual_charging,
)
from harness.kits.form import SIZES, VOLTAGES
from harness.kits.plan import CannotPlan, Plan, Wish, plan
from harness.kits.sorts import sorts
from harness.kits.written import survey_text
from harness.model.problem import SurveyWrong
from harness.signs import file_shown
from harness.survey import read
from harness.survey.units import whole

if TYPE_CHECKING:
    from harness.kits.form import Kit, Sort

SURVEY = "survey.yaml"
WORKBOOK = "survey.xlsx"


class CannotStart(click.ClickException):
    """These answers do not go together."""

    exit_code = 2


@dataclass(frozen=True, slots=True)
class Answers:
    """What was given as options; None is asked for, or taken as usual without a terminal."""

    name: str | None = None
    voltage: str | None = None
    post: str | None = None
    machine: str | None = None
    size: str | None = None
    engine: str | None = None
    charging: str | None = None
    stop: str | None = None
    sizes: str | None = None
    kits: tuple[str, ...] = ()


def _pick(asking: bool, given: str | None, words: Mapping[str, str], usual: str, question: str) -> str:
    """One of several words: as given, asked for with what each means, or the usual one."""
    if given is not None:
        return given
    if not asking:
        return usual
    click.echo(f"\n{question}")
    width = max(map(len, words))
    for word, meaning in words.items():
        click.echo(f"  {word:<{width}}  {meaning}")
    answer: str = click.prompt(
        "Your answer", default=usual, type=click.Choice(list(words)), show_choices=False
    )
    return answer


def _ask(asking: bool, given: str | None, usual: str, question: str) -> str:
    if given is not None:
        return given
    return str(click.prompt(f"\n{question}", default=usual)) if asking else usual


def wish_of(answers: Answers, kits: Mapping[str, Kit], *, asking: bool) -> Wish:
    """Ask for what was not given; raises click.UsageError and CannotStart."""
    if asking:
        click.echo(
            "A few questions; Enter takes the answer in brackets. Nothing is final: it is a text file after."
        )
    name = _ask(asking, answers.name, "My machine", "What is the machine called?")
    known = sorts()
    sort = known[
        _pick(
            asking, answers.machine, {each.name: each.title for each in known.values()}, "dumper",
            "What sort of machine is nearest to yours? It gives the places and runs to start from.",
        )
    ]  # fmt: skip
    size = _pick(
        asking, answers.size,
        {"small": "one or two cylinders", "medium": "three or four", "large": "six, or a big machine"},
        "medium", "How large is it?",
    )  # fmt: skip
    voltage = _pick(
        asking, answers.voltage,
        {f"{each:g}": f"{each:g} V" for each in VOLTAGES if each in sort.volts}, "12",
        "System voltage: what is written on the battery, or on two of them together?",
    )  # fmt: skip
    post = _pick(
        asking, answers.post,
        {"negative": "the minus post, as nearly always", "positive": "the plus post, as on some old ones"},
        "negative",
        "Which battery post goes to the chassis? Trace the cable from the engine block; do not ask.",
    )  # fmt: skip
    engine = _pick(asking, answers.engine, ENGINES, "glow" if float(voltage) > 6 else "spark", "What engine?")
    charging = _pick(
        asking, answers.charging, CHARGING, usual_charging(float(voltage), post), "What charges the battery?"
    )
    stop = "cable"
    if engine != "spark":
        stop = _pick(asking, answers.stop, STOPS, "run", "How is the diesel stopped?")
    elif answers.stop not in (None, "cable"):
        raise click.UsageError("a spark engine is stopped by its ignition: leave --stop out")
    sizes = _pick(
        asking, answers.sizes,
        {"AWG": "gauges, by the SAE tables", "mm2": "square millimetres, by the ISO tables"}, "AWG",
        "In which sizes is wire sold where you are?",
    )  # fmt: skip
    picks = engine_picks(engine, charging, stop)
    volts = float(voltage)
    picks |= _circuits(answers.kits, kits, sort, volts, post, asking=asking)
    return Wish(name, volts, post, sizes, sort, SIZES.index(size), picks)


def _circuits(
    given: tuple[str, ...], kits: Mapping[str, Kit], sort: Sort, volts: float, post: str, *, asking: bool
) -> dict[str, str]:
    """The circuits wanted, each with its variant."""
    there = offered(kits, volts, post)
    common = usual(there, sort)
    words: Iterable[str] = given or (USUAL,)
    if asking and not given:
        click.echo("\nWhich circuits has it? These are the kits (* is usual on such a machine):")
        for at, kit in enumerate(there, 1):
            click.echo(f"  {at:>2} {'*' if kit.name in common else ' '} {kit.name}: {kit.title}")
        answer = str(
            click.prompt("Numbers or names with commas, 'none', or 'all usual' and more", default=USUAL)
        )
        words = [word.strip() for word in answer.split(",") if word.strip()]
    found: dict[str, str] = {}
    for word in words:
        if word.lower() == USUAL:
            found |= {name: found.get(name, "") for name in common}
        elif word.lower() == "all":
            found |= {kit.name: found.get(kit.name, "") for kit in there}
        elif (number := whole(word, 1, len(there))) is not None:
            found[there[number - 1].name] = ""
        elif word.lower() != "none":
            name, _, variant = word.partition("=")
            found[kit_named(name.strip(), kits).name] = variant.strip()
    return found


def started(folder: Path, answers: Answers, own: Iterable[Path], *, asking: bool) -> tuple[Plan, str]:
    """The plan and the text of a first survey. Raises CannotStart, or click.UsageError for a name."""
    kits = kits_of(own, folder)
    wish = wish_of(answers, kits, asking=asking)
    if not wish.name.strip() or not wish.name.isprintable():
        raise click.UsageError(
            "the machine's name must be one line of plain text, as: --name 'Stone crusher'"
        )
    try:
        made = plan(wish, kits)
    except CannotPlan as error:
        raise CannotStart(str(error)) from None
    text = survey_text(made, SURVEY)
    try:
        read(SURVEY, text=text)
    except SurveyWrong as wrong:  # kits of a user's own may not go together
        tell(wrong.problems, as_json=False)
        what = ", ".join(each.kit.name for each in made.chosen if each.kit.own) or "these kits"
        raise CannotStart(f"{what}: the survey made of them has the mistakes above") from None
    return made, text


def refuse_existing(folder: Path) -> None:
    """A survey that is there holds somebody's measuring; it is never written over: raises CannotWrite."""
    for path in (folder / SURVEY, folder / WORKBOOK):
        if path.exists():
            raise CannotWrite(
                f"{path} is there already and stays as it is. To add a circuit to a {SURVEY}: harness start "
                f"{folder} --add KIT. To start afresh: give another folder, or rename that file first"
            )


def as_workbook(text: str) -> bytes:
    """The survey as a workbook."""
    from harness.survey import workbook_of

    return workbook_of(text, SURVEY)


def _typed(path: Path) -> str:
    """A path as it is typed in a terminal, of whatever system: in quotes where it has blanks."""
    name = file_shown(str(path))
    return f'"{name}"' if " " in name else name


def told(made: Plan, path: Path) -> str:
    """What was written, and what comes next."""
    kits = ", ".join(each.kit.name for each in made.chosen)
    lines = [
        f"wrote {file_shown(str(path))}: "
        f"{len(made.parts) + len(made.grounds)} parts, {len(made.circuits)} circuits, "
        f"{len(made.runs)} runs, from the kits {kits}.",
        f"While the engine runs, about {made.load_a:.0f} A stay on at most.",
        "Every figure with a question mark is assumed. Next:",
        f"  harness check {_typed(path)}    what is assumed, and every slip of the pen",
        f"  harness build {_typed(path)}    sizes, drawings, lists, findings, into a folder below exports",
        "  then go to the machine with a string, open the file, and put in what you measure.",
    ]
    return "\n".join(lines)


def is_terminal() -> bool:
    """Whether somebody sits there to be asked."""
    return sys.stdin.isatty()
