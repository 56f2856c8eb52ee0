"""Cross-checks beyond the damaged folders: what is refused, and what is rightly let through."""

# ruff: noqa: E501
from __future__ import annotations

import pytest

from pairwright.works.calendars import first_overlap, may_meet, works_at_all
from pairwright.works.factory import Calendar, Hours
from tests.unit.works.base import ALDER, TANSY, WORKS, base_texts, lines_of, problems_in, with_change

REFUSED = [
    ("two exceptions of one day", WORKS, "{ date = 2027-03-29,", "{ date = 2027-08-05,", "exceptions.1.date"),
    ("an exception that ends before it begins", WORKS, "until = 2027-08-13", "until = 2027-07-13", "until"),
    ("a week beside always", WORKS, "always = true", 'always = true\nweek = { mon = ["06:00-07:00"] }', "always"),
    ("a crew of an unknown calendar", WORKS, 'calendar = "late"', 'calendar = "lat"', "crews.night.calendar"),
    ("more people away than the crew has", WORKS, 'calendar = "late"', 'calendar = "late"\nabsences = [{ from = 2027-03-01, to = 2027-03-02, people = 9 }]', "crews.night.absences.0.people"),
    ("an absence that ends before it begins", WORKS, 'calendar = "late"', 'calendar = "late"\nabsences = [{ from = 2027-03-02, to = 2027-03-01, people = 1 }]', "crews.night.absences.0.to"),
    ("an absence without its first day", WORKS, 'calendar = "late"', 'calendar = "late"\nabsences = [{ to = 2027-03-01, people = 1 }]', "crews.night.absences.0.from"),
    ("more people than the crew has", WORKS, 'area = "finish"\nsetup', 'people = 3\narea = "finish"\nsetup', "stations.booth.people"),
    ("a change to the same family", WORKS, 'after = "mould-b"', 'after = "mould-a"', "changes.0.after"),
    ("a way from nowhere", WORKS, 'before = "wood", after', 'before = "woods", after', "transport.ways.0.before"),
    ("a programme at an unknown station", WORKS, 'station = "glue-bench"', 'station = "glue"', "programmes.trim-alder.station"),
    ("a programme of an unknown product", WORKS, 'product = "alder"', 'product = "elder"', "programmes.trim-alder.product"),
    ("a programme of an unknown part", WORKS, 'part = "shell"', 'part = "shel"', "programmes.trim-alder.part"),
    ("a programme of another part", WORKS, 'part = "shell"', 'part = "driver"', "shell.steps.trim.programme"),
    ("a programme at another station", WORKS, 'station = "glue-bench"', 'station = "booth"', "shell.steps.trim.programme"),
    ("air that is warmer than its warmest", WORKS, 'warmest = "25 degC"', 'warmest = "20 degC"', "climate.warmest"),
    ("a digest that is none", WORKS, '"restricted/clear.toml" = "', '"restricted/clear.toml" = "x', "restricted.restricted/clear.toml"),
    ("an unknown caution", ALDER, '["heat"]', '["heet"]', "cautions.0"),
    ("an unknown buffer", ALDER, 'buffer = "rest-shelf"', 'buffer = "rest-shell"', "cabinet.steps.dry.buffer"),
    ("an unknown carrier", ALDER, 'takes = "paint"', 'takes = "pint"', "cabinet.steps.spray.takes"),
    ("an unknown material to consume", ALDER, 'material = "carton"', 'material = "cartoon"', "consumes.0.material"),
    ("a station named twice", ALDER, '["booth"]', '["booth", "booth"]', "cabinet.steps.spray.stations.1"),
    ("a place kept after the last step", ALDER, 'duration = "20 min"', 'duration = "20 min"\nkeeps_place = true', "pack.keeps_place"),
    ("a skill that the crew has not", ALDER, '"spraying"', '"cleaning"', "cabinet.steps.spray.skill"),
    ("a step that is all scrap", ALDER, 'id = "press"', 'id = "press"\nscrap = 1.0', "shell.steps.press.scrap"),
    ("a time nobody can compute", ALDER, 'duration = "20 min"\n', "", "cabinet.steps.pack.duration"),
    ("a recipe that is missing", ALDER, 'recipe = { until = "hard", coating = "clear", threshold = 90 }', "", "cabinet.steps.rest.recipe"),
    ("a rest that lacks its threshold", ALDER, ", threshold = 90", "", "cabinet.steps.rest.recipe.threshold"),
    ("a press step without a layup", ALDER, 'id = "build"\nkind = "build"', 'id = "build"\nkind = "press"', "driver.steps.build"),
    ("a part both bought and made", ALDER, 'name = "drive unit"', 'name = "drive unit"\narticle = "magnet"', "driver.article"),
    ("a part neither bought nor made", ALDER, 'article = "magnet"', "", "ring"),
    ("a part bought as a lacquer", ALDER, 'article = "magnet"', 'article = "clear"', "ring.article"),
    ("leaves without a layup", ALDER, 'name = "drive unit"', 'name = "drive unit"\nleaf = true', "driver.leaf"),
    ("a root that goes into itself", ALDER, 'uses = ["ring"]', 'uses = ["ring", "cabinet"]', "driver.steps.build.uses.1"),
    ("a handed part of a product that is not", TANSY, 'name = "drive unit"', 'name = "drive unit"\nhanded = true', "unit.handed"),
    ("a single bound early", TANSY, 'binding = "none"', 'binding = "early"', "binding"),
    ("a handed single", TANSY, 'binding = "none"', 'binding = "none"\nhanded = true', "handed"),
    ("a single done together", TANSY, 'duration = "15 min"', 'duration = "15 min"\ntogether = true', "body.steps.pack.together"),
    ("mates of a set's own step", ALDER, 'duration = "20 min"', 'duration = "20 min"\nmates_within = "1 h"', "cabinet.steps.pack.mates_within"),
    ("mates of a set's own part", ALDER, 'uses = ["driver"]\nmates_within = "1 d"', "", "driver"),
    ("one carrier for two mates", WORKS, "count = 4", "count = 1", "cabinet.steps.spray.takes"),
    ("a mates' batch without a station", ALDER, 'id = "rest"', 'id = "rest"\nmates = "same batch"', "cabinet.steps.rest.mates"),
    ("an adhesive without its kinetics", "materials/bought.toml", 'activation_energy = "80 kJ/mol"\n', "", "urea.activation_energy"),
    ("a coating that never hardens", "materials/bought.toml", "hardness_rate = 0.3\n", "", "clear.hardness_rate"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("path", "old", "new", "field"), [r[1:] for r in REFUSED], ids=[r[0] for r in REFUSED]
)
def test_is_refused(path: str, old: str, new: str, field: str) -> None:
    problems = problems_in(with_change(path, old, new))

    assert any(p.field.endswith(field) for p in problems), "\n".join(p.line() for p in problems) or "it loads"


ALLOWED = [
    ("two places of a single station", WORKS, "places = 1", "places = 2"),
    ("one station of several that is too small", ALDER, 'stations = ["oven"]', 'stations = ["oven", "cupboard"]'),
    ("a part sealed by a stated duration", ALDER, 'kind = "clamp"', 'kind = "clamp"\nduration = "1 h"'),
    ("a night of two calendars that never meet", WORKS, 'calendar = "always"\nmanned = false', 'calendar = "late"\nmanned = false'),
    ("an exception that adds a Saturday", WORKS, 'reason = "Easter Monday" }', 'reason = "x" }, { date = 2027-05-08, hours = ["06:00-10:00"] }'),
    ("a handed pair that is bound late", ALDER, 'binding = "early"', 'binding = "late"'),
]  # fmt: skip


@pytest.mark.parametrize(("path", "old", "new"), [r[1:] for r in ALLOWED], ids=[r[0] for r in ALLOWED])
def test_is_let_through(path: str, old: str, new: str) -> None:
    texts = with_change(path, old, new)
    texts[WORKS] += ""
    if "cupboard" in new:
        oven = '[stations.cupboard]\nname = "drying cupboard"\nkind = "batch"\ncapacity = 1\ncalendar = "early"\n'
        texts[WORKS] = texts[WORKS].replace("[stations.assembly]", oven + "\n[stations.assembly]")

    assert lines_of(texts) == ""


def test_a_set_that_waits_takes_the_places_of_both_halves() -> None:
    texts = with_change(ALDER, 'duration = "30 min"', 'duration = "30 min"\nbuffer = "rest-shelf"')
    texts[WORKS] = texts[WORKS].replace("places = 6", "places = 3")

    # 2 places a half: 3 are enough for one half at a time, not for the set
    assert "at least 4 places" in lines_of(texts)
    assert len(problems_in(texts)) == 1


def test_parts_in_a_ladder_of_double_uses_are_judged_quickly() -> None:
    rungs = []
    for n in range(40):
        uses = f'uses = ["p{n + 1}", "p{n + 1}"]' if n < 39 else ""
        rungs.append(f'[p{n}]\nname = "p"\n[[p{n}.steps]]\nid = "a"\nkind = "build"\nstations = ["assembly"]\n'
                     f'duration = "1 min"\n{uses}\n')  # fmt: skip
    texts = base_texts()
    texts[TANSY] = texts[TANSY].replace('root = "body"', 'root = "p0"').split("[body]")[0] + "\n".join(rungs)

    assert "nothing else uses" in lines_of(texts)


def test_calendars_meet_when_they_share_a_minute() -> None:
    early = Calendar.model_validate({"week": {"mon": ["06:00-14:00"]}})
    late = Calendar.model_validate({"week": {"mon": ["14:00-22:00"]}})
    long = Calendar.model_validate({"week": {"mon": ["13:59-15:00"]}})
    always = Calendar.model_validate({"always": True})

    assert not may_meet(early, late)
    assert may_meet(early, long)
    assert may_meet(late, always)
    assert not works_at_all(Calendar.model_validate({"week": {"tue": []}}))


def test_hours_that_touch_do_not_overlap() -> None:
    assert first_overlap([Hours(start=360, end=600), Hours(start=600, end=840)]) is None
    assert first_overlap([Hours(start=360, end=600), Hours(start=599, end=840)]) == 1


def test_a_carrier_taken_by_each_half_is_not_returned_by_the_set() -> None:
    texts = with_change(ALDER, 'returns = "paint"\n', "")
    texts[ALDER] = texts[ALDER].replace('duration = "30 min"', 'duration = "30 min"\nreturns = "paint"')

    assert [p.field for p in problems_in(texts)] == ["cabinet.steps.test.returns"]


def test_a_station_that_never_works_is_no_way_through() -> None:
    texts = with_change(
        WORKS,
        'calendar = "early"\narea = "assembly"\n\n[buffers',
        'calendar = "idle"\narea = "assembly"\n\n[buffers',
    )
    texts[WORKS] = texts[WORKS].replace(
        "[calendars.always]", "[calendars.idle]\nweek = {}\n\n[calendars.always]"
    )

    fields = [p.field for p in problems_in(texts)]

    assert fields == ["cabinet.steps.test.stations.0", "calendars.idle"]
