"""Changing a text: the value moves, everything else stays as it was written."""

from __future__ import annotations

import difflib

import pytest

from pairwright.base.errors import InputError
from pairwright.works import apply_changes, dump, load_works, split_change
from tests.unit.works.base import ALDER, WORKS, base_texts


def changed_lines(before: dict[str, str], after: dict[str, str]) -> list[str]:
    return [
        line
        for path in before
        for line in difflib.unified_diff(before[path].split("\n"), after[path].split("\n"), n=0, lineterm="")
        if line[:1] in "+-" and line[:3] not in ("+++", "---")
    ]


def test_writing_back_changes_nothing() -> None:
    texts = base_texts()

    assert dump(texts) == texts


@pytest.mark.parametrize(
    ("path", "value", "line"),
    [
        ("products/alder.shell.steps.press.recipe.platen", "112 degC", '+platen = "112 degC"'),
        ("products/alder.shell.steps.0.recipe.platen", '"112 degC"', '+platen = "112 degC"'),
        ("works.stations.hot-press.places", "2", "+places = 2"),
        ("works.opening", "2027-03-08T06:00:00+01:00", "+opening = 2027-03-08T06:00:00+01:00"),
        ("products/alder.cabinet.steps.clamp.keeps_place", "false", "+keeps_place = false"),
        ("materials/bought.urea.spread", "140 g/m2", '+spread = "140 g/m2"'),
    ],
)
def test_one_line_changes(path: str, value: str, line: str) -> None:
    texts = base_texts()

    after = apply_changes(texts, [(path, value)])

    lines = changed_lines(texts, after)
    assert len(lines) == 2
    assert line in lines
    load_works(after)


def test_the_number_of_plies_changes_the_stack() -> None:
    after = apply_changes(base_texts(), [("products/alder.shell.layup.plies", "13")])

    layup = load_works(after).variant("alder", "walnut").parts["shell"].layup

    assert layup is not None
    assert len(layup.plies) == 13


def test_a_full_list_may_be_given_instead() -> None:
    plies = '[{ veneer = "birch-06", grain = "0 deg" }, { veneer = "walnut-06", grain = "90 deg" }]'

    after = apply_changes(base_texts(), [("products/alder.shell.layup.plies", plies)])

    layup = load_works(after).variant("alder", "walnut").parts["shell"].layup
    assert layup is not None
    assert [p.veneer for p in layup.plies] == ["birch-06", "walnut-06"]


def test_a_field_that_was_left_out_can_be_stated() -> None:
    after = apply_changes(base_texts(), [("works.stations.glue-bench.places", "2")])

    assert load_works(after).factory.stations["glue-bench"].places == 2


def test_a_comment_beside_the_value_stays() -> None:
    texts = {"works.toml": "[a]\nx = 1 # why\n# and this\ny = 2\n"}

    assert apply_changes(texts, [("works.a.x", "5")])["works.toml"] == "[a]\nx = 5 # why\n# and this\ny = 2\n"


def test_ids_with_points_are_found_by_their_longest_name() -> None:
    texts = {"works.toml": '[stations."bench.2"]\nplaces = 1\n[stations.bench]\nplaces = 3\n'}

    after = apply_changes(texts, [("works.stations.bench.2.places", "7")])

    assert after["works.toml"].startswith('[stations."bench.2"]\nplaces = 7\n')


def test_windows_line_ends_stay() -> None:
    texts = {"works.toml": "[a]\r\nx = 1\r\ny = 2\r\n"}

    assert apply_changes(texts, [("works.a.x", "3")])["works.toml"] == "[a]\r\nx = 3\r\ny = 2\r\n"


def test_several_changes_work_on_each_other() -> None:
    after = apply_changes(
        base_texts(),
        [
            ("products/alder.cabinet.steps.pack.duration", "25 min"),
            ("products/alder.cabinet.steps.pack.pause", "true"),
            ("works.crews.night.people", "2"),
        ],
    )

    works = load_works(after)
    assert works.variant("alder", "walnut").route("cabinet")[-1].pause
    assert works.factory.crews["night"].people == 2


def test_a_changed_restricted_recipe_is_listed_anew() -> None:
    after = apply_changes(base_texts(), [("restricted/clear.wet", "0.15 mm")])

    assert load_works(after).sealed == frozenset()


@pytest.mark.parametrize(
    ("path", "got", "proposal"),
    [
        ("products/alder.shel.layup.plies", "'shel'", "write products/alder.shell"),
        ("products/elder.shell.layup.plies", "'products/elder'", "write products/alder"),
        ("works.stations.hot-pres.places", "'hot-pres'", "write works.stations.hot-press"),
        ("products/alder.shell.steps.pres.recipe.platen", "'pres'", "write products/alder.shell.steps.press"),
        ("works.name.first", "'first'", "correct the path"),
        ("works", "'works'", "write works"),
    ],
)
def test_a_path_that_leads_nowhere_is_told_in_five_parts(path: str, got: str, proposal: str) -> None:
    with pytest.raises(InputError) as caught:
        apply_changes(base_texts(), [(path, "1")])

    (problem,) = caught.value.problems
    assert problem.got == got
    assert str(problem.do) == proposal
    assert all(problem.as_json().values())


def test_a_value_cannot_smuggle_in_another_key() -> None:
    after = apply_changes({"works.toml": "x = 1\n"}, [("works.x", "2\ny = 3")])

    assert after["works.toml"] == 'x = "2\\ny = 3"\n'


def test_a_misspelt_last_key_is_refused_by_the_loader() -> None:
    after = apply_changes(base_texts(), [("products/alder.shell.layup.plys", "13")])

    with pytest.raises(InputError, match=r"shell\.layup\.plys must be a known field"):
        load_works(after)


def test_a_change_without_a_value_is_refused() -> None:
    for argument in ("works.name", "works.name=", "=3"):
        with pytest.raises(InputError, match="PATH=VALUE"):
            split_change(argument)


def test_the_first_equals_sign_divides() -> None:
    assert split_change('works.x={ a = "1" }') == ("works.x", '{ a = "1" }')


def test_comments_of_the_rest_are_kept() -> None:
    texts = base_texts()

    after = apply_changes(texts, [("products/alder.mates_within", "6 h")])

    assert [x for x in after[ALDER].split("\n") if x.startswith("#")] == [
        x for x in texts[ALDER].split("\n") if x.startswith("#")
    ]
    assert after[WORKS] == texts[WORKS]
