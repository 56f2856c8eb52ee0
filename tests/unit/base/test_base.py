"""Errors, findings, time, digests, seeds, laws: what everything else stands on."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest

from pairwright.base.digests import digest_json, digest_texts
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.findings import Finding, has_errors, worst_first
from pairwright.base.laws import POSITIVE, Argument, Law, Result, Span, Worked, ask
from pairwright.base.seeds import child_seed, generator
from pairwright.base.sources import Source
from pairwright.base.time import iso, local_date, local_midnight, parse_instant, zone_named
from pairwright.base.words import text

AMSTERDAM = ZoneInfo("Europe/Amsterdam")


def test_a_problem_says_five_things() -> None:
    problem = Problem("alder.toml line 4", "platen", text("at most {n}", n=3), "'hot'", text("cool it"))

    assert problem.as_json() == {
        "where": "alder.toml line 4", "field": "platen", "must_be": "at most 3", "got": "'hot'", "do": "cool it",
    }  # fmt: skip
    assert problem.line() == "alder.toml line 4: platen must be at most 3, got 'hot'; cool it"
    assert str(InputError([problem, problem])).count("\n") == 1


def test_what_was_got_is_short_and_on_one_line() -> None:
    assert len(shown("x" * 500)) <= 60
    assert "\n" not in shown("a\nb")


def test_findings_come_worst_first() -> None:
    found = [Finding(c, s, "x", text("y")) for c, s in (("a", "note"), ("b", "error"), ("c", "warning"))]  # type: ignore[arg-type]

    assert [f.code for f in worst_first(found)] == ["b", "c", "a"]
    assert has_errors(found)
    assert not has_errors(found[::2])


def test_time_without_an_offset_needs_a_zone() -> None:
    assert parse_instant("2027-03-01T06:00:00+01:00") == parse_instant("2027-03-01T06:00:00", AMSTERDAM)
    with pytest.raises(ValueError, match="offset"):
        parse_instant("2027-03-01T06:00:00")
    with pytest.raises(ValueError, match="ISO"):
        parse_instant("next Monday", AMSTERDAM)


def test_a_day_of_summer_time_has_23_hours() -> None:
    start, end = (local_midnight(date(2027, 3, d), AMSTERDAM) for d in (28, 29))

    assert end - start == 23 * 3600
    assert local_date(start, AMSTERDAM) == date(2027, 3, 28)
    assert datetime.fromisoformat(iso(start, AMSTERDAM)).timestamp() == start


def test_an_unknown_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="zone"):
        zone_named("Mars/Base")


def test_digests_ignore_order_and_line_ends() -> None:
    assert digest_json({"a": 1, "b": 2}) == digest_json({"b": 2, "a": 1})
    assert (
        digest_texts({"a": "x\r\ny"}) == digest_texts({"a": "x\ny"}) != digest_texts({"a": "x\ny", "b": ""})
    )


def test_seeds_of_different_purposes_are_different_streams() -> None:
    assert child_seed(1, "press") == child_seed(1, "press") != child_seed(1, "trim") != child_seed(2, "trim")
    assert generator(1, "press").random() == generator(1, "press").random()


DOUBLE = Law(
    "double", text("Twice"), lambda length, name: {"twice": 2 * length}, (
        Argument("length", "m", text("how long"), must=POSITIVE, range=Span(0.1, 1.0)),
        Argument("name", "-", text("a word"), shape="word", choices=("one", "two"), default="one"),
    ),
    (Result("twice", "m", text("double")),), text("exact"), (Source("closed form"),),
    Worked({"length": 0.5}, {"twice": 1.0}),
)  # fmt: skip


def test_a_law_reads_units_and_says_when_it_leaves_its_range() -> None:
    assert ask(DOUBLE, {"length": "400 mm"}).result == {"twice": 0.8}
    assert ask(DOUBLE, {"length": 0.4}).findings == ()
    assert [f.code for f in ask(DOUBLE, {"length": "4 m"}).findings] == ["out_of_range"]


@pytest.mark.parametrize(
    "given", [{}, {"length": -1}, {"length": "1 kg"}, {"length": 1, "name": "three"}, {"length": 1, "colour": 2},
              {"length": True}, {"length": float("nan")}],
)  # fmt: skip
def test_a_law_refuses_what_is_impossible(given: dict[str, object]) -> None:
    with pytest.raises(InputError) as refused:
        ask(DOUBLE, given)

    assert all(p.where and p.field and p.got for p in refused.value.problems)
