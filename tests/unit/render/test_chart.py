"""The SVG writer: well-formed, escaped, finite, the same every time."""

from __future__ import annotations

import re
from xml.etree import ElementTree as ET

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pairwright.render import marks, palette
from pairwright.render.chart import Drawing, Scale, Shelf, number, step_line, steps_between, word_width
from pairwright.render.timeline import folded, straight


def test_words_in_a_drawing_are_escaped() -> None:
    drawing = Drawing("d", 10, 10)
    drawing.words((0, 0), "<b> & 'so'")

    svg = drawing.svg('says "<x>"')

    root = ET.fromstring(svg)
    assert root.get("aria-label") == 'says "<x>"'
    assert [e.text for e in root if e.tag.endswith("text")] == ["<b> & 'so'"]


def test_textures_of_two_drawings_do_not_meet() -> None:
    drawings = [Drawing(name, 10, 10) for name in ("a", "b")]
    for one in drawings:
        one.textured((0, 0), (5, 5), texture="heat")

    ids = [re.findall(r'id="([^"]+)"', d.svg("")) for d in drawings]

    assert ids == [["a-heat"], ["b-heat"]]


@pytest.mark.parametrize(
    ("value", "written"), [(1.0, "1"), (-0.001, "0"), (2.345, "2.35"), (100.10, "100.1")]
)
def test_a_coordinate_has_two_decimals_at_most(value: float, written: str) -> None:
    assert number(value) == written


@given(st.floats(-1e9, 1e9), st.floats(1e-6, 1e9), st.integers(2, 12))
def test_round_numbers_lie_between_the_ends(low: float, width: float, most: int) -> None:
    assume(width > 1e-6 * abs(low))  # below, neighbouring floats are the steps
    found = steps_between(low, low + width, most=most)

    assert len(found) <= most + 1
    assert all(low - width * 1e-3 <= v <= low + width * 1.001 for v in found) or found == [low]
    assert found == sorted(found)


@given(st.lists(st.tuples(st.floats(0, 500), st.floats(1, 120)), max_size=40))
def test_words_on_a_shelf_never_touch(wanted: list[tuple[float, float]]) -> None:
    shelf, taken = Shelf(3), list[tuple[int, float, float]]()

    for middle, width in wanted:
        row = shelf.place(middle, width)
        if row is not None:
            taken.append((row, middle - width / 2, middle + width / 2))

    for n, (row, low, high) in enumerate(taken):
        for other, a, b in taken[n + 1 :]:
            assert row != other or high <= a or low >= b


@given(st.lists(st.tuples(st.integers(0, 10**7), st.integers(0, 10**6)), min_size=1, max_size=40))
def test_folded_time_never_runs_backwards(spans: list[tuple[int, int]]) -> None:
    scale = folded([(a, a + d) for a, d in spans], start=10.0, stop=900.0)

    places = [scale(t) for t in sorted({t for a, d in spans for t in (a, a + d)})]

    assert places == sorted(places)
    assert places[0] == pytest.approx(10.0)
    assert max(places) <= 900.0 + 1e-6


def test_straight_time_is_straight() -> None:
    scale = straight(0, 100, start=0.0, stop=50.0)

    assert [scale(t) for t in (0, 50, 100, 200)] == [0.0, 25.0, 50.0, 50.0]


def test_a_scale_without_width_gives_its_middle() -> None:
    assert Scale(3.0, 3.0, 0.0, 10.0)(3.0) == 5.0


def test_a_level_stays_until_it_changes() -> None:
    assert step_line([(0, 1), (2, 3)]) == [(0, 1), (2, 1), (2, 3)]


def test_longer_words_are_wider() -> None:
    assert word_width("press") < word_width("press the shell")


# --- colour, shape, word


@pytest.mark.parametrize("theme", [palette.LIGHT, palette.DARK, palette.PRINT])
@pytest.mark.parametrize("state", palette.STATES)
def test_a_state_can_be_read_on_paper_and_on_its_tint(theme: palette.Palette, state: str) -> None:
    for ground in (theme["paper"], theme["panel"], theme[f"{state}-tint"]):
        assert palette.contrast(theme[state], ground) >= 4.5


@pytest.mark.parametrize("theme", [palette.LIGHT, palette.DARK, palette.PRINT])
def test_ink_and_soft_ink_can_be_read(theme: palette.Palette) -> None:
    for ground in ("paper", "panel", "body"):
        assert palette.contrast(theme["ink"], theme[ground]) >= 7.0
    for ground in ("paper", "panel"):
        assert palette.contrast(theme["soft"], theme[ground]) >= 4.5


def test_contrast_is_that_of_the_guideline() -> None:
    # WCAG 2.2: black on white is 21:1; #767676 on white is the lightest grey of at least 4.5:1
    assert palette.contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert palette.contrast("#767676", "#ffffff") >= 4.5
    assert palette.contrast("#777777", "#ffffff") < 4.5


def test_every_state_has_a_shape_of_its_own() -> None:
    shapes = {re.sub(r'class="[^"]*"', "", marks.shape(s, (10, 10))) for s in palette.STATES}
    letters = set(marks.STATE_LETTERS.values())

    assert len(letters) == len(palette.STATES)
    assert len(shapes) >= len(palette.STATES) - 1  # watch is a filled, simulated an open diamond
    assert "f-watch" in marks.shape("watch", (0, 0))
    assert "l-simulated" in marks.shape("simulated", (0, 0))


def test_every_kind_of_step_has_word_glyph_and_family() -> None:
    from pairwright.works.product import COMPUTED_KINDS, WORK_KINDS

    kinds = {*COMPUTED_KINDS, *WORK_KINDS, "join"}

    assert kinds == set(marks.KIND_WORDS) == set(marks.FAMILY)
    assert all("<path" in marks.glyph(k, (0, 0)) for k in kinds)


def test_style_rules_carry_no_colour_but_the_palette_s() -> None:
    rules = palette.figure_rules(palette.VARIABLES, "serif")

    assert re.findall(r"#[0-9a-f]{6}", rules) == []
    assert set(re.findall(r"var\(--([a-z-]+)\)", rules)) <= set(palette.LIGHT)
