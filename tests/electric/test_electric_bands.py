"""What each form of fuse holds, clears and carries, against the published rows, typed by hand."""

from __future__ import annotations

from math import inf

import pytest

from harness.electric.bands import (
    band,
    breaking,
    clearing_s,
    continuous,
    holding_s,
    holds,
    opens_for_certain,
    ratings_of,
    slow_points,
)
from harness.kinds import FORMS
from tests.published.recorder import Cells, published

ISO_8820 = published("ISO 8820-3, ISO 8820-5 and SAE J1888", "operating times of blades and strips", "memory")
UL_248 = published("a fuse maker's technology guide, after UL 248-14", "opening times of glass fuses", "read")
UL_1077 = published("a breaker maker's page, after UL 1077", "a typical thermal breaker of 10 A", "read")
DOCUMENTS = {"glass": UL_248, "glass cartridge": UL_248, "breaker": UL_1077}
# form, rating [A], percent, holds at least [s], open by [s]; None where the row says nothing of it.
ROWS = [
    ("blade", 10, 135, 0.75, 600), ("blade", 10, 200, 0.15, 5), ("blade", 10, 600, 0.02, 0.1),
    ("small blade", 10, 200, 0.15, 5), ("small blade", 10, 350, 0.08, 0.25),
    ("large blade", 50, 135, 60, 1800), ("large blade", 50, 350, 0.2, 7),
    ("bolt-in 30 mm", 100, 150, 90, 3600), ("bolt-in 30 mm", 100, 300, 0.3, 3),
    ("bolt-in 51 mm", 100, 135, 120, 1800), ("bolt-in 51 mm", 100, 600, 0.1, 1),
    ("glass", 10, 110, 14400, None), ("glass", 10, 135, None, 3600), ("glass", 10, 200, None, 120),
    ("glass cartridge", 40, 200, None, 240),
    ("breaker", 10, 200, 4, 40), ("breaker", 10, 400, 0.6, 5), ("breaker", 10, 1000, 0.12, 0.4),
]  # fmt: skip


@pytest.mark.parametrize(
    ("form", "rating_a", "percent", "least_s", "most_s"),
    [pytest.param(*row, marks=DOCUMENTS.get(str(row[0]), ISO_8820)) for row in ROWS],
)
def test_at_a_published_row_a_form_holds_and_clears_as_printed(
    form: str, rating_a: float, percent: float, least_s: float | None, most_s: float | None, cells: Cells
) -> None:
    amps = rating_a * percent / 100
    if least_s is not None:
        held_s = holding_s(form, rating_a=rating_a, current_a=amps)
        cells.kept(f"{form}, {percent} %, holds s", held_s, least_s)
        assert holds(form, rating_a=rating_a, current_a=amps, seconds_s=least_s)
        assert not holds(form, rating_a=rating_a, current_a=amps, seconds_s=least_s * 1.01)
    if most_s is not None:
        open_s = clearing_s(form, rating_a=rating_a, current_a=amps)
        assert open_s is not None
        cells.kept(f"{form}, {percent} %, open by s", open_s, most_s)


@pytest.mark.parametrize("form", [form for form in FORMS if form != "fusible link"])
def test_every_form_has_ratings_to_buy_and_never_opens_at_its_rating(form: str) -> None:
    ratings = ratings_of(form)
    assert ratings == tuple(sorted(set(ratings)))
    assert ratings
    for rating in ratings:
        assert holding_s(form, rating_a=rating, current_a=rating) == inf
        assert clearing_s(form, rating_a=rating, current_a=rating) is None


@pytest.mark.parametrize("form", [form for form in FORMS if form != "fusible link"])
def test_a_higher_current_never_holds_longer_nor_clears_later(form: str) -> None:
    rating = ratings_of(form)[0]
    amps = [rating * share for share in (1.01, 1.2, 1.35, 1.5, 2, 3, 3.5, 5, 6, 10, 20)]
    held = [holding_s(form, rating_a=rating, current_a=a) for a in amps]
    cleared = [clearing_s(form, rating_a=rating, current_a=a) or inf for a in amps]
    assert held == sorted(held, reverse=True)
    assert cleared == sorted(cleared, reverse=True)
    assert all(low <= high for low, high in zip(held, cleared, strict=True))


def test_rows_of_the_blade_band_are_read_at_the_next_lower_percentage() -> None:
    """ISO 8820-3: 200 % opens within 5 s, 350 % within 0.5 s, 600 % within 0.1 s (retyped, memory)."""
    times = [clearing_s("blade", rating_a=10, current_a=amps) for amps in (13, 20, 34.9, 35, 60)]
    assert times == [None, 5, 5, 0.5, pytest.approx(0.1)]


@pytest.mark.parametrize(
    ("current_a", "seconds_s", "carries"),
    [(13.5, 0.75, True), (13.5, 0.8, False), (13.6, 0.5, False), (60, 0.02, True), (61, 0.001, False)],
)
def test_a_blade_fuse_surely_carries_what_the_row_above_says(
    current_a: float, seconds_s: float, carries: bool
) -> None:
    """ISO 8820-3 type C, from memory: 135 % at least 0.75 s, 160 % 0.25 s, 600 % 0.02 s."""
    assert holds("blade", rating_a=10, current_a=current_a, seconds_s=seconds_s) is carries


def test_between_the_rows_of_a_breaker_the_higher_one_counts() -> None:
    """135 % has no least time; at 200 % it holds 4 s, so at 150 % for 4 s too."""
    assert holds("breaker", rating_a=10, current_a=15, seconds_s=4)
    assert not holds("breaker", rating_a=10, current_a=15, seconds_s=5)


def test_beyond_the_band_the_let_through_stays_but_a_breaker_gets_no_quicker() -> None:
    """(60 A)² x 0.1 s = 360 A²s, so at 120 A 25 ms; the least time by (60 A)² x 0.02 s = 72 A²s."""
    assert clearing_s("blade", rating_a=10, current_a=120) == pytest.approx(0.025)
    assert holding_s("blade", rating_a=10, current_a=120) == pytest.approx(72 / 120**2)
    assert clearing_s("breaker", rating_a=10, current_a=500) == pytest.approx(0.4)


def test_a_rating_without_a_band_is_not_guessed() -> None:
    assert band("breaker", 100) == ()
    assert clearing_s("breaker", rating_a=100, current_a=5000) is None
    assert holding_s("breaker", rating_a=100, current_a=500) == 0
    assert opens_for_certain("breaker", 100) is None


@pytest.mark.parametrize(
    ("form", "ambient_c", "share"),
    [
        ("blade", 25, 0.80),  # most fuse types (read)
        ("blade", 85, 0.704),  # 0.8 x (1 - 0.002 x 60)
        ("bolt-in 51 mm", 50, 0.76),  # 0.8 x (1 - 0.002 x 25)
        ("glass", 25, 0.75),  # a fuse seller's guide at 25 °C (read)
        ("glass", 60, 0.6975),  # 0.75 x (1 - 0.002 x 35)
        ("breaker", 60, 0.66),  # 0.8 x (1 - 0.005 x 35); makers' sheets print 1/1.24 = 0.81 of the rating
        ("blade", -20, 0.80),  # cold adds nothing
    ],
)
def test_continuous_share_by_form_and_ambient(form: str, ambient_c: float, share: float) -> None:
    assert continuous(form, ambient_c).share == pytest.approx(share)


@published("makers' sheets of thermal breakers", "rating to ask for at 60 °C", "memory")
def test_breaker_share_at_60_degrees_against_makers_sheets(cells: Cells) -> None:
    hot, rated = (continuous("breaker", celsius).share for celsius in (60, 25))
    cells.near("times the current", rated / hot, 1.24, rel=0.03)


def test_body_builders_own_table_asks_for_more_room_than_we_do_at_40_degrees() -> None:
    """A truck maker's table loads a fuse to 70 % at 40 °C (read), stricter than the general 75 to 80 %."""
    assert 0.70 < continuous("blade", 40).share < 0.80


@published("ISO 8820-3:2015 and ISO 8820-5:2015", "breaking capacity, in abstract and scope", "read")
def test_breaking_capacity_as_printed(cells: Cells) -> None:
    blade, strip = breaking("blade"), breaking("bolt-in 51 mm")
    assert blade is not None
    assert strip is not None
    cells.kept("blade, A", blade.current_a, 1000)
    cells.kept("strip, A", strip.current_a, 2000)
    cells.kept("strip, V", strip.volts_v, 32)
    assert breaking("glass") is None


def test_slow_points_run_through_the_rows_that_take_longer_than_a_short() -> None:
    """ISO 8820-3 (memory): 135 % 600 s, 160 % 50 s, 200 % 5 s. Between two rows on a log-log line:
    halfway between 135 and 160 % stands sqrt(135 x 160) = 147 %, and sqrt(600 x 50) = 173 s."""
    points = slow_points("blade", 10)
    assert points[0] == (13.5, 600)
    assert (pytest.approx(16.0), pytest.approx(50.0)) in points
    assert (pytest.approx(14.70, abs=0.01), pytest.approx(173.2, abs=0.1)) in points
    assert all(seconds > 5 for _, seconds in points)
    assert slow_points("breaker", 100) == ()
