"""Whether a survey asks for more of anything than is designed; told before any work is done on it."""

from __future__ import annotations

from harness.model.limits import LIMITS
from harness.model.problem import Problem, SurveyWrong
from harness.survey.located import Mapping, Node, Sequence

MOST = {section: LIMITS[section].most for section in ("zones", "modes", "runs", "parts", "circuits")}
FIX = "make two machines of it, each with a survey of its own"


def bar_too_many(root: Node, file: str, known: list[Problem]) -> None:
    """Raises SurveyWrong where a section has more entries than is stated, at the first one too many."""
    problems = []
    for section in MOST:
        entry = root.entries.get(section) if isinstance(root, Mapping) else None
        node, most = entry.value if entry is not None else None, MOST[section]
        spots = []
        if isinstance(node, Mapping) and len(node.entries) > most:
            spots = [each.key.spot for each in node.entries.values()]
        elif isinstance(node, Sequence) and len(node.items) > most:
            spots = [each.spot for each in node.items]
        if spots:
            what = f"{section!r} holds {len(spots):,}, at most {LIMITS[section]} are designed: one too many"
            problems.append(Problem(spots[most].where(file), what, FIX))
    if problems:
        raise SurveyWrong([*known, *problems])
