"""From a photograph with a colour chart in frame to CIE L*a*b*: linear light, a fitted matrix, one white."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text
from pairwright.measure.colour import colour_difference
from pairwright.measure.signal import Floats

WHITE: Final = (0.96422, 1.0, 0.82521)  # D50, 2 degrees: CIE 15, as in ISO 3664 viewing
LEAST_PATCHES: Final = 6
DARK: Final = 216.0 / 24389.0  # where the cube root begins: CIE 15
SLOPE: Final = 24389.0 / 27.0


@dataclass(frozen=True, slots=True)
class Chart:
    """A fit to a chart: `matrix` (3, 4) from linear camera values to XYZ; how far its patches are off.

    `mean` and `worst` colour difference (CIEDE2000) over the patches.
    """

    matrix: Floats
    mean: float
    worst: float


def linear(values: Floats) -> Floats:
    """Linear light from sRGB values of 0 to 1.

    References
    ----------
    .. [1] IEC 61966-2-1:1999 (sRGB transfer curve).

    Examples
    --------
    >>> np.round(linear(np.array([0.0, 0.5, 1.0])), 6).tolist()
    [0.0, 0.214041, 1.0]
    """
    return np.where(values <= 0.04045, values / 12.92, ((values + 0.055) / 1.055) ** 2.4)


def lab_of(xyz: Floats) -> Floats:
    """CIE L*a*b* of XYZ, white D50 with Y = 1.

    Parameters
    ----------
    xyz : ndarray, shape (..., 3)
        Tristimulus values. [-]

    References
    ----------
    .. [1] CIE 15:2018, 8.2.1 (ISO/CIE 11664-4).

    Examples
    --------
    >>> np.round(lab_of(np.array([0.96422, 1.0, 0.82521])), 9).tolist()
    [100.0, 0.0, 0.0]
    """
    t = np.maximum(xyz / np.array(WHITE), 0.0)
    f = np.where(t > DARK, np.cbrt(t), (SLOPE * t + 16.0) / 116.0)
    light = 116.0 * f[..., 1] - 16.0
    return np.stack([light, 500.0 * (f[..., 0] - f[..., 1]), 200.0 * (f[..., 1] - f[..., 2])], axis=-1)


def xyz_of(lab: Floats) -> Floats:
    """XYZ of CIE L*a*b*, white D50 with Y = 1: the inverse of `lab_of`."""
    fy = (lab[..., 0] + 16.0) / 116.0
    f = np.stack([fy + lab[..., 1] / 500.0, fy, fy - lab[..., 2] / 200.0], axis=-1)
    t = np.where(f**3 > DARK, f**3, (116.0 * f - 16.0) / SLOPE)
    return np.asarray(t * np.array(WHITE))


def fit_chart(seen: Sequence[Sequence[float]], known: Sequence[Sequence[float]]) -> Chart:
    """Fit the way from linear camera values to XYZ by the patches of a chart.

    Parameters
    ----------
    seen : sequence of three numbers each
        Mean linear camera values of each patch. [-]
    known : sequence of three numbers each
        CIE L*a*b* of each patch as its maker states it, D50. [-]

    Notes
    -----
    A matrix with a constant, by least squares weighted towards dark patches, so that differences of
    lightness count alike. Six patches at least; more are better.
    """
    camera, lab = np.asarray(seen, dtype=np.float64), np.asarray(known, dtype=np.float64)
    if camera.shape != lab.shape or camera.ndim != 2 or camera.shape[0] < LEAST_PATCHES:
        raise InputError(
            Problem("chart", "patches", text("{n} or more, each with three values seen and known", n=LEAST_PATCHES),
                    shown(list(camera.shape)), text("mark the patches of the chart"))
        )  # fmt: skip
    xyz = xyz_of(lab)
    weight = 1.0 / np.maximum(xyz[:, 1], 0.02) ** (2.0 / 3.0)  # slope of the cube root
    rows = np.column_stack([camera, np.ones(camera.shape[0])])
    matrix, *_ = np.linalg.lstsq(rows * weight[:, None], xyz * weight[:, None], rcond=None)
    off = [colour_difference(a, b) for a, b in zip(lab_of(rows @ matrix), lab, strict=True)]
    return Chart(np.asarray(matrix.T), float(np.mean(off)), float(np.max(off)))


def converted(camera: Floats, chart: Chart) -> Floats:
    """CIE L*a*b* of a picture of linear camera values. [-]

    Parameters
    ----------
    camera : ndarray, shape (rows, columns, 3)
        Linear camera values. [-]
    chart : Chart
        The fit to the chart in the same light.
    """
    return lab_of(camera @ chart.matrix[:, :3].T + chart.matrix[:, 3])
