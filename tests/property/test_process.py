"""Steps of making: order of low, likely and high; monotony; twins of the small searches."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from pairwright.base.words import text
from pairwright.physics.film import Coat, Removal
from pairwright.physics.profile import Arc
from pairwright.physics.slab import slab_temperature
from pairwright.process import durations
from pairwright.process.context import context_of
from pairwright.process.material_use import gathered
from pairwright.process.outline import arcs, courses, middle_length, pieces_of
from pairwright.process.rest_slab import time_to_share
from pairwright.process.risk import severity_of
from pairwright.process.shift_length import longest_stretch
from pairwright.process.surface import Mark, Surface, cut_through, left
from pairwright.process.timing import ranged, scattered
from pairwright.works.product import Profile, Segment
from tests.strategies import finite, fractions, panel_sizes
from tests.unit.process.small import changed, time

PLAIN = changed()
times = finite(0.0, 1e6)

lines = st.builds(lambda m: Segment(line=f"{m:.4f} m"), finite(0.01, 1.0))
bends = st.builds(
    lambda r, t: Segment(radius=f"{r:.4f} m", turn=f"{t:.3f} deg"), finite(0.05, 1.0), finite(1.0, 90.0)
)
profiles = st.builds(
    lambda parts: Profile(segments=tuple(parts), height="1 m"),
    st.lists(lines | bends, min_size=1, max_size=6),
)
coats = st.builds(Coat, finite(2e-5, 3e-4), finite(0.2, 1.0), finite(0.0, 2e-5))
removals = st.builds(Removal, finite(0.0, 5e-5), finite(0.0, 1e-5))
marks = st.builds(
    lambda change, edge, coating: Mark("p", "s", change, edge, coating if isinstance(change, Coat) else ""),
    coats | removals,
    finite(0.5, 2.0),
    st.sampled_from(("sealer", "clear")),
)


@given(core=times, fixed=times, scatter=fractions, quicker=fractions, slower=finite(1.0, 4.0))
def test_low_likely_and_high_are_in_order(
    core: float, fixed: float, scatter: float, quicker: float, slower: float
) -> None:
    plain = scattered(core, fixed, scatter=scatter, reason=text("x"))
    moved = ranged(
        core, fixed, scatter=scatter, shortest=core * quicker, longest=core * slower, reason=text("x")
    )

    assert fixed <= plain.low <= plain.likely <= plain.high
    assert fixed <= moved.low <= moved.likely <= moved.high
    assert moved.low <= plain.low
    assert moved.high >= plain.high


@given(profiles, finite(0.0005, 0.015))
def test_plies_further_out_grow_by_the_turn_times_their_distance(profile: Profile, ply: float) -> None:
    turned = sum(s.turn for s in profile.segments if s.turn is not None)

    inner, outer = courses(profile, (ply, ply))

    assert outer.length - inner.length == pytest.approx(turned * ply, abs=1e-9)
    assert middle_length(profile, 2.0 * ply) == pytest.approx(0.5 * (inner.length + outer.length), rel=1e-9)
    assert outer.radius >= inner.radius


@given(profiles, finite(0.0, 0.02))
def test_a_surface_further_out_is_the_profile_with_larger_bends(profile: Profile, offset: float) -> None:
    for arc, outer in zip(
        arcs(profile), (p for p in pieces_of(profile, offset=offset) if isinstance(p, Arc)), strict=True
    ):
        assert outer.radius == pytest.approx(arc.radius + offset)
        assert outer.angle == arc.angle


@given(st.lists(marks, min_size=1, max_size=8), finite(0.0, 3e-4))
def test_the_film_is_what_went_on_less_what_came_off(film: list[Mark], reserve: float) -> None:
    rest = left(tuple(film), reserve)
    on = sum(m.change.wet * m.change.solids for m in film if isinstance(m.change, Coat))
    off = sum(m.change.mean for m in film if isinstance(m.change, Removal))

    assert rest.mean == pytest.approx(on - off, abs=1e-12)
    assert 0.0 <= rest.probability_below_reserve <= 1.0


@given(st.lists(marks, min_size=1, max_size=6), removals)
def test_one_more_removal_never_makes_cutting_through_less_likely_on_average(
    film: list[Mark], more: Removal
) -> None:
    before = tuple(film)
    after = (*before, Mark("p", "s", more, 1.0))
    assume(left(before, 0.0).mean > 0.0)

    assert left(after, 0.0).mean <= left(before, 0.0).mean
    assert left(after, 0.0).sd >= left(before, 0.0).sd
    if 0.0 < cut_through(before) < 0.5:
        assert cut_through(after) >= cut_through(before)


@given(marks)
def test_a_change_lands_on_the_veneer_or_on_the_film(mark: Mark) -> None:
    wood = Surface("leaf", 6e-4).after(mark, on_veneer=True)
    film = Surface("leaf", 6e-4).after(mark, on_veneer=False)

    assert (wood.sanded, wood.film) == ((mark,), ())
    assert (film.sanded, film.film) == ((), (mark,))


@given(fractions, fractions)
def test_a_likelier_fault_is_never_milder(one: float, other: float) -> None:
    order = [None, "warning", "error"]
    low, high = sorted((one, other))

    assert order.index(severity_of(low)) <= order.index(severity_of(high))


spans = st.lists(
    st.tuples(st.integers(0, 300), st.integers(1, 60)).map(lambda s: (s[0], s[0] + s[1])), max_size=5
).map(lambda found: tuple(sorted(found)))


@given(spans, spans)
def test_the_longest_stretch_is_that_of_counting_minute_by_minute(
    one: tuple[tuple[int, int], ...], other: tuple[tuple[int, int], ...]
) -> None:
    def works(spans: tuple[tuple[int, int], ...], minute: int) -> bool:
        return any(a <= minute < b for a, b in spans)

    best = run = 0
    for minute in range(400):
        run = run + 1 if works(one, minute) and works(other, minute) else 0
        best = max(best, run)

    assert longest_stretch(one, other) == best


def test_a_night_shift_over_the_end_of_the_week_is_one_stretch() -> None:
    week = 7 * 1440
    night = ((0, 360), (week - 120, week))

    assert longest_stretch(night, ((0, week),)) == 480


@given(panel_sizes, finite(1e-10, 2e-7), finite(0.05, 0.98))
def test_waiting_that_long_really_brings_the_middle_so_far(
    thickness: float, diffusivity: float, share: float
) -> None:
    time_needed = time_to_share(thickness, diffusivity, share=share)

    gone = slab_temperature(thickness, diffusivity, initial=0.0, surface=1.0, time=time_needed)

    assert gone == pytest.approx(share, abs=1e-4)


@given(finite(0.001, 0.05), finite(5.0, 60.0), finite(0.1, 0.95), finite(1.05, 2.0))
def test_a_livelier_air_never_cools_later(
    thickness: float, heat_transfer: float, share: float, livelier: float
) -> None:
    def needed(h: float) -> float:
        return time_to_share(thickness, 1.5e-7, share=share, conductivity=0.16, heat_transfer=h)

    assert needed(heat_transfer * livelier) <= needed(heat_transfer) * (1.0 + 1e-5)


@given(st.lists(st.tuples(st.sampled_from(("a", "b", "c")), finite(0.0, 10.0)), max_size=12))
def test_gathering_keeps_the_sum_and_names_each_material_once(uses: list[tuple[str, float]]) -> None:
    together = gathered(uses)

    assert sum(a for _, a in together) == pytest.approx(sum(a for _, a in uses))
    assert len({m for m, _ in together}) == len(together)


@settings(max_examples=6)
@given(st.integers(3, 12), st.integers(106, 124), finite(0.80, 0.98))
def test_a_press_step_is_in_order_and_longer_when_more_cure_is_wanted(
    plies: int, platen: int, cure: float
) -> None:
    def press(target: float) -> tuple[float, float, float]:
        works = changed(
            ("plies = 9", f"plies = {plies}"),
            ('platen = "113 degC"', f'platen = "{platen} degC"'),
            ("target_cure = 0.95", f"target_cure = {target:.4f}"),
        )
        found = time(works, "press")
        return found.low, found.likely, found.high

    low, likely, high = press(cure)

    assert 600.0 < low < likely < high
    assert press(cure + 0.01)[1] > likely


@settings(max_examples=15)
@given(st.integers(1, 24), finite(0.0, 0.3), finite(0.0, 0.3))
def test_every_time_of_the_works_is_in_order_in_any_room(warmer: int, sand: float, spray: float) -> None:
    works = changed(
        ('coldest = "17 degC"', f'coldest = "{20 - warmer // 2} degC"'),
        ('warmest = "25 degC"', f'warmest = "{20 + warmer // 2} degC"'),
        ("grits =", f"scatter = {sand:.3f}\ngrits ="),
        ('wet = "120 um"', f'scatter = {spray:.3f}\nwet = "120 um"'),
    )

    assert all(0.0 <= t.low <= t.likely <= t.high < math.inf for t in durations(works))


@settings(max_examples=15)
@given(finite(20.0, 400.0), finite(1.02, 2.0))
def test_a_thicker_sealer_is_never_riskier_to_flat(wet: float, thicker: float) -> None:
    def risk(film: float) -> float:
        works = changed(('wet = "120 um"', f'wet = "{film:.3f} um"'))
        surface = context_of(works, "linden", option="walnut", part="body", step="flat").surface
        return cut_through((*surface.film, Mark("body", "flat", Removal(30e-6, 4e-6), 1.5)), place="edge")

    assert risk(wet * thicker) <= risk(wet) + 1e-12
    assert PLAIN.variant("linden", "walnut").root == "body"
