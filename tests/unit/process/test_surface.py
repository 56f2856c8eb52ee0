"""Sanding, spraying, flatting, polishing: time of the programme, what is left, what it takes."""

from __future__ import annotations

import pytest

from pairwright.physics.film import Coat, Removal
from pairwright.process import consumption, report
from pairwright.process.context import context_of
from pairwright.process.surface import Mark, left, surface_before, top_layer
from tests.unit.process.small import changed, found, time

PLAIN = changed()


def body(step: str) -> dict[str, str]:
    return {"option": "walnut", "part": "body", "step": step}


def test_passes_lengthen_a_programme_and_width_shortens_it() -> None:
    more = changed(("passes = 2, pressure", "passes = 4, pressure"))
    wider = changed(('width = "100 mm"', 'width = "150 mm"'))

    assert time(more, "sand").likely > time(PLAIN, "sand").likely > time(wider, "sand").likely


def test_the_fixture_is_outside_the_scatter() -> None:
    slow = changed(('fixture = "4 min"', 'fixture = "9 min"'))
    before, after = time(PLAIN, "sand"), time(slow, "sand")

    for name in ("low", "likely", "high"):
        assert getattr(after, name) - getattr(before, name) == pytest.approx(300.0)


def test_the_face_veneer_comes_with_the_shell_that_is_built_in() -> None:
    surface = context_of(PLAIN, "linden", option="walnut", part="body", step="sand").surface

    assert surface.veneer == "walnut-06"
    assert surface.thickness == pytest.approx(0.6e-3)


def test_sanding_leaves_what_the_removal_law_says() -> None:
    keys = {str(n): a.value for n, a in report(PLAIN, "linden", **body("sand")).keys}

    assert keys["veneer left"] == pytest.approx(0.6e-3 - 3e-10 * 3e3 * 5.0 * 2.0 * 2)


def test_gentle_sanding_is_silent() -> None:
    assert found(PLAIN, "sand") == {}


def test_hard_sanding_cuts_through_the_veneer_at_edges_first() -> None:
    hard = changed(('dwell = "2 s" }]\nreserve = "0.3', 'dwell = "40 s" }]\nreserve = "0.3'))
    findings = [f for f in found(hard, "sand").values() if f.code == "veneer_cut_through"]

    assert [f.severity for f in findings] == ["error"]
    assert "at edges" in str(findings[0].text)


def test_less_than_the_reserve_is_told() -> None:
    greedy = found(changed(('reserve = "0.3 mm"', 'reserve = "0.59 mm"')), "sand")

    assert greedy["veneer_below_reserve"].severity == "error"


def test_a_stated_contact_time_that_the_programme_cannot_have_is_questioned() -> None:
    odd = changed(('dwell = "2 s" }]\nreserve = "0.3', 'dwell = "0.2 s" }]\nreserve = "0.3'))

    assert found(odd, "sand")["dwell_disagrees"].severity == "warning"


def test_an_abrasive_without_a_measured_removal_is_told() -> None:
    assert (
        found(changed(('removal = "3e-10 1/Pa"\n', "")), "sand")["removal_not_measured"].severity == "warning"
    )


def test_pressure_and_film_outside_what_the_laws_cover_are_told() -> None:
    hard = changed(('pressure = "3 kPa"', 'pressure = "300 kPa"'))
    thick = changed(('wet = "120 um"', 'wet = "4 mm"'))

    assert "out_of_range" in found(hard, "sand")
    assert "out_of_range" in found(thick, "seal")
    assert "out_of_range" not in found(PLAIN)


def test_abrasives_are_used_up_by_their_life() -> None:
    used = dict(consumption(PLAIN, "linden", **body("sand")))

    moving = time(PLAIN, "sand").likely - 240.0 - 37.0  # less the fixture and 37 turns of a second
    assert used["disc"] == pytest.approx(moving / 1800.0)


def test_film_is_what_was_sprayed_less_what_was_flatted() -> None:
    surface = context_of(PLAIN, "linden", option="walnut", part="body", step="polish").surface
    rest = left(surface.film, 0.0)

    assert [m.step for m in surface.film] == ["seal", "flat", "clear"]
    assert rest.mean == pytest.approx(120e-6 * 0.4 - 10e-6 + 150e-6 * 0.5)
    assert rest.sd == pytest.approx(((0.4 * 8e-6) ** 2 + (2e-6) ** 2 + (0.5 * 10e-6) ** 2) ** 0.5)


def test_a_thicker_coat_takes_less_risk() -> None:
    def risk(wet: str) -> float:
        works = changed(('wet = "120 um"', f'wet = "{wet}"'), ('removal = "10 um"', 'removal = "30 um"'))
        keys = {str(n): a.value for n, a in report(works, "linden", **body("flat")).keys}
        return keys["probability of cutting through, edges"]

    assert risk("120 um") > risk("140 um") > risk("180 um")


def test_flatting_through_the_coat_is_an_error() -> None:
    deep = found(changed(('removal = "10 um"', 'removal = "47 um"')), "flat")["film_cut_through"]

    assert deep.severity == "error"


def test_a_polished_film_below_its_reserve_is_an_error() -> None:
    thin = changed(('wet = "150 um"', 'wet = "30 um"'), ('reserve = "50 um"', 'reserve = "70 um"'))

    assert found(thin, "polish")["film_below_reserve"].severity == "error"


def test_polishing_a_bare_part_is_told() -> None:
    bare = changed(('id = "seal"', 'id = "seal"\nonly = ["birch"]'), ('id = "clear"', 'id = "clear"\nonly = ["birch"]'),
                   ('id = "dry"', 'id = "dry"\nonly = ["birch"]'))  # fmt: skip

    assert "nothing_to_polish" in found(bare, "polish")
    assert "nothing_to_flat" in found(bare, "flat")


def test_only_the_uppermost_coating_must_not_be_cut_through() -> None:
    sealer, clear = Coat(100e-6, 0.4), Coat(100e-6, 0.5)
    marks = (
        Mark("b", "seal", sealer, 1.0, "sealer"),
        Mark("b", "flat", Removal(5e-6), 1.0),
        Mark("b", "clear-1", clear, 1.0, "clear"),
        Mark("b", "rub", Removal(6e-6), 1.0),
        Mark("b", "clear-2", clear, 1.0, "clear"),
    )

    assert [m.step for m in top_layer(marks)] == ["clear-1", "rub", "clear-2"]


def test_a_gloss_that_no_film_can_show_is_noted() -> None:
    wanted = changed(('coating = "clear"\nstages', 'gloss_target = 95\ncoating = "clear"\nstages'))

    assert found(wanted, "polish")["gloss_above_ideal"].severity == "note"


def test_lacquer_is_counted_with_its_loss_in_the_unit_it_is_bought_in() -> None:
    litres = dict(consumption(PLAIN, "linden", **body("seal")))["sealer"]
    by_mass = changed(('stove_limit = "60 degC"\nunit = "L"', 'stove_limit = "60 degC"\nunit = "kg"'))
    kilos = dict(consumption(by_mass, "linden", **body("seal")))["sealer"]

    assert litres == pytest.approx(0.9 * 120e-6 / 0.6 * 1000.0)
    assert kilos == pytest.approx(litres * 1.0)  # 1000 kg/m3


def test_spraying_lasts_as_long_as_the_gun_s_path_with_prepare_and_flash_off() -> None:
    seal = time(PLAIN, "seal")

    assert seal.likely == pytest.approx(300.0 + 120.0 + 10 * 0.9**0.5 / 0.3)


def test_a_pot_life_shorter_than_the_spraying_is_an_error() -> None:
    assert (
        found(changed(('pot_life = "3 h"', 'pot_life = "4 min"')), "seal")["pot_life_exceeded"].severity
        == "error"
    )


def test_a_coat_that_is_flatted_before_it_is_dry_is_an_error() -> None:
    wet = changed(('id = "dry"', 'id = "dry"\nonly = ["birch"]'))
    late = changed(
        ('id = "dry"', 'id = "dry"\nonly = ["birch"]'), ('next_min = "20 min"', 'next_min = "2 h"')
    )

    assert found(wet, "seal")["recoat_too_early"].severity == "error"
    assert "recoat_too_early" not in found(late, "seal")
    assert "recoat_too_early" not in found(PLAIN, "seal")  # the oven dries it first


def test_a_coat_that_may_wait_too_long_for_the_next_one_is_a_warning() -> None:
    unkeyed = ('id = "flat"', 'id = "flat"\nonly = ["birch"]')
    bounded, free = changed(unkeyed), changed(unkeyed, ('next_max = "1 d"', 'next_max = "3 d"'))

    assert "recoat_too_late" not in found(bounded, "seal")
    assert found(free, "seal")["recoat_too_late"].severity == "warning"
    assert "recoat_too_late" not in found(PLAIN, "seal")  # flatted in between


def test_the_film_figure_grows_and_shrinks_step_by_step() -> None:
    figure = report(PLAIN, "linden", **body("polish")).figures[0]

    assert figure.places == ("seal", "flat", "clear", "polish")
    assert figure.curves[0].y == pytest.approx((48e-6, 38e-6, 113e-6, 112.7e-6))
    assert figure.levels[0].value == pytest.approx(50e-6)


def test_a_part_without_coats_is_bare() -> None:
    surface = surface_before(PLAIN, PLAIN.variant("linden", "walnut"), part_id="shell", index=0)

    assert surface.film == ()
