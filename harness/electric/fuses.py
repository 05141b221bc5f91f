"""The rating of every fuse: large enough for its load and its inrush, in a form that is sold."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from harness.electric import links
from harness.electric.bands import Continuous, continuous, holds, opens_for_certain, ratings_of, slow_points
from harness.electric.currents import ModeSolution
from harness.electric.graph import Edge
from harness.electric.guards import FuseKey, Guards, rings
from harness.electric.ruleset import Size
from harness.model.machine import Link, Machine
from harness.tables import load

HOT_OVER_COLD = 1.45  # resistance at rated current over the cold value, fuse_practice (read-from-secondary)
OVERLOAD_RATIO = 1.45  # IEC 60364-4-43 433.1: I2 <= 1.45 Iz (memory)
HOT_COPPER = 1.25  # copper at about 85 °C over 20 °C (AC 43.13-1B 11-66d, read)
COLD_DROP_V = 0.055  # cold volts at rating beyond the resistance table, from its largest row (calculated)
FORMS = ("blade", "large blade", "bolt-in 30 mm", "bolt-in 51 mm")  # in the order they are reached for
ABOVE = 1.001  # a fuse stands at least one rating above those behind it
BLADE_MOST_A = 30.0  # 35 and 40 A blades exist; the large form runs cooler there (common practice)


Spell = tuple[float, float]  # current [A], seconds


@dataclass(frozen=True, slots=True)
class FuseLoad:
    """What a fuse has to carry: its worst steady current, and every spell it must outlast."""

    steady_a: float
    short_a: float  # of the spell that heats most
    short_s: float
    spells: tuple[Spell, ...] = ()


@dataclass(frozen=True, slots=True)
class Rating:
    """The fuse chosen for one place."""

    key: FuseKey
    link: Link
    load: FuseLoad
    least_a: float
    rating_a: float
    form: str
    fixed: bool
    formula: str
    share: Continuous  # of its rating, carried for ever where it sits
    ambient_c: float  # of that place
    size: Size | None = None  # of a fusible link

    @property
    def asks_a(self) -> float:
        """Ampacity that it asks of every wire behind it [A].

        Its rating, and its conventional fusing current over 1.45: IEC 60364-4-43 433.1 (memory).
        """
        sure = opens_for_certain(self.form, self.rating_a)
        return self.rating_a * max(1.0, sure.percent / 100 / OVERLOAD_RATIO if sure else 1.0)

    @property
    def slow(self) -> tuple[tuple[float, float], ...]:
        """Currents [A] it may pass for longer than a short lasts, and how long [s]."""
        return slow_points(self.form, self.rating_a)

    @property
    def ohm(self) -> float:
        """Its resistance at rated current, holder not counted [ohm]; a link's warm copper."""
        if self.size is not None:
            return self.size.r20_ohm_per_m * links.length_m() * HOT_COPPER
        return fuse_ohm(self.form, self.rating_a)

    @property
    def cold_ohm(self) -> float:
        """Its resistance before it has warmed up [ohm]."""
        return self.ohm / (HOT_COPPER if self.size is not None else HOT_OVER_COLD)


def fuse_ohm(form: str, rating_a: float) -> float:
    """Resistance of a fuse at its rated current, holder not counted [ohm].

    Source: fuse_cold_resistance (read-from-secondary), times the hot ratio; other ratings by the volts of
    its largest row (calculated).
    """
    series = "large blade" if form == "large blade" else "blade"
    for row in load("fuse_cold_resistance").rows:
        if row["form"] == series and float(row["fuse_rating_A"]) == rating_a:
            return float(row["cold_resistance_typ_mohm"]) / 1000 * HOT_OVER_COLD
    return COLD_DROP_V / rating_a * HOT_OVER_COLD


def fuse_loads(solutions: Iterable[ModeSolution]) -> dict[FuseKey, FuseLoad]:
    """Worst steady and short currents of every fuse over all modes."""
    steady: dict[FuseKey, float] = {}
    short: dict[FuseKey, set[Spell]] = {}
    for solution in solutions:
        spells = [load.load.steady_s for load in solution.activity.loads if load.load.steady_s is not None]
        keys = [edge.key for edge in solution.activity.conducting if edge.kind == "fuse"]
        fuses_ = set(keys)
        # A fuse has no rest to cool down to, so what comes again and again counts as if it stayed on.
        again = {
            f"spell {one.part} {one.link}" for one in solution.activity.loads if one.load.off_s is not None
        }
        for case in solution.cases:
            for key in keys if case.changed_a is None else fuses_.intersection(case.changed_a):
                assert isinstance(key, tuple)
                amps = abs(case.edge_a[key])
                if case.what in ("continuous", "charging") or case.what in again:
                    steady[key] = max(steady.get(key, 0.0), amps)
                elif case.what == "steady" or case.peak is not None:
                    seconds = case.peak.load.peak_s or 0.0 if case.peak else max(spells, default=0.0)
                    short.setdefault(key, set()).add((amps, seconds))
    return {key: _fuse_load(amps, short.get(key, set())) for key, amps in steady.items()}


def _fuse_load(steady_a: float, spells: set[Spell]) -> FuseLoad:
    """Every spell that no other outdoes in both current and time, and the one that heats most (I²t)."""
    kept: list[Spell] = []
    for amps, seconds in sorted(spells, reverse=True):
        if not kept or seconds > kept[-1][1]:
            kept.append((amps, seconds))
    kept.reverse()
    worst = max(kept, key=lambda spell: (spell[0] ** 2 * spell[1], spell[0]), default=(steady_a, 0.0))
    return FuseLoad(steady_a, *worst, tuple(kept))


def _candidates(own: str, in_panel: bool) -> list[tuple[str, float]]:
    """Forms and ratings to try, in the order they are reached for; a panel's way takes its own form only."""
    if own not in FORMS or in_panel:
        return [(own, rating) for rating in ratings_of(own)]
    forms = FORMS[FORMS.index(own) :]
    return [
        (form, rating)
        for form in forms
        for rating in ratings_of(form)
        if form != "blade" or rating <= BLADE_MOST_A
    ]


def _pick(
    tries: list[tuple[str, float]], load_: FuseLoad, above_a: float, ambient_c: float
) -> tuple[str, float]:
    """The first that carries load and inrush; failing that the load alone; failing that the largest."""

    def wanted_a(form: str) -> float:
        return max(load_.steady_a / continuous(form, ambient_c).share, above_a)

    able = [(form, rating) for form, rating in tries if rating >= wanted_a(form) - 1e-9]
    for form, rating in able:
        if all(holds(form, rating_a=rating, current_a=amps, seconds_s=time) for amps, time in load_.spells):
            return form, rating
    return able[0] if able else max(tries, key=lambda one: one[1])


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a fuse sits, and what it has to do there."""

    load: FuseLoad
    above_a: float  # what those behind it ask of it
    in_panel: bool
    ambient_c: float
    rules: str  # name of the machine's rule set


def _rate(edge: Edge, at: _Place) -> Rating:
    assert edge.link is not None and isinstance(edge.key, tuple)
    link = edge.link
    own = link.form or "blade"
    if own == links.LINK:
        return _rate_link(edge.key, link, at)
    tries = _candidates(own, at.in_panel)
    if link.rating_a is not None:
        form, rating = own, link.rating_a
    elif not tries:
        form, rating = own, _round_up(max(at.load.steady_a / continuous(own, at.ambient_c).share, at.above_a))
    else:
        form, rating = _pick(tries, at.load, at.above_a, at.ambient_c)
    share = continuous(form, at.ambient_c)
    least = at.load.steady_a / share.share
    words = f"{at.load.steady_a:.2f} A / {share.share:.3g} = {least:.2f} A"
    if share.words != f"{share.share:g}":
        words = f"{at.load.steady_a:.2f} A / ({share.words}) = {least:.2f} A"
    return Rating(
        edge.key, link, at.load, least, rating, form, link.rating_a is not None,
        words + _more_words(at, least), share, at.ambient_c,
    )  # fmt: skip


def _more_words(at: _Place, least_a: float) -> str:
    words = ""
    for amps, seconds in at.load.spells:
        if amps > at.load.steady_a * 1.001:
            words += f"; must carry {amps:.1f} A for {seconds:g} s"
    if at.above_a > least_a:
        words += f"; above the {at.above_a / ABOVE:g} A behind it"
    return words


def _rate_link(key: FuseKey, link: Link, at: _Place) -> Rating:
    """The thinnest link that carries its load, outlasts its inrush and stands above the fuses behind it."""
    sizes = links.link_sizes(at.rules)
    carries = [links.carries_a(size, at.rules, ambient_c=at.ambient_c) for size in sizes]
    wanted = link.rating_a or max(at.load.steady_a, at.above_a)
    able = [
        (size, amps)
        for size, amps in zip(sizes, carries, strict=True)
        if amps >= wanted - 1e-9
        and all(
            links.link_holds(size.area_mm2, current_a=amp, seconds_s=time) for amp, time in at.load.spells
        )
    ]
    size, amps = able[0] if able else (sizes[-1], carries[-1])
    words = (
        f"{size.label} carries {amps:.2f} A at {at.ambient_c:g} °C against {at.load.steady_a:.2f} A;"
        f" {links.gauges_below()} gauge numbers thinner than the thinnest cable behind it,"
        f" {links.length_m() * 1000:.0f} mm long"
    )
    return Rating(
        key, link, at.load, at.load.steady_a, link.rating_a or amps, links.LINK, link.rating_a is not None,
        words + _more_words(at, at.load.steady_a), continuous(links.LINK, at.ambient_c), at.ambient_c, size,
    )  # fmt: skip


def _round_up(amps: float) -> float:
    """The next multiple of 5 A."""
    return max(5.0, -(-amps // 5) * 5.0)


def rate_fuses(
    machine: Machine, ways: Iterable[Edge], loads: Mapping[FuseKey, FuseLoad], found: Guards
) -> dict[FuseKey, Rating]:
    """Rate every fuse, those nearest the loads first so that the ones before them can stand above.

    Source: load / continuous share <= rating (fuse_continuous_share); inrush by fuse_time_current; a fuse
    stands above those behind it so that the nearest one opens (common practice); of a ring none does.
    """
    ways = tuple(ways)
    wired = {end for edge in ways if edge.kind == "wire" for end in (edge.a, edge.b)}
    edges = {
        edge.key: edge
        for edge in ways
        if edge.kind == "fuse" and isinstance(edge.key, tuple) and edge.b in wired
    }  # nothing wired behind it: a spare way, which gets no fuse
    ways_of = Counter(edge.key[0] for edge in ways if edge.kind == "fuse" and isinstance(edge.key, tuple))
    behind: dict[object, set[FuseKey]] = {}
    for fuse, nearest in found.before.items():
        for one in nearest:
            behind.setdefault(one, set()).add(fuse)
    ring = rings(found.before)
    below = {key: sorted(one for one in behind.get(key, ()) if ring[one] != ring[key]) for key in edges}
    ratings: dict[FuseKey, Rating] = {}
    todo = list(edges)
    for _ in range(len(edges) + 1):
        before = {key: rating.rating_a for key, rating in ratings.items()}
        for key in todo:
            under = (ratings[other].rating_a for other in below[key] if other in ratings)
            place = _Place(
                loads.get(key, FuseLoad(0.0, 0.0, 0.0)), ABOVE * max(under, default=0.0),
                ways_of[key[0]] > 1, _ambient_c(machine, key[0]), machine.rules,
            )  # fmt: skip
            ratings[key] = _rate(edges[key], place)
        moved = {key for key, rating in ratings.items() if before.get(key) != rating.rating_a}
        todo = [key for key in edges if moved.intersection(below[key])]
        if not todo:
            break
    return {key: ratings[key] for key in edges}


def _ambient_c(machine: Machine, part: str) -> float:
    """How hot it is where a fuse sits [°C]."""
    return machine.zones[machine.place_zones[machine.parts[part].place]].ambient_c
