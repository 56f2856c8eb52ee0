"""Plans around what does not move: a live state gone on from, a new order put into what is left.

What has begun or is pinned lies where it lies. Of the rest everything stays that can stay, and only
what can't is placed anew, no earlier than it was planned. So a plan goes on from trouble without
being turned over, and a new order gets a date that disturbs no other.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from pairwright.base.time import MINUTE
from pairwright.plan.build import AGAIN, GOOD, LOST, Likely, build_problem
from pairwright.plan.calendar import due_time
from pairwright.plan.facts import StepFacts
from pairwright.plan.fixed import operation_names, places_of, tasks_by_name
from pairwright.plan.freezing import Asked, Found, improved, placed, share_moved, with_way, worth_key
from pairwright.plan.frozen import moves_of, no_plan, pin_texts, schedule_of
from pairwright.plan.kept import Keeping, Kept, keep
from pairwright.plan.kept_room import is_ready
from pairwright.plan.live import Fate, Frozen, Live
from pairwright.plan.make import FIRST_HORIZON
from pairwright.plan.problem import Problem
from pairwright.plan.schedule import Schedule
from pairwright.plan.shifted import shifted
from pairwright.plan.shop import build_shop
from pairwright.plan.tools import with_changes
from pairwright.works.definition import Works
from pairwright.works.orders import Book
from pairwright.works.steptime import StepTime

STAY: Final = Asked()


class Told(Likely):
    """Everything takes its likely time and succeeds, but for what is known to have failed."""

    def __init__(self, fates: Mapping[tuple[str, str, int], Fate]) -> None:
        self.fates = fates

    def outcome(self, item: str, facts: StepFacts, turn: int) -> int:
        """As told."""
        fate = self.fates.get((item, facts.step.id, turn))
        return GOOD if fate is None else LOST if fate == "lost" else AGAIN


@dataclass(frozen=True, slots=True)
class Freezer:
    """An earlier plan made ready to be carried on, as often as asked; see `freezer`."""

    works: Works
    like: Schedule
    live: Live
    names: list[str]
    keeping: Keeping

    def plan(self, ready: Mapping[str, int] | None = None, *, asked: Asked = STAY) -> Frozen:
        """The plan carried on: what can stay stays, the rest is placed around it.

        Parameters
        ----------
        ready : Mapping[str, int]
            Earliest starts of single operations, such as those that wait for material. [s]
        asked : Asked
            What it is to be like.
        """
        keeping = replace(self.keeping, problem=_held(self.keeping.problem, self.names, ready or {}))
        kept, found, push = self._stayed(keeping, asked)
        affected = kept.affected
        way: tuple[int, ...] = asked.way
        if asked.free or found is None:
            kept = keep(keeping, everything=False)
            found = placed(keeping, kept, self.like, asked=replace(asked, free=True))
        elif way:
            found = with_way(keeping, kept, self.like, asked=asked, found=found, way=way) or found
        elif asked.tries:
            found, way = improved(keeping, kept, self.like, asked=asked, found=found)
        pins = [t for t in sorted(keeping.pinned) if t in kept.broken or not _in_time(found, keeping, t)]
        if found is None or pins:
            reasons = pin_texts(self.names, keeping.problem, pins)
            return Frozen(no_plan(self.works, self.like, self.live, reasons), self.live)
        moves, unaffected = moves_of(self.names, found, keeping, affected)
        schedule = schedule_of(self.works, found, self.names, keeping, self.like, self.live)
        return Frozen(schedule, self.live, moves, unaffected, way, push)

    def _stayed(self, keeping: Keeping, asked: Asked) -> tuple[Kept, Found | None, bool]:
        """What stays with the rest placed around it: in the gaps, or with all that follows pushed on."""
        kept = keep(keeping)
        if asked.free:
            return kept, None, False
        found = placed(keeping, kept, self.like, asked=asked)
        if asked.push is False or asked.soonest is not None or not kept.affected:
            return kept, found, False
        places = shifted(keeping)
        if all(place.start == keeping.places[t].start for t, place in places.items()):
            return kept, found, False
        other = keep(replace(keeping, places=places))
        one = placed(replace(keeping, places=places), other, self.like, asked=asked)
        if one is None or share_moved(one, keeping, kept.affected) > asked.share:
            return kept, found, False
        if found is None or worth_key(one, keeping, None) < worth_key(found, keeping, None):
            return replace(other, affected=kept.affected), one, True
        return kept, found, False


def freezer(works: Works, book: Book, *, like: Schedule, times: Sequence[StepTime], live: Live) -> Freezer:
    """Make an earlier plan ready to be carried on.

    Parameters
    ----------
    works, book, times
        The definition, the orders and the durations, as they are now.
    like : Schedule
        The earlier plan.
    live : Live
        What has happened since.
    """
    problem = _problem(with_changes(works, like.tool_changes), book, like, times, live)
    names = operation_names(problem)
    live, keeping = _keeping(problem, names, like, live)
    return Freezer(works, like, live, names, keeping)


def _held(problem: Problem, names: list[str], ready: Mapping[str, int]) -> Problem:
    """The same problem with the named operations beginning no earlier than stated."""
    release = list(problem.release)
    for task, numbers in enumerate(problem.task_operations):
        for number in numbers:
            at = ready.get(names[number])
            if at is not None:
                release[task] = max(release[task], -(-(at - problem.shop.origin) // MINUTE))
    return replace(problem, release=release)


def _problem(works: Works, book: Book, like: Schedule, times: Sequence[StepTime], live: Live) -> Problem:
    """The arrays from the first thing that the plan knows on, far beyond all it has to place."""
    first = min([like.now, live.now, *(s for s, _ in live.begun.values())]) // MINUTE * MINUTE
    last = max([like.makespan_end, live.now, *(due_time(works.factory.calendars, o.due, zone=works.zone)
                                               for o in book.orders)])  # fmt: skip
    horizon = (last - first) // MINUTE + FIRST_HORIZON
    shop = build_shop(works, first, horizon=horizon)
    return build_problem(shop, book, times=times, chance=Told(live.fates) if live.fates else None)


def _keeping(problem: Problem, names: list[str], like: Schedule, live: Live) -> tuple[Live, Keeping]:
    """What is known, by task; the live state with the operations of lost pieces under their new names."""
    begun, void = dict(live.begun), set(live.void)
    earlier = {op.id: op for op in like.operations}
    for name in names:
        plain, lost, _ = name.rpartition("/lost-")
        if not lost or name in begun or name in void:
            continue
        if plain in begun and plain in earlier:
            start, end = begun.pop(plain)
            begun[name] = (start, min(end, live.now))
            earlier[name] = replace(earlier.pop(plain), id=name)
        else:
            void.add(name)
            earlier.pop(plain, None)
    tasks = tasks_by_name(problem, names)
    facts = {name: at for name, at in begun.items() if name in tasks and name in earlier}
    _spread_facts(problem, names, facts)
    lying = [replace(earlier[n], start=a, end=b) for n, (a, b) in facts.items() if n in earlier]
    places = places_of(problem, names, [op for op in earlier.values() if op.id not in facts])
    now = -(-(live.now - problem.shop.origin) // MINUTE)
    orders = {n for n, order in enumerate(problem.order_ids) if order in live.loose}
    keeping = Keeping(
        problem, now, places=places, begun=places_of(problem, names, lying),
        void=frozenset(tasks[name] for name in void if name in tasks),
        pinned=frozenset(tasks[name] for name in live.pinned if name in tasks and tasks[name] in places),
        loose=frozenset(t for t in range(problem.tasks) if problem.set_order[problem.set_of[t]] in orders),
        gone=tuple(_pools_gone(problem, live)),
    )  # fmt: skip
    kept_facts = {name: at for name, at in facts.items() if tasks[name] in keeping.begun}
    return replace(live, begun=kept_facts, void=frozenset(void)), keeping


def _pools_gone(problem: Problem, live: Live) -> Iterator[tuple[int, int, int, int]]:
    """Pools whose carriers are away: number, from, to [min], how many."""
    origin = problem.shop.origin
    for one in live.away:
        pool = problem.shop.pool_index.get(("carrier", one.name), -1) if one.count else -1
        if pool >= 0 and one.end > origin:
            count = min(one.count, problem.shop.places[pool])
            yield pool, max(0, (one.start - origin) // MINUTE), -(-(one.end - origin) // MINUTE), count


def _spread_facts(problem: Problem, names: list[str], facts: dict[str, tuple[int, int]]) -> None:
    """Mates that share one booking have begun together."""
    for numbers in problem.task_operations:
        known = [facts[names[n]] for n in numbers if names[n] in facts]
        for n in numbers if known else ():
            facts[names[n]] = known[0]


def _in_time(found: Found | None, keeping: Keeping, task: int) -> bool:
    """Whether everything before a pinned task is done when it begins."""
    return found is not None and is_ready(found.problem, found.state, task=task, place=keeping.places[task])
