"""What the hot press promises: time from heat and cure, and what may go wrong."""

from __future__ import annotations

import pytest

from pairwright.base.errors import InputError
from pairwright.physics.bending import spring_back
from pairwright.process import consumption, energy, report
from tests.unit.process.small import changed, found, time

PLAIN = changed()
PRESS = {"option": "walnut", "part": "shell", "step": "press"}


def test_two_plies_more_lengthen_the_press() -> None:
    thicker = changed(("plies = 9", "plies = 11"))

    assert time(thicker, "press").likely > time(PLAIN, "press").likely


def test_a_hotter_platen_shortens_the_press() -> None:
    hotter = changed(('platen = "113 degC"', 'platen = "118 degC"'))

    assert time(hotter, "press").likely < time(PLAIN, "press").likely


def test_a_higher_cure_lengthens_the_press() -> None:
    stricter = changed(("target_cure = 0.95", "target_cure = 0.98"))

    assert time(stricter, "press").likely > time(PLAIN, "press").likely


def test_heat_from_one_side_takes_longer_than_from_two() -> None:
    one = changed(("target_cure = 0.95", 'target_cure = 0.95\nsides = "one"'))

    assert time(one, "press").likely > 1.5 * time(PLAIN, "press").likely


def test_the_press_time_is_handling_and_heating_with_twice_the_scatter_either_way() -> None:
    press = time(PLAIN, "press")
    heating = press.likely - 600.0

    assert press.computed
    assert press.low == pytest.approx(600.0 + heating * (1.0 - 2.0 * 0.08))
    assert press.high == pytest.approx(600.0 + heating * (1.0 + 2.0 * 0.08))


def test_the_reason_names_the_coldest_glue_line() -> None:
    reason = str(time(PLAIN, "press").reason)

    assert "of 8 glue lines" in reason
    assert "95 % cure" in reason
    assert "113 °C" in reason


def test_a_sound_press_recipe_has_only_its_spring_back_noted() -> None:
    assert set(found(PLAIN, "press")) == {"spring_back"}


def test_a_bend_too_tight_for_a_ply_is_an_error_that_names_the_ply() -> None:
    tight = found(changed(('radius = "150 mm"', 'radius = "80 mm"')), "press")["bend_below_limit"]

    assert tight.severity == "error"
    assert "ply 2" in str(tight.text)
    assert "90.4 mm" in str(tight.text)  # 1.5 mm/(2 x 0.83 %)


def test_a_bend_between_the_elastic_and_the_breaking_limit_is_a_warning() -> None:
    tight = found(changed(('radius = "150 mm"', 'radius = "110 mm"')), "press")

    assert tight["bend_above_elastic"].severity == "warning"
    assert "bend_below_limit" not in tight


def test_a_ply_across_the_bend_has_its_own_limit() -> None:
    inner = 'inner = { veneer = "birch-06", grain = "90 deg" }'
    thick = 'inner = { veneer = "birch-15", grain = "%s deg" }'
    along = changed((inner, thick % 0), ('radius = "150 mm"', 'radius = "88 mm"'))
    across = changed((inner, thick % 90), ('radius = "150 mm"', 'radius = "91 mm"'))

    assert "ply 1" in str(found(along, "press")["bend_below_limit"].text)
    assert "bend_below_limit" not in found(
        across, "press"
    )  # 92 mm over the limit of 90.4 for ply 2, 62 for ply 1


def test_an_even_alternation_warps() -> None:
    even = found(changed(("plies = 9", "plies = 8")), "press")["unbalanced_layup"]

    assert even.severity == "warning"
    assert "8 plies" in str(even.text)


def test_a_press_that_is_too_cold_never_cures() -> None:
    cold = changed(('platen = "113 degC"', 'platen = "45 degC"'))

    assert found(cold, "press")["cure_not_reached"].severity == "error"
    assert "does not reach" in str(time(cold, "press").reason)
    assert time(cold, "press").likely > 7200.0


def test_steam_above_the_published_figure_is_a_warning_labelled_as_a_bound() -> None:
    hot = found(changed(('platen = "113 degC"', 'platen = "128 degC"'),
                        ("target_cure = 0.95", "target_cure = 0.999")), "press")["steam_at_opening"]  # fmt: skip

    assert hot.severity == "warning"
    assert "a bound" in str(hot.text)
    assert "Cai" in str(hot.source)


def test_steam_above_the_stated_strength_is_an_error() -> None:
    weak = found(changed(('transverse_strength = "1.5 MPa"', 'transverse_strength = "20 kPa"')), "press")

    assert weak["steam_at_opening"].severity == "error"


def test_a_steep_wall_leaves_too_little_pressure() -> None:
    steep = found(changed(('steepest_wall = "40 deg"', 'steepest_wall = "60 deg"')), "press")[
        "pressure_on_wall"
    ]

    assert steep.severity == "error"
    assert "0.7 MPa" in str(steep.text)  # 1.4 MPa x cos 60 deg


def test_too_much_pressure_squeezes_the_glue_out() -> None:
    works = changed(('pressure = "1.4 MPa"', 'pressure = "2.5 MPa"'), ('"600 kN"', '"900 kN"'))

    assert found(works, "press")["pressure_too_high"].severity == "warning"


def test_a_press_that_is_too_weak_for_the_area_is_an_error() -> None:
    assert found(changed(('"600 kN"', '"300 kN"')), "press")["press_force_too_low"].severity == "error"


def test_a_wet_veneer_leaves_the_published_range() -> None:
    wet = found(changed(("moisture = 0.07", "moisture = 0.24")), "press")

    assert wet["out_of_range"].severity == "warning"


def test_a_wall_too_steep_for_the_law_is_told() -> None:
    steep = found(changed(('steepest_wall = "40 deg"', 'steepest_wall = "80 deg"')), "press")

    assert "wall_pressure" in str(steep["out_of_range"].text)


def test_spring_back_follows_the_plies_and_is_told_with_the_opening() -> None:
    note = str(found(PLAIN, "press")["spring_back"].text)
    along, across = 13.9e9, 0.70e9
    plies = [(across, 0.6e-3), *[(along, 1.5e-3), (across, 1.5e-3)] * 3, (along, 1.5e-3), (across, 0.6e-3)]

    assert f"{100 * spring_back(plies):.2g} %" in note


def test_more_plies_spring_back_less() -> None:
    def opens(plies: int) -> float:
        keys = report(changed(("plies = 9", f"plies = {plies}")), "linden", **PRESS).keys
        return next(amount.value for name, amount in keys if str(name) == "opens by spring-back")

    assert opens(5) > opens(9) > opens(13) > 0.0


def test_the_report_shows_every_glue_line_and_ends_where_the_press_opens() -> None:
    shown = report(PLAIN, "linden", **PRESS)
    lines, cure, steam = shown.figures

    assert len(lines.curves) == 8
    assert cure.curves[0].y[-1] == pytest.approx(0.95, abs=1e-4)
    assert cure.curves[0].x[-1] == pytest.approx(shown.timing.likely - 600.0)
    assert steam.curves[0].y == tuple(sorted(steam.curves[0].y))
    assert any("IAPWS" in str(s) for s in shown.sources)


def test_veneer_grows_with_the_bend_from_the_inside_out() -> None:
    uses = dict(consumption(PLAIN, "linden", **PRESS))
    length, height = 0.4 + 3.14159265 * (0.150 + 0.0003), 0.9  # middle of the inner ply

    assert uses["birch-06"] == pytest.approx((length + 0.05) * (height + 0.05), rel=1e-6)
    assert uses["walnut-06"] > uses["birch-06"]
    assert uses["birch-15"] > 7 * uses["birch-06"]


def test_glue_is_spread_on_every_line() -> None:
    uses = dict(consumption(PLAIN, "linden", **PRESS))

    assert uses["resin"] == pytest.approx(0.150 * 8 * uses["birch-06"], rel=0.04)


def test_the_press_takes_its_power_and_the_heat_of_the_stack() -> None:
    machine = 20e3 * time(PLAIN, "press").likely

    assert machine < energy(PLAIN, "linden", **PRESS) < machine + 5e6


def test_a_single_ply_cannot_be_pressed() -> None:
    lone = ("plies = 9", 'plies = [{ veneer = "birch-15" }]')

    with pytest.raises(InputError, match="two or more plies"):
        found(changed(lone, ("alternation =", "#"), ("inner =", "#"), ("outer =", "#")))
