"""Gauge study: how much of the scatter that we measure is the measuring.

Every appraiser measures every part several times. An appraiser is whatever may differ from one
measurement to the next: person, fixture, microphone position. Mount the piece anew each time, or the
largest share stays hidden.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final, NoReturn, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.laws import POSITIVE, Argument, Law, Result, Worked
from pairwright.base.sources import Source
from pairwright.base.words import Text, text
from pairwright.quality.constants import chart_constants, mean_range_factor

Floats: TypeAlias = NDArray[np.float64]
POOLING: Final = 0.25  # an interaction less certain than this is taken as scatter of the equipment


@dataclass(frozen=True, slots=True)
class GaugeStudy:
    """Standard deviations in the unit of the data, and what they make of the gauge.

    `percent_study` is that of the gauge in the total [%], `categories` how many classes of parts it
    tells apart [-]. `p_interaction` is None for the range method; `pooled` says whether the
    interaction went into the equipment.
    """

    equipment_sd: float
    appraiser_sd: float
    interaction_sd: float
    part_sd: float
    categories: int
    p_interaction: float | None = None
    pooled: bool = True

    @property
    def grr_sd(self) -> float:
        """Of the whole gauge: equipment, appraiser and their interaction with the parts."""
        return math.hypot(self.equipment_sd, self.appraiser_sd, self.interaction_sd)

    @property
    def total_sd(self) -> float:
        """Of gauge and parts together."""
        return math.hypot(self.grr_sd, self.part_sd)

    @property
    def percent_study(self) -> float:
        """Share of the gauge in the total sd. [%]"""
        return 100.0 * self.grr_sd / self.total_sd


@dataclass(frozen=True, slots=True)
class Table:
    """Analysis of variance: sums of squares, degrees of freedom, of each source.

    The sources: appraiser, part, interaction, equipment.
    """

    appraiser: tuple[float, int]
    part: tuple[float, int]
    interaction: tuple[float, int]
    equipment: tuple[float, int]

    def mean_square(self, source: str) -> float:
        """Sum of squares over degrees of freedom; 0 where there are none."""
        total, freedom = getattr(self, source)
        return total / freedom if freedom else 0.0


def variance_table(data: Floats) -> Table:
    """Two-way analysis of variance of a crossed study with repeats, in the unit of the data squared.

    Parameters
    ----------
    data : ndarray
        Shape (appraisers, parts, trials). [-]

    Returns
    -------
    Table
        Sums of squares and degrees of freedom. [-]

    Notes
    -----
    Values are taken from their grand mean first, so a large common offset costs no digits.
    """
    appraisers, parts, trials = data.shape
    centred = data - data.mean()
    cells = centred.mean(axis=2)
    rows, columns = cells.mean(axis=1), cells.mean(axis=0)
    rest = cells - rows[:, None] - columns[None, :]
    inside = centred - cells[:, :, None]
    return Table(
        (parts * trials * float(rows @ rows), appraisers - 1),
        (appraisers * trials * float(columns @ columns), parts - 1),
        (trials * float(np.sum(rest * rest)), (appraisers - 1) * (parts - 1)),
        (float(np.sum(inside * inside)), appraisers * parts * (trials - 1)),
    )


def anova_study(data: Floats, *, pooling: float = POOLING) -> GaugeStudy:
    """Gauge study by analysis of variance, in the unit of the data.

    Parameters
    ----------
    data : ndarray
        Shape (appraisers, parts, trials); one appraiser is a study of the equipment alone. [-]
    pooling : float
        Above this p the interaction is pooled with the equipment. [-]

    Returns
    -------
    GaugeStudy
        Components; a negative one is 0. [-]

    Notes
    -----
    Appraisers and parts are random. Pooled: equipment = MSe', appraiser = (MSa - MSe')/(parts
    trials), part = (MSp - MSe')/(appraisers trials) with MSe' of interaction and equipment together.
    Not pooled: the same with MSi in place of MSe', and interaction = (MSi - MSe)/trials.

    References
    ----------
    .. [1] AIAG, Measurement Systems Analysis, 4th ed., ANOVA method.
    .. [2] D. C. Montgomery, Design and Analysis of Experiments, two-factor random model.
    """
    from scipy.special import fdtrc

    appraisers, parts, trials = data.shape
    table = variance_table(data)
    equipment, mixed = table.mean_square("equipment"), table.mean_square("interaction")
    probability = None
    if table.interaction[1]:
        # identical repeats leave nothing to compare the interaction with: then it is certain
        ratio = mixed / equipment if equipment > 0.0 else math.inf
        probability = float(fdtrc(table.interaction[1], table.equipment[1], ratio)) if mixed else 1.0
    pooled = probability is None or probability > pooling
    if pooled:
        equipment = (table.interaction[0] + table.equipment[0]) / (table.interaction[1] + table.equipment[1])
        mixed = equipment
    return _study(
        equipment,
        (table.mean_square("appraiser") - mixed) / (parts * trials),
        (mixed - equipment) / trials,
        (table.mean_square("part") - mixed) / (appraisers * trials),
        root=math.sqrt(2.0), probability=probability, pooled=pooled,
    )  # fmt: skip


def range_study(data: Floats) -> GaugeStudy:
    """Gauge study by averages and ranges, in the unit of the data.

    Parameters
    ----------
    data : ndarray
        Shape (appraisers, parts, trials). [-]

    Returns
    -------
    GaugeStudy
        Components; a negative one is 0. [-]

    Notes
    -----
    Equipment = K1 mean range, K1 = 1/d2 for the trials (0.8862 for 2, 0.5908 for 3, whatever the
    number of parts). Appraiser: (range of their means K2)^2 less equipment^2/(parts trials); part:
    range of their means K3; K2 and K3 are 1/d2* of one group. Categories: 1.41 part/gauge. An
    interaction stays unseen.

    References
    ----------
    .. [1] AIAG, Measurement Systems Analysis, 4th ed., average and range method.
    """
    appraisers, parts, trials = data.shape
    equipment = float(np.mean(data.max(axis=2) - data.min(axis=2))) / chart_constants(trials).d2
    appraiser = 0.0
    if appraisers > 1:
        spread = float(np.ptp(data.mean(axis=(1, 2)))) / mean_range_factor(appraisers)
        appraiser = spread**2 - equipment**2 / (parts * trials)
    part = float(np.ptp(data.mean(axis=(0, 2)))) / mean_range_factor(parts)
    return _study(equipment**2, appraiser, 0.0, part**2, root=1.41, probability=None, pooled=True)


def _study(
    equipment: float,
    appraiser: float,
    interaction: float,
    part: float,
    *,
    root: float,
    probability: float | None,
    pooled: bool,
) -> GaugeStudy:
    """From variances to what is reported."""
    repeat, person, mixed, piece = (math.sqrt(max(0.0, v)) for v in (equipment, appraiser, interaction, part))
    gauge = math.hypot(repeat, person, mixed)
    categories = math.floor(root * piece / gauge) if gauge > 0.0 else 0
    return GaugeStudy(repeat, person, mixed, piece, categories, probability, pooled)


def _wrong(field: str, must_be: Text, got: object, *, do: Text) -> NoReturn:
    raise InputError(Problem("calc gauge_study", field, must_be, shown(got), do))


def _block(data: Sequence[Any]) -> Floats:
    """The data as an array, after checking that every appraiser measured every part as often."""
    parts = trials = None
    for a, rows in enumerate(data):
        if not isinstance(rows, Sequence) or len(rows) < 2 or (parts is not None and len(rows) != parts):
            _wrong(f"data[{a}]", text("a list of at least 2 parts, as many as the first appraiser measured"),
                   rows, do=text("write data[appraiser][part][trial]"))  # fmt: skip
        parts = len(rows)
        for p, values in enumerate(rows):
            if not isinstance(values, Sequence) or len(values) < 2 or (trials or len(values)) != len(values):
                _wrong(f"data[{a}][{p}]", text("a list of at least 2 trials, as many as of the first part"),
                       values, do=text("measure each part equally often"))  # fmt: skip
            trials = len(values)
            for t, value in enumerate(values):
                if isinstance(value, Sequence):
                    _wrong(f"data[{a}][{p}][{t}]", text("one number"), value,
                           do=text("write data[appraiser][part][trial]"))  # fmt: skip
    block = np.asarray(data, dtype=np.float64)
    if float(np.ptp(block)) == 0.0:
        _wrong(
            "data", text("values that differ"), float(block.flat[0]), do=text("read with a finer instrument")
        )
    return block


def _gauge_study_law(data: Sequence[Any], method: str, tolerance: float | None) -> dict[str, Any]:
    block = _block(data)
    found = anova_study(block) if method == "anova" else range_study(block)
    if found.total_sd == 0.0:
        _wrong("data", text("values in which parts or repeats differ"), data, do=text("measure other parts"))
    return {
        "equipment_sd": found.equipment_sd, "appraiser_sd": found.appraiser_sd,
        "interaction_sd": found.interaction_sd, "grr_sd": found.grr_sd, "part_sd": found.part_sd,
        "total_sd": found.total_sd, "percent_study": found.percent_study,
        "percent_tolerance": None if tolerance is None else 600.0 * found.grr_sd / tolerance,
        "distinct_categories": found.categories, "p_interaction": found.p_interaction,
        "pooled": found.pooled,
    }  # fmt: skip


# The published study: 3 appraisers, 10 parts, 3 trials.
_PUBLISHED: Final = [
    [[0.29, 0.41, 0.64], [-0.56, -0.68, -0.58], [1.34, 1.17, 1.27], [0.47, 0.50, 0.64], [-0.80, -0.92, -0.84],
     [0.02, -0.11, -0.21], [0.59, 0.75, 0.66], [-0.31, -0.20, -0.17], [2.26, 1.99, 2.01], [-1.36, -1.25, -1.31]],
    [[0.08, 0.25, 0.07], [-0.47, -1.22, -0.68], [1.19, 0.94, 1.34], [0.01, 1.03, 0.20], [-0.56, -1.20, -1.28],
     [-0.20, 0.22, 0.06], [0.47, 0.55, 0.83], [-0.63, 0.08, -0.34], [1.80, 2.12, 2.19], [-1.68, -1.62, -1.50]],
    [[0.04, -0.11, -0.15], [-1.38, -1.13, -0.96], [0.88, 1.09, 0.67], [0.14, 0.20, 0.11], [-1.46, -1.07, -1.45],
     [-0.29, -0.67, -0.49], [0.02, 0.01, 0.21], [-0.46, -0.56, -0.49], [1.77, 1.45, 1.87], [-1.49, -1.77, -2.16]],
]  # fmt: skip

LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="gauge_study",
        title=text("Gauge study: repeatability and reproducibility"),
        function=_gauge_study_law,
        arguments=(
            Argument("data", "-", text("data[appraiser][part][trial], the same count everywhere"),
                     shape="rows"),
            Argument("method", "-", text("anova: analysis of variance, the interaction pooled above p = 0.25; "
                                         "range: averages and ranges"),
                     shape="word", choices=("anova", "range"), default="anova"),
            Argument("tolerance", "-", text("width of the tolerance, to compare 6 sds of the gauge with"),
                     POSITIVE, default=None),
        ),
        results=(
            Result("equipment_sd", "-", text("of repeats, in the unit of the data")),
            Result("appraiser_sd", "-", text("between appraisers")),
            Result("interaction_sd", "-", text("of appraiser with part, where it is not pooled")),
            Result("grr_sd", "-", text("of the whole gauge")),
            Result("part_sd", "-", text("between parts")),
            Result("total_sd", "-", text("of gauge and parts together")),
            Result("percent_study", "-", text("100 x grr_sd/total_sd; common practice: good below 10, bad "
                                              "above 30")),
            Result("percent_tolerance", "-", text("100 x 6 grr_sd/tolerance; none without a tolerance")),
            Result("distinct_categories", "-", text("classes of parts told apart, cut to a whole number; "
                                                    "common practice: at least 5")),
            Result("p_interaction", "-", text("chance of so large an interaction without a cause; none for "
                                              "the range method or one appraiser")),
            Result("pooled", "-", text("whether the interaction counts as equipment")),
        ),
        accuracy=text("arithmetic exact; with 3 appraisers their sd is only known to a factor of about 3"),
        sources=(
            Source("published", "AIAG, Measurement Systems Analysis, 4th ed., example of 10 parts, 3 appraisers, "
                                "3 trials"),
            Source("published", "D. C. Montgomery, Design and Analysis of Experiments, two-factor random model"),
        ),
        worked=Worked(
            {"data": _PUBLISHED, "method": "range"},
            {"equipment_sd": 0.20188, "appraiser_sd": 0.22963, "grr_sd": 0.30575, "part_sd": 1.10456,
             "total_sd": 1.14610, "percent_study": 26.68, "distinct_categories": 5},
            tolerance=5e-4,
        ),
    ),
)  # fmt: skip
