"""The parts of a simulated floor, each by itself."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, timedelta
from statistics import mean

import pytest

from pairwright import process, sample
from pairwright.archive.machine_log import read_machine_log
from pairwright.base.errors import InputError
from pairwright.plan.facts import FactTable
from pairwright.plan.schedule import Operation
from pairwright.plan.shop import build_shop
from pairwright.simulation.course import Course
from pairwright.simulation.hidden import Luck, draw_hidden
from pairwright.simulation.invented import longer_book
from pairwright.simulation.lives import LOST, Life, pieces_of
from pairwright.simulation.logs import machine_log
from pairwright.simulation.lots import Stores
from pairwright.simulation.luck import FloorLuck, scattered
from pairwright.simulation.people import Cast
from pairwright.simulation.rehearsal import Clock
from pairwright.simulation.track import Track
from pairwright.simulation.values import Truth
from pairwright.works import Book, Works, load_book, load_works

START = date(2027, 3, 1)


@pytest.fixture(scope="module")
def texts() -> dict[str, str]:
    return dict(sample.layout(pairs=8, start=START, seed=1))


@pytest.fixture(scope="module")
def works(texts: dict[str, str]) -> Works:
    return load_works(texts)


@pytest.fixture(scope="module")
def book(texts: dict[str, str], works: Works) -> Book:
    return load_book(texts, works)


def opening(works: Works) -> int:
    assert works.factory.opening is not None
    return int(works.factory.opening.timestamp())


def test_luck_depends_on_what_it_is_for_and_not_on_the_order_of_asking() -> None:
    one, other = Luck(5, "a"), Luck(5, "a")

    first = [one.share("x"), one.share("y"), one.share("x", 3)]
    assert [other.share("x", 3), other.share("x"), other.share("y")] == [first[2], first[0], first[1]]
    assert Luck(6, "a").share("x") != first[0]


def test_normal_luck_has_mean_nought_and_deviation_one() -> None:
    """20,000 draws: the mean's standard error is 0.007, the deviation's 0.005; four of them are allowed."""
    luck = Luck(1, "normal")
    drawn = [luck.normal("z", n) for n in range(20_000)]

    assert abs(mean(drawn)) < 0.028
    assert abs(math.sqrt(mean(z * z for z in drawn)) - 1.0) < 0.02


def test_low_and_high_are_the_5_and_95_percent_points() -> None:
    assert scattered(40.0, 60.0, high=120.0, z=-1.6448536) == pytest.approx(40.0, rel=1e-6)
    assert scattered(40.0, 60.0, high=120.0, z=0.0) == 60.0
    assert scattered(40.0, 60.0, high=120.0, z=1.6448536) == pytest.approx(120.0, rel=1e-6)


def test_a_cure_is_never_cut_short(works: Works) -> None:
    shop = build_shop(works, opening(works), horizon=20_000)
    table = FactTable(shop, process.durations(works))
    luck = FloorLuck(works, draw_hidden(works, seed=2), stations=list(shop.station_ids))
    facts = next(
        f for f in table.route(works.variants["sorrel", "ink"], "cabinet") if f.step.id == "brace-clamp"
    )

    found = [luck.minutes(f"x{n}", facts, facts.ways[0], 0) for n in range(300)]
    assert min(found) * 60 >= facts.ways[0].low
    assert max(found) > min(found)


def test_orders_are_invented_at_the_works_rate_until_the_end(book: Book) -> None:
    longer, comes = longer_book(book, first=START, days=365, seed=4)
    added = longer.orders[len(book.orders) :]
    span = (max(one.due for one in book.orders) - START).days

    assert longer.orders[: len(book.orders)] == book.orders
    assert len(added) / ((added[-1].due - START).days - span) == pytest.approx(
        len(book.orders) / span, rel=0.25
    )
    assert all(one.due.isoweekday() <= 5 for one in added)
    assert {one.id for one in added} == set(comes)
    assert {(one.product, one.option) for one in added} <= {(one.product, one.option) for one in book.orders}
    assert longer_book(book, first=START, days=365, seed=4) == (longer, comes)


def test_an_empty_book_has_nothing_to_invent_from(book: Book) -> None:
    with pytest.raises(InputError, match="order"):
        longer_book(replace(book, orders=()), first=START, days=10, seed=1)


def test_a_machine_log_reads_back_with_the_gap_that_it_says(works: Works) -> None:
    step = works.variants["sorrel", "ink"].parts["shell"].steps[0]
    made = machine_log(step, name="c", start=1_900_000_000, end=1_900_003_600, zone=works.zone,
                       luck=Luck(1, "log"), chance=1.0)  # fmt: skip
    log = read_machine_log(made.content, "press.csv")

    assert made.quantity == "platen" == log.series[0].name
    found = [(a, b) for a, b in zip(log.times, log.times[1:], strict=False) if b - a > 60]
    assert found == [(float(a), float(b)) for a, b in made.gaps]
    assert mean(log.series[0].values) == pytest.approx(step.recipe.platen, abs=3.0)  # type: ignore[union-attr]


def test_stores_never_give_more_than_there_is(works: Works, book: Book) -> None:
    stores = Stores(works, book, now=opening(works))
    given: dict[str, float] = {}
    for n in range(3000):
        at = opening(works) + 3600 * n
        lot = stores.take("joint-glue", 0.02, at=at)
        given[lot] = given.get(lot, 0.0) + 0.02

    held = {lot.id: lot.quantity for lot in book.lots} | {one.lot: one.quantity for one in stores.bought}
    assert all(amount <= held[lot] + 1e-9 for lot, amount in given.items())
    assert sum(given.values()) == pytest.approx(60.0)
    assert all(one.comes <= opening(works) + 3600 * 3000 for one in stores.bought if one.ordered is not None)


def test_mates_are_more_alike_than_strangers(works: Works) -> None:
    truth = Truth(draw_hidden(works, seed=1), begin=0)

    def half(name: str, side: str) -> Life:
        return Life(f"{name}.{side}", f"{name}.{side}", "sorrel", "ink", "cabinet", side, name, "O1")

    def far(one: Life, other: Life) -> float:
        return (truth.value(one, "film-thickness", at=0) - truth.value(other, "film-thickness", at=0)) ** 2

    mates = mean(far(half(f"S{n}", "a"), half(f"S{n}", "b")) for n in range(400))
    strangers = mean(far(half(f"S{n}", "a"), half(f"S{n + 1}", "b")) for n in range(400))
    assert mates < 0.7 * strangers


def test_a_piece_that_went_back_is_seen_to_be_late(works: Works) -> None:
    track = Track(works)
    product = works.variants["sorrel", "ink"]
    names = [step.id for step in product.parts["cabinet"].steps]
    one, mate = (Life(f"S.{s}", f"S.{s}", "sorrel", "ink", "cabinet", s, "S", "O") for s in ("a", "b"))
    spray, stove = names.index("clear-2"), names.index("clear-2-stove")
    for life in (one, mate):
        track.begin(life, spray, start=0, end=600, batch=None)
        track.begin(life, stove, start=1800, end=9000, batch="oven-1")
    assert not track.late(one, spray + 1, start=1800, mate=mate)

    track.back(one, spray)
    assert track.late(one, spray, start=86_400, mate=mate)  # sprayed a day after its mate
    track.begin(one, spray, start=86_400, end=87_000, batch=None)
    assert track.other_batch(one, product.parts["cabinet"].steps[stove], stove, batch="oven-9", mate=mate)


def test_people_are_ids_with_the_skills_of_their_crew(works: Works) -> None:
    cast = Cast(works, ())
    steps = [step for v in works.variants.values() for part in v.parts.values() for step in part.steps]
    able = {skill for _, skill in cast.skills()}

    assert all(person.startswith("sim-") for person in cast.people())
    assert {step.skill for step in steps if step.skill is not None} <= able
    trim = next(step for step in steps if step.id == "trim")
    stranger = cast.stranger(trim, at=0)
    assert stranger is not None
    assert (stranger, trim.skill) not in cast.skills()


def test_the_simulated_clock_gives_each_event_its_own_moment() -> None:
    clock = Clock(10)
    clock.coming.extend([11, 12])

    assert [clock(), clock(), clock()] == [11, 12, 10]


def test_the_book_s_span_is_short_and_still_lasts(book: Book) -> None:
    short = replace(book, orders=tuple(replace(o, due=START + timedelta(days=3)) for o in book.orders[:2]))
    longer, _ = longer_book(short, first=START, days=30, seed=1)

    assert len(longer.orders) < 40


def operation(
    item: str, part: str, step: str, /, index: int, hour: int, **more: tuple[str, ...]
) -> Operation:
    return Operation(f"{item}/{step}", "O", "S", item, None, "tansy", "slate", part, step, index,
                     3600 * hour, 3600 * (hour + 1), station="assembly", uses=more.get("uses", ()))  # fmt: skip


def test_a_part_in_a_lost_cabinet_was_not_lost_itself(works: Works, book: Book) -> None:
    """The cabinet is lost at its second step: shell and cabinet are made anew, the first shell went into the first."""
    cabinet, shell = "S.single", "S.single.shell"
    course = Course(
        works=works, schedule=None,  # type: ignore[arg-type]
        operations=(
            operation(shell, "shell", "press", 0, 1),
            operation(cabinet, "cabinet", "brace", 0, 3, uses=(shell,)),
            operation(cabinet, "cabinet", "edges", 4, 5),
            operation(shell, "shell", "press", 0, 7),
            operation(cabinet, "cabinet", "brace", 0, 9, uses=(shell,)),
            operation(cabinet, "cabinet", "edges", 4, 11),
        ),
        completions=(), lost={cabinet: ["edges"]}, again={}, away=(), spared=0,
    )  # fmt: skip
    pieces = pieces_of(course, replace(book, parts=()))
    found = {life.id: life for life in pieces.lives}

    assert set(found) == {shell, f"{shell}-r2", cabinet, f"{cabinet}-r2"}
    assert found[cabinet].ends == {1: LOST}
    assert found[shell].good
    assert [one.id for one in found[cabinet].parts[0]] == [shell]
    assert [one.id for one in found[f"{cabinet}-r2"].parts[0]] == [f"{shell}-r2"]
    assert pieces.roots["S"] == (found[f"{cabinet}-r2"],)
