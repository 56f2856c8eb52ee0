"""Joints, lifts, stated and sealed times, shifts, cautions, what a step takes."""

from __future__ import annotations

import time as clock

import pytest

from pairwright.base.errors import InputError
from pairwright.process import cautions_of, check, consumption, durations, report
from tests.unit.process.small import changed, found, time

PLAIN = changed()


def test_a_joint_within_its_gap_over_the_year_is_silent() -> None:
    assert found(PLAIN, "foot") == {}


def test_a_joint_that_closes_in_dry_air_is_an_error() -> None:
    tight = found(changed(('gap = "1 mm"', 'gap = "0.3 mm"')), "foot")["gap_too_small"]

    assert tight.severity == "error"
    assert "dry" in str(tight.text)


def test_a_joint_that_gapes_in_damp_air_is_a_warning() -> None:
    wide = found(changed(('gap = "1 mm"', 'gap = "1.9 mm"')), "foot")["gap_too_large"]

    assert wide.severity == "warning"
    assert "damp" in str(wide.text)


def test_wood_built_in_damp_shrinks_on_the_metal() -> None:
    damp = changed(('name = "Body"', 'name = "Body"\nmoisture = 0.14'))

    assert found(damp, "foot")["gap_too_small"].severity == "error"


def test_wood_far_from_its_published_range_is_told() -> None:
    parched = changed(("driest = 0.40", "driest = 0.10"))

    assert found(parched, "foot")["out_of_range"].severity == "warning"


def test_a_lift_above_the_reference_mass_is_a_warning_with_its_source() -> None:
    heavy = found(changed(('lift = "18 kg"', 'lift = "32 kg"')), "foot")["lift_too_heavy"]

    assert heavy.severity == "warning"
    assert heavy.source.kind == "from memory"


def test_a_high_voltage_is_noted() -> None:
    assert (
        found(changed(('voltage = "2.83 V"', 'voltage = "230 V"')), "test")["voltage_to_guard"].severity
        == "note"
    )


def test_a_trim_tolerance_finer_than_the_panel_s_own_movement_is_noted() -> None:
    fine = found(changed(('tolerance = "2 mm"', 'tolerance = "0.1 mm"')), "trim")

    assert fine["tolerance_below_movement"].severity == "note"
    assert found(PLAIN, "trim") == {}


def test_trimming_is_the_path_the_tools_and_the_fixture() -> None:
    assert time(PLAIN, "trim", station="machine").likely == pytest.approx(4.0 * 2 / 0.02 + 3 * 30.0 + 300.0)


def test_an_alternative_keeps_its_own_time() -> None:
    bench, machine = (time(PLAIN, "trim", station=s) for s in ("trim-bench", "machine"))

    assert (bench.low, bench.likely, bench.high, bench.computed) == (3000.0, 3600.0, 4800.0, False)
    assert machine.computed
    assert "Trimming bench" in str(bench.reason)


def test_a_stated_time_overrides_the_computed_one() -> None:
    stated = changed(('id = "seal"', 'id = "seal"\nduration = "25 min"'))

    assert (time(stated, "seal").likely, time(stated, "seal").computed) == (1500.0, False)


def test_a_stated_time_below_what_the_physics_needs_is_an_error() -> None:
    hasty = changed(('id = "press"', 'id = "press"\nduration = "8 min"'))
    ample = changed(('id = "press"', 'id = "press"\nduration = "40 min"'))

    assert found(hasty, "press")["stated_time_too_short"].severity == "error"
    assert "stated_time_too_short" not in found(ample, "press")


def test_a_sealed_recipe_keeps_its_sealed_times_and_names_its_file() -> None:
    sealed = changed(sealed=True)
    clear = time(sealed, "clear")

    assert (clear.low, clear.likely, clear.high, clear.computed) == (600.0, 720.0, 960.0, False)
    assert "restricted/clear.toml" in str(clear.reason)
    assert found(sealed, "clear")["recipe_sealed"].severity == "note"
    assert report(sealed, "linden", option="walnut", part="body", step="clear").figures == ()
    assert consumption(sealed, "linden", option="walnut", part="body", step="clear") == ()


def test_an_open_restricted_recipe_is_computed_like_any_other() -> None:
    assert time(PLAIN, "clear").computed
    assert "recipe_sealed" not in found(PLAIN, "clear")


def test_what_a_sealed_coat_adds_to_the_film_is_not_guessed() -> None:
    sealed = changed(sealed=True)

    assert report(sealed, "linden", option="walnut", part="body", step="polish").figures == ()
    assert found(sealed, "polish")["film_not_judged"].severity == "note"
    assert "film_below_reserve" not in found(sealed, "polish")


def test_a_step_that_is_longer_than_any_stretch_of_work_is_an_error() -> None:
    long = changed(('duration = { low = "20 min", likely = "30 min", high = "40 min" }', 'duration = "5 h"'))
    found_long = found(long, "test")["step_longer_than_shift"]

    assert found_long.severity == "error"
    assert "4 h" in str(found_long.text)


def test_only_a_high_time_beyond_the_stretch_is_a_warning() -> None:
    works = changed(('high = "40 min"', 'high = "5 h"'))

    assert found(works, "test")["step_longer_than_shift"].severity == "warning"


def test_a_step_that_may_pause_or_runs_unattended_may_be_longer() -> None:
    pausing = changed(('id = "test"', 'id = "test"\npause = true'), ('high = "40 min"', 'high = "9 h"'))
    curing = changed(('clamp_time = "60 min"', 'clamp_time = "12 h"'))

    assert "step_longer_than_shift" not in found(pausing, "test")
    assert "step_longer_than_shift" not in found(curing, "hold")


def test_crew_and_station_must_work_at_the_same_time() -> None:
    evening = changed(
        ('id = "test"', 'id = "test"\ncrew = "evening"'),
        ('likely = "30 min", high = "40 min"', 'likely = "3 h", high = "230 min"'),
    )

    # the bench works 06:00-10:00 and 10:15-14:00, the crew from 08:00: at most 3 h 45 min together
    assert found(evening, "test")["step_longer_than_shift"].severity == "warning"


def test_what_is_the_same_in_every_option_is_told_once() -> None:
    subjects = {
        f.subject for f in check(changed(('lift = "18 kg"', 'lift = "32 kg"'))) if f.code == "lift_too_heavy"
    }

    assert subjects == {"linden.body.foot"}


def test_what_differs_by_option_is_told_with_the_option() -> None:
    thin = changed(('thickness = "0.6 mm"\nmoisture = 0.08\nsource = "measured"\nunit = "m2"\n\n[birch-06]',
                    'thickness = "0.3 mm"\nmoisture = 0.08\nsource = "measured"\nunit = "m2"\n\n[birch-06]'),
                   ('reserve = "0.3 mm"', 'reserve = "0.4 mm"'))  # fmt: skip

    subjects = {f.subject for f in check(thin) if f.code == "veneer_below_reserve"}

    assert subjects == {"linden.walnut.body.sand"}


def test_findings_come_worst_first() -> None:
    works = changed(('lift = "18 kg"', 'lift = "32 kg"'), ('"600 kN"', '"300 kN"'))
    severities = [f.severity for f in check(works)]

    assert severities == sorted(severities, key=["error", "warning", "note"].index)


def test_every_step_of_every_option_and_station_has_a_time() -> None:
    times = durations(PLAIN)

    assert len(times) == 2 * (4 + 11 + 1)  # one trim step has two stations
    assert all(0.0 <= t.low <= t.likely <= t.high for t in times)


def test_cautions_are_those_of_the_kind_and_those_named() -> None:
    press = PLAIN.variant("linden", "walnut").parts["shell"].steps[0]

    assert [c.text for c in cautions_of(PLAIN, press)] == [
        "Platens crush and burn: two-hand control.",
        "Two people or the lift.",
    ]


def test_a_kind_that_can_hurt_without_a_caution_is_noted() -> None:
    missing = {f.subject for f in check(PLAIN) if f.code == "caution_missing"}

    assert "cautions.spray" in missing
    assert "cautions.press" not in missing


def test_bought_parts_and_stated_materials_are_counted() -> None:
    foot = {"option": "walnut", "part": "body", "step": "foot"}
    test = {"option": "walnut", "part": "body", "step": "test"}

    assert consumption(PLAIN, "linden", **foot) == (("post", 2.0),)
    assert consumption(PLAIN, "linden", **test) == (("post", 1.0),)


def test_an_unknown_step_is_an_input_error() -> None:
    with pytest.raises(InputError, match="a step of this product"):
        report(PLAIN, "linden", option="walnut", part="body", step="paint")


def test_the_same_works_is_judged_the_same() -> None:
    assert check(changed()) == check(PLAIN)
    assert durations(changed()) == durations(PLAIN)


def test_judging_again_is_quick() -> None:
    check(PLAIN)
    begin = clock.process_time()

    check(PLAIN)

    assert clock.process_time() - begin < 0.5


def test_one_product_is_judged_as_it_is_within_the_whole() -> None:
    works = changed()
    product = next(iter(works.variants.values())).id

    alone = check(works, product=product)
    whole = [f for f in check(works) if f.subject.split(".")[0] in (product, "cautions")]

    assert list(alone) == whole
    assert durations(works, product=product) == tuple(t for t in durations(works) if t.product == product)


def test_an_unknown_product_is_an_input_error() -> None:
    with pytest.raises(InputError, match="one of"):
        check(changed(), product="larch")
