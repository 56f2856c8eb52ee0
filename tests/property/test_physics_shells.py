"""Warp, rolling shear, profiles, elastic sets, opened shells: symmetry, limits, inverses."""

from __future__ import annotations

import dataclasses
import itertools
import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pairwright.base.errors import InputError
from pairwright.physics.bending import spring_back, spring_in
from pairwright.physics.elastic import ELASTIC, beech_at, elastic, veneer
from pairwright.physics.laminate import Lamina, engineering_modulus
from pairwright.physics.opening import Shell, opened, residual_force, safe_opening
from pairwright.physics.profile import (
    Arc,
    Piece,
    Straight,
    mould_for,
    outline,
    ply_courses,
    sprung,
    tip_opening,
)
from pairwright.physics.shear import apparent_modulus, shear_stiffness, three_point_deflection
from pairwright.physics.species import SPECIES_NAMES
from pairwright.physics.warp import panel_movement, thickness_movement, warp
from tests.strategies import finite, layups, ply_thicknesses

pieces = st.one_of(
    st.builds(Straight, finite(0.01, 0.5)),
    st.builds(Arc, finite(0.06, 0.6), st.one_of(finite(0.1, math.pi), finite(-math.pi, -0.1))),
)
profiles = st.lists(pieces, min_size=1, max_size=7)


# ---------------------------------------------------------------------------------- elastic sets
@pytest.mark.parametrize("name", ELASTIC)
def test_every_set_costs_energy_in_every_direction(name: str) -> None:
    wood = ELASTIC[name]

    assert wood.possible()
    assert np.allclose(wood.compliance(), wood.compliance().T)
    assert wood.E_L > wood.E_R > wood.E_T
    assert veneer(name, 1e-3).possible()


@given(moisture=finite(0.0, 0.20))
def test_beech_softens_with_moisture_and_stays_possible(moisture: float) -> None:
    drier, wetter = beech_at(moisture), beech_at(min(0.20, moisture + 0.01))

    assert drier.possible()
    if moisture <= 0.19:
        assert wetter.E_L < drier.E_L
        assert wetter.E_R < drier.E_R
        assert wetter.G_RT < drier.G_RT


@pytest.mark.parametrize("moisture", [0.0, 0.08, 0.12, 0.20])
def test_the_other_reading_of_the_index_is_impossible(moisture: float) -> None:
    # the recalled ratios read with the load as second index would give energy away
    wood = beech_at(moisture)
    other = dataclasses.replace(
        wood,
        nu_LR=wood.nu_LR * wood.E_L / wood.E_R,
        nu_LT=wood.nu_LT * wood.E_L / wood.E_T,
        nu_RT=wood.nu_RT * wood.E_T / wood.E_R,
    )

    assert wood.possible()
    assert not other.possible()


@pytest.mark.parametrize("name", SPECIES_NAMES)
@pytest.mark.parametrize("cut", ["rotary", "quarter"])
def test_every_wood_can_be_a_veneer(name: str, cut: str) -> None:
    ply = veneer(name, 0.6e-3, cut=cut, moisture_change=-0.02)  # type: ignore[arg-type]

    assert ply.possible()
    assert ply.expansion[1] < ply.expansion[0] < 0.0
    if name not in ELASTIC:
        assert elastic(name).source.kind == "from memory"


def test_an_unknown_cut_is_refused() -> None:
    with pytest.raises(InputError, match="cut must be one of rotary, quarter"):
        veneer("birch", 1e-3, cut="sawn")  # type: ignore[arg-type]


# ---------------------------------------------------------------------------------------- warp
def crossed(thicknesses: list[float], change: float = -0.03) -> list[Lamina]:
    return [
        veneer("beech, European", t, angle=math.pi / 2 * (n % 2), moisture_change=change)
        for n, t in enumerate(thicknesses)
    ]


@given(layup=layups(most=9), change=finite(-0.06, 0.06))
def test_a_balanced_panel_stays_flat(layup: list[float], change: float) -> None:
    shape = warp(crossed(layup, change), length=1.0, width=0.5)

    assert abs(shape.bow_x) < 1e-9
    assert abs(shape.bow_y) < 1e-9
    assert abs(shape.twist) < 1e-9


@given(layup=layups(most=9), change=finite(-0.06, -0.005))
def test_a_crossed_panel_moves_far_less_than_its_wood(layup: list[float], change: float) -> None:
    along, across = panel_movement(crossed(layup, change))
    free = veneer("beech, European", 1e-3, moisture_change=change).expansion[1]

    # drying wood pulls a crossed panel together, by a fraction of what it would do alone
    assert free < along < 0.0
    assert free < across < 0.0


def test_a_panel_with_one_side_drier_goes_hollow_on_that_side() -> None:
    def plies(top_drier: bool) -> list[Lamina]:
        changes = [0.0, 0.0, -0.03] if top_drier else [-0.03, 0.0, 0.0]
        return [
            veneer("beech, European", 1.5e-3, angle=math.pi / 2 * (n % 2), moisture_change=c)
            for n, c in enumerate(changes)
        ]

    top, bottom = (warp(plies(t), length=1.0, width=0.5) for t in (True, False))

    # the drier face shrinks: across its grain (y) the middle sinks below the ends when it is the upper one
    assert top.bow_y < 0.0 < bottom.bow_y
    assert top.bow_y == pytest.approx(-bottom.bow_y, rel=1e-6)


def test_a_stray_ply_twists_and_its_mirror_twists_the_other_way() -> None:
    # Blomqvist, Berg, Sandberg 2019: one ply 7 degrees astray twisted birch shells
    def with_stray(angle: float) -> float:
        plies = crossed([1e-3] * 7)
        plies[1] = veneer("beech, European", 1e-3, angle=math.pi / 2 + angle, moisture_change=-0.03)
        return warp(plies, length=0.5, width=0.5).twist

    assert with_stray(math.radians(7.0)) == pytest.approx(-with_stray(math.radians(-7.0)), rel=1e-6)
    assert abs(with_stray(math.radians(7.0))) > abs(with_stray(math.radians(2.0))) > 0.0


@given(layup=layups(most=9), change=finite(-0.06, 0.06))
def test_thickness_moves_freely(layup: list[float], change: float) -> None:
    assert thickness_movement(layup, movement=0.2, moisture_change=change) == pytest.approx(
        sum(layup) * 0.2 * change
    )


# ------------------------------------------------------------------------------- rolling shear
@given(E=finite(1e9, 2e10), G=finite(4e7, 1e9), t=ply_thicknesses, parts=st.integers(1, 9))
def test_one_wood_has_five_sixths(E: float, G: float, t: float, parts: int) -> None:
    assert shear_stiffness([(E, G, t)] * parts) == pytest.approx(5.0 / 6.0 * G * t * parts, rel=1e-9)


@given(face=finite(2e-4, 2e-3), core=finite(0.01, 0.05), G=finite(1e6, 1e8))
def test_a_sandwich_shears_in_its_core(face: float, core: float, G: float) -> None:
    # H. G. Allen 1969: thin stiff faces: S = G d^2/c with d between the faces' middles
    S = shear_stiffness([(1e11, 4e10, face), (1e4, G, core), (1e11, 4e10, face)])

    assert pytest.approx(G * (core + face) ** 2 / core, rel=0.02) == S


@given(
    plies=st.lists(st.tuples(finite(5e8, 2e10), finite(4e7, 1e9), ply_thicknesses), min_size=1, max_size=9)
)
def test_shear_only_lowers_the_apparent_modulus(plies: list[tuple[float, float, float]]) -> None:
    h = sum(t for _, _, t in plies)
    bending = engineering_modulus([(E, t) for E, _, t in plies])

    assert apparent_modulus(plies, 10 * h) < apparent_modulus(plies, 20 * h) < bending * (1 + 1e-12)
    assert apparent_modulus(plies, 4000 * h) == pytest.approx(bending, rel=1e-3)
    assert shear_stiffness(plies) == pytest.approx(shear_stiffness(plies[::-1]), rel=1e-6)


def test_rolling_shear_matters_in_plywood_below_twenty_thicknesses() -> None:
    face, cross = (12.2e9, 0.899e9, 1.4e-3), (0.774e9, 0.195e9, 1.4e-3)
    strip = [face if n % 2 == 0 else cross for n in range(5)]

    bent, sheared = three_point_deflection(strip, 10 * 7e-3, width=0.05, force=50.0)
    long_bent, long_sheared = three_point_deflection(strip, 40 * 7e-3, width=0.05, force=50.0)

    assert sheared / bent > 0.2
    assert long_sheared / long_bent == pytest.approx(sheared / bent / 16.0, rel=1e-9)


# ------------------------------------------------------------------------------------ profiles
@given(
    profile=profiles,
    thicknesses=st.lists(ply_thicknesses, min_size=1, max_size=12),
    side=st.sampled_from([1, -1]),
)
def test_lengths_differ_by_the_turning_times_the_distance(
    profile: list[Piece], thicknesses: list[float], side: int
) -> None:
    turning = sum(p.angle for p in profile if isinstance(p, Arc))
    base = sum(p.length for p in profile)

    courses = ply_courses(profile, thicknesses, side=side)

    distance = 0.0
    for course, t in zip(courses, thicknesses, strict=True):
        # Steiner: the parallel curve of a smooth profile
        assert course.length == pytest.approx(base - side * turning * (distance + 0.5 * t), abs=1e-9)
        assert course.strain == pytest.approx(
            t / (2 * course.radius) if math.isfinite(course.radius) else 0.0
        )
        distance += t


@given(profile=profiles)
def test_the_outline_is_as_long_as_its_pieces(profile: list[Piece]) -> None:
    points = outline(profile, step=math.radians(0.5))
    drawn = sum(math.dist(a, b) for a, b in itertools.pairwise(points))

    assert drawn == pytest.approx(sum(p.length for p in profile), rel=1e-5)


@given(profile=profiles, fraction=finite(0.0, 0.25), closing=finite(-0.02, 0.05))
def test_the_mould_gives_back_what_the_press_takes(
    profile: list[Piece], fraction: float, closing: float
) -> None:
    mould = mould_for(profile, fraction=fraction, closing=closing)
    back = sprung(mould, fraction=fraction, closing=closing)

    for wanted, got in zip(profile, back, strict=True):
        assert got.length == pytest.approx(wanted.length, rel=1e-12)
        if isinstance(wanted, Arc):
            assert isinstance(got, Arc)
            assert got.angle == pytest.approx(wanted.angle, rel=1e-12)
    assert tip_opening(profile, back) == pytest.approx(0.0, abs=1e-9)


def test_spring_back_opens_a_u_and_drying_closes_it() -> None:
    u: list[Piece] = [Straight(0.25), Arc(0.15, math.pi), Straight(0.25)]
    fraction = spring_back([(12e9, 1.5e-3)] * 9)
    closing = spring_in(1.0, along=-0.0002, through=-0.0076)

    assert tip_opening(u, sprung(u, fraction=fraction)) > 0.0
    assert tip_opening(u, sprung(u, fraction=0.0, closing=closing)) < 0.0


def test_plies_that_do_not_fit_the_bend_are_refused() -> None:
    with pytest.raises(InputError, match=r"pieces\[1\]\.radius"):
        ply_courses([Straight(0.1), Arc(0.005, math.pi)], [1.5e-3] * 4, side=1)


# -------------------------------------------------------------------------------- opened shells
shells = st.builds(
    Shell, finite(0.0, 0.5), finite(0.05, 0.3), finite(0.006, 0.025), finite(0.2, 1.5), finite(4e9, 1.4e10)
)


@given(shell=shells, opening=finite(1e-4, 0.02), along=finite(1e7, 8e7), through=finite(3e5, 3e6))
def test_an_opened_shell_is_linear_and_its_limit_is_one(
    shell: Shell, opening: float, along: float, through: float
) -> None:
    assume(shell.thickness < 0.3 * shell.radius)
    once = opened(shell, opening, along_limit=along, through_limit=through)
    twice = opened(shell, 2.0 * opening, along_limit=along, through_limit=through)
    limit = safe_opening(shell, along_limit=along, through_limit=through)

    assert twice.force == pytest.approx(2.0 * once.force)
    assert twice.share == pytest.approx(2.0 * once.share)
    assert limit.share == pytest.approx(1.0)
    assert limit.hoop_stress <= along * (1 + 1e-9)
    assert limit.radial_stress <= through * (1 + 1e-9)
    assert residual_force(shell, free_opening=0.3, fitted_opening=0.3 + opening) == pytest.approx(
        once.force, rel=1e-6
    )
