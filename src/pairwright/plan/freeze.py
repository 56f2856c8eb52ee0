"""Plans around what does not move: a live state gone on from, a new order put into what is left.

What has begun or is pinned lies where it lies. Of the rest everything stays that can stay, and only
what can't is placed anew, no earlier than it was planned. So a plan goes on from trouble without
being turned over, and a new order gets a date that disturbs no other.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final, Literal, TypeAlias

from pairwright.base.time import MINUTE
from pairwright.base.words import Text, text
from pairwright.plan.build import AGAIN, GOOD, LOST, Likely, build_problem
from pairwright.plan.calendar import due_time
from pairwright.plan.decode import WHOLE, Rules, decode
from pairwright.plan.emit import Score, completions, numbered, order_dates, score_of
from pairwright.plan.facts import StepFacts
from pairwright.plan.fixed import around, copied, operation_names, places_of, tasks_by_name
from pairwright.plan.forecast import candidate_of
from pairwright.plan.kept import Keeping, Kept, is_ready, keep
from pairwright.plan.make import FIRST_HORIZON
from pairwright.plan.problem import Problem
from pairwright.plan.ready import held
from pairwright.plan.schedule import OBJECTIVES, Operation, Schedule, gap_of
from pairwright.plan.shop import build_shop
from pairwright.plan.state import State
from pairwright.plan.tools import with_changes
from pairwright.plan.trial import Candidate
from pairwright.works.definition import Works
from pairwright.works.orders import Book
from pairwright.works.steptime import StepTime

Fate: TypeAlias = Literal["again", "lost"]
SHORT: Final = 120  # a window in which nearly the first come goes first [min]
ONE_BY_ONE: Final = Rules(window=WHOLE, in_process=1)


@dataclass(frozen=True, slots=True)
class Live:
    """The state of the floor that a plan goes on from; UTC seconds."""

    now: int
    begun: Mapping[str, tuple[int, int]] = field(default_factory=dict)  # operation: start, end
    void: frozenset[str] = frozenset()  # operations that were lost before they began
    pinned: frozenset[str] = frozenset()  # operations
    loose: frozenset[str] = frozenset()  # orders whose operations may be placed anew from now on
    fates: Mapping[tuple[str, str, int], Fate] = field(default_factory=dict)  # item, step, turn


@dataclass(frozen=True, slots=True)
class Move:
    """An operation that begins at another time than planned; UTC seconds."""

    operation: str
    before: int
    after: int
    affected: bool  # hit, or behind or beside what was hit


@dataclass(frozen=True, slots=True)
class Frozen:
    """A plan around what stays. `live` is as it was given, with operations of lost pieces renamed."""

    schedule: Schedule
    live: Live
    moved: tuple[Move, ...] = ()
    unaffected: int = 0  # operations that had no reason to move

    @property
    def moved_share(self) -> float:
        """Share of the unaffected operations that begin at another time. [-]"""
        return sum(not m.affected for m in self.moved) / self.unaffected if self.unaffected else 0.0


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

    def plan(
        self, ready: Mapping[str, int] | None = None, *, soonest: str | None = None, free: bool = False
    ) -> Frozen:
        """The plan carried on: what can stay stays, the rest is placed around it.

        Parameters
        ----------
        ready : Mapping[str, int]
            Earliest starts of single operations, such as those that wait for material. [s]
        soonest : str
            An order that is to end as soon as it can; without one the plan's objective chooses.
        free : bool
            Whether everything that has not begun and is not pinned may move.
        """
        keeping = replace(self.keeping, problem=held(self.keeping.problem, ready or {}))
        kept = keep(keeping)
        affected = kept.affected
        if free:
            kept = keep(keeping, everything=False)
        found = _placed(keeping, kept, self.like, soonest=soonest, free=free)
        if found is None and not free:
            kept = keep(keeping, everything=False)
            found = _placed(keeping, kept, self.like, soonest=soonest, free=True)
        pins = [t for t in sorted(keeping.pinned) if t in kept.broken or not _in_time(found, keeping, t)]
        if found is None or pins:
            reasons = _pin_texts(self.names, keeping.problem, pins)
            return Frozen(_none(self.works, self.like, self.live, reasons), self.live)
        moves, unaffected = _moves(self.names, found, keeping, affected)
        schedule = _schedule(self.works, found, self.names, keeping, self.like, self.live)
        return Frozen(schedule, self.live, moves, unaffected)


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
    )  # fmt: skip
    kept_facts = {name: at for name, at in facts.items() if tasks[name] in keeping.begun}
    return replace(live, begun=kept_facts, void=frozenset(void)), keeping


def _spread_facts(problem: Problem, names: list[str], facts: dict[str, tuple[int, int]]) -> None:
    """Mates that share one booking have begun together."""
    for numbers in problem.task_operations:
        known = [facts[names[n]] for n in numbers if names[n] in facts]
        for n in numbers if known else ():
            facts[names[n]] = known[0]


# placing what is free


@dataclass(frozen=True, slots=True)
class Found:
    """Everything placed, and what it is worth."""

    problem: Problem
    state: State
    score: Score
    rules: Rules


def _placed(keeping: Keeping, kept: Kept, like: Schedule, *, soonest: str | None, free: bool) -> Found | None:
    """The best of a few ways to place what is free."""
    problem = keeping.problem
    told = candidate_of(problem, like)
    early = _releases(problem, keeping, kept, told, free=free)
    best: tuple[tuple[float, ...], Found] | None = None
    for tie in (False, True) if soonest is not None else (False,):
        state = copied(kept.state)
        some = around(problem, state, free=kept.free, tie_holds=tie)
        release = [max(a, b) for a, b in zip(some.release, early, strict=True)]
        rank = list(told.rank)
        for rules in _ways(told, free):
            decoded = decode(some, rank, rules=rules, release=release, state=copied(state))
            if not decoded.complete:
                continue
            one = _worth(problem, decoded.state, like, keeping, rules)
            key = _key(one, keeping, soonest)
            if best is None or key < best[0]:
                best = (key, one)
    if best is None and kept.free:
        state = copied(kept.state)
        some = around(problem, state, free=kept.free)
        decoded = decode(some, list(told.rank), rules=ONE_BY_ONE, release=[max(a, keeping.now) for a in some.release],
                         state=state)  # fmt: skip
        if decoded.complete:
            return _worth(problem, decoded.state, like, keeping, ONE_BY_ONE)
    return None if best is None else best[1]


def _ways(told: Candidate, free: bool) -> list[Rules]:
    if free:
        return [told.rules]
    found = [told.rules, Rules(window=SHORT), Rules(window=WHOLE)]
    return [r for n, r in enumerate(found) if r not in found[:n]]


def _releases(problem: Problem, keeping: Keeping, kept: Kept, told: Candidate, *, free: bool) -> list[int]:
    """Earliest starts: never in the past, and not before its planned start where a task has one. [min]"""
    early = [max(at, keeping.now) for at in told.releases(problem)]
    if not free:
        for task in kept.free:
            if task in keeping.loose:
                early[task] = max(problem.release[task], keeping.now)
            elif task in keeping.places:
                early[task] = max(early[task], keeping.places[task].start)
    return early


def _worth(problem: Problem, state: State, like: Schedule, keeping: Keeping, rules: Rules) -> Found:
    now = problem.shop.origin + keeping.now * MINUTE
    return Found(problem, state, score_of(problem, state, objective=like.objective_kind, now=now), rules)


def _key(one: Found, keeping: Keeping, soonest: str | None) -> tuple[float, ...]:
    if soonest is not None:
        order = one.problem.order_ids.index(soonest)
        return (completions(one.problem, one.state)[order], one.score.flow)
    moved = sum(one.state.start[t] != p.start for t, p in keeping.places.items() if t not in keeping.begun)
    return (one.score.first, moved, one.score.flow, one.score.setups)


def _in_time(found: Found | None, keeping: Keeping, task: int) -> bool:
    """Whether everything before a pinned task is done when it begins."""
    return found is not None and is_ready(found.problem, found.state, task=task, place=keeping.places[task])


# what came of it


def _moves(
    names: list[str], found: Found, keeping: Keeping, affected: Collection[int]
) -> tuple[tuple[Move, ...], int]:
    """Operations that begin at another time, by planned start; and how many had no reason to."""
    problem = keeping.problem
    moves: list[Move] = []
    unaffected = 0
    origin = problem.shop.origin
    for task, place in sorted(keeping.places.items(), key=lambda row: (row[1].start, row[0])):
        if task in keeping.begun or task in keeping.void:
            continue
        numbers = problem.task_operations[task]
        unaffected += 0 if task in affected else len(numbers)
        start = found.state.start[task]
        if start != place.start:
            moves += [
                Move(names[n], origin + MINUTE * place.start, origin + MINUTE * start, task in affected)
                for n in numbers
            ]
    return tuple(moves), unaffected


def _schedule(
    works: Works, found: Found, names: list[str], keeping: Keeping, like: Schedule, live: Live
) -> Schedule:
    problem, state, score = found.problem, found.state, found.score
    operations = _operations(problem, state, names, keeping)
    kind = like.objective_kind
    bound = min(_bound(problem, keeping, kind), score.first)
    return replace(
        like, revision=works.revision, now=live.now,
        status="optimal" if score.first <= bound else "feasible",
        objective=score.first,
        objectives=tuple(zip(OBJECTIVES[kind], (score.first, score.flow, score.setups), strict=True)),
        lower_bound=bound, gap=gap_of(score.first, bound),
        makespan_end=max((op.end for op in operations), default=live.now),
        orders=order_dates(problem, completions(problem, state)), operations=operations,
        reasons=(), notes=_notes(problem, names, state, keeping), verified=None,
        rank=tuple(zip(problem.set_ids, candidate_of(problem, like).rank, strict=True)),
        release=_release(problem, state, like),
    )  # fmt: skip


def _operations(problem: Problem, state: State, names: list[str], keeping: Keeping) -> tuple[Operation, ...]:
    """Every operation under its name; what was lost with a piece counts as rework."""
    made = numbered(problem, state)
    found: list[Operation] = []
    for task, numbers in enumerate(problem.task_operations):
        if task in keeping.void:
            continue
        for number in numbers:
            op, name = made[number], names[number]
            found.append(op if op.id == name else replace(op, id=name, rework=True))
    return tuple(sorted(found, key=lambda op: (op.start, op.id)))


def _bound(problem: Problem, keeping: Keeping, kind: str) -> float:
    """A value that no way to carry on can beat: steps in order, as if everything were always free."""
    ends = [0] * problem.tasks
    for task in range(problem.tasks):
        if task in keeping.begun:
            ends[task] = keeping.begun[task].end
            continue
        at = max(keeping.now, problem.release[task])
        for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
            at = max(at, ends[problem.pre_task[row]] + problem.pre_least[row])
        ways = range(problem.way_from[task], problem.way_from[task + 1])
        least = min((problem.way_minutes[way] for way in ways), default=0)
        ends[task] = at if task in keeping.void else at + least
    done = [0] * len(problem.order_ids)
    for task, end in enumerate(ends):
        order = problem.set_order[problem.set_of[task]]
        done[order] = max(done[order], end)
    if kind == "makespan":
        return float(MINUTE * (max(done, default=keeping.now) - keeping.now))
    origin = problem.shop.origin
    rows = zip(done, problem.order_due, problem.order_weight, strict=True)
    return sum(weight * max(0, origin + MINUTE * end - due) for end, due, weight in rows)


def _release(problem: Problem, state: State, like: Schedule) -> tuple[tuple[str, int], ...]:
    """Items held back: as before, and new ones until they begin, so that a forecast follows this plan."""
    found = dict(like.release)
    ranked = dict(like.rank)
    for task, numbers in enumerate(problem.task_operations):
        operation = problem.operations[numbers[0]]
        if operation.facts.index == 0 and problem.set_ids[operation.set] not in ranked:
            found[operation.item] = problem.shop.origin + MINUTE * state.start[task]
    return tuple(found.items())


def _notes(problem: Problem, names: list[str], state: State, keeping: Keeping) -> tuple[Text, ...]:
    """Longest waits behind what has begun that can't be kept any more."""
    found: list[Text] = []
    for task in range(problem.tasks):
        if task in keeping.begun or task in keeping.void:
            continue
        for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
            other, longest = problem.pre_task[row], problem.pre_longest[row]
            gap = state.start[task] - state.end[other]
            if other in keeping.begun and 0 <= longest < gap:
                found.append(
                    text("{operation} can no longer follow {before} in time: judge the piece before it goes on",
                         operation=names[problem.task_operations[task][0]],
                         before=names[problem.task_operations[other][0]])
                )  # fmt: skip
    return tuple(found)


def _pin_texts(names: list[str], problem: Problem, pins: Iterable[int]) -> tuple[Text, ...]:
    return tuple(
        text(
            "{operation} is pinned and can't stay where it is", operation=names[problem.task_operations[t][0]]
        )
        for t in pins
    )


def _none(works: Works, like: Schedule, live: Live, reasons: tuple[Text, ...]) -> Schedule:
    """No plan: pins that can't be kept are proof, anything else is not."""
    return replace(
        like, revision=works.revision, now=live.now, status="infeasible" if reasons else "unknown", objective=0.0,
        objectives=tuple((name, 0.0) for name, _ in like.objectives), lower_bound=0.0, gap=None,
        makespan_end=live.now, orders=tuple(replace(o, completion=live.now, late=0) for o in like.orders),
        operations=(), reasons=reasons, notes=(), verified=None, supply=None,
    )  # fmt: skip
