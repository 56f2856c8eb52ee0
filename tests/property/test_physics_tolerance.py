"""Tolerance chains: symmetry, order, closed forms, repeatability."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pairwright.physics.tolerance import (
    Contributor,
    draw,
    fraction_within,
    half_width_of,
    mirrored_half_width,
    symmetric_interval,
    tolerance_chain,
)
from tests.strategies import finite

links = st.lists(
    st.builds(
        Contributor,
        finite(-0.5, 0.5),
        finite(1e-6, 1e-3),
        finite(-3.0, 3.0).filter(lambda s: abs(s) > 1e-3),
        st.sampled_from(("normal", "uniform", "triangular")),
    ),
    min_size=1,
    max_size=6,
)


@given(links)
@settings(max_examples=30, deadline=None)
def test_the_root_sum_of_squares_lies_inside_the_worst_case(chain: list[Contributor]) -> None:
    closed = tolerance_chain(chain, samples=200)

    assert closed.worst_low <= closed.rss_low <= closed.nominal <= closed.rss_high <= closed.worst_high
    assert closed.worst_high - closed.nominal == pytest.approx(
        math.fsum(abs(c.sensitivity) * c.tolerance for c in chain), rel=1e-9
    )
    assert sum(closed.contributions) == pytest.approx(1.0, rel=1e-12)


@given(links, st.integers(0, 2**32))
@settings(max_examples=20, deadline=None)
def test_the_same_seed_gives_the_same_numbers(chain: list[Contributor], seed: int) -> None:
    one, two = (tolerance_chain(chain, seed=seed, samples=3000) for _ in range(2))

    assert one == two


@given(links)
@settings(max_examples=20, deadline=None)
def test_drawn_scatter_is_propagated_scatter(chain: list[Contributor]) -> None:
    closed = tolerance_chain(chain, samples=40_000)

    assert closed.mc_sd == pytest.approx(closed.sd, rel=0.03)  # 1/sqrt(2 x 40 000) = 0.35 % times 8


# closed form: half width of the 95 % interval of one link, in its half widths
@pytest.mark.parametrize(
    ("distribution", "half"),
    [("normal", 1.959964 / 3.0), ("uniform", 0.95), ("triangular", 1.0 - math.sqrt(0.05))],
)
def test_one_link_alone_has_its_known_interval(distribution: str, half: float) -> None:
    one = Contributor(0.0, 1.0, distribution=distribution)  # type: ignore[arg-type]

    assert tolerance_chain([one]).mc_high == pytest.approx(half, abs=0.002)


def test_four_rectangles_are_the_exact_quantile() -> None:
    # closed form: the 97.5 % quantile of the sum of four unit rectangles is 2 + 3.879407/sqrt(12)
    # in [0, 4]; of unit variance each it is 3.879407
    chain = tolerance_chain([Contributor(0.0, math.sqrt(3.0), distribution="uniform")] * 4, samples=4_000_000)

    assert chain.mc_high == pytest.approx(3.879407, abs=0.006)


def test_turning_a_link_round_changes_nothing_but_the_nominal() -> None:
    ahead = tolerance_chain([Contributor(0.1, 1e-3, 1.0, "uniform"), Contributor(0.2, 5e-4)])
    back = tolerance_chain([Contributor(0.1, 1e-3, -1.0, "uniform"), Contributor(0.2, 5e-4)])

    assert ahead.mc_high - ahead.nominal == pytest.approx(back.mc_high - back.nominal, rel=1e-12)
    assert ahead.contributions == back.contributions


def test_a_measured_scatter_takes_the_place_of_the_assumed_one() -> None:
    assumed = Contributor(0.0, 3e-4)
    measured = Contributor(0.0, 3e-4, sd=2e-4)

    assert tolerance_chain([measured], samples=1000).sd == pytest.approx(2e-4)
    assert tolerance_chain([assumed], samples=1000).sd == pytest.approx(1e-4)


@given(st.integers(20, 400), st.sampled_from((0.5, 0.9, 0.95, 0.99)))
def test_the_interval_holds_its_share_of_the_draws(count: int, coverage: float) -> None:
    values = np.random.default_rng(count).standard_normal(count)

    low, high = symmetric_interval(values, coverage)

    assert np.count_nonzero((values >= low) & (values <= high)) >= coverage * count - 1
    half = mirrored_half_width(values, coverage)
    assert np.count_nonzero(np.abs(values) <= half) == pytest.approx(coverage * count, abs=1)


def test_a_link_without_tolerance_adds_nothing() -> None:
    fixed = Contributor(0.3, 0.0, distribution="uniform")

    assert not np.any(draw([fixed], seed=1, samples=100))
    assert tolerance_chain([fixed], samples=100).contributions == (0.0,)


@given(links)
@settings(max_examples=15, deadline=None)
def test_the_summed_fraction_is_the_drawn_one(chain: list[Contributor]) -> None:
    drawn = draw(chain, seed=11, samples=40_000)
    limit = 1.3 * float(drawn.std())

    share = float(np.mean(np.abs(drawn) <= limit))
    assert fraction_within(chain, limit) == pytest.approx(share, abs=0.01)  # 4 binomial sd
    assert half_width_of(chain, fraction_within(chain, limit)) == pytest.approx(limit, rel=1e-3)


@pytest.mark.parametrize(
    ("count", "distribution", "fraction", "half"),
    [
        (4, "uniform", 0.95, 3.879407),  # the exact quantile of four unit-variance rectangles
        (4, "normal", 0.95, 3.919928),  # 2 x 1.959964
        (1, "uniform", 0.95, 0.95 * 3**0.5),
        (1, "triangular", 0.95, (1.0 - 0.05**0.5) * 6**0.5),
        (2, "uniform", 0.75, 3**0.5),  # a triangle of half width 2 sqrt 3: 1 - (1 - x)^2 = 0.75 at half of it
    ],
)
def test_the_summed_quantile_is_the_exact_one(
    count: int, distribution: str, fraction: float, half: float
) -> None:
    width = {"uniform": 3**0.5, "normal": 3.0, "triangular": 6**0.5}[distribution]
    chain = [Contributor(0.0, width, distribution=distribution)] * count  # type: ignore[arg-type]

    assert half_width_of(chain, fraction) == pytest.approx(half, rel=2e-4 if count == 1 else 2e-6)
    assert fraction_within(chain, 100.0) == 1.0
    assert half_width_of([Contributor(1.0, 0.0)], 0.5) == 0.0
