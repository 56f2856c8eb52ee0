"""Film build, lacquer, abrasion: balances, order, bounds."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pairwright.physics.abrasion import (
    abrasion_depth,
    abrasive_life,
    depth_spread,
    preston_coefficient,
    time_to_depth,
    worn_depth,
    worn_rate,
)
from pairwright.physics.film import (
    Coat,
    Removal,
    any_of,
    cut_through_probability,
    film_build,
    film_history,
    normal_below,
)
from pairwright.physics.lacquer import lacquer_volume, mix_parts, spreading_rate, wet_film_for
from pairwright.physics.path import contact_time, overlap_ripple, path_removal, path_time
from tests.strategies import finite

coats = st.lists(st.builds(Coat, finite(2e-5, 4e-4), finite(0.2, 1.0), finite(0.0, 3e-5)), max_size=8)
removals = st.lists(st.builds(Removal, finite(0.0, 8e-5), finite(1e-7, 1e-5)), min_size=1, max_size=5)
rates = {"lasting": finite(1e-9, 1e-6), "fresh": finite(0.0, 1e-6), "decay": finite(1e-6, 1e-2)}


@given(coats, removals)
def test_the_mean_is_what_goes_on_less_what_comes_off(on: list[Coat], off: list[Removal]) -> None:
    left = film_build(on, off)

    assert left.mean == pytest.approx(sum(c.wet * c.solids for c in on) - sum(r.mean for r in off), abs=1e-15)
    assert left.sd**2 == pytest.approx(
        sum((c.solids * c.sd) ** 2 for c in on) + sum(r.sd**2 for r in off), rel=1e-9
    )


@given(coats, removals, finite(0.0, 1e-3), finite(0.0, 1e-3))
def test_a_larger_reserve_is_missed_more_often(
    on: list[Coat], off: list[Removal], one: float, other: float
) -> None:
    low, high = sorted((one, other))

    assert (
        film_build(on, off, reserve=low).probability_below_reserve
        <= film_build(on, off, reserve=high).probability_below_reserve
    )


@given(coats, removals)
def test_an_edge_is_never_safer_than_the_flat(on: list[Coat], off: list[Removal]) -> None:
    flat = cut_through_probability(on, off)
    edge = cut_through_probability(on, off, edge_removal=1.5, edge_build=0.8)

    # below one half the mean decides; above it a wider scatter may help by chance
    assert edge >= flat or flat > 0.5


@given(coats, removals)
def test_the_history_ends_at_the_build(on: list[Coat], off: list[Removal]) -> None:
    last = film_history([*on, *off])[-1]

    assert last.mean == pytest.approx(film_build(on, off).mean, abs=1e-15)


@given(finite(0.0, 1.0), st.integers(1, 50))
def test_many_places_fail_at_least_as_often_as_one(probability: float, places: int) -> None:
    assert any_of(probability, places) >= probability - 1e-12
    assert any_of(probability, places) == pytest.approx(1.0 - (1.0 - probability) ** places, abs=1e-9)


def test_tiny_probabilities_survive() -> None:
    assert any_of(1e-18, 10) == pytest.approx(1e-17, rel=1e-9)
    assert normal_below(0.0, 8.0, sd=1.0) == pytest.approx(6.2210e-16, rel=1e-3)  # tail of the normal


# closed form: fraction outside +/- 3 and +/- 4 standard deviations, in ppm
@pytest.mark.parametrize(("k", "ppm"), [(3.0, 2699.8), (4.0, 63.34)])
def test_the_normal_tails_are_the_known_ones(k: float, ppm: float) -> None:
    assert 2e6 * normal_below(-k, 0.0, sd=1.0) == pytest.approx(ppm, abs=0.05)


@given(finite(0.01, 50.0), finite(1e-5, 1e-3), finite(0.05, 1.0), finite(0.05, 1.0))
def test_lacquer_on_the_piece_is_film_times_area(
    area: float, film: float, solids: float, transfer: float
) -> None:
    volume = lacquer_volume(area, film, volume_solids=solids, transfer_efficiency=transfer)

    assert volume * transfer * solids == pytest.approx(area * film, rel=1e-12)
    assert spreading_rate(film, solids) * wet_film_for(film, solids) == pytest.approx(1.0, rel=1e-12)


@given(finite(1e-4, 0.1), st.lists(finite(0.1, 20.0), min_size=1, max_size=4))
def test_the_parts_make_the_mix(volume: float, parts: list[float]) -> None:
    assert sum(mix_parts(volume, parts)) == pytest.approx(volume, rel=1e-12)


@given(finite(1e-14, 1e-8), finite(100.0, 1e5), finite(0.1, 40.0), finite(0.1, 1e4))
def test_a_trial_gives_back_its_coefficient(k: float, p: float, v: float, t: float) -> None:
    depth = abrasion_depth(k, p, speed=v, time=t)

    assert preston_coefficient(depth, p, speed=v, time=t) == pytest.approx(k, rel=1e-12)


@given(finite(1e-6, 1e-4), finite(0.0, 0.5), finite(0.0, 0.5))
def test_scatter_of_two_causes_is_more_than_of_either(depth: float, a: float, b: float) -> None:
    both = depth_spread(depth, pressure_cv=a, coefficient_cv=b)

    assert both >= max(depth_spread(depth, pressure_cv=a), depth_spread(depth, coefficient_cv=b)) - 1e-18


@given(start=finite(0.0, 3e4), time=finite(1.0, 3e4), **rates)
def test_the_depth_is_the_integral_of_the_rate(
    start: float, time: float, lasting: float, fresh: float, decay: float
) -> None:
    constants = {"lasting": lasting, "fresh": fresh, "decay": decay}
    deep = worn_depth(start, time, **constants)

    # the rate falls, so the integral lies between its two ends
    assert worn_rate(start + time, **constants) * time <= deep * (1 + 1e-9)
    assert deep <= worn_rate(start, **constants) * time * (1 + 1e-9)
    halves = worn_depth(start, time / 2, **constants) + worn_depth(start + time / 2, time / 2, **constants)
    assert halves == pytest.approx(deep, rel=1e-9)
    assert time_to_depth(deep, start, **constants) == pytest.approx(time, rel=1e-6)


def test_a_blunt_abrasive_that_never_cuts_is_said_to_take_for_ever() -> None:
    assert math.isinf(time_to_depth(1.0, 0.0, lasting=0.0, fresh=1e-3, decay=1e-2))
    assert math.isinf(abrasive_life(lasting=1.0, fresh=1.0, decay=0.1, least=0.5))
    assert abrasive_life(lasting=1.0, fresh=1.0, decay=0.1, least=2.5) == 0.0


@given(finite(0.05, 4.0), finite(0.02, 0.4), finite(0.0, 0.9), finite(0.01, 2.0), st.integers(1, 12))
def test_a_path_covers_its_area(area: float, width: float, overlap: float, feed: float, passes: int) -> None:
    path = path_time(area, width, overlap=overlap, feed=feed, passes=passes, turn_time=1.0)

    assert path.length * width * (1.0 - overlap) >= passes * area * (1 - 1e-6)
    assert path.time == pytest.approx(path.length / feed + path.lanes - 1)


@given(finite(0.05, 0.3), finite(0.05, 1.0), finite(0.0, 0.9))
def test_contact_time_is_pad_time_spread_over_the_area(width: float, feed: float, overlap: float) -> None:
    # a square pad that sweeps area width (1 - overlap) feed each second has width^2 in contact
    dwell = contact_time(width, feed=feed, overlap=overlap)

    assert dwell == pytest.approx(width * width / (width * (1.0 - overlap) * feed), rel=1e-9)


@pytest.mark.parametrize("overlap", [0.0, 0.5, 2.0 / 3.0, 0.75])
def test_whole_overlaps_leave_no_stripes(overlap: float) -> None:
    assert overlap_ripple(overlap) == pytest.approx(0.0, abs=1e-4)


def test_stripes_of_a_third_overlap() -> None:
    # half the area lies under one lane, half under two: 1.5 +/- 0.5
    assert overlap_ripple(1.0 / 3.0) == pytest.approx(0.5 / 1.5, rel=1e-9)
    even = path_removal(1e-11, 8e3, speed=3.0, width=0.15, feed=0.25, overlap=0.5)
    striped = path_removal(1e-11, 8e3, speed=3.0, width=0.15, feed=0.25, overlap=1.0 / 3.0)
    assert even.sd == 0.0
    assert striped.sd == pytest.approx(striped.mean / 3.0, rel=1e-9)
