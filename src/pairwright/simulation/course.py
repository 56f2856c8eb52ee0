"""What comes to pass: the plan, followed by a floor with luck of its own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Final

from pairwright.base.errors import MachineryError
from pairwright.base.time import MINUTE, WEEK, local_date
from pairwright.base.words import text
from pairwright.plan.build import build_problem
from pairwright.plan.emit import completions, operations_of
from pairwright.plan.facts import FactTable
from pairwright.plan.forecast import follow
from pairwright.plan.shop import build_shop
from pairwright.simulation.hidden import Hidden, Luck
from pairwright.simulation.luck import FloorLuck
from pairwright.works import Book, Works
from pairwright.works.factory import Absence

if TYPE_CHECKING:
    from pairwright.app.opened import Opened
    from pairwright.plan.schedule import Operation, Schedule

LONGER: Final = 3  # the horizon is so many times the plan
MOST_TRIES: Final = 40  # sets that may need other luck because a longest wait could not be kept


@dataclass(frozen=True, slots=True)
class Away:
    """One of a crew is away on some days, both included."""

    crew: str
    first: date
    last: date


@dataclass(frozen=True, slots=True)
class Course:
    """Every operation as it came to pass, and how orders ended.

    `lost` and `again` hold, by the plan's item, the steps at which it was lost or had to be done again,
    in order. `spared` counts sets that were given other luck.
    """

    works: Works
    schedule: Schedule
    operations: tuple[Operation, ...]
    completions: tuple[tuple[str, int], ...]  # order, UTC seconds
    lost: dict[str, list[str]]
    again: dict[str, list[str]]
    away: tuple[Away, ...]
    spared: int


def course_of(opened: Opened, schedule: Schedule, *, book: Book, hidden: Hidden) -> Course:
    """The course of a floor that follows a plan.

    Parameters
    ----------
    opened : Opened
        The works.
    schedule : Schedule
        The plan; it may be of a shorter book, then what is not in it goes last.
    book : Book
        The orders.
    hidden : Hidden
        The floor's true constants.
    """
    now = schedule.now
    horizon = LONGER * max(8 * WEEK, schedule.makespan_end - now)
    away = tuple(_away(opened.works, hidden, first=local_date(now, opened.works.zone), span=horizon))
    works = _short_handed(opened.works, away)
    shop = build_shop(works, now, horizon=horizon // MINUTE)
    table = FactTable(shop, opened.times)
    salts: dict[str, int] = {}
    for _ in range(MOST_TRIES):
        chance = FloorLuck(works, hidden, stations=list(shop.station_ids), salts=salts)
        problem = build_problem(shop, book, times=opened.times, chance=chance, table=table)
        decoded = follow(problem, schedule)
        if decoded.complete:
            done = completions(problem, decoded.state)
            ends = tuple(
                (name, shop.origin + MINUTE * end) for name, end in zip(problem.order_ids, done, strict=True)
            )
            return Course(opened.works, schedule, operations_of(problem, decoded.state), ends, chance.lost,
                          chance.again, away, sum(salts.values()))  # fmt: skip
        block = decoded.no_room if decoded.no_room >= 0 else decoded.locked[0][0]
        stuck = problem.set_ids[problem.block_set[block]]
        salts[stuck] = salts.get(stuck, 0) + 1
    raise MachineryError(
        text("the floor can't follow the plan: set {name} fits nowhere; plan fewer orders", name=stuck)
    )


def _away(works: Works, hidden: Hidden, *, first: date, span: int) -> Iterator[Away]:
    """Spells of absence: one of a crew of several, one to five days."""
    luck = Luck(hidden.seed, "away")
    years = span / (52 * WEEK)
    for name, crew in works.factory.crews.items():
        if crew.people < 2:
            continue
        for number in range(round(hidden.away * years)):
            begin = first + timedelta(days=int(luck.share(f"{name} from", number) * span / 86400))
            length = 1 + int(5 * luck.share(f"{name} days", number) ** 2)
            yield Away(name, begin, begin + timedelta(days=length - 1))


def _short_handed(works: Works, away: tuple[Away, ...]) -> Works:
    """The works with its crews as they turn up."""
    crews = dict(works.factory.crews)
    for one in away:
        crew = crews[one.crew]
        absence = Absence.model_construct(from_=one.first, to=one.last, people=1, reason="away")
        if not any(_meet(one, other) for other in crew.absences):
            crews[one.crew] = crew.model_copy(update={"absences": (*crew.absences, absence)})
    return replace(works, factory=works.factory.model_copy(update={"crews": crews}))


def _meet(one: Away, other: Absence) -> bool:
    return bool(one.first <= other.to and other.from_ <= one.last)
