"""How many batteries stand in a row between chassis and live side, told by what joins their posts."""

from __future__ import annotations

from collections.abc import Hashable, Iterable

from harness.joined import Joined

PASSES = ("fuse", "stud")  # roles of parts that join posts as a wire does; an isolator does too


def passes(role: str, kind: str) -> bool:
    """Whether a part between two posts joins them: fuse, stud, or an isolator in the link."""
    return role in PASSES or kind == "isolator"


def row_lengths(batteries: Iterable[str], joins: Iterable[tuple[Hashable, Hashable]]) -> dict[str, int]:
    """Battery -> how many are in the longest row it stands in; 1 for one by itself.

    ``joins``: points that metal joins, posts as ("part", battery, "+"), metal of the chassis left out. Rows
    side by side, tied wherever, stay as long as each is.
    """
    names = list(batteries)
    joined = Joined[Hashable]()
    for a, b in joins:
        joined.join(a, b)

    def top(name: str, sign: str) -> Hashable:
        return joined.top(("part", name, sign))

    def reaches(start: str, mine: str, theirs: str) -> int:
        """Batteries from one on, each of whose posts of one sign is tied to the next one's other."""
        level, seen = [start], {start}
        length = 0
        while level:
            length += 1
            ends = {top(name, mine) for name in level}
            level = [name for name in names if name not in seen and top(name, theirs) in ends]
            seen.update(level)
        return length

    return {name: reaches(name, "-", "+") + reaches(name, "+", "-") - 1 for name in names}
