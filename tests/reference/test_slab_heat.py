"""The slab series against a textbook's worked example; the numerical solver against both."""

from __future__ import annotations

import math

import pytest

from pairwright.base.laws import ask
from pairwright.physics.heat import INSULATED, Faces, HeatModel, Layer, heat_stack
from pairwright.physics.slab import LAWS, convective_coefficient, convective_root, slab_temperature

# Incropera et al., Fundamentals of Heat and Mass Transfer, 6th ed., Example 5.4: pipe wall of 40 mm, outside
# insulated, k 63.9, alpha 18.8e-6, -20 degC, oil at 60 degC with h 500, after 8 min
LENGTH, CONDUCTIVITY, DIFFUSIVITY, FILM, TIME = 0.040, 63.9, 18.8e-6, 500.0, 480.0
GIVEN = {
    "thickness": 2.0 * LENGTH,
    "diffusivity": DIFFUSIVITY,
    "initial": 253.15,
    "surface": 333.15,
    "time": TIME,
    "conductivity": CONDUCTIVITY,
    "heat_transfer": FILM,
}


def test_biot_and_fourier_are_the_books() -> None:
    assert pytest.approx(0.313, abs=0.0005) == FILM * LENGTH / CONDUCTIVITY
    assert pytest.approx(5.64, abs=0.005) == DIFFUSIVITY * TIME / LENGTH**2


def test_root_and_weight_are_the_books() -> None:
    zeta = convective_root(0.313)

    assert zeta == pytest.approx(0.531, abs=0.001)
    assert convective_coefficient(zeta) == pytest.approx(1.047, abs=0.0005)


def test_the_insulated_face_is_as_hot_as_the_book_says() -> None:
    # 42.9 degC in the book, with rounded roots; exact roots give 43.02
    assert ask(LAWS[0], GIVEN).result["temperature"] - 273.15 == pytest.approx(42.9, abs=0.2)


def test_flux_and_energy_are_the_books() -> None:
    # surface 45.2 degC, q = -7360 W/m2; energy per metre of a pipe of 1 m: 2.72e7 J
    surface = ask(LAWS[0], GIVEN | {"position": LENGTH}).result["temperature"]

    assert FILM * (333.15 - surface) == pytest.approx(7360.0, abs=60.0)

    zeta = convective_root(FILM * LENGTH / CONDUCTIVITY)
    share = 1.0 - math.sin(zeta) / zeta * convective_coefficient(zeta) * math.exp(
        -(zeta**2) * DIFFUSIVITY * TIME / LENGTH**2
    )
    stored = CONDUCTIVITY / DIFFUSIVITY * LENGTH * math.pi * 80.0 * share
    assert stored == pytest.approx(2.72e7, abs=0.02e7)


def test_the_numerical_solver_finds_the_same_wall() -> None:
    layer = Layer(LENGTH / 2.0, CONDUCTIVITY, 1000.0, CONDUCTIVITY / DIFFUSIVITY / 1000.0)
    faces = Faces((0.0,), (333.15,), (333.15,), contact_bottom=FILM, contact_top=INSULATED)

    heating = heat_stack([layer, layer], faces, initial=253.15, cap=TIME, model=HeatModel())

    assert heating.profile[-1] - 273.15 == pytest.approx(42.9, abs=0.2)
    assert heating.heat[-1] * math.pi == pytest.approx(2.72e7, abs=0.02e7)


# Douglas-fir plywood of 12.7 mm, core to 104 degC (the criterion of Jokerst and Geimer, Forest Prod. J. 44
# (1994) 34-36) by pure conduction, 1.6e-7 m2/s, 20 degC start: derived, not measured
@pytest.mark.parametrize(
    ("platen", "to_104", "to_100"),
    [(110, 301, 249), (120, 212, 189), (130, 172, 157), (140, 148, 137), (150, 131, 122)],
)
def test_core_time_of_half_inch_plywood_by_conduction(platen: float, to_104: float, to_100: float) -> None:
    def core(time: float) -> float:
        return slab_temperature(0.0127, 1.6e-7, initial=20.0, surface=platen, time=time)

    # printed in whole seconds
    assert core(to_104 - 1.0) < 104.0 < core(to_104 + 1.0)
    assert core(to_100 - 1.0) < 100.0 < core(to_100 + 1.0)
