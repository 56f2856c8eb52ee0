"""Sampling, waiting, yield, colour: order, bounds, limits, second routes."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pairwright.measure.colour import colour_difference, plain_difference
from pairwright.quality.characteristic import (
    acceptance,
    bad_in_lot,
    fraction_at,
    lot_acceptance,
    share_interval,
    zero_failure_sample,
)
from pairwright.quality.queues import erlang_c, kingman_wait, sakasegawa_wait, waiting_time
from pairwright.quality.sampling import sampling_plan
from pairwright.quality.sampling_table import LETTERS, LEVELS, QUALITY_LEVELS, SIZES, cell, follow_arrows
from pairwright.quality.tolerance_factor import one_sided_factor, two_sided_factor, variables_acceptance
from pairwright.quality.yields import rolled_yield
from tests.strategies import finite, fractions

lots = st.integers(2, 2_000_000)
levels = st.sampled_from(sorted(LEVELS))
qualities = st.sampled_from(QUALITY_LEVELS)
labs = st.tuples(finite(0.0, 100.0), finite(-80.0, 80.0), finite(-80.0, 80.0))


@pytest.mark.parametrize("letter", range(len(LETTERS)))
@pytest.mark.parametrize("quality", range(len(QUALITY_LEVELS)))
def test_every_arrow_ends_in_a_plan(letter: int, quality: int) -> None:
    assert isinstance(cell(follow_arrows(letter, quality), quality), int)


@pytest.mark.parametrize("quality", range(len(QUALITY_LEVELS)))
def test_a_larger_sample_accepts_more(quality: int) -> None:
    accepted = [c for n in range(len(LETTERS)) if isinstance(c := cell(n, quality), int)]

    assert accepted == sorted(accepted)


@given(lots, levels, qualities)
def test_a_plan_never_asks_for_more_than_the_lot(lot: int, level: str, aql: float) -> None:
    plan = sampling_plan(lot, aql, level=level)

    assert 2 <= plan.sample <= lot
    assert plan.reject == plan.accept + 1
    assert plan.whole_lot == (SIZES[LETTERS.index(plan.code_letter)] >= lot)


@given(st.integers(13, 500_000), qualities)
def test_a_lot_of_just_acceptable_quality_mostly_passes(lot: int, aql: float) -> None:
    assume(aql <= 0.1)
    plan = sampling_plan(lot, aql)
    assume(not plan.whole_lot)

    # the standard's plans pass it with 85 to 99.9 %
    assert acceptance(plan.sample, plan.accept, fraction=aql) > 0.84


@given(st.integers(1, 300), st.data())
def test_the_terms_sum_like_factorials(sample: int, data: st.DataObject) -> None:
    accept = data.draw(st.integers(0, sample))
    lot = data.draw(st.integers(sample, 400))
    bad = data.draw(st.integers(0, lot))
    chance = data.draw(finite(1e-6, 1.0 - 1e-6))
    binomial = math.fsum(
        math.comb(sample, k) * chance**k * (1 - chance) ** (sample - k) for k in range(accept + 1)
    )
    exact = sum(math.comb(bad, k) * math.comb(lot - bad, sample - k) for k in range(accept + 1))

    assert acceptance(sample, accept, fraction=chance) == pytest.approx(binomial, rel=1e-9, abs=1e-250)
    assert lot_acceptance(sample, accept, bad=bad, lot=lot) == pytest.approx(
        exact / math.comb(lot, sample), rel=1e-11, abs=1e-250
    )


@given(st.integers(1, 200), fractions, fractions, st.data())
def test_worse_lots_pass_less_often(sample: int, one: float, other: float, data: st.DataObject) -> None:
    accept = data.draw(st.integers(0, sample))
    low, high = sorted((one, other))

    assert acceptance(sample, accept, fraction=high) <= acceptance(sample, accept, fraction=low) + 1e-12


@given(st.integers(1, 40), st.integers(0, 10), finite(0.001, 0.5))
def test_a_huge_lot_is_a_process(sample: int, accept: int, fraction: float) -> None:
    lot = 10_000_000
    bad = bad_in_lot(fraction, lot)

    assert lot_acceptance(sample, accept, bad=bad, lot=lot) == pytest.approx(
        acceptance(sample, accept, fraction=bad / lot), abs=1e-3
    )


@given(st.integers(1, 2000), st.integers(0, 2000))
def test_a_share_of_a_lot_is_counted_to_the_nearest_item(lot: int, bad: int) -> None:
    assume(bad <= lot)

    assert bad_in_lot(bad / lot, lot) == bad
    assert bad_in_lot((bad + 0.5) / lot, lot) == bad + 1  # halves upwards


@given(finite(0.01, 0.999), finite(0.01, 0.999))
def test_the_sample_without_failure_is_the_smallest_that_proves_it(
    reliability: float, confidence: float
) -> None:
    n = zero_failure_sample(reliability, confidence)

    assert 1.0 - reliability**n >= confidence * (1.0 - 1e-9)
    assert n == 1 or 1.0 - reliability ** (n - 1) < confidence * (1.0 + 1e-9)


@given(st.integers(1, 500), st.data(), finite(0.5, 0.99))
def test_the_interval_of_a_share_holds_what_was_found(
    sample: int, data: st.DataObject, confidence: float
) -> None:
    bad = data.draw(st.integers(0, sample))
    low, high = share_interval(bad, sample, confidence=confidence)

    assert 0.0 <= low <= bad / sample <= high <= 1.0
    mirrored = share_interval(sample - bad, sample, confidence=confidence)
    assert mirrored == pytest.approx((1.0 - high, 1.0 - low), abs=1e-9)


@given(st.integers(2, 300), st.data(), finite(0.01, 0.99))
def test_the_risk_point_passes_as_often_as_asked(
    sample: int, data: st.DataObject, probability: float
) -> None:
    accept = data.draw(st.integers(0, sample - 1))
    share = fraction_at(sample, accept, probability=probability)

    assert acceptance(sample, accept, fraction=share) == pytest.approx(probability, rel=1e-6)


@given(st.integers(3, 200), finite(0.6, 0.99), finite(0.6, 0.99))
def test_factors_fall_with_more_values_and_exceed_the_quantile(
    n: int, share: float, confidence: float
) -> None:
    from scipy.special import ndtri

    small = one_sided_factor(n, share=share, confidence=confidence)
    large = one_sided_factor(2 * n, share=share, confidence=confidence)

    assert small > large > float(ndtri(share)) - 0.02
    assert two_sided_factor(n, share=share, confidence=confidence) > float(ndtri(0.5 + 0.5 * share)) * 0.99


@given(st.integers(5, 60), finite(0.5, 3.0), finite(0.001, 0.3), finite(0.001, 0.3))
def test_a_plan_by_measurement_passes_worse_lots_less_often(
    n: int, k: float, one: float, other: float
) -> None:
    low, high = sorted((one, other))

    assert variables_acceptance(n, k, fraction=high) <= variables_acceptance(n, k, fraction=low) + 1e-9


def test_the_factor_encloses_the_share_as_often_as_it_says() -> None:
    # played through: 20 000 samples of 15 values
    rng = np.random.default_rng(2)
    drawn = rng.standard_normal((20_000, 15))
    top = drawn.mean(axis=1) + one_sided_factor(15, share=0.95, confidence=0.90) * drawn.std(axis=1, ddof=1)

    assert float(np.mean(top > 1.6448536)) == pytest.approx(0.90, abs=4.0 * 0.0021)


rates = finite(0.01, 0.99)


@given(rates, st.integers(1, 30))
def test_one_queue_before_several_places_beats_queues_of_their_own(utilisation: float, servers: int) -> None:
    together = waiting_time(utilisation * servers, 1.0, servers=servers)
    apart = waiting_time(utilisation, 1.0)

    assert together.mean_wait <= apart.mean_wait * (1.0 + 1e-12)
    assert together.mean_queue == pytest.approx(utilisation * servers * together.mean_wait)
    assert 0.0 <= together.probability_of_wait <= 1.0
    assert together.utilisation == pytest.approx(utilisation)


@given(rates, finite(0.0, 4.0), finite(0.0, 4.0), finite(1.0, 1e4))
def test_the_approximations_agree_for_one_place(
    utilisation: float, ca: float, cs: float, time: float
) -> None:
    kingman = kingman_wait(utilisation, time, arrival_variability=ca, service_variability=cs)
    sakasegawa = sakasegawa_wait(utilisation, time, servers=1, arrival_variability=ca, service_variability=cs)
    whole = waiting_time(utilisation / time, 1.0 / time, arrival_variability=ca, service_variability=cs)

    assert sakasegawa == pytest.approx(kingman, rel=1e-9)
    assert whole.mean_wait == pytest.approx(kingman, rel=1e-9)


@given(st.integers(1, 60), rates)
def test_one_place_is_busy_as_often_as_it_is_used(servers: int, utilisation: float) -> None:
    assert erlang_c(1, load=utilisation) == pytest.approx(utilisation)
    assert erlang_c(servers, load=utilisation * servers) <= utilisation + 1e-12


def test_a_queue_that_is_played_through_waits_as_computed() -> None:
    # Lindley's recursion for one place at 70 %, random arrivals and service
    rng = np.random.default_rng(4)
    n = 400_000
    between, service = rng.exponential(1.0 / 0.7, n), rng.exponential(1.0, n)
    steps = np.concatenate([[0.0], np.cumsum(service[:-1] - between[1:])])
    waits = steps - np.minimum.accumulate(steps)

    assert float(waits[1000:].mean()) == pytest.approx(waiting_time(0.7, 1.0).mean_wait, rel=0.06)


@given(st.lists(finite(0.01, 1.0), min_size=1, max_size=20))
def test_a_chain_is_no_better_than_its_worst_step(yields: list[float]) -> None:
    found = rolled_yield(yields)

    assert found.rolled <= min(yields) + 1e-12
    assert min(yields) - 1e-12 <= found.normalised <= max(yields) + 1e-12
    assert found.rolled == pytest.approx(math.prod(yields), rel=1e-9)


@given(labs, labs)
def test_colour_difference_is_symmetrical_and_zero_only_for_the_same(
    one: tuple[float, float, float], other: tuple[float, float, float]
) -> None:
    there, back = colour_difference(one, other), colour_difference(other, one)

    # where hues are opposite to within rounding, the published mean hue may fall on either side
    opposite = (
        abs(abs(math.degrees(math.atan2(one[2], one[1]) - math.atan2(other[2], other[1]))) - 180.0) < 1.0
    )
    assert opposite or there == pytest.approx(back, rel=1e-9, abs=1e-9)
    assert there >= 0.0
    assert colour_difference(one, one) == 0.0


@given(labs, finite(-5.0, 5.0))
def test_grey_steps_of_lightness_count_by_the_lightness_weight_alone(
    lab: tuple[float, float, float], step: float
) -> None:
    one, other = (lab[0], 0.0, 0.0), (min(100.0, max(0.0, lab[0] + step)), 0.0, 0.0)
    off = (0.5 * (one[0] + other[0]) - 50.0) ** 2

    assert colour_difference(one, other) == pytest.approx(
        abs(other[0] - one[0]) / (1.0 + 0.015 * off / math.sqrt(20.0 + off)), abs=1e-9
    )
    assert plain_difference(one, other) == pytest.approx(abs(other[0] - one[0]))
