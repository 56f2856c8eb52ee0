"""Making a plan: build, bound, search, and say what came of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Final, cast

from pairwright.base.errors import InputError, Problem
from pairwright.base.time import DAY, MINUTE, WEEK
from pairwright.base.words import Text, text
from pairwright.plan import problem as flat
from pairwright.plan.bound import lower_bound
from pairwright.plan.build import build_problem
from pairwright.plan.calendar import due_time
from pairwright.plan.decode import Decoded
from pairwright.plan.emit import Score, completions, operations_of, order_dates, score_of
from pairwright.plan.explain import who_waits
from pairwright.plan.forecast import candidate_of
from pairwright.plan.infeasible import impossible_sets
from pairwright.plan.ready import held
from pairwright.plan.reasons import reasons_of
from pairwright.plan.revisions import revision_notes
from pairwright.plan.schedule import OBJECTIVES, Objective, OrderDates, Schedule, Status, gap_of
from pairwright.plan.search import DEFAULT_EFFORT, Progress, Runner, search, start_search
from pairwright.plan.shop import build_shop
from pairwright.plan.trial import Candidate, run, unlocked
from pairwright.works.definition import Works
from pairwright.works.orders import Book
from pairwright.works.steptime import StepTime

FIRST_HORIZON: Final = 26 * WEEK // MINUTE
LAST_HORIZON: Final = 20 * 366 * DAY // MINUTE
NO_END: Final = 1 << 60  # an effort that a time limit ends


def make_plan(  # noqa: PLR0913 (an act of the user has as many settings as it has)
    works: Works,
    book: Book,
    *,
    times: Sequence[StepTime] = (),
    now: int,
    objective: str = "service",
    effort: int | None = None,
    limit: float | None = None,
    workers: int = 1,
    seed: int = 0,
    clock: Callable[[], float] | None = None,
    progress: Progress | None = None,
    should_stop: Callable[[], bool] | None = None,
    runner: Runner | None = None,
    ready: Mapping[str, int] | None = None,
) -> Schedule:
    """Plan an order book at finite capacity.

    Parameters
    ----------
    works, book, times
        The definition, the orders with stock, the durations of every step.
    now : int
        When the plan begins, UTC. [s]
    objective : str
        ``service`` or ``makespan``. [-]
    effort : int
        How many plans are tried; the default where there is no limit either. [-]
    limit : float
        How long is searched by `clock`; the plan under way is finished. [s]
    workers : int
        Processes that `runner` stands for; the answer does not depend on it. [-]
    seed : int
        Same arguments and seed, same plan, as long as no limit cuts it short. [-]
    clock, progress, should_stop, runner
        A clock [s]; told (value, bound, gap, done, of); asked whether to stop; a `map` of jobs
        over processes, for which the search keeps rounds of jobs that don't depend on each other.
    ready : Mapping[str, int]
        Earliest starts of single operations (item/step), such as those that wait for material. They
        are decisions: the bound does not count them. [s]

    Returns
    -------
    Schedule
        `status` is ``optimal`` where value and bound meet, ``feasible``, ``infeasible`` with the
        reasons, or ``unknown`` where nothing was found and nothing proven.
    """
    del workers
    if objective not in OBJECTIVES:
        raise InputError(
            Problem("plan", "objective", text("service or makespan"), objective, text("choose one of them"))
        )
    kind = cast("Objective", objective)
    effort = effort or (DEFAULT_EFFORT if limit is None else NO_END)
    out_of_time = _stopper(limit, clock, should_stop)
    problem = _problem(works, book, times, now, FIRST_HORIZON)
    while True:
        bound = lower_bound(problem, objective=kind, now=now)
        told = _teller(progress, bound, effort)
        problem = held(problem, ready or {})
        state = start_search(
            problem, objective=kind, now=now, effort=effort, seed=seed, out_of_time=out_of_time,
            told=told, runner=runner, goal=bound,
        )  # fmt: skip
        best = search(state)
        if best is not None and best.score is not None:
            return _schedule(works, problem, best.candidate, best.score, kind=kind, now=now, bound=bound)
        found = impossible_sets(works, book, times=times, now=now)
        if found or problem.shop.horizon >= LAST_HORIZON:
            reasons = reasons_of(works, found) if found else ()
            status: Status = "infeasible" if any(one.proven for one in found) else "unknown"
            return _nothing(works, book, kind, now, status, reasons)
        problem = _problem(works, book, times, now, min(LAST_HORIZON, 3 * problem.shop.horizon))


def plan_like(
    works: Works, book: Book, *, like: Schedule, times: Sequence[StepTime] = (), now: int,
    ready: Mapping[str, int] | None = None,
) -> Schedule:  # fmt: skip
    """The same decisions on a changed works: an earlier plan's priorities, rules and held-back starts.

    Nothing is searched, so what differs from the earlier plan is what the change does. Where those
    decisions can't be carried out any more, the plan is searched for anew. `ready` as for `make_plan`.
    """
    kind = like.objective_kind
    free = _problem(works, book, times, now, FIRST_HORIZON)
    problem = held(free, ready or {})
    candidate, decoded = unlocked(problem, candidate_of(problem, like))
    if not decoded.complete:
        return make_plan(works, book, times=times, now=now, objective=kind, ready=ready)
    bound = lower_bound(free, objective=kind, now=now)
    score = score_of(problem, decoded.state, objective=kind, now=now)
    return _schedule(works, problem, candidate, score, kind=kind, now=now, bound=bound)


def _problem(works: Works, book: Book, times: Sequence[StepTime], now: int, least: int) -> flat.Problem:
    """The arrays over a horizon beyond the last due date."""
    calendars = works.factory.calendars
    last = max((due_time(calendars, o.due, zone=works.zone) for o in book.orders), default=now)
    horizon = max(least, (last - now) // MINUTE + least // 2)
    return build_problem(build_shop(works, now, horizon=horizon), book, times=times)


def _stopper(
    limit: float | None, clock: Callable[[], float] | None, should_stop: Callable[[], bool] | None
) -> Callable[[], bool]:
    begun = clock() if clock is not None else 0.0

    def out_of_time() -> bool:
        if should_stop is not None and should_stop():
            return True
        return limit is not None and clock is not None and clock() - begun >= limit

    return out_of_time


def _teller(progress: Progress | None, bound: float, effort: int) -> Callable[[Score, int], None]:
    def told(score: Score, done: int) -> None:
        if progress is not None:
            progress(score.first, bound, gap_of(score.first, bound), done, min(effort, max(done, effort)))

    return told


def _schedule(
    works: Works, problem: flat.Problem, candidate: Candidate, score: Score, *, kind: Objective, now: int,
    bound: float,
) -> Schedule:  # fmt: skip
    decoded = run(problem, candidate)
    state = decoded.state
    bound = min(bound, score.first)
    dates = order_dates(problem, completions(problem, state))
    operations = operations_of(problem, state)
    names = OBJECTIVES[kind]
    rules = candidate.rules
    return Schedule(
        revision=works.revision, now=now, objective_kind=kind,
        status="optimal" if score.first <= bound else "feasible",
        objective=score.first,
        objectives=tuple(zip(names, (score.first, score.flow, score.setups), strict=True)),
        lower_bound=bound, gap=gap_of(score.first, bound),
        makespan_end=max((op.end for op in operations), default=now),
        orders=dates, operations=operations,
        notes=(*_notes(problem, candidate), *revision_notes(works, operations)),
        recipe=(
            ("window", rules.window), ("fill", rules.fill), ("in_process", rules.in_process),
            ("defer", int(rules.defer)), ("group", rules.group),
        ),
        rank=tuple(zip(problem.set_ids, candidate.rank, strict=True)),
        release=tuple(
            (problem.operations[problem.task_operations[task][0]].item, problem.shop.origin + MINUTE * at)
            for task, at in candidate.release
        ),
    )  # fmt: skip


def _notes(problem: flat.Problem, candidate: Candidate) -> tuple[Text, ...]:
    """Where sets had to be let in a few at a time: what would lock otherwise."""
    if not candidate.rules.in_process:
        return ()
    locked: Decoded = run(
        problem, Candidate(candidate.rank, candidate.rules_without_limit(), candidate.release)
    )
    return (
        text("made with at most {n} sets in process at a time, or everything would wait for everything",
             n=candidate.rules.in_process),
        *who_waits(problem, locked),
    )  # fmt: skip


def _nothing(
    works: Works, book: Book, kind: Objective, now: int, status: Status, reasons: tuple[Text, ...]
) -> Schedule:
    calendars = works.factory.calendars
    dates = tuple(OrderDates(o.id, due_time(calendars, o.due, zone=works.zone), now, 0) for o in book.orders)
    return Schedule(
        revision=works.revision, now=now, objective_kind=kind, status=status, objective=0.0,
        objectives=tuple((name, 0.0) for name in OBJECTIVES[kind]), lower_bound=0.0, gap=None,
        makespan_end=now, orders=dates, reasons=reasons,
    )  # fmt: skip
