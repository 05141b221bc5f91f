"""What a kit and a sort of machine are once they have been read: plain values, no behaviour."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from harness.model.problem import Where

VOLTAGES = (6.0, 12.0, 24.0)  # what `harness start` offers
SIZES = ("small", "medium", "large")  # of a machine
POSTS = ("negative", "positive")


@dataclass(frozen=True, slots=True)
class Figure:
    """One value of a part: by the machine's volts, and for each by its size; or the least that is enough."""

    by_volts: Mapping[float, tuple[str, ...]]  # one text, or one for each of SIZES
    least_of: bool = False  # the texts are ratings, and the smallest that does is taken


@dataclass(frozen=True, slots=True)
class KitPart:
    """A part as a kit describes it."""

    name: str
    kind: str
    place: str
    body: str  # "" when its case carries no current
    figures: Mapping[str, Figure]  # survey key -> value
    shared: bool  # other kits name the same part
    where: Where


@dataclass(frozen=True, slots=True)
class KitPath:
    """A path that still holds the words of kits: ``key feed``, ``ground``."""

    text: str
    where: Where  # where its first word stands


@dataclass(frozen=True, slots=True)
class KitCircuit:
    """A circuit of a kit."""

    name: str
    works_in: tuple[str, ...]
    drop: str
    paths: tuple[KitPath, ...]
    where: Where


@dataclass(frozen=True, slots=True)
class NewPlace:
    """A place that only this kit knows: how to reach it from one that every machine has."""

    name: str
    near: str
    length: str
    zone: str  # "" for that of the place it is near
    what: str  # what it is, for the person who measures


@dataclass(frozen=True, slots=True)
class Content:
    """Parts, circuits and words: what a kit and each of its variants hold."""

    parts: tuple[KitPart, ...] = ()
    circuits: tuple[KitCircuit, ...] = ()
    needs: tuple[str, ...] = ()
    measure: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    figures: tuple[str, ...] = ()  # where the figures come from
    notes: tuple[str, ...] = ()  # for the survey's own notes
    places: tuple[NewPlace, ...] = ()


@dataclass(frozen=True, slots=True)
class Variant:
    """One way a kit is made."""

    name: str
    title: str
    volts: tuple[float, ...]  # where it is usual
    posts: tuple[str, ...]
    content: Content
    where: Where


@dataclass(frozen=True, slots=True)
class Kit:
    """A circuit as the trade usually makes it."""

    name: str
    title: str
    purpose: str
    order: int
    usual_on: tuple[str, ...]  # sorts of machine
    volts: tuple[float, ...]
    posts: tuple[str, ...]
    content: Content
    variants: tuple[Variant, ...]
    where: Where
    own: bool = False  # the user's

    def suits(self, volts: float, post: str) -> bool:
        """Whether the kit, in one variant at least, is usual at these volts and this post."""
        if volts not in self.volts or post not in self.posts:
            return False
        return not self.variants or bool(self.variants_for(volts, post))

    def variants_for(self, volts: float, post: str) -> list[Variant]:
        """The variants that are usual at these volts and this post."""
        return [each for each in self.variants if volts in each.volts and post in each.posts]


@dataclass(frozen=True, slots=True)
class SortRun:
    """A run of the skeleton, with its length by size of machine."""

    start: str
    end: str
    lengths: tuple[str, str, str]
    zone: str
    hinge: bool = False


@dataclass(frozen=True, slots=True)
class Strap:
    """A strap between two bodies, and the places it lands at."""

    start: str
    start_place: str
    end: str
    end_place: str


@dataclass(frozen=True, slots=True)
class Sort:
    """A sort of machine: the skeleton that a survey starts from."""

    name: str
    title: str
    order: int
    volts: tuple[float, ...]
    zones: Mapping[str, str]  # zone -> its values, as they are written
    bodies: Mapping[str, str]  # body -> a word on it
    place_bodies: Mapping[str, str]  # place -> body
    place_words: Mapping[str, str]
    instead: Mapping[str, str]  # a place that kits ask for -> what this machine has for it
    runs: tuple[SortRun, ...]
    straps: tuple[Strap, ...]
    choices: Mapping[str, str] = field(default_factory=dict)  # kit -> variant that is usual on it
