"""The sample works seen by the process: computed, sound, quick, and every report is whole."""

from __future__ import annotations

import math
import time as clock

import pytest

from pairwright.process import check, consumption, durations, energy, report
from pairwright.process.press_heat import heated
from pairwright.sample import layout
from pairwright.works import load_works

TEXTS = layout(pairs=2)
WORKS = load_works(TEXTS)
COMPUTED = ("press", "glue-up", "clamp", "stove", "rest", "sand", "polish")
STEPS = [
    (product, option, name, step)
    for (product, option), variant in WORKS.variants.items()
    for name, part in variant.parts.items()
    for step in part.steps
]


def test_no_recipe_of_the_sample_has_an_error() -> None:
    assert [str(f.text) for f in check(WORKS) if f.severity == "error"] == []


def test_every_press_glue_up_clamp_stove_rest_sand_and_polish_time_is_computed_somewhere() -> None:
    computed = {(t.product, t.option, t.part, t.step) for t in durations(WORKS) if t.computed}
    kinds = {(p, o, name, s.id): s.kind for p, o, name, s in STEPS}

    assert {kinds[k] for k in computed} >= set(COMPUTED)
    assert [k for k, kind in kinds.items() if kind in COMPUTED and k not in computed] == []


def test_every_time_is_in_order_and_finite() -> None:
    assert all(0.0 <= t.low <= t.likely <= t.high < math.inf for t in durations(WORKS))


def test_the_sample_is_judged_in_two_seconds_and_a_half() -> None:
    heated.cache_clear()  # the press cycles are what takes time: about a second of work in all
    begin = clock.process_time()

    check(WORKS)
    durations(WORKS)

    assert clock.process_time() - begin < 2.5


def test_without_its_restricted_recipe_the_sample_keeps_its_sealed_times() -> None:
    works = load_works({k: v for k, v in TEXTS.items() if not k.startswith("restricted/")})
    sealed = [f for f in check(works) if f.code == "recipe_sealed"]
    hidden = {(p, o, s.id) for (p, o), v in works.variants.items() for part in v.parts.values()
              for s in part.steps if s.recipe is None and s.sealed is not None}  # fmt: skip

    assert sealed
    assert {t.computed for t in durations(works) if (t.product, t.option, t.step) in hidden} == {False}


@pytest.mark.parametrize(
    ("product", "option"), sorted(WORKS.variants), ids=[f"{p}-{o}" for p, o in sorted(WORKS.variants)]
)
def test_every_report_is_whole(product: str, option: str) -> None:
    for name, part in WORKS.variants[product, option].parts.items():
        for step in part.steps:
            shown = report(WORKS, product, option=option, part=name, step=step.id)
            where = {"option": option, "part": name, "step": step.id}

            assert all(math.isfinite(amount.value) for _, amount in shown.keys)
            assert all(amount >= 0.0 for _, amount in consumption(WORKS, product, **where))
            assert energy(WORKS, product, **where) >= 0.0
            for figure in shown.figures:
                assert str(figure.says).endswith(".")
                for curve in figure.curves:
                    assert len(curve.x) == len(curve.y) > 1 or figure.places
                    assert all(map(math.isfinite, (*curve.x, *curve.y)))
