"""What a station's page says: what is being done, what comes next, what each still waits for."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from pairwright.base.words import Amount, Text, text
from pairwright.floor import State, holds_on
from pairwright.floor.programme_rules import programme_of
from pairwright.floor.routes import Position, Routes, halves, mate_of
from pairwright.floor.sequence import waived
from pairwright.floor.things import Item, Set, Worked
from pairwright.reports.names import part_name, station_name, variant_name
from pairwright.works.material import Coating, Veneer
from pairwright.works.product import Step

MOST: Final = 7  # rows on a station's page
TaskState: TypeAlias = Literal[
    "in work", "ready", "sent back", "to begin", "curing", "waiting", "too late", "on hold"
]
_WORDS: Final[dict[str, Text]] = {
    "in work": text("in work"),
    "ready": text("ready"),
    "sent back": text("sent back"),
    "to begin": text("to begin"),
    "curing": text("curing"),
    "waiting": text("waiting"),
    "too late": text("too late"),
    "on hold": text("on hold"),
}
_RANK: Final = {name: n for n, name in enumerate(
    ("in work", "sent back", "ready", "to begin", "too late", "curing", "waiting", "on hold")
)}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Mate:
    """The other half, and how far it is."""

    id: str
    side: str | None
    says: Text


@dataclass(frozen=True, slots=True)
class Task:
    """One step to be done on one thing.

    `subject` is what is scanned: an item, or the set where both halves are done together; None for
    what is yet to begin. `ready` is the moment from which it may begin, `until` the one by which it must
    (UTC seconds); `missing` says in words what it waits for.
    """

    subject: str | None
    subject_kind: str
    product: str
    option: str
    name: Text
    part: str
    part_name: str
    side: str | None
    set: str | None
    order: str | None
    due: str | None
    step: str
    step_name: str
    step_kind: str
    state: TaskState
    mate: Mate | None = None
    missing: tuple[Text, ...] = ()
    since: int | None = None
    ready: int | None = None
    until: int | None = None
    programme: str | None = None
    revision: str | None = None
    carrier: str | None = None
    batch: str | None = None
    person: str | None = None
    skill: str | None = None
    stations: tuple[str, ...] = ()
    repair: str | None = None  # the spot repair that it is sent back with
    hints: tuple[Text, ...] = ()  # what makes it like its mate: the lot that the mate had
    planned: int | None = None  # when the plan has it begin, UTC seconds
    may: bool = True  # whether the person who asks is qualified for it

    @property
    def state_word(self) -> Text:
        """The state in words."""
        return _WORDS[self.state]

    @property
    def rank(self) -> tuple[int, float, float, str, float, str]:
        """Smaller comes first: state, what runs out of time, the plan's order, due day, readiness, id."""
        endless = float("inf")
        soon = float(self.until) if self.until is not None and self.state == "ready" else endless
        planned = endless if self.planned is None else float(self.planned)
        name = self.subject or self.set or ""
        return (_RANK[self.state], soon, planned, self.due or "9999", float(self.ready or 0), name)


@dataclass(frozen=True, slots=True)
class Board:
    """A station at a moment: `now` is in work there, `next` what comes, at most seven in all."""

    station: str
    name: str
    at: int
    now: tuple[Task, ...]
    next: tuple[Task, ...]
    more: int  # tasks that did not find room on the page
    places: int
    says: Text


@dataclass(frozen=True, slots=True)
class Wanted:
    """What an order says of its sets."""

    due: str | None
    rank: int = 0


def task_of(
    routes: Routes, state: State, thing: Worked, *, position: Position, at: int,
    wanted: Callable[[str | None], Wanted], lacks: Callable[[Position, Step], Iterable[Text]],
) -> Task | None:  # fmt: skip
    """The task that a thing asks for now; None at the end of its route.

    Parameters
    ----------
    routes : Routes
        Of the works.
    state : State
        Of the floor.
    thing : Worked
        An item, or a set.
    position : Position
        Where it stands.
    at : int
        Now, UTC seconds. [s]
    wanted : Callable
        What an order says.
    lacks : Callable
        Parts and materials of a step that are not at hand.
    """
    step = _under(thing, position) or position.next
    if step is None:
        return None
    item = (
        thing
        if isinstance(thing, Item)
        else next(halves(state, thing), None)
        if isinstance(thing, Set)
        else None
    )
    side = item.side if isinstance(thing, Item) and item is not None else None
    order = thing.order or _order_of(thing, state)
    found = programme_of(routes, position, step=step, station=None, side=side)
    word, missing, ready, until = _stand(
        routes, state, thing, position=position, step=step, at=at, lacks=lacks
    )
    product = position.product
    return Task(
        thing.id, thing.kind, product.id, product.option,
        variant_name(routes.works, product.id, product.option), position.part,
        part_name(routes.works, product.id, option=product.option, part=position.part), side,
        thing.id if isinstance(thing, Set) else item.set if item is not None else None, order, wanted(order).due,
        step.id, step.name or step.id, step.kind, word,
        None if not isinstance(thing, Item) else mate_says(routes, state, thing), tuple(missing),
        None if thing.under is None else thing.under.since, ready, until,
        None if found is None else found[0], None if found is None else found[1].revision,
        step.takes, thing.batch if thing.under is not None else None,
        None if thing.under is None else thing.under.actor, step.skill,
        tuple(one.station for one in step.stations), position.repair,
        () if not isinstance(thing, Item) else tuple(_hints(routes, state, thing, step=step)),
    )  # fmt: skip


def _hints(routes: Routes, state: State, item: Item, *, step: Step) -> Iterator[Text]:
    """The lots of lacquer and veneer that the mate had in this step: from one lot both halves look alike."""
    mate = mate_of(state, item)
    told: set[str] = set()
    for one in () if mate is None else mate.inputs:
        lot = state.lot(one.id) if one.step == step.id else None
        material = None if lot is None else routes.works.materials.get(lot.material or "")
        if lot is None or lot.id in told or not isinstance(material, Coating | Veneer):
            continue
        told.add(lot.id)
        if lot.rest > 0 and not lot.scrapped:
            yield text(
                "its mate had lot {lot} of {material}: take the same", lot=lot.id, material=material.name
            )


def _under(thing: Worked, position: Position) -> Step | None:
    if thing.under is None:
        return None
    index = position.index_of(thing.under.step)
    return None if index is None else position.steps[index]


def _order_of(thing: Worked, state: State) -> str | None:
    if isinstance(thing, Item) and thing.set is not None:
        one = state.set(thing.set)
        if one is not None and one.order is not None:
            return one.order
        return thing.set.rpartition("-")[0] or None
    return thing.id.rpartition("-")[0] or None if isinstance(thing, Set) else None


def _stand(
    routes: Routes, state: State, thing: Worked, *, position: Position, step: Step, at: int,
    lacks: Callable[[Position, Step], Iterable[Text]],
) -> tuple[TaskState, list[Text], int | None, int | None]:  # fmt: skip
    """The state, what is missing, from when and until when it may begin."""
    reach = holds_on(state, thing.id)[:1]
    if thing.under is not None:
        least = routes.least.get(position.place(step.id))
        ready = None if least is None else int(thing.under.since + least)
        held = [text("on hold: {reason}", reason=reach[0].hold.reason)] if reach else []
        return "in work", held, ready, None
    ready = until = None
    if position.last is not None:
        end, longest = position.last[1].end, routes.longest_wait(position)
        ready = int(end + routes.least_wait(position))
        until = None if longest is None else int(end + longest)
    if reach:
        why = text("on hold because of {on}: {reason}", on=reach[0].on, reason=reach[0].hold.reason)
        return "on hold", [why], ready, until
    missing = [*_open_troubles(thing), *_mate_missing(routes, state, thing, position=position, step=step)]
    missing += lacks(position, step)
    if until is not None and at > until and not waived(thing, position):
        return "too late", [text("to be decided: the time for it is over"), *missing], ready, until
    if ready is not None and at < ready:
        return "curing", [text("ready from {time}", time=Amount(ready, "instant")), *missing], ready, until
    if missing:
        return "waiting", missing, ready, until
    return ("sent back" if thing.to_step is not None else "ready"), [], ready, until


def _open_troubles(thing: Worked) -> list[Text]:
    return [text("to be decided: {what}", what=one.what) for one in thing.troubles if one.open]


def _mate_missing(
    routes: Routes, state: State, thing: Worked, *, position: Position, step: Step
) -> list[Text]:
    """For a step that is done together: the halves must be there, and at that step."""
    if not step.together or position.product.kind != "pair":
        return []
    if not isinstance(thing, Set):
        return [text("no mate yet: form the pair first")]
    found: list[Text] = []
    present = list(halves(state, thing))
    if len(present) < 2:
        found.append(text("no pair: mate two halves first"))
    for half in present:
        other = routes.position(state, half)
        due = None if other is None else other.next
        if half.under is not None and half.under.step != step.id:
            found.append(text("{id} is still in {step}", id=half.id, step=half.under.step))
        elif due is not None and due.id != step.id:
            found.append(text("{id} is still to go through {step}", id=half.id, step=due.name or due.id))
    return found


def mate_says(routes: Routes, state: State, item: Item) -> Mate | None:
    """The other half of an item and how far it is; None where it has none.

    Parameters
    ----------
    routes : Routes
        Of the works.
    state : State
        Of the floor.
    item : Item
        One half.
    """
    other = mate_of(state, item)
    if other is None:
        return None
    return Mate(other.id, other.side, _where(routes, state, other))


def _where(routes: Routes, state: State, item: Item) -> Text:
    position = routes.position(state, item)
    if item.scrapped:
        return text("scrapped")
    if item.under is not None:
        name = item.under.step
        index = None if position is None else position.index_of(name)
        step = name if position is None or index is None else position.steps[index].name or name
        return text("in work: {step} at {station}", step=step,
                    station=station_name(routes.works, item.under.station))  # fmt: skip
    if position is None or position.next is None:
        return text("finished")
    due = position.next
    place = due.stations[0].station if due.stations else None
    return text("waits for {step} at {station}", step=due.name or due.id,
                station=station_name(routes.works, place))  # fmt: skip


def board_of(routes: Routes, station: str, *, at: int, tasks: Iterable[Task], most: int = MOST) -> Board:
    """The page of a station from all its tasks.

    Parameters
    ----------
    routes : Routes
        Of the works.
    station : str
        Its id.
    at : int
        Now, UTC seconds. [s]
    tasks : Iterable[Task]
        What is in work, waits and comes there.
    most : int
        Rows that the page has. [-]
    """
    every = sorted(tasks, key=lambda one: one.rank)
    working = [one for one in every if one.state == "in work"]
    others = [one for one in every if one.state != "in work"]
    now = working[:most]
    following = others[: max(1, most - len(now))] if len(now) < most else []
    place = routes.works.factory.stations[station]
    left = len(every) - len(now) - len(following)
    return Board(station, place.name, at, tuple(now), tuple(following), left, place.places,
                 _says(now, following))  # fmt: skip


def _says(now: list[Task], following: list[Task]) -> Text:
    if now:
        if len(now) == 1:
            return text("In work: {step} on {id}", step=now[0].step_name, id=now[0].subject or "")
        return text("In work: {count} pieces", count=len(now))
    first = following[0] if following else None
    if first is None:
        return text("Nothing to do here now")
    if first.state in ("ready", "sent back"):
        return text("Next: {step} on {id}", step=first.step_name, id=first.subject or "")
    if first.state == "to begin":
        return text("Next: begin {part} for {set}", part=first.part_name, set=first.set or first.order or "")
    return text("Nothing is ready here yet")
