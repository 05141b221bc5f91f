"""What a name in a path means: a body, or a part and the terminals it is reached by."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from harness.model.machine import Body, End, Link
from harness.survey.ledger import Ledger
from harness.survey.located import Spot, canonical
from harness.survey.parts import Draft
from harness.survey.paths import Ref
from harness.survey.words import did_you_mean, hint, likeness, listed, nearest

_ARROW = re.compile(r"\s*[-=–—]$")  # what is left of -> once > is read as the sign it is
_AND = re.compile(r"\s+(?:\+|&|/|and)\s+", re.IGNORECASE)

At = Callable[[int], Spot]  # where a letter of the name stands, counted from its first


@dataclass(frozen=True, slots=True)
class Stop:
    """One name of a path, resolved: where a wire arrives, where the next one leaves, and the way between."""

    arrives: End
    leaves: End
    through: tuple[str, str] | None  # terminals of the link between the two, None when they are the same
    bare: bool  # the part was named without a terminal
    single: bool  # exactly one terminal was named
    spot: Spot


class Names:
    """Resolves names of parts, terminals and bodies, complaining of those it cannot."""

    def __init__(self, drafts: Mapping[str, Draft], bodies: Mapping[str, Body], ledger: Ledger) -> None:
        self._drafts = drafts
        self._bodies = bodies
        self._ledger = ledger

    def stop(self, ref: Ref, at: At, *, passed: bool, first: bool) -> Stop | None:
        """Resolve one name; None when it cannot be, or when its part was lost to an earlier problem.

        ``passed``: a wire arrives and another leaves, so a bare part must have a way through.
        """
        text = canonical(ref.text)
        if text in self._bodies:
            end = End("body", text)
            return Stop(end, end, None, False, False, at(0))
        words = text.split(" ")
        for count in range(len(words), 0, -1):
            name = " ".join(words[:count])
            if name in self._drafts:
                return self._part(self._drafts[name], " ".join(words[count:]), at, passed, first)
            if self._ledger.damage.lost("parts", name) or self._ledger.damage.lost("bodies", name):
                return None
        self._unknown(text, words, at(0))
        return None

    def _unknown(self, text: str, words: list[str], spot: Spot) -> None:
        near = self._near(words)
        if near is None and "bodies" in self._ledger.damage.sections:
            return  # it may be a body that could not be read
        fix = did_you_mean(text, near) if near else "add it to the parts; a body needs a ground point on it"
        self._ledger.say(spot, f"there is no part or body {text!r}", self._sign(text) or fix)

    def _near(self, words: list[str]) -> str | None:
        """What was meant: the part or body most like the name, or like its first words before a terminal."""
        known = [*self._drafts, *self._bodies]
        best, found, other = 0.0, None, None
        for count in range(len(words), 0, -1):
            name, rest = " ".join(words[:count]), " ".join(words[count:])
            near = nearest(name, known)
            if near is None:
                continue
            draft = self._drafts.get(near)
            if rest and (draft is None or not all(_named(draft, each) for each in rest.split("/"))):
                other = other or near
            elif likeness(name, near) > best:
                best, found = likeness(name, near), f"{near} {rest}".rstrip()
        return found or other

    def _sign(self, text: str) -> str | None:
        """The cure where a sign of another habit stands between names that are known by themselves."""
        if _ARROW.search(text) and self._known(_ARROW.split(text)[0]):
            return "write > alone between two names, with no other sign"
        names = _AND.split(text)
        if len(names) > 1 and all(map(self._known, names)):
            return f"write a branch in brackets: ({', '.join(names)})"
        return None

    def _known(self, text: str) -> bool:
        """Whether a name is that of a body or of a part, its terminals behind it or not."""
        words = text.split(" ")
        return text in self._bodies or any(
            " ".join(words[:count]) in self._drafts for count in range(len(words), 0, -1)
        )

    def _part(self, draft: Draft, rest: str, at: At, passed: bool, first: bool) -> Stop | None:
        part = draft.part
        if not rest:
            return self._bare(draft, at(0), passed)
        if "/" in rest:
            return self._through(draft, rest, at)
        whole = f"{part.name} {rest}"
        if _named(draft, rest) is None:  # only then is a near name sought: that looks through all there are
            near = nearest(whole, [*self._drafts, *self._bodies])
            if near != part.name or self._sign(whole):
                self._unknown(whole, whole.split(" "), at(0))
                return None
        terminal = self._terminal(draft, rest, at(len(part.name) + 1))
        if terminal is None:
            return None
        end = End("part", part.name, terminal)
        if draft.kind.way is not None and terminal != part.inlet and (passed or first):
            bus = End("part", part.name, part.inlet)
            return Stop(bus, end, (part.inlet, terminal), False, False, at(0))
        return Stop(end, end, None, False, True, at(0))

    def _bare(self, draft: Draft, spot: Spot, passed: bool) -> Stop | None:
        part = draft.part
        way = _link_between(part.links, part.inlet, part.outlet)
        if passed and way is None and part.inlet != part.outlet:
            self._ledger.say(
                spot,
                f"the path does not say which way it goes through {part.name!r}",
                _ways_hint(draft) or f"name one of its terminals: {', '.join(_terminals(draft))}",
            )
            return None
        through = (part.inlet, part.outlet) if way is not None else None
        arrives, leaves = End("part", part.name, part.inlet), End("part", part.name, part.outlet)
        return Stop(arrives, leaves, through, True, False, spot)

    def _through(self, draft: Draft, rest: str, at: At) -> Stop | None:
        part = draft.part
        start = len(part.name) + 1
        if rest.count("/") != 1:
            self._ledger.say(
                at(start), f"{rest!r} is not a way through a part", "write two terminals, as 30/87"
            )
            return None
        left, right = rest.split("/")
        a = self._terminal(draft, left.strip(), at(start))
        b = self._terminal(draft, right.strip(), at(start + len(left) + 1))
        if a is None or b is None:
            return None
        if _link_between(part.links, a, b) is None:
            self._ledger.say(
                at(start),
                f"there is no way inside {part.name!r} from {a} to {b}",
                _ways_hint(draft) or "it has none",
            )
            return None
        return Stop(End("part", part.name, a), End("part", part.name, b), (a, b), False, False, at(0))

    def _terminal(self, draft: Draft, name: str, spot: Spot) -> str | None:
        found = _named(draft, name)
        if found is not None:
            return found
        known = _terminals(draft)
        if draft.kind.way is not None and len(known) == len(draft.kind.terminals):
            return None  # its ways could not be read, which has been said
        what = f"{draft.part.name!r} has no terminal {name!r}"
        self._ledger.say(spot, what, hint(name, known) if len(name) > 1 else f"known are: {listed(known)}")
        return None


def _terminals(draft: Draft) -> list[str]:
    return [each.name for each in draft.part.terminals]


def _named(draft: Draft, name: str) -> str | None:
    """The terminal of that name, capitals aside where only one is meant."""
    known = _terminals(draft)
    if name in known:
        return name
    alike = [each for each in known if each.lower() == name.lower()]
    return alike[0] if len(alike) == 1 else None


def _link_between(links: tuple[Link, ...], a: str, b: str) -> Link | None:
    return next((link for link in links if {link.a, link.b} == {a, b}), None)


def _ways_hint(draft: Draft) -> str:
    ways = [link.name for link in draft.part.links if link.kind != "source"]
    return f"its ways are: {listed(ways)}" if ways else ""
