"""Plays a works: a plan is made, a floor with luck of its own follows it, and people record what they do.

Every act goes through the doors that people use, with a clock that is simulated. Everything recorded is
marked as simulated.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from pairwright.app.acting import act
from pairwright.app.acting_answers import Refusal
from pairwright.app.opened import open_definition
from pairwright.app.planning import plan_works
from pairwright.app.recording import has_record, open_floor
from pairwright.app.stationing_routes import routes_of
from pairwright.archive.writer import EventsRefusedError
from pairwright.base.errors import RefusedError
from pairwright.base.time import DAY, local_date
from pairwright.base.words import text
from pairwright.simulation.course import Course, course_of
from pairwright.simulation.hidden import Hidden, draw_hidden
from pairwright.simulation.house import House
from pairwright.simulation.invented import longer_book
from pairwright.simulation.lives import Pieces, pieces_of
from pairwright.simulation.lots import Stores
from pairwright.simulation.moments import Diary, Moment
from pairwright.simulation.people import Cast
from pairwright.simulation.rehearsal import Clock, Rehearsal
from pairwright.simulation.script import Script
from pairwright.simulation.values import Truth

if TYPE_CHECKING:
    from pairwright.app.opened import Opened
    from pairwright.app.recording import Floor

ACTOR: Final = "simulation"
EFFORT: Final = 1  # plans that are tried: a floor needs one that works, not the best


@dataclass(frozen=True, slots=True)
class Staged:
    """A floor that is ready to be played: its constants, its course, its diary."""

    hidden: Hidden
    course: Course
    pieces: Pieces
    moments: tuple[Moment, ...]
    begin: int
    until: int


@dataclass(frozen=True, slots=True)
class Played:
    """What was played. `surprises` are refusals that were not seeded, and seeded ones that were not refused."""

    events: int
    head: str
    acts: int
    refused: tuple[tuple[str, int], ...]  # seeded refusals by code
    surprises: tuple[str, ...]
    released: int
    scrapped: int
    begin: int
    until: int

    def as_json(self) -> dict[str, Any]:
        """The public shape."""
        return {
            "simulated": True, "events": self.events, "head": self.head, "acts": self.acts,
            "refused": dict(self.refused), "surprises": list(self.surprises), "released": self.released,
            "scrapped": self.scrapped,
        }  # fmt: skip


def simulate_floor(
    folder: Path | str, *, days: int, seed: int, progress: Callable[[int, int], None] | None = None
) -> tuple[Played, Hidden]:
    """Play a works for some days from its opening, into a record of its own.

    Parameters
    ----------
    folder : Path | str
        A works without a record: what is simulated is never mixed with what happened.
    days : int
        Calendar days. [-]
    seed : int
        Same works, days and seed: same record. [-]
    progress : Callable[[int, int], None] | None
        Told how many moments of how many are played.

    Raises
    ------
    RefusedError
        When the works has a record.
    """
    if has_record(folder):
        raise RefusedError(
            text("{folder} has a record: what is simulated is not mixed with it; lay the works out anew "
                 "in another folder", folder=str(folder))
        )  # fmt: skip
    opened = open_definition(folder)
    staged = stage(opened, days=days, seed=seed)
    return play(folder, staged, progress=progress), staged.hidden


def stage(opened: Opened, *, days: int, seed: int, now: int | None = None) -> Staged:
    """Everything that will happen, before any of it is recorded.

    Parameters
    ----------
    opened : Opened
        The works with its book.
    days : int
        Calendar days. [-]
    seed : int
        Same works, days and seed: same floor. [-]
    now : int | None
        When it begins, UTC seconds; by default the works' opening.
    """
    begin = opened.now() if now is None else now
    until = begin + days * DAY
    first = local_date(begin, opened.works.zone)
    hidden = draw_hidden(opened.works, seed=seed)
    book, comes = longer_book(opened.book, first=first, days=days, seed=seed)
    longer = replace(opened, book=book)
    planned = plan_works(longer, actor=ACTOR, now=begin, effort=EFFORT, materials=False, seed=seed)
    if not planned.found:
        raise RefusedError(text("there is no plan to be followed: look at it with pairwright plan"))
    course = course_of(longer, planned.schedule, book=book, hidden=hidden)
    pieces = pieces_of(course, book)
    diary = Diary(opened.works.zone, f"sim{seed}")
    cast = Cast(opened.works, course.away)
    truth = Truth(hidden, begin=begin)
    stores = Stores(opened.works, opened.book, now=begin)
    house = House(opened.works, diary, cast=cast, truth=truth, seed=seed)
    house.opens(begin)
    house.calibrations(begin, until)
    house.orders(book.orders, comes, begin=begin, until=until)
    Script(
        routes_of(opened), pieces, hidden=hidden, diary=diary, cast=cast, stores=stores, truth=truth
    ).write(until=until)
    house.goods(stores, until=until)
    house.days(begin, until)
    moments = tuple(one for one in diary.in_order() if begin <= one.at < until)
    return Staged(hidden, course, pieces, moments, begin, until)


class Player:
    """Hands a diary to a floor, moment by moment.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    clock : Clock
        The simulated one.
    one_by_one : bool
        Whether each act is sent by itself, as from a station; else many are recorded together.
    """

    def __init__(self, floor: Floor, clock: Clock, *, one_by_one: bool = False) -> None:
        self.acts = 0
        self.refused: Counter[str] = Counter()
        self.surprises: list[str] = []
        self._floor, self._clock = floor, clock
        self._rehearsal = None if one_by_one else Rehearsal(floor, clock)

    def play(self, moment: Moment) -> None:
        """Record one moment."""
        for content in moment.files:
            self._floor.keep(content)
        if moment.act is not None:
            self.acts += 1
            if moment.expects is not None or not self._rehearsed(moment):
                self._through_the_door(moment)
        elif self._rehearsal is None or not self._rehearsal.events(
            list(map(dict, moment.events)), now=moment.at
        ):
            self._events(moment)

    def _rehearsed(self, moment: Moment) -> bool:
        if self._rehearsal is None or moment.act is None:
            return False
        return self._rehearsal.act(moment.act, now=moment.at)

    def _through_the_door(self, moment: Moment) -> None:
        """An act as from a station."""
        wanted = moment.act
        if wanted is None:
            return
        self.settle()
        self._clock.now = moment.at
        answer = act(self._floor, wanted, now=moment.at)
        what = f"{wanted.key} {wanted.name} {' '.join(wanted.scanned)}"
        if isinstance(answer, Refusal):
            if moment.expects in answer.codes:
                self.refused[str(moment.expects)] += 1
            else:
                self.surprises.append(f"{what}: {answer.says}")
        elif moment.expects is not None:
            self.surprises.append(f"{what} was not refused: {moment.expects}")
        self._seen()

    def _events(self, moment: Moment) -> None:
        """Events by themselves."""
        self.settle()
        self._clock.now = moment.at
        try:
            self._floor.append(self._floor.read(list(map(dict, moment.events)), path="simulation"))
        except EventsRefusedError as refused:
            self.surprises.append(f"{refused.key}: {refused.findings[0].text}")
        self._seen()

    def _seen(self) -> None:
        if self._rehearsal is not None:
            self._rehearsal.catch_up()

    def settle(self) -> None:
        """Record what waits."""
        if self._rehearsal is not None:
            self._rehearsal.settle()


def play(
    folder: Path | str, staged: Staged, *, progress: Callable[[int, int], None] | None = None,
    one_by_one: bool = False,
) -> Played:  # fmt: skip
    """Record a staged floor.

    Parameters
    ----------
    folder : Path | str
        The works.
    staged : Staged
        What will happen.
    progress : Callable[[int, int], None] | None
        Told how many moments of how many are played.
    one_by_one : bool
        Whether each act is sent by itself: slower by far, the same record.
    """
    clock = Clock(staged.begin)
    with open_floor(folder, clock=clock) as floor:
        player = Player(floor, clock, one_by_one=one_by_one)
        for number, moment in enumerate(staged.moments):
            player.play(moment)
            if progress is not None and number % 500 == 0:
                progress(number, len(staged.moments))
        player.settle()
        head = floor.record.head()
    if progress is not None:
        progress(len(staged.moments), len(staged.moments))
    return Played(
        head.sequence, head.hash, player.acts, tuple(sorted(player.refused.items())), tuple(player.surprises),
        _count(staged.moments, "released"), _scraps(staged.moments), staged.begin, staged.until,
    )  # fmt: skip


def _count(moments: Sequence[Moment], kind: str) -> int:
    return sum(event["kind"] == kind for moment in moments for event in moment.events)


def _scraps(moments: Sequence[Moment]) -> int:
    return sum(moment.act is not None and moment.act.name == "scrap" for moment in moments)
