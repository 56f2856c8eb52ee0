"""Finishing in depth: corners, hardness by readings, gloss by angle, solvent as a figure to compare."""

from __future__ import annotations

import math

import pytest

from pairwright.base.errors import InputError
from pairwright.physics.hardness import hardness_day
from pairwright.process import report
from pairwright.works import Works
from tests.unit.process.small import changed, found, time

PLAIN = changed()
GROWTH = "hardness_final = 150\nhardness_rate = 0.3\nhardness_power = 0.8\n"


def keys(works: Works, step: str) -> dict[str, float]:
    shown = report(works, "linden", option="walnut", part="body", step=step).keys
    return {str(name): amount.value for name, amount in shown}


# ------------------------------------------------------------------------------------------- corners
def test_corners_are_judged_where_their_factor_is_stated() -> None:
    sharp = changed(('removal = "10 um"', 'removal = "14 um"\ncorner_factor = 2.5'))

    assert "probability of cutting through, corners" not in keys(PLAIN, "flat")
    found_ = keys(sharp, "flat")
    assert found_["film left at corners"] < found_["film left at edges"] < found_["film left"]
    assert found_["probability of cutting through, corners"] > found_["probability of cutting through, edges"]


def test_a_corner_flatted_through_is_an_error_of_its_own() -> None:
    through = changed(('removal = "10 um"', 'removal = "10 um"\ncorner_factor = 5'))

    assert "film_cut_through" not in found(PLAIN, "flat")
    finding = found(through, "flat")["film_cut_through"]
    assert finding.severity == "error"
    assert "at corners" in str(finding.text)


def test_the_figure_has_a_curve_for_every_place() -> None:
    sharp = changed(('removal = "10 um"', 'removal = "10 um"\ncorner_factor = 2'))
    curves = report(sharp, "linden", option="walnut", part="body", step="polish").figures[0].curves

    assert [str(c.name) for c in curves] == ["on the flat", "at edges", "at corners"]


# ------------------------------------------------------------------------------------------ hardness
READ = ", ".join(
    f"{{ day = {d}, hardness = {150.0 * -math.expm1(-0.3 * d**0.8):.2f} }}" for d in (1, 2, 4, 7, 11)
)


def by_readings(readings: str, *, more: str = "") -> Works:
    return changed((GROWTH, f"hardness_readings = [{readings}]\n{more}"))


def test_readings_take_the_place_of_stated_growth() -> None:
    read = by_readings(READ)

    assert time(read, "rest").likely == pytest.approx(time(PLAIN, "rest").likely, rel=0.01)
    assert "growth fitted to 5 readings" in str(time(read, "rest").reason)
    figure = report(read, "linden", option="walnut", part="body", step="rest").figures[0]
    assert [str(c.name) for c in figure.curves] == ["hardness", "read"]
    assert len(figure.curves[1].x) == 5


def test_readings_that_scatter_widen_the_rest() -> None:
    sure, unsure = by_readings(READ, more="hardness_sd = 0.5\n"), by_readings(READ, more="hardness_sd = 6\n")

    assert (
        time(unsure, "rest").high - time(unsure, "rest").likely
        > time(sure, "rest").high - time(sure, "rest").likely
    )
    assert time(unsure, "rest").low < time(sure, "rest").low


def test_the_interval_is_that_of_the_law() -> None:
    shown = keys(by_readings(READ, more="hardness_sd = 4\n"), "rest")
    readings = [(d, 150.0 * -math.expm1(-0.3 * d**0.8)) for d in (1.0, 2.0, 4.0, 7.0, 11.0)]
    ready = hardness_day(readings, 100.0, reading_sd=4.0)

    assert shown["at the earliest, of 95 %"] == pytest.approx(ready.low * 86400.0, rel=0.01)
    assert shown["at the latest, of 95 %"] == pytest.approx(ready.high * 86400.0, rel=0.01)


@pytest.mark.parametrize(
    "readings", ["{ day = 3, hardness = 80 }", "{ day = 3, hardness = 80 }, { day = 3, hardness = 82 }"]
)
def test_one_day_s_readings_are_refused(readings: str) -> None:
    with pytest.raises(InputError, match="at least two different days"):
        by_readings(readings)


def test_readings_that_do_not_grow_are_refused() -> None:
    with pytest.raises(InputError, match="grow with age"):
        time(by_readings("{ day = 1, hardness = 90 }, { day = 5, hardness = 60 }"), "rest")


def test_readings_that_leave_the_day_open_are_told() -> None:
    vague = by_readings("{ day = 1, hardness = 30 }, { day = 2, hardness = 52 }", more="hardness_sd = 8\n")

    assert found(vague, "rest")["hardness_uncertain"].severity == "warning"
    assert math.isfinite(time(vague, "rest").high)


# -------------------------------------------------------------------------------------------- gloss
def glossy(*lines: str) -> Works:
    text = "\n".join(lines) + "\n"
    return changed(
        (
            'reserve = "50 um"\n\n[[body.steps]]\nid = "foot"',
            f'reserve = "50 um"\n{text}\n[[body.steps]]\nid = "foot"',
        )
    )


def test_high_gloss_is_read_at_twenty_degrees() -> None:
    assert "20°" in str(found(glossy("gloss_target = 85"), "polish")["gloss_at_other_angle"].text)
    assert "85°" in str(found(glossy("gloss_target = 6"), "polish")["gloss_at_other_angle"].text)
    assert "gloss_at_other_angle" not in found(glossy("gloss_target = 85", "gloss_angle = 20"), "polish")
    assert "gloss_at_other_angle" not in found(glossy("gloss_target = 40"), "polish")


def test_the_ideal_gloss_is_that_of_the_angle_and_the_film() -> None:
    # a perfect film of 1.50: 82 units at 20 degrees, 89 at 60
    assert "gloss_above_ideal" in found(glossy("gloss_target = 86", "gloss_angle = 20"), "polish")
    assert "gloss_above_ideal" not in found(glossy("gloss_target = 86", "gloss_angle = 60"), "polish")
    shown = keys(glossy("gloss_target = 80", "gloss_angle = 20"), "polish")
    assert shown["a perfect film at 20°, units"] == pytest.approx(82.05, abs=0.01)
    assert shown["a perfect film at 85°, units"] == pytest.approx(98.97, abs=0.01)


# ------------------------------------------------------------------------------------------- solvent
def test_solvent_is_a_figure_to_compare_on_the_safe_side() -> None:
    wet = changed(("solids = 0.4\n", "solids = 0.4\nsolvent_share = 0.5\n"))
    volume = 0.9 * 120e-6 / 0.6
    mass = volume * 1000.0 * 0.5
    shown = keys(wet, "seal")
    air = "air that keeps it below a quarter of the lower explosive limit, m³, to compare only"

    assert shown["solvent set free by one item"] == pytest.approx(mass)
    # toluene at 1.1 %: 81.4 m3 a litre of 0.867 kg
    assert shown[air] == pytest.approx(81.4 * mass / 0.867, rel=2e-3)
    milder = changed((
        "solids = 0.4\n",
        'solids = 0.4\nsolvent_share = 0.5\nsolvent_molar_mass = "0.05808 kg/mol"\nsolvent_limit = 0.026\n',
    ))  # fmt: skip
    assert keys(milder, "seal")[air] < shown[air]
    assert air not in keys(PLAIN, "seal")
