"""Layup laws: lamination under rotation, bending, shells, movement, slab and cure as closed forms."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.special import expn

from pairwright.physics.bending import (
    free_radius,
    minimum_bend_radius,
    mould_radius_for,
    spring_back,
    spring_in,
)
from pairwright.physics.cure import cure_fraction, cure_of, dose_for, thermal_dose
from pairwright.physics.laminate import (
    Lamina,
    engineering_modulus,
    glued_stiffness,
    laminate,
    reduced_stiffness,
    turned_stiffness,
)
from pairwright.physics.movement import wood_movement
from pairwright.physics.pressure import cylinder_pressure, press_force, wall_pressure
from pairwright.physics.shell import (
    curved_section,
    opening_force,
    opening_moment,
    radial_stress,
    shell_opening,
)
from pairwright.physics.slab import (
    convective_coefficient,
    convective_fraction,
    convective_root,
    rise_fraction,
)
from pairwright.physics.steam import (
    antoine_pressure,
    gas_overpressure,
    magnus_pressure,
    saturation_temperature,
    steam_pressure,
)
from pairwright.physics.wood import equilibrium_moisture, wood_conductivity, wood_heat_capacity
from tests.strategies import finite, fractions, moistures, ply_thicknesses, radii

angles = finite(-math.pi, math.pi)
stacks = st.lists(st.tuples(finite(3e8, 2e10), ply_thicknesses), min_size=2, max_size=12)


@st.composite
def laminae(draw: st.DrawFn) -> Lamina:
    E1 = draw(finite(5e9, 2e10))
    E2 = draw(finite(3e8, 2e9))
    return Lamina(
        E1, E2, draw(finite(1e8, 2e9)), draw(finite(-0.5, 0.9)), draw(ply_thicknesses), draw(angles),
        (draw(finite(-0.01, 0.01)), draw(finite(-0.05, 0.05))),
    )  # fmt: skip


# ------------------------------------------------------------------------------- lamination theory
@given(ply=laminae(), turn=angles)
def test_invariants_survive_a_turn(ply: Lamina, turn: float) -> None:
    Q = turned_stiffness(ply)
    R = turned_stiffness(Lamina(ply.E1, ply.E2, ply.G12, ply.nu12, ply.thickness, ply.angle + turn))

    # Tsai and Pagano: trace of the in-plane stiffness, and Q66 - Q12
    assert R[0, 0] + R[1, 1] + 2 * R[0, 1] == pytest.approx(Q[0, 0] + Q[1, 1] + 2 * Q[0, 1], rel=1e-9)
    assert R[2, 2] - R[0, 1] == pytest.approx(Q[2, 2] - Q[0, 1], rel=1e-9, abs=1e-3 * ply.E1 * 1e-6)


@given(plies=st.lists(laminae(), min_size=1, max_size=6), turn=angles)
def test_invariants_of_a_whole_laminate_survive_a_turn(plies: list[Lamina], turn: float) -> None:
    assume(all(ply.possible() for ply in plies))
    one, two = laminate(plies), laminate([replace(ply, angle=ply.angle + turn) for ply in plies])

    size = float(np.abs(one.A).max())
    for before, after, scale in (
        (one.A, two.A, size), (one.B, two.B, size * one.thickness), (one.D, two.D, size * one.thickness**2),
    ):  # fmt: skip
        # Tsai and Pagano, for each of the three stiffnesses
        assert after[0, 0] + after[1, 1] + 2 * after[0, 1] == pytest.approx(
            before[0, 0] + before[1, 1] + 2 * before[0, 1], abs=1e-9 * scale
        )
        assert after[2, 2] - after[0, 1] == pytest.approx(before[2, 2] - before[0, 1], abs=1e-9 * scale)


@given(plies=st.lists(laminae(), min_size=1, max_size=6), factor=finite(0.2, 5.0))
def test_stiffness_scales_with_the_power_of_thickness(plies: list[Lamina], factor: float) -> None:
    assume(all(ply.possible() for ply in plies))
    thin, thick = laminate(plies), laminate([replace(p, thickness=p.thickness * factor) for p in plies])

    assert np.allclose(thick.A, thin.A * factor, rtol=1e-9)
    assert np.allclose(
        thick.B, thin.B * factor**2, rtol=1e-7, atol=1e-9 * np.abs(thick.A).max() * thick.thickness
    )
    assert np.allclose(thick.D, thin.D * factor**3, rtol=1e-7, atol=1e-9 * np.abs(thick.D).max())
    assert thick.flexural_modulus_x == pytest.approx(thin.flexural_modulus_x, rel=1e-6)


@given(ply=laminae())
def test_a_quarter_turn_swaps_the_axes(ply: Lamina) -> None:
    straight = reduced_stiffness(ply)
    turned = turned_stiffness(Lamina(ply.E1, ply.E2, ply.G12, ply.nu12, ply.thickness, math.pi / 2))

    assert turned[0, 0] == pytest.approx(straight[1, 1], rel=1e-9)
    assert turned[1, 1] == pytest.approx(straight[0, 0], rel=1e-9)
    assert turned[0, 1] == pytest.approx(straight[0, 1], rel=1e-9, abs=1.0)


@given(plies=st.lists(laminae(), min_size=1, max_size=8))
def test_stiffness_is_symmetric_and_positive(plies: list[Lamina]) -> None:
    assume(all(ply.possible() for ply in plies))
    found = laminate(plies)
    h = found.thickness
    # in units in which all three blocks are of one size
    whole = np.block([[found.A, found.B / h], [found.B / h, found.D / h**2]])

    assert np.allclose(whole, whole.T, rtol=1e-9, atol=1e-6 * whole.max())
    assert np.linalg.eigvalsh(whole).min() > 0.0


@given(half=st.lists(laminae(), min_size=1, max_size=5), middle=laminae())
def test_a_symmetrical_stack_does_not_couple_nor_warp(half: list[Lamina], middle: Lamina) -> None:
    assume(all(ply.possible() for ply in [*half, middle]))
    found = laminate([*half, middle, *reversed(half)])

    assert np.abs(found.B).max() <= 1e-9 * np.abs(found.A).max() * found.thickness
    curvature = found.strain_and_curvature()[3:]
    assert np.abs(curvature).max() * found.thickness < 1e-6


@given(plies=st.lists(laminae(), min_size=1, max_size=6))
def test_turned_over_the_coupling_changes_sign(plies: list[Lamina]) -> None:
    assume(all(ply.possible() for ply in plies))
    up, down = laminate(plies), laminate(plies[::-1])

    size = np.abs(up.A).max() * up.thickness
    assert np.allclose(up.A, down.A, rtol=1e-9)
    assert np.allclose(up.B, -down.B, atol=1e-9 * size)
    assert np.allclose(up.D, down.D, rtol=1e-8, atol=1e-12 * size * up.thickness)


def test_cross_ply_flexural_moduli_of_a_known_stack() -> None:
    # closed form: [0/90]4S of 0.125 mm, 181/10.3/7.17 GPa/0.28: 112.05 and 79.93 GPa
    layup = [0.0, 90.0] * 4 + [90.0, 0.0] * 4
    found = laminate([Lamina(181e9, 10.3e9, 7.17e9, 0.28, 0.125e-3, math.radians(a)) for a in layup])

    assert found.flexural_modulus_x / 1e9 == pytest.approx(112.05, abs=0.01)
    assert found.flexural_modulus_y / 1e9 == pytest.approx(79.93, abs=0.01)
    assert found.A[0, 0] == pytest.approx(1.9216e8, rel=1e-4)


@given(ply=laminae(), moisture=finite(-0.08, 0.08))
def test_one_free_ply_takes_exactly_its_own_strain(ply: Lamina, moisture: float) -> None:
    assume(ply.possible())
    free = Lamina(ply.E1, ply.E2, ply.G12, ply.nu12, ply.thickness, 0.0, (0.005 * moisture, 0.3 * moisture))

    strain = laminate([free]).strain_and_curvature()

    assert strain[:2] == pytest.approx([0.005 * moisture, 0.3 * moisture], abs=1e-9)
    assert np.abs(strain[2:]).max() < 1e-6


def test_two_metals_bend_as_timoshenko_said() -> None:
    # S. Timoshenko, J. Opt. Soc. Am. 11 (1925) 233: equal thickness and modulus: curvature 3 (a2 - a1)/(2 h);
    # here as narrow strips (no Poisson effect)
    plies = [
        Lamina(1e10, 1e10, 5e9, 0.0, 1e-3, 0.0, (0.0, 0.0)),
        Lamina(1e10, 1e10, 5e9, 0.0, 1e-3, 0.0, (1e-3, 0.0)),
    ]

    curvature = laminate(plies).strain_and_curvature()[3]

    # the upper ply grows: the sheet bends down at its ends, w'' < 0 is positive curvature's opposite
    assert abs(curvature) == pytest.approx(1.5 * 1e-3 / 2e-3, rel=1e-9)


# ---------------------------------------------------------------------------------- bending
@given(n=st.integers(2, 40), E=finite(1e9, 2e10), t=ply_thicknesses, radius=radii)
def test_n_equal_plies_lose_one_over_n_squared(n: int, E: float, t: float, radius: float) -> None:
    fraction = spring_back([(E, t)] * n)

    assert fraction == pytest.approx(1.0 / n**2, rel=1e-9)
    assert free_radius(radius, fraction) / radius == pytest.approx(n**2 / (n**2 - 1.0), rel=1e-9)


def test_a_crossed_stack_of_nine() -> None:
    # closed form: nine crossed plies, ratio 20: 0.010459
    assert spring_back([(20.0 if n % 2 == 0 else 1.0, 1.0) for n in range(9)]) == pytest.approx(
        0.010459, abs=5e-7
    )


@given(plies=stacks, radius=radii)
def test_spring_back_lies_between_nothing_and_all(plies: list[tuple[float, float]], radius: float) -> None:
    fraction = spring_back(plies)

    assert 0.0 < fraction < 1.0
    assert spring_back(plies[::-1]) == pytest.approx(fraction, rel=1e-9)
    assert spring_back([(2.0 * E, t) for E, t in plies]) == pytest.approx(fraction, rel=1e-9)
    assert free_radius(mould_radius_for(radius, fraction), fraction) == pytest.approx(radius, rel=1e-12)


@given(plies=stacks)
def test_splitting_every_ply_lowers_spring_back(plies: list[tuple[float, float]]) -> None:
    split = [(E, 0.5 * t) for E, t in plies for _ in range(2)]

    # the section stays, the stored moment falls to a quarter
    assert spring_back(split) == pytest.approx(0.25 * spring_back(plies), rel=1e-6)
    assert glued_stiffness(split) == pytest.approx(glued_stiffness(plies), rel=1e-9)


@given(plies=stacks)
def test_a_glued_modulus_lies_between_its_plies(plies: list[tuple[float, float]]) -> None:
    modulus = engineering_modulus(plies)

    # an uneven stack may fall below its mean, never above its stiffest ply
    assert 0.0 < modulus <= max(E for E, _ in plies) * (1.0 + 1e-9)


@given(angle=finite(1.0, 180.0), along=finite(-0.02, 0.02), through=finite(-0.05, 0.05))
def test_spring_in_is_the_geometry_of_a_sector(angle: float, along: float, through: float) -> None:
    # a sector of inner and outer radius r and r + t: both arcs take the strain along, the thickness that through
    r, t, turn = 0.2, 0.01, math.radians(angle)
    inner, outer = r * turn * (1.0 + along), (r + t) * turn * (1.0 + along)
    after = (outer - inner) / (t * (1.0 + through))

    assert spring_in(angle, along=along, through=through) == pytest.approx(
        math.degrees(after - turn), abs=1e-9
    )


@given(t=ply_thicknesses, strain=finite(1e-3, 0.05))
def test_the_tightest_radius_is_linear_in_thickness(t: float, strain: float) -> None:
    # Lunguleasa et al., Wood Research 59 (2014) 843: linear in thickness
    assert minimum_bend_radius(2.0 * t, strain) == pytest.approx(2.0 * minimum_bend_radius(t, strain))


# ------------------------------------------------------------------------------------ shells
@given(inner=finite(0.01, 1.0), ratio=finite(1.0005, 4.0), width=finite(0.01, 2.0), moment=finite(1.0, 1e4))
def test_a_curved_section_balances(inner: float, ratio: float, width: float, moment: float) -> None:
    outer = inner * ratio
    section = curved_section(inner, outer, width=width)
    # Gauss-Legendre through the thickness
    nodes, weights = np.polynomial.legendre.leggauss(24)
    r = 0.5 * (inner + outer) + 0.5 * (outer - inner) * nodes
    stress = np.array([section.stress(float(x), moment=moment) for x in r])
    area = 0.5 * (outer - inner) * weights * width

    assert inner < section.neutral_radius < 0.5 * (inner + outer)
    assert float(np.sum(stress * area)) == pytest.approx(0.0, abs=1e-7 * float(np.sum(np.abs(stress) * area)))
    centre = 0.5 * (inner + outer)
    assert float(np.sum(stress * area * (centre - r))) == pytest.approx(moment, rel=1e-6)


@given(h=finite(1e-4, 1e-2))
def test_a_thin_curved_section_is_a_straight_beam(h: float) -> None:
    radius = 1e3 * h
    section = curved_section(radius - h / 2, radius + h / 2, width=1.0)

    assert section.stress(radius - h / 2, moment=1.0) == pytest.approx(6.0 / h**2, rel=1e-3)
    assert section.eccentricity == pytest.approx(h * h / (12.0 * radius), rel=1e-5)


@pytest.mark.parametrize("u", [0.0199, 0.02, 0.0201])
def test_series_and_closed_form_meet(u: float) -> None:
    section = curved_section(1.0 - u, 1.0 + u, width=1.0)

    assert section.eccentricity == pytest.approx(1.0 - u / math.atanh(u), rel=1e-9)


@given(leg=finite(0.0, 1.0), radius=finite(0.02, 0.5), stiffness=finite(10.0, 1e5), force=finite(1.0, 1e4))
def test_opening_is_castiglianos(leg: float, radius: float, stiffness: float, force: float) -> None:
    # by quadrature of moment times unit moment over the U
    x, w = np.polynomial.legendre.leggauss(20)
    s = 0.5 * leg * (x + 1.0)
    legs = 2.0 * float(np.sum(0.5 * leg * w * s * s))
    angle = 0.25 * math.pi * (x + 1.0)
    arm = leg + radius * np.sin(angle)
    ring = 2.0 * float(np.sum(0.25 * math.pi * w * arm * arm)) * radius

    opening = shell_opening(leg, radius, stiffness=stiffness, force=force)

    assert opening == pytest.approx(force * (legs + ring) / stiffness, rel=1e-9)
    assert opening_force(leg, radius, stiffness=stiffness, opening=opening) == pytest.approx(force, rel=1e-12)
    assert opening_moment(leg, radius, force=force) == pytest.approx(force * float(arm.max()), rel=1e-3)


def test_a_known_u() -> None:
    # closed form: P 1 kN, L 0.25, R 0.15 m, E I 4860 N m2: 13.924 mm; half ring alone 1.0908 mm
    assert shell_opening(0.25, 0.15, stiffness=4860.0, force=1000.0) == pytest.approx(13.924e-3, abs=1e-6)
    assert shell_opening(0.0, 0.15, stiffness=4860.0, force=1000.0) == pytest.approx(1.0908e-3, abs=1e-7)


def test_radial_tension_is_that_of_the_stress_above_it() -> None:
    # the hoop stress inside a cut, summed, is what the cut must carry
    section = curved_section(1.0, 1.3, width=1.0)
    steps, force, most = 4000, 0.0, 0.0
    for n in range(steps):
        r = 1.0 + (n + 0.5) * 0.3 / steps
        force += section.stress(r, moment=1.0) * 0.3 / steps
        most = max(most, force / r)

    assert most == pytest.approx(radial_stress(1.0, width=1.0, thickness=0.3, radius=1.15), rel=0.03)


# ---------------------------------------------------------------------------------- pressure
@given(pressure=finite(1e4, 3e6), angle=finite(0.0, math.pi / 2))
def test_a_leaning_wall_gets_less(pressure: float, angle: float) -> None:
    assert 0.0 <= wall_pressure(pressure, angle) <= pressure
    assert wall_pressure(pressure, 0.0) == pressure
    # over a half cylinder the vertical parts add up to the projected area
    edges = np.linspace(-math.pi / 2, math.pi / 2, 2001)
    middle = 0.5 * (edges[:-1] + edges[1:])
    lift = sum(wall_pressure(pressure, abs(m)) * math.cos(m) * (math.pi / 2000) for m in middle)
    assert lift == pytest.approx(pressure * math.pi / 2, rel=1e-3)


@given(pressure=finite(1e4, 3e6), area=finite(0.01, 4.0), bore=finite(0.02, 0.5), count=st.integers(1, 12))
def test_cylinders_carry_the_press(pressure: float, area: float, bore: float, count: int) -> None:
    oil = cylinder_pressure(press_force(pressure, area), bore=bore, cylinders=count)

    assert oil * count * math.pi * bore**2 / 4.0 == pytest.approx(pressure * area)


# -------------------------------------------------------------------------------- heat, steam, cure
# closed form, Carslaw and Jaeger: rise at the middle
@pytest.mark.parametrize(
    ("fourier", "rise"), [(0.05, 0.00313), (0.1, 0.05069), (0.2, 0.22769), (0.5, 0.62922), (1.0, 0.89202)]
)
def test_the_middle_rises_as_the_series_says(fourier: float, rise: float) -> None:
    assert rise_fraction(fourier) == pytest.approx(rise, abs=5e-6)


# closed form, roots of zeta tan zeta = Bi
@pytest.mark.parametrize(
    ("biot", "zeta", "weight"),
    [(0.01, 0.0998, 1.0017), (0.1, 0.3111, 1.0161), (0.3, 0.5218, 1.0450), (1.0, 0.8603, 1.1191),
     (5.0, 1.3138, 1.2402), (10.0, 1.4289, 1.2620), (100.0, 1.5552, 1.2731)],
)  # fmt: skip
def test_roots_and_weights(biot: float, zeta: float, weight: float) -> None:
    assert convective_root(biot) == pytest.approx(zeta, abs=6e-5)
    assert convective_coefficient(convective_root(biot)) == pytest.approx(weight, abs=6e-5)


@given(position=finite(-1.0, 1.0), biot=finite(0.01, 500.0))
def test_early_and_late_forms_meet(position: float, biot: float) -> None:
    before, after = 0.02 - 1e-9, 0.02 + 1e-9

    assert rise_fraction(before, position) == pytest.approx(rise_fraction(after, position), abs=1e-7)
    assert convective_fraction(before, biot, position=position) == pytest.approx(
        convective_fraction(after, biot, position=position), abs=1e-7
    )


@given(fourier=finite(1e-6, 5.0), biot=finite(1e-3, 1e3), position=finite(0.0, 1.0))
def test_a_film_slows_the_heat(fourier: float, biot: float, position: float) -> None:
    film = convective_fraction(fourier, biot, position=position)

    assert -1e-9 <= film <= rise_fraction(fourier, position) + 1e-9
    assert film <= convective_fraction(fourier, 2.0 * biot, position=position) + 1e-9
    assert film <= convective_fraction(1.5 * fourier, biot, position=position) + 1e-9


@given(temperature=finite(274.0, 646.0))
def test_pressure_and_boiling_point_are_inverse(temperature: float) -> None:
    assert saturation_temperature(steam_pressure(temperature)) == pytest.approx(temperature, abs=1e-5)
    assert steam_pressure(temperature + 1.0) > steam_pressure(temperature)


@given(temperature=finite(274.0, 372.0))
def test_weather_formulas_agree_below_boiling(temperature: float) -> None:
    assert antoine_pressure(temperature) == pytest.approx(steam_pressure(temperature), rel=0.012)
    if temperature < 313.0:
        assert magnus_pressure(temperature) == pytest.approx(steam_pressure(temperature), rel=0.005)


# closed form, IAPWS equation at press heat [MPa]
@pytest.mark.parametrize(
    ("celsius", "megapascal"),
    [(110, 0.143376), (120, 0.198665), (130, 0.27026), (140, 0.361501), (150, 0.476101)],
)
def test_steam_at_press_heat(celsius: float, megapascal: float) -> None:
    assert steam_pressure(celsius + 273.15) / 1e6 == pytest.approx(megapascal, abs=2e-6)


# closed form, Antoine less the atmosphere [kPa]; 1 kPa apart
@pytest.mark.parametrize(("celsius", "kilopascal"), [(110, 42), (115, 68), (120, 97), (125, 130), (130, 167)])
def test_overpressure_bound(celsius: float, kilopascal: float) -> None:
    assert gas_overpressure(celsius + 273.15) / 1e3 == pytest.approx(kilopascal, abs=2.0)
    assert gas_overpressure(celsius + 273.15, water_activity=0.8) < gas_overpressure(celsius + 273.15)
    assert gas_overpressure(370.0) == 0.0


@given(cure=finite(0.0, 0.999), order=st.one_of(st.just(1.0), finite(0.2, 3.0)))
def test_dose_and_cure_are_inverse(cure: float, order: float) -> None:
    assert cure_of(dose_for(cure, order), order) == pytest.approx(cure, abs=1e-9)


@given(order=finite(0.999999, 1.000001), dose=finite(0.0, 20.0))
def test_first_order_is_no_edge(order: float, dose: float) -> None:
    assert cure_of(dose, order) == pytest.approx(cure_of(dose, 1.0), abs=1e-4)


@given(T0=finite(280.0, 400.0), T1=finite(280.0, 420.0), duration=finite(1.0, 2000.0))
def test_the_dose_of_a_ramp_is_that_of_the_exponential_integral(
    T0: float, T1: float, duration: float
) -> None:
    assume(abs(T1 - T0) > 1e-3)
    A, E, R = 2.734e9, 80e3, 8.314462618

    def primitive(T: float) -> float:
        return float(T * expn(2, E / (R * T)))

    exact = A * duration * (primitive(T1) - primitive(T0)) / (T1 - T0)

    assert thermal_dose(A, E, history=[(0.0, T0), (duration, T1)]) == pytest.approx(exact, rel=1e-7)


@given(cut=fractions, T0=finite(300.0, 400.0), T1=finite(300.0, 400.0), order=finite(1.0, 2.0))
def test_a_point_more_on_the_line_changes_nothing(cut: float, T0: float, T1: float, order: float) -> None:
    whole = [(0.0, T0), (300.0, T1)]
    parted = [(0.0, T0), (300.0 * cut, T0 + (T1 - T0) * cut), (300.0, T1)]

    one, two = (cure_fraction(1.8e9, 80e3, order=order, history=h) for h in (whole, parted))

    assert one == pytest.approx(two, abs=1e-9)
    assert 0.0 <= one <= 1.0


# -------------------------------------------------------------------------------------- wood
@given(temperature=finite(275.0, 370.0), humidity=finite(0.05, 0.90))
def test_moister_air_moister_wood_and_warmer_air_drier_wood(temperature: float, humidity: float) -> None:
    here = equilibrium_moisture(temperature, humidity)

    assert 0.0 < here < 0.30
    assert equilibrium_moisture(temperature, humidity + 0.02) > here
    assert equilibrium_moisture(temperature + 10.0, humidity) < here + 0.002


@given(gravity=finite(0.31, 1.0), moisture=moistures, temperature=finite(285.0, 415.0))
def test_heat_goes_the_way_of_mass_and_water(gravity: float, moisture: float, temperature: float) -> None:
    k = wood_conductivity(gravity, moisture, temperature=temperature)

    assert wood_conductivity(gravity + 0.05, moisture, temperature=temperature) > k
    assert wood_conductivity(gravity, moisture + 0.01, temperature=temperature) > k
    assert wood_conductivity(gravity, moisture, temperature=temperature, rise=0.0) == wood_conductivity(
        gravity, moisture
    )
    assert wood_heat_capacity(temperature + 5.0, moisture) > wood_heat_capacity(temperature, moisture)


@given(size=finite(0.01, 3.0), first=fractions, second=fractions, coefficient=finite(0.05, 0.5))
def test_movement_there_and_back_is_nothing(
    size: float, first: float, second: float, coefficient: float
) -> None:
    out = wood_movement(coefficient, size, moisture_from=first, moisture_to=second)
    back = wood_movement(coefficient, size, moisture_from=second, moisture_to=first)

    assert out == -back
    assert (out > 0.0) == (second > first) or first == second
