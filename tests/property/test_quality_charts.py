"""Charts, run lengths, capability, gauge study: symmetry, order, bounds, limits."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pairwright.quality.capability import normal_capability, percentile_capability, percentile_indices
from pairwright.quality.charts import count_limits, individual_limits, share_limits, subgroup_limits
from pairwright.quality.constants import chart_constants
from pairwright.quality.gauge import anova_study, range_study, variance_table
from pairwright.quality.rules import USUAL, ZONE_RULES, Signal, signals
from pairwright.quality.run_length import (
    cusum_run_length,
    ewma_run_length,
    one_sided_cusum_run_length,
    rules_run_length,
    shewhart_run_length,
)
from pairwright.quality.shapes import fitted, of_moments
from tests.strategies import finite, seeds

shifts = finite(-3.0, 3.0)
values = finite(-100.0, 100.0)
groups = st.integers(2, 8).flatmap(
    lambda n: st.lists(st.lists(values, min_size=n, max_size=n), min_size=2, max_size=12)
)
rule_sets = st.lists(st.sampled_from(sorted(ZONE_RULES)), min_size=1, max_size=4, unique=True)


@pytest.mark.parametrize("n", [2, 3])
def test_the_range_of_two_and_three_values_has_its_closed_form(n: int) -> None:
    # mean range of 2: 2/sqrt(pi), of 3: 3/sqrt(pi); variance of the range of 2: 2 - 4/pi
    k = chart_constants(n)

    assert k.d2 == pytest.approx(n / math.sqrt(math.pi), rel=1e-12)
    assert n != 2 or k.d3 == pytest.approx(math.sqrt(2.0 - 4.0 / math.pi), rel=1e-11)


@pytest.mark.parametrize("n", range(2, 40))
def test_larger_subgroups_have_narrower_limits(n: int) -> None:
    small, large = chart_constants(n), chart_constants(n + 1)

    assert large.A2 < small.A2
    assert large.A3 < small.A3
    assert large.D4 < small.D4
    assert large.d2 > small.d2
    assert small.c4 < large.c4 < 1.0


@given(groups, finite(0.01, 100.0), values)
def test_limits_move_and_stretch_with_the_data(data: list[list[float]], stretch: float, move: float) -> None:
    before = subgroup_limits(data, spread="range")
    after = subgroup_limits([[stretch * v + move for v in row] for row in data], spread="range")

    close = {"rel": 1e-9, "abs": 1e-9 * max(1.0, stretch * 100.0)}
    assert after.centre == pytest.approx(stretch * before.centre + move, **close)
    assert after.upper == pytest.approx(stretch * before.upper + move, **close)
    assert after.sigma == pytest.approx(stretch * before.sigma, **close)


@given(groups)
def test_the_centre_lies_midway_and_the_range_is_never_negative(data: list[list[float]]) -> None:
    for spread in ("range", "sd"):
        found = subgroup_limits(data, spread=spread)  # type: ignore[arg-type]

        assert 0.5 * (found.lower + found.upper) == pytest.approx(found.centre, abs=1e-9)
        assert found.spread_lower is not None
        assert found.spread_upper is not None
        assert 0.0 <= found.spread_lower <= found.spread_upper
        assert set(found.outside) == {
            n for n, p in enumerate(found.points) if not found.lower <= p <= found.upper
        }


@given(st.lists(values, min_size=2, max_size=30))
def test_single_values_backwards_have_the_same_limits(data: list[float]) -> None:
    one, other = individual_limits(data), individual_limits(data[::-1])

    assert one.upper == pytest.approx(other.upper, abs=1e-9)


@given(st.lists(st.integers(0, 60), min_size=1, max_size=30))
def test_counts_never_have_a_limit_below_nothing(counts: list[int]) -> None:
    found = count_limits(counts)

    assert found.lower >= 0.0
    assert found.upper - found.centre == pytest.approx(3.0 * math.sqrt(found.centre))


@given(st.lists(st.tuples(st.integers(0, 40), st.integers(40, 400)), min_size=1, max_size=20))
def test_a_larger_sample_has_narrower_limits(pairs: list[tuple[int, int]]) -> None:
    found = share_limits([b for b, _ in pairs], [n for _, n in pairs])

    assert 0.0 <= found.lower <= found.centre <= found.upper <= 1.0
    ranked = sorted(zip((n for _, n in pairs), found.upper_each, strict=True))
    assert all(b[1] <= a[1] + 1e-12 for a, b in itertools.pairwise(ranked))


@given(shifts)
def test_a_shift_up_and_down_is_found_equally_fast(shift: float) -> None:
    assert shewhart_run_length(shift) == pytest.approx(shewhart_run_length(-shift), rel=1e-12)
    assert rules_run_length(USUAL, shift=shift) == pytest.approx(
        rules_run_length(USUAL, shift=-shift), rel=1e-9
    )
    assert ewma_run_length(shift, weight=0.2, width=2.8) == pytest.approx(
        ewma_run_length(-shift, weight=0.2, width=2.8), rel=1e-9
    )
    assert cusum_run_length(shift, allowance=0.5, decision=4.0) == pytest.approx(
        cusum_run_length(-shift, allowance=0.5, decision=4.0), rel=1e-9
    )


@given(shifts)
def test_one_rule_alone_is_the_plain_chart(shift: float) -> None:
    assert rules_run_length(("one_beyond_three",), shift=shift) == pytest.approx(
        shewhart_run_length(shift), rel=1e-9
    )


@given(shifts, finite(1.0, 4.0))
def test_a_weighted_mean_of_weight_one_is_the_plain_chart(shift: float, width: float) -> None:
    assert ewma_run_length(shift, weight=1.0, width=width) == pytest.approx(
        shewhart_run_length(shift, width=width), rel=1e-6
    )


@given(shifts, finite(0.5, 3.5))
def test_a_sum_with_hardly_any_interval_is_a_one_sided_plain_chart(shift: float, allowance: float) -> None:
    # decision near 0: it speaks as soon as one point exceeds the allowance
    tail = 0.5 * math.erfc((allowance - shift) / math.sqrt(2.0))

    found = one_sided_cusum_run_length(shift, allowance=allowance, decision=1e-6)

    assert found == pytest.approx(1.0 / tail, rel=1e-4)


@given(rule_sets, finite(-2.0, 2.0))
def test_another_rule_never_makes_the_run_longer(rules: list[str], shift: float) -> None:
    runs = [rules_run_length(rules[: n + 1], shift=shift) for n in range(len(rules))]

    assert all(b <= a * (1.0 + 1e-9) for a, b in itertools.pairwise(runs) if not math.isnan(a))


@pytest.mark.parametrize(
    ("rules", "shift"),
    [(USUAL, 1.0), (("fifteen_within_one",), 0.0), (("eight_outside_one", "nine_on_one_side"), 1.0)],
)
def test_the_chain_agrees_with_charts_that_are_played_through(rules: tuple[str, ...], shift: float) -> None:
    # a twin without the chain: draw points, look for the first signal with the rules for data
    rng = np.random.default_rng(5)
    exact = rules_run_length(rules, shift=shift)
    lengths = []
    for _ in range(150):
        points: list[float] = []
        said: tuple[Signal, ...] = ()
        while not said:
            points += (shift + rng.standard_normal(20 + round(exact))).tolist()
            said = signals(points, 0.0, sigma=1.0, rules=rules)
        lengths.append(said[0].place + 1)

    error = float(np.std(lengths)) / math.sqrt(len(lengths))
    assert float(np.mean(lengths)) == pytest.approx(exact, abs=4.0 * error)


@given(finite(-1.0, 1.0), finite(0.05, 1.0), st.integers(5, 200))
def test_the_interval_holds_the_index_and_narrows_with_more_values(mean: float, sd: float, n: int) -> None:
    few = normal_capability(-2.0, 2.0, mean=mean, sd=sd, n=n)
    many = normal_capability(-2.0, 2.0, mean=mean, sd=sd, n=4 * n)

    assert few.cp is not None
    assert few.cp_low is not None
    assert few.cp_high is not None
    assert few.cp_low < few.cp < few.cp_high
    assert few.cpk_low < few.cpk < few.cpk_high
    assert few.cpk <= few.cp
    assert many.cpk_high - many.cpk_low < few.cpk_high - few.cpk_low


@given(finite(-1.0, 1.0), finite(0.05, 1.0))
def test_percentiles_of_a_normal_process_give_the_normal_indices(mean: float, sd: float) -> None:
    normal = normal_capability(-2.0, 2.0, mean=mean, sd=sd, n=50)
    places = of_moments("normal", mean, sd=sd, n=50).percentiles()

    wide, near = percentile_indices(-2.0, 2.0, places=places)

    assert wide == pytest.approx(normal.cp, rel=1e-9)
    assert near == pytest.approx(normal.cpk, rel=1e-9)


@pytest.mark.parametrize("name", ["lognormal", "rayleigh", "exponential", "folded_normal", "as_measured"])
def test_the_same_seed_gives_the_same_interval(name: str) -> None:
    data = np.random.default_rng(3).gamma(4.0, size=60)
    shape = fitted(name, data)

    one, two = (percentile_capability(0.1, 20.0, shape=shape, seed=8, resamples=200) for _ in range(2))

    assert one == two
    assert one.cpk_low <= one.cpk <= one.cpk_high or name == "as_measured"


@given(st.sampled_from(["normal", "lognormal"]), finite(0.5, 5.0), finite(0.01, 0.4), finite(0.1, 8.0))
def test_shares_and_quantiles_are_inverse(name: str, mean: float, sd: float, place: float) -> None:
    shape = of_moments(name, mean, sd=sd, n=10)
    share = shape.below(place)
    assume(1e-9 < share < 1.0 - 1e-9)

    assert share + shape.above(place) == pytest.approx(1.0, abs=1e-12)
    assert float(shape.quantile(np.array([share]))[0]) == pytest.approx(place, rel=1e-6)


studies = st.tuples(st.integers(1, 4), st.integers(2, 6), st.integers(2, 4), seeds)


@given(studies)
def test_the_sums_of_squares_add_up(shape: tuple[int, int, int, int]) -> None:
    *size, seed = shape
    data = np.random.default_rng(seed).normal(50.0, 3.0, size=size)

    table = variance_table(data)

    parts = (table.appraiser, table.part, table.interaction, table.equipment)
    assert math.fsum(s for s, _ in parts) == pytest.approx(float(np.sum((data - data.mean()) ** 2)), rel=1e-9)
    assert sum(f for _, f in parts) == data.size - 1


@given(studies, finite(-1e4, 1e4), finite(0.01, 100.0))
def test_offset_and_unit_leave_the_judgement_alone(
    shape: tuple[int, int, int, int], offset: float, unit: float
) -> None:
    *size, seed = shape
    data = np.random.default_rng(seed).normal(0.0, 3.0, size=size)

    for study in (anova_study, range_study):
        one, other = study(data), study(unit * data + offset)
        assert other.percent_study == pytest.approx(one.percent_study, rel=1e-5, abs=1e-5)
        assert other.grr_sd == pytest.approx(unit * one.grr_sd, rel=1e-5, abs=1e-7)


@given(studies)
def test_the_parts_of_the_variance_make_the_whole(shape: tuple[int, int, int, int]) -> None:
    *size, seed = shape
    data = np.random.default_rng(seed).normal(0.0, 3.0, size=size)

    for found in (anova_study(data), range_study(data)):
        assert found.total_sd**2 == pytest.approx(
            found.equipment_sd**2 + found.appraiser_sd**2 + found.interaction_sd**2 + found.part_sd**2
        )
        assert 0.0 < found.percent_study <= 100.0 + 1e-9
        assert found.categories >= 0


def test_a_true_appraiser_and_part_are_found_again_in_many_values() -> None:
    # many levels, so that the components are known well: equipment 1, appraiser 2, interaction 1.5, part 3
    rng = np.random.default_rng(11)
    a, p, t = 60, 60, 3
    data = (
        2.0 * rng.standard_normal((a, 1, 1))
        + 3.0 * rng.standard_normal((1, p, 1))
        + 1.5 * rng.standard_normal((a, p, 1))
        + rng.standard_normal((a, p, t))
    )

    found = anova_study(data)

    assert not found.pooled
    assert found.equipment_sd == pytest.approx(1.0, rel=0.05)
    assert found.interaction_sd == pytest.approx(1.5, rel=0.08)
    assert found.appraiser_sd == pytest.approx(2.0, rel=0.3)
    assert found.part_sd == pytest.approx(3.0, rel=0.3)
