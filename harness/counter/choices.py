"""The file of substitutions accepted in a quote: what is bought instead, and sizes a design leaves out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from harness.model.pricing import PriceList
from harness.model.problem import Problem, SurveyWrong, Where
from harness.survey import located
from harness.survey.csvtext import shown
from harness.survey.words import hint
from harness.survey.yamltext import compose

BOUGHT, SIZES = "bought instead", "leave out sizes"
SECTIONS = (BOUGHT, SIZES)


@dataclass(frozen=True, slots=True)
class Accepted:
    """What was accepted."""

    bought: Mapping[str, str] = field(default_factory=dict)  # material -> part number
    sizes: tuple[str, ...] = ()  # "GXL 12 AWG"


def read_choices(text: str, file: str, lists: Sequence[PriceList], sizes: Sequence[str]) -> Accepted:
    """A file of choices; ``sizes``: those that may be left out. Raises SurveyWrong with every mistake."""
    root, problems = compose(text, file, ("the file is empty", "leave --choices out, or accept an alternate"))
    if not isinstance(root, located.Mapping):
        what = "a file of choices has the sections " + ", ".join(SECTIONS)
        raise SurveyWrong(
            [*problems, Problem(Where(file, 1, 1), what, f"write {BOUGHT}: and lines below it")]
        )
    numbers = {offer.part_number for one in lists for offer in one.offers}
    bought: dict[str, str] = {}
    left: list[str] = []

    def wrong(node: located.Node, what: str, fix: str) -> None:
        problems.append(Problem(Where(file, node.spot.line, node.spot.column), what, fix))

    def text_of(node: located.Node, known: Sequence[str], what: str) -> str | None:
        if isinstance(node, located.Text) and node.value in known:
            return node.value
        word = node.value if isinstance(node, located.Text) else ""
        wrong(node, f"{shown(word)} is no {what}", hint(word, sorted(known)))
        return None

    for name, entry in root.entries.items():
        if name == BOUGHT and isinstance(entry.value, located.Mapping):
            for key, line in entry.value.entries.items():
                number = text_of(line.value, tuple(numbers), "part number of these lists")
                if number is not None:
                    bought[key] = number
        elif name == SIZES and isinstance(entry.value, located.Sequence):
            for item in entry.value.items:
                size = text_of(item, sizes, "size of these machines' cable")
                if size is not None:
                    left.append(size)
        elif name not in SECTIONS:
            wrong(entry.key, f"a file of choices has no section {shown(name)}", hint(name, SECTIONS))
        elif not (isinstance(entry.value, located.Text) and entry.value.value in ("", "{}", "[]")):
            wrong(entry.value, f"{name!r} is not written as it should be", "see `harness guide quote`")
    if problems:
        raise SurveyWrong(problems)
    return Accepted(bought, tuple(dict.fromkeys(left)))
