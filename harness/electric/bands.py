"""What a form of fuse does: ratings sold, how long it holds, when it has opened, what it breaks."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from math import inf

from harness.tables import load

NO_BLOW_PERCENT = 100  # a fuse carries its rating
SHORT_S = 5.0  # k of IEC 60364-5-54 holds for short circuits up to so long (memory)
STEPS_BETWEEN = 4  # into how many the line between two rows is cut
LEAST_SHARE = 0.1  # no zone is so hot that nothing is left; keeps a wrong ambient from dividing by nothing


@dataclass(frozen=True, slots=True)
class BandRow:
    """One row of a time-current band: at this share of the rating it holds, and is open by then."""

    percent: float
    least_s: float | None  # holds at least so long
    most_s: float | None  # is open by then


@dataclass(frozen=True, slots=True)
class Continuous:
    """The share of its rating that a form carries for as long as it likes, where it sits."""

    share: float
    words: str  # with the numbers in it
    source: str


@dataclass(frozen=True, slots=True)
class Breaking:
    """The largest fault current a form of fuse is made to break, at a voltage."""

    current_a: float
    volts_v: float
    source: str


@cache
def band(form: str, rating_a: float) -> tuple[BandRow, ...]:
    """Rows of a fuse's time-current band, rising; () when none is published. Source: fuse_time_current."""
    rows = (
        BandRow(
            float(row["current_percent"]),
            float(row["time_min_s"]) if row["time_min_s"] else None,
            float(row["time_max_s"]) if row["time_max_s"] else None,
        )
        for row in load("fuse_time_current").rows
        if row["form"] == form and float(row["rating_from_A"]) <= rating_a <= float(row["rating_to_A"])
    )
    return tuple(sorted(rows, key=lambda row: row.percent))


@cache
def ratings_of(form: str) -> tuple[float, ...]:
    """Ratings sold in a form for which its time-current band is known, rising [A]; () for an unknown form."""
    rows = load("standard_fuse_ratings").rows
    sold = sorted(float(row["rating_a"]) for row in rows if row["form"] == form)
    return tuple(rating for rating in sold if band(form, rating))


@cache
def continuous(form: str, ambient_c: float) -> Continuous:
    """What share of its rating a form carries for ever at an ambient; never more than where it was rated.

    Source: fuse_continuous_share; a form it does not name is taken as the least of those it does.
    """
    rows = [row for row in load("fuse_continuous_share").rows if row["form"] == form]
    row = min(rows or load("fuse_continuous_share").rows, key=lambda one: float(one["share"]))
    share, from_c, percent = (float(row[key]) for key in ("share", "at_c", "percent_per_k"))
    over_k = max(0.0, ambient_c - from_c)
    left = max(LEAST_SHARE, share * (1 - percent / 100 * over_k))
    words = f"{share:g}"
    if over_k and percent:
        words += f" x (1 - {percent:g} % x ({ambient_c:g} - {from_c:g}) K)"
    words = f"{words} = {left:.3f}" if over_k and percent else words
    return Continuous(left, words, f"{row['source']} ({row['certainty']})")


def holding_s(form: str, *, rating_a: float, current_a: float) -> float:
    """Time for which a fuse surely does not open [s]; 0 when nothing is known, infinite up to its rating.

    Read at the next higher row that says how long: at a lower current it holds at least as long. Beyond the
    last such row at that row's I²t, since a melting element needs no less of it (calculated). Source:
    fuse_time_current.
    """
    percent = 100 * current_a / rating_a
    if percent <= NO_BLOW_PERCENT:
        return inf
    rows = [(row.percent, row.least_s) for row in band(form, rating_a) if row.least_s and row.least_s < inf]
    if not rows:
        return 0.0
    above = [least for limit, least in rows if limit >= percent]
    if above:
        return max(above)
    limit, least = rows[-1]
    if _last_percent(form, rating_a) > limit:  # the band goes on and says nothing more of holding
        return 0.0
    return least * (limit / percent) ** 2


def _last_percent(form: str, rating_a: float) -> float:
    return band(form, rating_a)[-1].percent


def holds(form: str, *, rating_a: float, current_a: float, seconds_s: float) -> bool:
    """Whether a fuse surely carries a short current for a time; nothing above the band's end is taken to.

    Source: fuse_time_current (blade rows of ISO 8820-3, memory).
    """
    percent = 100 * current_a / rating_a
    rows = band(form, rating_a)
    if percent > NO_BLOW_PERCENT and (not rows or percent > rows[-1].percent + 1e-9):
        return False
    return holding_s(form, rating_a=rating_a, current_a=current_a) >= seconds_s


def clearing_s(form: str, *, rating_a: float, current_a: float) -> float | None:
    """Longest time a fuse takes to open [s]; None when it may never open or its band is not known.

    Read at the next lower row of its band; beyond the last row at that row's I²t, since a melting element
    needs no more of it at a higher current. A breaker is not taken to get quicker than its last row: its
    contacts take their time. Source: fuse_time_current.
    """
    percent = 100 * current_a / rating_a
    rows = [(row.percent, row.most_s) for row in band(form, rating_a) if row.most_s is not None]
    below = [row for row in rows if row[0] <= percent + 1e-9]
    if not below:
        return None
    limit, most = below[-1]
    melts = below[-1] == rows[-1] and form != "breaker"
    return most * min(1.0, limit / percent) ** 2 if melts else most


@cache
def slow_points(form: str, rating_a: float) -> tuple[tuple[float, float], ...]:
    """Currents [A] a fuse may pass for longer than a short circuit lasts, and how long [s], rising.

    The rows of its band, and between them points on the straight line, both by decades, that such bands are
    drawn with (common practice).
    """
    rows = [(row.percent / 100 * rating_a, row.most_s) for row in band(form, rating_a) if row.most_s]
    points = rows[:1]
    for (low, long), (high, quick) in pairwise(rows):
        for step in range(1, STEPS_BETWEEN + 1):
            share = step / STEPS_BETWEEN
            points.append((low * (high / low) ** share, long * (quick / long) ** share))
    return tuple((amps, seconds) for amps, seconds in points if seconds > SHORT_S)


def opens_for_certain(form: str, rating_a: float) -> BandRow | None:
    """The least row at which a fuse is sure to open, its conventional fusing current; None without a band."""
    return next((row for row in band(form, rating_a) if row.most_s is not None), None)


def breaking(form: str) -> Breaking | None:
    """What a form is made to break; None where no figure is known. Source: fuse_breaking_capacity."""
    for row in load("fuse_breaking_capacity").rows:
        if row["form"] == form:
            return Breaking(
                float(row["breaking_a"]), float(row["at_v"]), f"{row['source']} ({row['certainty']})"
            )
    return None


def body_colour(form: str, rating_a: float) -> str:
    """Colour of a fuse's body by its rating; "" where there is no code. Source: fuse_colours."""
    for row in load("fuse_colours").rows:
        if row["form"] == form and float(row["fuse_rating_A"]) == rating_a:
            return row["colour"]
    return ""
