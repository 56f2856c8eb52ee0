"""The hot press in depth: kinetics by data sheet, hardener, ramps, unequal platens, venting, spread of the shape."""

from __future__ import annotations

import pytest

from pairwright.base.errors import InputError
from pairwright.physics.kinetics import fit_sheet
from pairwright.process import report
from pairwright.process.context import contexts
from pairwright.process.press_heat import heated, inputs_of
from pairwright.works import Works
from tests.unit.process.small import changed, found, time

PLAIN = changed()
PRESS = {"option": "walnut", "part": "shell", "step": "press"}
CONSTANTS = 'rate_constant = "2.734e9 1/s"\nactivation_energy = "80 kJ/mol"\norder = 1\n'
# two times of the derived table for 90 %: the constants above come back
FIT = (
    'fit = { points = [{ temperature = "100 degC", time = "133.0 s" }, '
    '{ temperature = "120 degC", time = "35.8 s" }] }\n'
)
AT = "target_cure = 0.95\n"


def with_recipe(*lines: str) -> Works:
    return changed((AT, AT + "\n".join(lines) + "\n"))


def shell_press(works: Works):  # type: ignore[no-untyped-def]
    context = next(c for c in contexts(works) if c.step.id == "press" and c.product.option == "walnut")
    cycle = heated(inputs_of(context)).cycle
    assert cycle is not None
    return cycle


def key(works: Works, name: str) -> float:
    return next(a.value for n, a in report(works, "linden", **PRESS).keys if str(n) == name)


# --------------------------------------------------------------------------------- kinetics
def test_two_points_of_the_data_sheet_take_the_place_of_the_constants() -> None:
    fitted = changed((CONSTANTS, FIT))

    assert time(fitted, "press").likely == pytest.approx(time(PLAIN, "press").likely, rel=2e-3)


def test_the_reason_and_the_report_say_what_was_fitted() -> None:
    fitted = changed((CONSTANTS, FIT))
    shown = report(fitted, "linden", **PRESS)

    assert "fitted to the data sheet's two points" in str(shown.timing.reason)
    assert "2.22 min at 100 °C and 35.8 s at 120 °C" in str(shown.timing.reason)
    assert key(fitted, "activation energy as fitted, kJ/mol") == pytest.approx(80.0, abs=0.1)
    line, sheet = shown.figures[-1].curves
    assert sheet.x == (373.15, 393.15)
    assert min(line.y) < 35.8 < 133.0 < max(line.y)


def test_three_points_are_fitted_by_a_line_that_says_how_far_it_misses() -> None:
    three = FIT.replace("] }", ', { temperature = "110 degC", time = "60 s" }] }')
    works = changed((CONSTANTS, three))

    assert "three" not in (reason := str(time(works, "press").reason))
    assert "3 points, off by at most" in reason


@pytest.mark.parametrize(
    "points",
    [
        '{ temperature = "100 degC", time = "133 s" }',
        '{ temperature = "100 degC", time = "133 s" }, { temperature = "100 degC", time = "120 s" }',
        '{ temperature = "100 degC", time = "133 s" }, { temperature = "120 degC", time = "140 s" }',
    ],
)
def test_points_that_fix_nothing_are_refused_at_the_door(points: str) -> None:
    with pytest.raises(InputError, match=r"points"):
        changed((CONSTANTS, f"fit = {{ points = [{points}] }}\n"))


def test_a_fit_beside_constants_is_refused() -> None:
    with pytest.raises(InputError, match="left out beside a fit"):
        changed((CONSTANTS, CONSTANTS + FIT))


def test_a_fit_far_from_its_points_is_a_warning() -> None:
    far = FIT.replace("100 degC", "60 degC").replace("120 degC", "70 degC").replace("133.0 s", "8 h").replace(
        "35.8 s", "4 h"
    )  # fmt: skip

    assert "kinetics_outside_range" not in found(changed((CONSTANTS, FIT)), "press")
    assert found(changed((CONSTANTS, far)), "press")["kinetics_outside_range"].severity == "warning"


def test_more_hardener_is_faster_by_the_stated_power() -> None:
    stated = CONSTANTS + "hardener = 0.1\nhardener_reference = 0.05\nhardener_power = 1\n"
    twice = changed((CONSTANTS, stated))
    by_recipe = changed((CONSTANTS, stated), (AT, AT + "hardener = 0.05\n"))

    assert time(twice, "press").likely < time(PLAIN, "press").likely
    assert time(by_recipe, "press").likely == pytest.approx(time(PLAIN, "press").likely)
    assert key(twice, "rate by the level of hardener") == pytest.approx(2.0)


def test_a_hardener_whose_effect_nobody_stated_changes_nothing_and_is_told() -> None:
    other = with_recipe("hardener = 0.2")

    assert time(other, "press").likely == time(PLAIN, "press").likely
    assert found(other, "press")["hardener_unknown"].severity == "warning"


def test_half_a_statement_on_hardener_is_refused() -> None:
    with pytest.raises(InputError, match="hardener_power"):
        changed((CONSTANTS, CONSTANTS + "hardener_power = 1\n"))


def test_a_fit_of_many_points_gives_the_line_back() -> None:
    exact = fit_sheet([(373.15, 133.0), (393.15, 35.8)])

    again = fit_sheet([(T, exact.time(T)) for T in (363.15, 373.15, 383.15, 393.15)])

    assert again.activation_energy == pytest.approx(exact.activation_energy, rel=1e-9)
    assert again.rate_constant == pytest.approx(exact.rate_constant, rel=1e-9)
    assert again.worst < 1e-9


# ------------------------------------------------------------------------------------- heat
def test_a_cooler_upper_platen_moves_the_coldest_line_up_and_lengthens_the_press() -> None:
    uneven = with_recipe('platen_top = "90 degC"')

    assert time(uneven, "press").likely > time(PLAIN, "press").likely
    assert shell_press(uneven).coldest_line > shell_press(PLAIN).coldest_line
    assert "113 °C below and 90 °C above" in str(time(uneven, "press").reason)


def test_a_ramp_lengthens_the_press_and_is_drawn() -> None:
    slow = with_recipe(
        'ramp = [{ time = "0 s", temperature = "60 degC" }, { time = "3 min", temperature = "113 degC" }]'
    )
    figure = report(slow, "linden", **PRESS).figures[0]

    assert time(slow, "press").likely > time(PLAIN, "press").likely
    assert "rising to 113 °C within 3 min" in str(time(slow, "press").reason)
    assert [str(c.name) for c in figure.curves][-1] == "platen"
    assert figure.curves[-1].y[0] == pytest.approx(333.15)


def test_a_ramp_may_differ_above() -> None:
    both = 'ramp = [{ time = "0 s", temperature = "100 degC", top = "113 degC" }]'
    steady = with_recipe('platen = "100 degC"'.replace("platen", "platen_top"))
    above = changed(('platen = "113 degC"', 'platen = "100 degC"'), (AT, AT + 'platen_top = "113 degC"\n'))

    ramped = shell_press(with_recipe(both))

    assert ramped.open_time == pytest.approx(shell_press(above).open_time, rel=1e-9)
    assert ramped.coldest_line != shell_press(steady).coldest_line


def test_ramp_points_out_of_order_are_refused() -> None:
    with pytest.raises(InputError, match="rising time"):
        with_recipe(
            'ramp = [{ time = "3 min", temperature = "113 degC" }, { time = "0 s", temperature = "60 degC" }]'
        )


def test_what_a_thermocouple_taught_is_used() -> None:
    assert time(with_recipe("conductivity_factor = 1.2"), "press").likely < time(PLAIN, "press").likely
    assert time(with_recipe('contact = "300 W/(m2*K)"'), "press").likely > time(PLAIN, "press").likely


def test_a_dry_film_brings_no_water() -> None:
    dry = changed(("water = 0.35", "water = 0"))

    assert shell_press(dry).moistures == pytest.approx([0.08, *[0.07] * 7, 0.08])
    assert max(shell_press(PLAIN).moistures) > 0.10
    assert time(dry, "press").likely < time(PLAIN, "press").likely


# ------------------------------------------------------------------------------------ venting
WEAK = ('transverse_strength = "1.5 MPa"', 'transverse_strength = "40 kPa"')
HOT = ('platen = "113 degC"', 'platen = "124 degC"')


def test_an_error_of_steam_says_how_long_to_vent() -> None:
    steam = found(changed(WEAK, HOT), "press")["steam_at_opening"]

    assert steam.severity == "error"
    assert "by heat alone, until it is below that" in str(steam.text)


def test_a_vent_that_is_long_enough_turns_the_error_into_a_note() -> None:
    patient = changed(WEAK, HOT, ('vent = "1 min"', 'vent = "40 min"'))

    assert found(patient, "press")["steam_at_opening"].severity == "note"


def test_a_measured_rate_takes_the_place_of_cooling() -> None:
    works = changed(WEAK, HOT, ('vent = "1 min"', 'vent = "1 min"\nvent_rate = "100 Pa/s"'))
    cycle = shell_press(works)
    bound = float(cycle.line_pressures.max()) - 101325.0

    assert key(works, "venting until the layup bears it") == pytest.approx((bound - 40e3) / 100.0, rel=1e-6)
    quick = changed(WEAK, HOT, ('vent = "1 min"', 'vent = "1 min"\nvent_rate = "10 kPa/s"'))
    assert found(quick, "press")["steam_at_opening"].severity == "note"


def test_cooled_platens_vent_sooner_than_air() -> None:
    air = changed(WEAK, HOT)
    cooled = changed(
        WEAK, HOT, ('vent = "1 min"', 'vent = "1 min"\nvent_air = "30 degC"\nvent_transfer = "300 W/(m2*K)"')
    )

    name = "venting until the layup bears it"
    assert key(cooled, name) < key(air, name)


# -------------------------------------------------------------------------------- spread of the shape
def test_spring_back_is_told_with_its_standard_deviation() -> None:
    note = str(found(PLAIN, "press")["spring_back"].text)

    assert "±" in note
    assert 0.0 < key(PLAIN, "standard deviation of the opening") < key(PLAIN, "opens by spring-back")


def test_even_wood_opens_more_surely() -> None:
    surer = changed(("movement_radial = 0.256", "modulus_scatter = 0.05\nmovement_radial = 0.256"))

    name = "standard deviation of the opening"
    assert key(surer, name) < key(PLAIN, name)


def test_a_few_wild_plies_make_first_order_and_draws_disagree() -> None:
    wild = changed(
        ("plies = 9", "plies = 3"),
        ("movement_radial = 0.256", "modulus_scatter = 0.6\nmovement_radial = 0.256"),
    )

    assert "spread_disagrees" not in found(PLAIN, "press")
    assert found(wild, "press")["spread_disagrees"].severity == "note"
