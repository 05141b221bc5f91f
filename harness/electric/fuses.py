"""The rating of every fuse: large enough for its load and its inrush, in a form that is sold."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from harness.electric.currents import ModeSolution
from harness.electric.graph import Edge
from harness.electric.guards import FuseKey, Guards
from harness.model.machine import Link
from harness.tables import load

CONTINUOUS_SHARE = (
    0.8  # load over rating, most fuse types (trade page, read); 0.75 at 25 °C is the strict one
)
NO_BLOW_PERCENT = 100  # a fuse carries its rating
HOT_OVER_COLD = 1.45  # resistance at rated current over the cold value, fuse_practice (read-from-secondary)
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


def ratings_of(form: str) -> list[float]:
    """Ratings sold in a form for which its time-current band is known, rising [A]; [] for an unknown form."""
    rows = load("standard_fuse_ratings").rows
    sold = sorted(float(row["rating_a"]) for row in rows if row["form"] == form)
    return [rating for rating in sold if band(form, rating)]


def band(form: str, rating_a: float) -> list[dict[str, str]]:
    """Rows of a fuse's time-current band; [] when none is published. Source: fuse_time_current."""
    return [
        row
        for row in load("fuse_time_current").rows
        if row["form"] == form and float(row["rating_from_A"]) <= rating_a <= float(row["rating_to_A"])
    ]


def holds(form: str, *, rating_a: float, current_a: float, seconds_s: float) -> bool:
    """Whether a fuse surely carries a short current: read at the next higher row of its band.

    Source: fuse_time_current (blade rows of ISO 8820-3, memory); a percentage above the band does not hold.
    """
    percent = 100 * current_a / rating_a
    if percent <= NO_BLOW_PERCENT:
        return True
    above = sorted((float(row["current_percent"]), row["time_min_s"]) for row in band(form, rating_a))
    for limit, least in above:
        if percent <= limit:
            return bool(least) and float(least) >= seconds_s
    return False


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


def body_colour(form: str, rating_a: float) -> str:
    """Colour of a fuse's body by its rating; "" where there is no code. Source: fuse_colours."""
    for row in load("fuse_colours").rows:
        if row["form"] == form and float(row["fuse_rating_A"]) == rating_a:
            return row["colour"]
    return ""


def fuse_loads(solutions: Iterable[ModeSolution]) -> dict[FuseKey, FuseLoad]:
    """Worst steady and short currents of every fuse over all modes."""
    steady: dict[FuseKey, float] = {}
    short: dict[FuseKey, set[Spell]] = {}
    for solution in solutions:
        spells = [load.load.steady_s for load in solution.activity.loads if load.load.steady_s is not None]
        keys = [edge.key for edge in solution.activity.conducting if edge.kind == "fuse"]
        for case in solution.cases:
            for key in keys:
                assert isinstance(key, tuple)
                amps = abs(case.edge_a[key])
                if case.what in ("continuous", "charging"):
                    steady[key] = max(steady.get(key, 0.0), amps)
                elif case.what == "steady" or case.peak is not None:
                    seconds = case.peak.load.peak_s or 0.0 if case.peak else max(spells, default=0.0)
                    short.setdefault(key, set()).add((amps, seconds))
    return {key: _fuse_load(amps, short.get(key, set())) for key, amps in steady.items()}


def _fuse_load(steady_a: float, spells: set[Spell]) -> FuseLoad:
    """Every spell that no other outdoes in both current and time, and the one that heats most (I²t)."""
    kept = sorted(
        one
        for one in spells
        if not any(other != one and other[0] >= one[0] and other[1] >= one[1] for other in spells)
    )
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


def _pick(tries: list[tuple[str, float]], wanted_a: float, load_: FuseLoad) -> tuple[str, float]:
    """The first that carries load and inrush; failing that the load alone; failing that the largest."""
    able = [(form, rating) for form, rating in tries if rating >= wanted_a - 1e-9]
    for form, rating in able:
        if all(holds(form, rating_a=rating, current_a=amps, seconds_s=time) for amps, time in load_.spells):
            return form, rating
    return able[0] if able else max(tries, key=lambda one: one[1])


def _rate(edge: Edge, load_: FuseLoad, above_a: float, in_panel: bool) -> Rating:
    assert edge.link is not None and isinstance(edge.key, tuple)
    link = edge.link
    least = load_.steady_a / CONTINUOUS_SHARE
    tries = _candidates(link.form or "blade", in_panel)
    if link.rating_a is not None:
        form, rating, fixed = link.form or "blade", link.rating_a, True
    elif not tries:  # a breaker or fusible link has no list of ratings here
        form, rating, fixed = link.form or "blade", _round_up(max(least, above_a)), False
    else:
        (form, rating), fixed = _pick(tries, max(least, above_a), load_), False
    words = f"{load_.steady_a:.2f} A / {CONTINUOUS_SHARE:g} = {least:.2f} A"
    for amps, seconds in load_.spells:
        if amps > load_.steady_a * 1.001:
            words += f"; must carry {amps:.1f} A for {seconds:g} s"
    if above_a > least:
        words += f"; above the {above_a / ABOVE:g} A behind it"
    return Rating(edge.key, link, load_, least, rating, form, fixed, words)


def _round_up(amps: float) -> float:
    """The next multiple of 5 A."""
    return max(5.0, -(-amps // 5) * 5.0)


def rate_fuses(
    ways: Iterable[Edge], loads: Mapping[FuseKey, FuseLoad], found: Guards
) -> dict[FuseKey, Rating]:
    """Rate every fuse, those nearest the loads first so that the ones before them can stand above.

    Source: load / 0.8 <= rating (fuse_practice, read); inrush by fuse_time_current; a fuse stands above
    those behind it so that the nearest one opens (common practice).
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
    ratings: dict[FuseKey, Rating] = {}
    for _ in range(len(edges) + 1):
        before = {key: rating.rating_a for key, rating in ratings.items()}
        for key, edge in edges.items():
            below = [
                ratings[other].rating_a
                for other in sorted(behind.get(key, ()))
                if other in ratings and other != key
            ]
            above = ABOVE * max(below, default=0.0)
            ratings[key] = _rate(edge, loads.get(key, FuseLoad(0.0, 0.0, 0.0)), above, ways_of[key[0]] > 1)
        if before == {key: rating.rating_a for key, rating in ratings.items()}:
            break
    return ratings
