"""Where something stands in a survey, and what is wrong with it there."""

from __future__ import annotations

from dataclasses import dataclass

from harness.model.limits import LIMITS

LONGEST = LIMITS["message letters"].most


@dataclass(frozen=True, slots=True, order=True)
class Where:
    """A spot in a survey: a line and column of a text file, or a cell of a workbook."""

    file: str
    line: int = 0
    column: int = 0
    cell: str = ""  # "Parts!C14" in a workbook, else empty
    sheet: int = 0  # place of that sheet in its workbook

    def __str__(self) -> str:
        if self.cell:
            return f"{self.file}: {self.cell}"
        return f"{self.file}:{self.line}:{self.column}" if self.line else self.file


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One mistake in a survey: the spot, what is wrong there, and what would be right."""

    where: Where
    what: str
    fix: str

    def __str__(self) -> str:
        return f"{self.where}: {self.what}\n    fix: {self.fix}"


def _in_order(problem: Problem) -> tuple[str, int, Problem]:
    """By file, sheet, then line or row."""
    return problem.where.file, problem.where.sheet, problem


def _short(problem: Problem) -> Problem:
    """The same without the middle of what nobody would read to its end: a value of a million letters."""
    what, fix = (
        said if len(said) <= LONGEST else f"{said[: LONGEST // 2]} ... {said[-LONGEST // 2 :]}"
        for said in (problem.what, problem.fix)
    )
    return problem if (what, fix) == (problem.what, problem.fix) else Problem(problem.where, what, fix)


class SurveyWrong(Exception):
    """The survey cannot be designed from; carries every problem found, in the order they stand."""

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = sorted({_short(problem) for problem in problems}, key=_in_order)
        super().__init__(f"{len(self.problems)} problems in the survey")


MOST_PROBLEMS = LIMITS["mistakes told"].most


def stop_when_many(file: str, problems: list[Problem]) -> None:
    """Raises SurveyWrong when there are so many problems that the rest can wait."""
    if len(problems) >= MOST_PROBLEMS:
        more = f"these are the first {MOST_PROBLEMS} problems; there may be more"
        raise SurveyWrong([Problem(Where(file), more, "mend these and look again"), *problems])
