"""Allocation of tolerances: formula, library, required fraction, processes at their ends."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from pairwright.base.errors import InputError
from pairwright.physics.tolerance import Contributor, tolerance_chain
from pairwright.physics.tolerance_allocation import CostedLink, allocate_tolerances
from tests.strategies import finite


def link(
    factor: float, power: float = 1.0, sensitivity: float = 1.0, shape: str = "normal", **ends: float
) -> CostedLink:
    return CostedLink(Contributor(0.1, 0.0, sensitivity, shape), factor, power, **ends)  # type: ignore[arg-type]


@given(
    st.lists(st.tuples(finite(1e-4, 1e-1), finite(0.3, 3.0)), min_size=2, max_size=6),
    st.sampled_from((0.5, 1.0, 2.0)),
)
@settings(max_examples=25, deadline=None)
def test_one_power_for_all_is_the_formula(found: list[tuple[float, float]], power: float) -> None:
    # Lagrange, worst case: t in proportion to (f/|s|)^(1/(p+1)), scaled to use the limit
    links = [link(f, power, s, "uniform") for f, s in found]
    limit = 1e-3

    out = allocate_tolerances(links, limit, fraction=None)

    share = np.array([(f / s) ** (1.0 / (power + 1.0)) for f, s in found])
    sizes = np.array([s for _, s in found])
    assert out.tolerances == pytest.approx(share * limit / float(sizes @ share), rel=1e-6)
    assert out.worst == pytest.approx(limit, rel=1e-6)
    assert out.fraction == pytest.approx(1.0, abs=1e-4)


def test_root_sum_of_squares_with_one_power_is_the_formula() -> None:
    # Lagrange: t in proportion to (f/s^2)^(1/(p+2)); normal links, 99.73 % are 3 sd to four figures
    factors, slopes = np.array([1e-3, 4e-3, 20e-3]), np.array([1.0, 0.5, 2.0])
    links = [link(f, 1.0, s) for f, s in zip(factors, slopes, strict=True)]

    out = allocate_tolerances(links, 0.5e-3, fraction=0.9973)

    share = (factors / slopes**2) ** (1.0 / 3.0)
    assert np.array(out.tolerances) / out.tolerances[0] == pytest.approx(share / share[0], rel=1e-6)
    assert out.rss == pytest.approx(0.5e-3, rel=1e-4)  # 99.73 % are 2.99998 sd
    assert out.fraction == pytest.approx(0.9973, abs=1e-6)


@given(st.integers(0, 10_000), st.booleans())
@settings(max_examples=15, deadline=None)
def test_no_cheaper_choice_is_found_by_the_library(seed: int, squared: bool) -> None:
    rng = np.random.default_rng(seed)
    n = int(rng.integers(2, 6))
    links = [
        link(float(rng.uniform(1e-3, 1e-1)), float(rng.uniform(0.5, 2.0)), float(rng.uniform(0.4, 2.0)),
             least=float(rng.uniform(0.0, 0.05e-3)), most=float(rng.uniform(0.2e-3, 2e-3)))
        for _ in range(n)
    ]  # fmt: skip
    limit = 0.6e-3 if not squared else 0.4e-3
    ours = allocate_tolerances(links, limit, fraction=0.99 if squared else None)

    s = np.array([k.link.sensitivity for k in links])
    allowed = ours.rss if squared else limit  # all shapes are normal: the same room in both

    def cost(u: np.ndarray) -> float:  # over logarithms of the half widths all is convex and well scaled
        return sum(k.cost(v) for k, v in zip(links, np.exp(u), strict=True)) / ours.cost

    def room(u: np.ndarray) -> float:
        used = math.hypot(*(s * np.exp(u))) if squared else float(s @ np.exp(u))
        return 1.0 - used / allowed

    ends = [(math.log(max(k.least, 1e-7)), math.log(k.most)) for k in links]
    start = np.array([low + 0.05 * (high - low) for low, high in ends])
    found = minimize(cost, start, method="SLSQP", bounds=ends, constraints=[{"type": "ineq", "fun": room}],
                     options={"ftol": 1e-12, "maxiter": 500})  # fmt: skip

    if found.success:
        assert found.fun >= 1.0 - 1e-6
        assert found.fun == pytest.approx(1.0, rel=1e-3)
    for k, t in zip(links, ours.tolerances, strict=True):
        assert k.least <= t <= k.most


@pytest.mark.parametrize("shape", ["normal", "uniform", "triangular"])
@pytest.mark.parametrize("fraction", [0.9, 0.99])
def test_the_required_fraction_is_met_for_any_shape(shape: str, fraction: float) -> None:
    links = [link(1e-3, 1.0, 1.0, shape), link(9e-3, 1.0, -1.0, shape),
             CostedLink(Contributor(0.1, 0.1e-3, distribution="uniform"))]  # fmt: skip

    out = allocate_tolerances(links, 0.5e-3, fraction=fraction)

    # by drawing: 3 standard deviations of a 99 % end of 400 000 mirrored draws are 0.5 %
    chain = [Contributor(0.0, t, k.link.sensitivity, k.link.distribution)
             for t, k in zip(out.tolerances, links, strict=True)]  # fmt: skip
    drawn = tolerance_chain(chain, seed=77, samples=400_000, coverage=fraction)
    assert out.fraction == pytest.approx(fraction, abs=1e-6)
    assert drawn.mc_high == pytest.approx(0.5e-3, rel=0.01)
    assert out.tolerances[2] == 0.1e-3


def test_the_price_is_what_a_wider_limit_saves() -> None:
    links = [link(1e-3), link(4e-3, 1.5), link(2e-3, 0.7, 0.5)]
    for fraction in (None, 0.95):
        one, wider = (allocate_tolerances(links, w, fraction=fraction) for w in (0.5e-3, 0.5005e-3))

        assert (one.cost - wider.cost) / 0.5e-6 == pytest.approx(0.5 * (one.price + wider.price), rel=1e-3)


def test_a_wide_limit_leaves_every_process_at_its_coarsest() -> None:
    links = [link(1e-3, most=0.1e-3), link(2e-3, most=0.2e-3)]

    out = allocate_tolerances(links, 1e-2)

    assert out.tolerances == (0.1e-3, 0.2e-3)
    assert out.price == 0.0


def test_a_process_at_its_finest_is_told() -> None:
    links = [link(1e-6, least=0.2e-3), link(1e-2)]

    out = allocate_tolerances(links, 0.3e-3, fraction=None)

    assert out.tolerances == pytest.approx((0.2e-3, 0.1e-3), rel=1e-6)
    assert [f.code for f in out.findings] == ["tolerance_at_limit"]


@pytest.mark.parametrize(
    ("links", "limit", "fraction", "message"),
    [
        ([CostedLink(Contributor(0.1, 1e-4))], 1e-3, 0.99, "cost factor"),
        ([link(1e-3, least=1e-3)], 0.5e-3, None, "can't do without"),
        ([link(1e-3), CostedLink(Contributor(0.1, 1e-3))], 0.5e-3, 0.9973, "can't do without"),
        ([link(1e-3)], 1e-3, 1.5, "between 0 and 1"),
        ([link(1e-3, 1.0, 0.0)], 1e-3, 0.9, "sensitivity"),
    ],
)
def test_what_can_t_be_shared_out_is_refused(
    links: list[CostedLink], limit: float, fraction: float | None, message: str
) -> None:
    with pytest.raises(InputError, match=message):
        allocate_tolerances(links, limit, fraction=fraction)
