"""Reading a works: options, placeholders, restricted recipes, and messages that find their place."""

from __future__ import annotations

import pytest

from pairwright.base.errors import InputError
from pairwright.works import load_works
from pairwright.works.recipe import PressRecipe, SprayRecipe
from tests.unit.works.base import ALDER, TANSY, WORKS, base_texts, lines_of, problems_in, with_change


def test_each_option_gets_its_own_words() -> None:
    works = load_works(base_texts())

    walnut = works.variant("alder", "walnut").parts["shell"]
    birch = works.variant("alder", "birch").parts["shell"]

    assert walnut.layup is not None
    assert birch.layup is not None
    assert (walnut.layup.plies[-1].veneer, birch.layup.plies[-1].veneer) == ("walnut-06", "birch-06")
    assert walnut.steps[0].setup == "mould-a"


def test_a_number_of_plies_repeats_the_alternation_between_the_faces() -> None:
    layup = load_works(base_texts()).variant("alder", "walnut").parts["shell"].layup

    assert layup is not None
    assert len(layup.plies) == layup.stated == 11
    assert [round(p.grain, 3) for p in layup.plies[:4]] == [0.0, 1.571, 0.0, 1.571]


def test_steps_of_other_options_are_left_out() -> None:
    texts = with_change(ALDER, 'id = "rest"', 'id = "rest"\nexcept = ["birch"]')

    works = load_works(texts)

    assert [s.id for s in works.variant("alder", "birch").route("cabinet")][3:5] == ["dry", "assemble"]
    assert "rest" in [s.id for s in works.variant("alder", "walnut").route("cabinet")]


def test_a_part_of_one_option_needs_no_user_in_the_others() -> None:
    texts = with_change(
        ALDER, "[ring]", '[felt]\nname = "felt"\narticle = "carton"\nonly = ["birch"]\n\n[ring]'
    )
    texts[ALDER] = texts[ALDER].replace(
        '[[cabinet.steps]]\nid = "pack"',
        '[[cabinet.steps]]\nid = "line"\nkind = "finish"\nstations = ["assembly"]\nduration = "5 min"\n'
        'uses = ["felt"]\nonly = ["birch"]\n\n[[cabinet.steps]]\nid = "pack"',
    )

    works = load_works(texts)

    assert "felt" in works.variant("alder", "birch").parts
    assert "felt" not in works.variant("alder", "walnut").parts


def test_a_step_that_uses_a_part_of_another_option_is_told() -> None:
    texts = with_change(ALDER, 'name = "magnet ring"', 'name = "magnet ring"\nonly = ["birch"]')

    assert "driver.steps.build.uses.0 must be a part of option walnut, got 'ring'" in lines_of(texts)


def test_an_option_may_bind_its_pairs_otherwise() -> None:
    texts = with_change(ALDER, 'name = "birch"\n', 'name = "birch"\nbinding = "late"\n')

    works = load_works(texts)

    assert works.variant("alder", "walnut").sides() == ("left", "right")
    assert works.variant("alder", "birch").sides() == ("a", "b")


def test_a_message_about_a_later_step_names_its_own_line_though_steps_are_left_out() -> None:
    texts = with_change(ALDER, 'id = "glue"\n', 'id = "glue"\nonly = ["walnut"]\n')
    texts[ALDER] = texts[ALDER].replace('["measuring"]', '["measurin"]')
    line = texts[ALDER].split("\n").index('stations = ["measurin"]') + 1

    problems = problems_in(texts)

    found = [p for p in problems if p.field == "cabinet.steps.test.stations.0"]
    assert [p.where for p in found] == [f"products/alder.toml line {line}"]


def test_a_mistake_in_every_option_is_told_once() -> None:
    problems = problems_in(with_change(ALDER, '"1.1 MPa"', '"1.1 m"'))

    assert len(problems) == 1


def test_a_broken_step_does_not_hide_what_is_wrong_elsewhere_in_the_part() -> None:
    texts = with_change(ALDER, '"9 kN"', '"9 km"')
    texts[ALDER] = texts[ALDER].replace('stations = ["booth"]', 'stations = ["both"]')

    fields = {p.field for p in problems_in(texts)}

    assert {"cabinet.steps.clamp.recipe.force", "cabinet.steps.spray.stations.0"} == fields


def test_a_broken_station_is_not_also_called_unknown() -> None:
    texts = with_change(WORKS, 'kind = "parallel"\nplaces = 4', 'kind = "paralel"\nplaces = 4')

    assert [p.field for p in problems_in(texts)] == ["stations.clamps.kind"]


def test_numbers_of_the_wrong_sort_are_not_guessed() -> None:
    for old, new, field in (
        ("places = 4", "places = true", "stations.clamps.places"),
        ("places = 4", "places = 4.0", "stations.clamps.places"),
        ("manned = false", "manned = 0", "stations.clamps.manned"),
        ("date = 2027-03-29", 'date = "2027-03-29"', "calendars.early.exceptions.0.date"),
        ("date = 2027-03-29", "date = 5", "calendars.early.exceptions.0.date"),
        ("people = 1", "people = 0", "crews.night.people"),
    ):
        assert [p.field for p in problems_in(with_change(WORKS, old, new))] == [field], new


def test_local_times_of_maintenance_are_allowed() -> None:
    station = load_works(base_texts()).factory.stations["hot-press"]

    assert station.maintenance[0].start.tzinfo is None


# restricted recipes


def test_an_open_restricted_recipe_is_read() -> None:
    step = load_works(base_texts()).variant("alder", "walnut").route("cabinet")[2]

    assert isinstance(step.recipe, SprayRecipe)
    assert step.restricted == "restricted/clear.toml"


def test_an_absent_restricted_recipe_leaves_the_sealed_times() -> None:
    texts = base_texts()
    del texts["restricted/clear.toml"]

    works = load_works(texts)

    step = works.variant("alder", "walnut").route("cabinet")[2]
    assert works.sealed == {"restricted/clear.toml"}
    assert step.recipe is None
    assert step.sealed is not None
    assert step.sealed.likely == 840.0


def test_the_revision_is_the_same_with_and_without_the_restricted_recipe() -> None:
    texts = base_texts()
    without = {p: t for p, t in texts.items() if not p.startswith("restricted/")}

    assert load_works(texts).revision == load_works(without).revision


def test_a_mistake_in_a_restricted_recipe_names_that_file() -> None:
    from pairwright.works import recipe_digest

    texts = base_texts()
    path = "restricted/clear.toml"
    old = recipe_digest(texts[path])
    texts[path] = texts[path].replace('"0.45 m/s"', '"0.45 m"')
    texts[WORKS] = texts[WORKS].replace(old, recipe_digest(texts[path]))

    problems = problems_in(texts)

    assert [(p.where, p.field) for p in problems] == [("restricted/clear.toml line 8", "feed")]


def test_a_step_may_not_state_the_restricted_file_itself() -> None:
    texts = with_change(ALDER, 'id = "press"', 'id = "press"\nrestricted = "restricted/clear.toml"')

    assert [p.field for p in problems_in(texts)] == ["shell.steps.press.restricted"]


# revision


def test_stock_and_orders_and_line_ends_do_not_count() -> None:
    texts = base_texts()
    other = {p: t.replace("\n", "\r\n") for p, t in texts.items()}
    other["orders.csv"] = ""
    other["stock/lots.csv"] = "x"

    assert load_works(other).revision == load_works(texts).revision


def test_any_text_of_the_definition_counts() -> None:
    texts = base_texts()
    first = load_works(texts).revision

    for path in (WORKS, ALDER, TANSY, "materials/wood.toml"):
        assert load_works({**texts, path: texts[path] + "# a word\n"}).revision != first


# files


def test_a_product_is_named_like_its_file() -> None:
    texts = with_change(TANSY, 'name = "Tansy"', 'name = "Tansy"\nid = "tanzy"')

    assert "products/tansy.toml line 2: id must be tansy, like the file, got 'tanzy'" in lines_of(texts)


def test_a_product_without_options_is_told() -> None:
    texts = with_change(TANSY, '[options.satin]\nname = "satin"\n', "")

    assert [p.field for p in problems_in(texts)] == ["options"]


def test_a_misspelt_key_of_a_product_gets_the_right_one_proposed() -> None:
    texts = with_change(TANSY, 'binding = "none"', 'bindin = "none"')

    problems = problems_in(texts)

    assert [str(p.do) for p in problems if p.field == "bindin"] == ["write binding, or leave it out"]


def test_texts_that_are_no_definition_are_passed_over() -> None:
    texts = {**base_texts(), "notes/a.toml": "]", "readme.txt": "\0", "products/old/x.toml": "]"}

    works = load_works(texts)

    assert "notes/a.toml" not in works.texts


def test_an_unread_file_of_materials_makes_no_flood() -> None:
    texts = {**base_texts(), "materials/wood.toml": "["}

    assert len(problems_in(texts)) == 1


def test_a_byte_order_mark_is_nothing() -> None:
    texts = base_texts()

    marked = {p: "\ufeff" + t for p, t in texts.items()}

    assert load_works(marked).revision == load_works(texts).revision


def test_the_recipe_is_of_the_kind_of_the_step() -> None:
    works = load_works(base_texts())

    assert isinstance(works.variant("alder", "walnut").route("shell")[0].recipe, PressRecipe)


def test_no_problem_has_an_empty_part() -> None:
    with pytest.raises(InputError) as caught:
        load_works({"works.toml": "", "products/x.toml": "", "materials/y.toml": "a = 1\n[b]\n"})

    for problem in caught.value.problems:
        assert all(problem.as_json().values()), problem
