"""A thermocouple over the model: constants come back, uncertainty covers, hopeless logs are refused."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from pairwright.base.errors import InputError
from pairwright.physics.heat import Faces, warm_up
from pairwright.physics.press import Glue, Ply, PressStack
from pairwright.physics.thermocouple import Log, PressHeat, lay_over, predicted

STACK = PressStack((Ply(1.5e-3, 0.62, 0.08),) * 5, Glue(2.734e9, 80e3, spread=0.15, water=0.4))
HEAT = PressHeat(STACK, 294.0, Faces((0.0,), (388.0,), (388.0,)))
TIMES = np.arange(0.0, 160.0, 4.0)


@pytest.fixture(scope="module", autouse=True)
def warm() -> None:
    warm_up()  # a hundred fits


def log(
    factor: float,
    resistance: float,
    *,
    noise: float = 0.0,
    seed: int = 1,
    depths: tuple[float, ...] = (1.5e-3, 3e-3),
) -> Log:
    names = tuple(f"line {n}" for n in range(len(depths)))
    empty = Log(names, depths, TIMES, np.zeros((TIMES.size, len(depths))))
    true = predicted(HEAT, empty, factor=factor, resistance=resistance)
    rng = np.random.default_rng(seed)
    return replace(empty, temperatures=true + noise * rng.standard_normal(true.shape))


@pytest.mark.parametrize(("factor", "resistance"), [(1.0, 1e-3), (1.3, 3e-3), (0.8, 5e-4)])
def test_a_log_without_noise_gives_its_constants_back(factor: float, resistance: float) -> None:
    found = lay_over(HEAT, log(factor, resistance))

    assert found.factor.value == pytest.approx(factor, rel=1e-3)
    assert found.resistance.value == pytest.approx(resistance, rel=1e-2)
    assert found.rms_after < 0.01


def test_what_is_left_over_shrinks_and_is_the_noise() -> None:
    found = lay_over(HEAT, log(1.25, 2e-3, noise=0.5))

    assert found.rms_before > 2.0
    assert found.rms_after == pytest.approx(0.5, rel=0.25)  # 80 readings scatter by 8 %
    left = found.log.temperatures - found.after
    assert abs(float(left.mean())) < 0.1


def test_the_uncertainty_covers_as_often_as_it_says() -> None:
    inside = {"factor": 0, "resistance": 0}
    for seed in range(40):
        found = lay_over(HEAT, log(1.1, 2e-3, noise=0.6, seed=seed))
        inside["factor"] += abs(found.factor.value - 1.1) < 2.0 * found.factor.uncertainty
        inside["resistance"] += abs(found.resistance.value - 2e-3) < 2.0 * found.resistance.uncertainty

    # two standard uncertainties: 95 % of the time; 40 trials scatter by 3.4 %
    assert all(33 <= n <= 40 for n in inside.values()), inside


def test_more_noise_is_more_uncertain() -> None:
    quiet, loud = (lay_over(HEAT, log(1.1, 2e-3, noise=n)).factor.uncertainty for n in (0.2, 1.0))

    assert quiet < loud


def test_readings_that_repeat_themselves_count_less() -> None:
    plain = log(1.1, 2e-3, noise=0.6)
    rng = np.random.default_rng(5)
    slow = np.repeat(rng.standard_normal((TIMES.size // 8 + 1, 2)), 8, axis=0)[: TIMES.size]
    clean = log(1.1, 2e-3)
    echoing = replace(clean, temperatures=clean.temperatures + 0.6 * slow)

    assert lay_over(HEAT, echoing).echo > 0.5 > lay_over(HEAT, plain).echo
    assert lay_over(HEAT, echoing).factor.uncertainty > lay_over(HEAT, plain).factor.uncertainty


def test_a_perfect_contact_is_kept_perfect() -> None:
    found = lay_over(HEAT, log(1.2, 0.0, noise=0.3))

    assert not found.resistance.told or found.contact > 2000.0
    assert found.factor.value == pytest.approx(1.2, abs=0.03)


def test_a_sensor_between_two_lines_has_its_own_place() -> None:
    # one sensor alone cannot tell contact from conductivity: the contact is kept as given
    deep = log(1.1, 1e-3, depths=(2.2e-3,))

    found = lay_over(HEAT, deep, contact=1000.0)

    assert not found.resistance.told
    assert found.contact == pytest.approx(1000.0)
    assert found.factor.value == pytest.approx(1.1, rel=5e-3)
    line, place = (
        predicted(HEAT, log(1.0, 0.0, depths=(d,)), factor=1.0, resistance=0.0) for d in (1.5e-3, 2.2e-3)
    )
    assert np.all(place[3:] < line[3:])


def test_missing_readings_are_left_out() -> None:
    whole = log(1.15, 2e-3, noise=0.2)
    holes = whole.temperatures.copy()
    holes[5:20, 0] = math.nan

    found = lay_over(HEAT, replace(whole, temperatures=holes))

    assert found.factor.value == pytest.approx(1.15, abs=0.02)


HOPELESS = log(1.1, 1e-3)


@pytest.mark.parametrize(
    ("bad", "says"),
    [
        (replace(HOPELESS, times=TIMES[::-1].copy()), "rising"),
        (replace(HOPELESS, depths=(1.5e-3, 9e-3)), "between the faces"),
        (replace(HOPELESS, temperatures=HOPELESS.temperatures - 273.15), "anything between these platens"),
        (replace(HOPELESS, temperatures=0.0 * HOPELESS.temperatures + 300.0), "warming by at least"),
        (replace(HOPELESS, temperatures=HOPELESS.temperatures[::-1].copy()), "what conduction can give"),
        (replace(HOPELESS, times=TIMES[:4], temperatures=HOPELESS.temperatures[10:14]), "at least 12"),
        (replace(HOPELESS, temperatures=HOPELESS.temperatures[:, :1]), "one column for every sensor"),
        (replace(HOPELESS, temperatures=np.full_like(HOPELESS.temperatures, math.nan)), "at least 12"),
    ],
)
def test_a_hopeless_log_is_refused(bad: Log, says: str) -> None:
    with pytest.raises(InputError, match=says):
        lay_over(HEAT, bad)
