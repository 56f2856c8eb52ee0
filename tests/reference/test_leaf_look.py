"""Direction of the grain and colour of photographs, against closed forms and general libraries."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from pairwright.base.errors import InputError
from pairwright.measure.figure import grain, likeness, look_of, mirrored, structure
from pairwright.measure.photograph import converted, fit_chart, lab_of, linear, xyz_of
from pairwright.measure.signal import Floats
from pairwright.simulation.leaf import SyntheticLog, leaf


def grating(degrees: float, *, period: float = 20.0, size: int = 200) -> Floats:
    """Lines that run at an angle counter-clockwise from the rows."""
    y, x = np.mgrid[0:size, 0:size].astype(float)
    turn = math.radians(degrees)
    return np.sin(2 * math.pi * (x * math.sin(turn) + y * math.cos(turn)) / period)


# closed form: a grating runs at its own angle. A bias of up to 0.15 degree comes from the kernel of three
# pixels; scikit-image's structure tensor has 0.12 degree at 20 degrees, period 20, scale 4
@pytest.mark.parametrize("degrees", [0.0, 20.0, 45.0, 70.0, -20.0, -60.0])
def test_a_grating_runs_at_its_angle(degrees: float) -> None:
    found = grain(grating(degrees)[20:180, 20:180])

    assert math.degrees(found.angle) == pytest.approx(degrees, abs=0.15)
    assert found.strength > 0.99


def test_lines_across_the_rows_run_at_ninety_degrees() -> None:
    assert abs(math.degrees(grain(grating(90.0)).angle)) == pytest.approx(90.0, abs=0.01)


def test_the_tensor_is_that_of_a_general_library() -> None:
    from skimage.feature import structure_tensor

    picture = grating(20.0)
    rr, rc, cc = structure_tensor(picture, sigma=4.0, mode="nearest", order="rc")
    j11, j12, j22 = structure(picture, scale=4.0)
    inside = slice(30, -30)
    ratio = (j11 / cc)[inside, inside]

    # another three-pixel kernel (Sobel against Scharr): the same tensor but for a factor and a little bias
    assert ratio == pytest.approx(np.mean(ratio), rel=5e-3)
    library = 0.5 * np.arctan2(-2 * rc, cc - rr)[100, 100]
    assert 0.5 * np.arctan2(2 * j12, j11 - j22)[100, 100] == pytest.approx(library, abs=4e-3)


def test_noise_has_no_grain() -> None:
    assert grain(np.random.default_rng(1).standard_normal((200, 200))).strength < 0.1
    assert grain(np.ones((40, 40))).strength == 0.0


def test_mates_opened_like_a_book_are_alike_and_strangers_are_not() -> None:
    log, other = SyntheticLog(seed=3), SyntheticLog(seed=8, slant=-0.1, early=(64.0, 8.0, 24.0))
    looks = [look_of(leaf(log, n)) for n in range(6)]
    stranger = look_of(leaf(other, 1))

    beside = [likeness(a, b) for a, b in pairwise(looks)]
    assert likeness(looks[0], looks[0], opened=False) == pytest.approx(1.0)
    assert likeness(looks[0], mirrored(looks[0])) == pytest.approx(1.0)
    assert min(beside) > likeness(looks[0], looks[5])
    assert min(beside) > 2.0 * likeness(looks[0], stranger)


def test_lab_is_that_of_a_general_library() -> None:
    from skimage.color import xyz2lab

    xyz = np.random.default_rng(2).uniform(0.0005, 1.0, (200, 3))

    # the library's D50 comes from the chromaticity: it differs in the fifth decimal of the white
    assert lab_of(xyz) == pytest.approx(xyz2lab(xyz, illuminant="D50", observer="2"), abs=0.02)
    assert xyz_of(lab_of(xyz)) == pytest.approx(xyz, abs=1e-12)


def test_linear_light_is_the_standard_s() -> None:
    # IEC 61966-2-1: 0.04045 is the corner, 0.0031308 its light; one half is 0.21404 (closed form)
    assert linear(np.array([0.04045, 0.5])) == pytest.approx([0.0031308, 0.2140411], abs=1e-7)


def test_a_chart_undoes_a_camera() -> None:
    rng = np.random.default_rng(5)
    lab = np.column_stack([rng.uniform(30, 90, 24), rng.uniform(-20, 20, 24), rng.uniform(-20, 20, 24)])
    camera = np.array([[0.7, 0.2, 0.05], [0.3, 0.6, 0.1], [0.05, 0.1, 0.8]])
    seen = xyz_of(lab) @ np.linalg.inv(camera).T + 0.01

    chart = fit_chart(seen.tolist(), lab.tolist())

    assert chart.worst < 1e-6
    assert converted(seen.reshape(4, 6, 3), chart).reshape(24, 3) == pytest.approx(lab, abs=1e-6)


def test_too_few_patches_and_unlike_sizes_are_refused() -> None:
    with pytest.raises(InputError):
        fit_chart([[0.1, 0.1, 0.1]] * 3, [[50.0, 0.0, 0.0]] * 3)
    with pytest.raises(InputError):
        grain(np.ones((8, 200)))
    with pytest.raises(InputError):
        likeness(look_of(leaf(SyntheticLog(), 1)), look_of(leaf(SyntheticLog(), 1, rows=80, columns=80)))
