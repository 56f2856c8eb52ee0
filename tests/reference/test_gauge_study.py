"""The gauge study against the published one of 10 parts, 3 appraisers, 3 trials."""

from __future__ import annotations

import numpy as np
import pytest

from pairwright.base.laws import ask
from pairwright.quality.gauge import LAWS, anova_study, range_study, variance_table
from tests.reference.published_sets import GAUGE_DATA

DATA = np.asarray(GAUGE_DATA)


def test_averages_and_ranges_come_out_as_printed() -> None:
    # AIAG, Measurement Systems Analysis, 4th ed.: printed from a mean range rounded to 0.3417
    found = range_study(DATA)

    assert found.equipment_sd == pytest.approx(0.20188, abs=5e-5)
    assert found.appraiser_sd == pytest.approx(0.22963, abs=6e-5)
    assert found.grr_sd == pytest.approx(0.30575, abs=5e-5)
    assert found.part_sd == pytest.approx(1.10456, abs=2e-4)  # K3 printed to four figures
    assert found.total_sd == pytest.approx(1.14610, abs=2e-4)
    assert found.percent_study == pytest.approx(26.68, abs=0.02)
    assert found.categories == 5


def test_the_shares_of_the_study_come_out_as_printed() -> None:
    # the same: 17.62, 20.04, 26.68, 96.38 %
    found = range_study(DATA)

    shares = [100.0 * v / found.total_sd for v in (found.equipment_sd, found.appraiser_sd, found.part_sd)]
    assert shares == pytest.approx([17.62, 20.04, 96.38], abs=0.02)


def test_the_variance_table_is_that_of_an_independent_library() -> None:
    # statsmodels' two-way analysis of the same 90 values
    pandas = pytest.importorskip("pandas")
    statsmodels = pytest.importorskip("statsmodels.formula.api")
    from statsmodels.stats.anova import anova_lm

    frame = pandas.DataFrame(
        [
            (f"a{a}", f"p{p}", v)
            for a, rows in enumerate(GAUGE_DATA)
            for p, values in enumerate(rows)
            for v in values
        ],
        columns=["appraiser", "part", "y"],
    )
    known = anova_lm(statsmodels.ols("y ~ C(appraiser) * C(part)", frame).fit())["sum_sq"].tolist()

    found = variance_table(DATA)

    ours = [found.appraiser[0], found.part[0], found.interaction[0], found.equipment[0]]
    assert ours == pytest.approx(known, rel=1e-9)


def test_the_analysis_of_variance_comes_out_as_printed() -> None:
    # AIAG, 4th ed.: F over equipment 34.44, 213.517, 0.4337; pooled components 0.039973, 0.051455, 1.086447
    table = variance_table(DATA)
    found = anova_study(DATA)

    equipment = table.mean_square("equipment")
    assert table.mean_square("appraiser") / equipment == pytest.approx(34.44, abs=0.001)
    assert table.mean_square("part") / equipment == pytest.approx(213.517, abs=0.001)
    assert table.mean_square("interaction") / equipment == pytest.approx(0.4337, abs=0.0001)
    assert found.p_interaction == pytest.approx(0.974, abs=0.0005)
    assert found.pooled
    assert found.equipment_sd**2 == pytest.approx(0.039973, abs=1e-6)
    assert found.appraiser_sd**2 == pytest.approx(0.051455, abs=1e-6)
    assert found.part_sd**2 == pytest.approx(1.086447, abs=1e-6)
    assert found.total_sd**2 == pytest.approx(1.177875, abs=1e-6)


def test_what_the_study_says_of_the_gauge_comes_out_as_printed() -> None:
    # AIAG, 4th ed., analysis of variance: 18.42, 20.90, 27.86, 96.04 % of the study, 4 categories
    answer = ask(LAWS[0], {"data": GAUGE_DATA, "method": "anova"}).result

    assert answer["percent_study"] == pytest.approx(27.86, abs=0.005)
    assert 100 * answer["equipment_sd"] / answer["total_sd"] == pytest.approx(18.42, abs=0.005)
    assert 100 * answer["appraiser_sd"] / answer["total_sd"] == pytest.approx(20.90, abs=0.005)
    assert 100 * answer["part_sd"] / answer["total_sd"] == pytest.approx(96.04, abs=0.005)
    assert answer["distinct_categories"] == 4


def test_without_pooling_the_negative_component_is_nothing() -> None:
    # the same set: the interaction's component is -0.00868 before it is cut to 0
    table = variance_table(DATA)

    raw = (table.mean_square("interaction") - table.mean_square("equipment")) / 3
    assert raw == pytest.approx(-0.0086796, abs=1e-6)
    assert anova_study(DATA, pooling=1.0).interaction_sd == 0.0


@pytest.mark.parametrize(("trials", "k1"), [(2, 0.8862), (3, 0.5908)])
def test_the_factor_of_the_repeats_is_that_of_the_manual(trials: int, k1: float) -> None:
    # AIAG, 4th ed.: K1; every range is 1, so that the equipment is K1 itself
    values = np.array([[[0.0, 1.0, 0.5][:trials]] * 5] * 3)

    assert range_study(values).equipment_sd == pytest.approx(k1, abs=5e-5)
