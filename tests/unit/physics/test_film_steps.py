"""Recoat windows and the running film."""

from __future__ import annotations

import math

import pytest

from pairwright.physics.film import Coat, Removal, film_history, recoat_state
from pairwright.physics.glue import GlueSheet, pressure_margin
from pairwright.physics.path import passes_for


@pytest.mark.parametrize(
    ("elapsed", "state"),
    [(0.0, "too_early"), (899.9, "too_early"), (900.0, "open"), (14399.9, "open"), (14400.0, "too_late")],
)
def test_the_recoat_window_is_half_open(elapsed: float, state: str) -> None:
    assert recoat_state(elapsed, 900.0, latest=14400.0) == state


def test_some_windows_never_close() -> None:
    assert recoat_state(1e9, 900.0, latest=math.inf) == "open"


def test_cutting_through_shows_at_the_step_that_does_it() -> None:
    steps = [Coat(1e-4, 0.5, 5e-6), Removal(4.8e-5, 3e-6), Coat(2e-4, 0.5, 5e-6)]

    history = film_history(steps)

    assert history[0].probability_below_reserve < 1e-9
    assert history[1].probability_below_reserve > 0.2
    assert history[2].mean == pytest.approx(102e-6)


def test_nothing_stated_about_pressure_is_no_limit() -> None:
    assert pressure_margin(GlueSheet("drying", 1.0, 1.0, 1.0, 1.0), 1e5) == (math.inf, math.inf)


@pytest.mark.parametrize(("depth", "passes"), [(0.0, 1), (4e-6, 1), (4.0001e-6, 2), (8e-6, 2)])
def test_passes_are_rounded_up(depth: float, passes: int) -> None:
    assert passes_for(depth, 4e-6) == passes
