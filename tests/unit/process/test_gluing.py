"""Glue-up and clamp: times in this room, open time, pressure, the opened shell."""

from __future__ import annotations

import pytest

from pairwright.process import consumption, report
from tests.unit.process.small import at_room, changed, found, time

PLAIN = changed()


def test_spreading_and_placing_make_the_glue_up() -> None:
    brace = time(PLAIN, "brace")

    assert brace.likely == pytest.approx(180.0 + 0.1 / 0.001 + 4 * 20.0)
    assert brace.low == pytest.approx(180.0 + 180.0 * 0.8)
    assert "open the shell in" in str(brace.reason)


def test_glue_on_both_faces_takes_twice_as_long_to_spread_and_twice_the_glue() -> None:
    both = changed(("pieces = 4", 'pieces = 4\nsides = "two"'))
    step = {"option": "walnut", "part": "body", "step": "brace"}

    assert time(both, "brace").likely == pytest.approx(time(PLAIN, "brace").likely + 100.0)
    assert dict(consumption(PLAIN, "linden", **step))["glue"] == pytest.approx(0.018)
    assert dict(consumption(both, "linden", **step))["glue"] == pytest.approx(0.036)


def test_laying_within_the_open_time_is_silent() -> None:
    assert "open_time_exceeded" not in found(PLAIN, "brace")


def test_laying_beyond_the_open_time_is_an_error() -> None:
    late = found(changed(('open_time = "10 min"', 'open_time = "2 min"')), "brace")["open_time_exceeded"]

    assert late.severity == "error"
    assert "data sheet" in str(late.source)


def test_a_warm_day_that_halves_the_open_time_is_a_warning() -> None:
    warm = found(changed(('open_time = "10 min"', 'open_time = "5 min"')), "brace")["open_time_exceeded"]

    assert warm.severity == "warning"  # 3 min of 5 at 20 degC; up to 3.6 of 3.5 at 25


def test_the_time_in_the_fixture_before_spreading_does_not_count_as_open() -> None:
    slow = changed(('open_fixture = "3 min"', 'open_fixture = "30 min"'))

    assert "open_time_exceeded" not in found(slow, "brace")


def test_a_colder_workshop_lengthens_the_clamp() -> None:
    assert time(changed(*at_room(16)), "hold").likely > time(PLAIN, "hold").likely


def test_the_clamp_holds_the_sheet_s_time_at_its_temperature_and_is_loaded_before() -> None:
    assert time(PLAIN, "hold").likely == pytest.approx(3600.0 + 240.0)


def test_ten_kelvin_colder_doubles_the_clamp_time_as_the_sheet_says() -> None:
    colder = changed(
        ('temperature = "20 degC"\nhumidity', 'temperature = "10 degC"\nhumidity'), ('"17 degC"', '"10 degC"')
    )

    assert time(colder, "hold").likely == pytest.approx(7200.0 + 240.0)


def test_the_coldest_day_sets_the_high_clamp_time() -> None:
    mild = changed(('coldest = "17 degC"', 'coldest = "20 degC"'))

    assert time(PLAIN, "hold").high > time(mild, "hold").high
    assert time(PLAIN, "hold").low == time(mild, "hold").low


def test_glue_below_its_coldest_is_an_error_in_the_usual_room_and_a_warning_on_the_coldest_day() -> None:
    always = found(changed(('coldest = "10 degC"', 'coldest = "21 degC"')), "hold")["adhesive_too_cold"]
    sometimes = found(changed(('coldest = "10 degC"', 'coldest = "18 degC"')), "hold")["adhesive_too_cold"]

    assert (always.severity, sometimes.severity) == ("error", "warning")


def test_without_a_stated_shift_the_sheet_s_times_are_used_and_it_is_said() -> None:
    works = changed(("doubling = 10\n", ""), *at_room(16))

    assert time(works, "hold").likely == pytest.approx(3600.0 + 240.0)
    assert found(works, "hold")["times_not_carried_over"].severity == "warning"


def test_too_little_pressure_is_an_error_and_too_much_a_warning() -> None:
    assert found(changed(('"50 kN"', '"10 kN"')), "hold")["clamp_pressure_low"].severity == "error"
    assert found(changed(('"50 kN"', '"200 kN"')), "hold")["clamp_pressure_high"].severity == "warning"
    assert found(PLAIN, "hold") == {}


def test_a_shell_opened_a_little_stays_elastic_and_opened_far_does_not() -> None:
    def opened(distance: str) -> set[str]:
        return set(found(changed(('opening = "6 mm"', f'opening = "{distance}"')), "brace"))

    assert opened("6 mm") == set()
    assert "opening_above_elastic" in opened("170 mm")
    assert "opening_breaks" in opened("400 mm")


def test_a_profile_that_is_no_u_is_said_not_to_be_judged() -> None:
    corner = changed(('turn = "180 deg"', 'turn = "90 deg"'))

    assert found(corner, "brace")["opening_not_judged"].severity == "note"


def test_the_report_tells_clamp_times_over_the_year() -> None:
    keys = {
        str(n): a.value for n, a in report(PLAIN, "linden", option="walnut", part="body", step="hold").keys
    }

    assert keys["clamp time on the coldest day"] == pytest.approx(3600.0 * 2 ** (3 / 10))
    assert keys["clamp time on the warmest day"] == pytest.approx(3600.0 / 2 ** (5 / 10))
    assert keys["pressure on the glue line"] == pytest.approx(0.5e6)
