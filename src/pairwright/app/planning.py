"""The acts of planning: make a plan, judge a plan."""

from __future__ import annotations

import json
import signal
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text

if TYPE_CHECKING:
    from pairwright.app.opened import Opened
    from pairwright.audit import Violation
    from pairwright.plan import Schedule
    from pairwright.works import Works

PLAN_LIMIT = 256 << 20  # bytes of a plan file: about a million operations


@dataclass(frozen=True, slots=True)
class PlanResult:
    """A plan with the audit's opinion of it."""

    schedule: Schedule
    document: Mapping[str, Any]
    violations: tuple[Violation, ...]

    @property
    def found(self) -> bool:
        """Whether there is a plan, and the audit agrees with it."""
        return self.schedule.status in ("optimal", "feasible") and not self.violations


def plan_works(
    opened: Opened,
    *,
    actor: str,
    now: int,
    objective: str = "service",
    effort: int | None = None,
    limit: float | None = None,
    workers: int = 1,
    seed: int = 0,
    clock: Callable[[], float] | None = None,
    progress: Callable[[float, float, float | None, int, int], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
    materials: bool = True,
) -> PlanResult:
    """Plan the order book; the audit's violations come with it (there must be none).

    With `materials` nothing begins before what it uses up is there.
    """
    del actor  # a reading act
    from pairwright import plan

    def made(works: Works, ready: Mapping[str, int], *, quick: bool = False) -> Schedule:
        return plan.make_plan(
            works,
            opened.book,
            times=opened.times,
            now=now,
            objective=objective,
            effort=1 if quick else effort,
            limit=None if quick else limit,
            workers=workers,
            seed=seed,
            clock=clock,
            progress=None if quick else progress,
            should_stop=should_stop,
            runner=runner,
            ready=ready,
        )

    def full(works: Works) -> Schedule:
        if not materials:
            return made(works, {})
        planner = plan.Planner(
            first=lambda ready: made(works, ready, quick=True),
            full=lambda ready: made(works, ready),
            again=_again(opened, works, now),
        )
        return plan.supplied_plan(works, opened.book, needs=opened.needs, now=now, planner=planner)

    with processes(workers) as runner:
        again = partial(_alike, opened, now)
        return judged(opened, plan.tooled_plan(opened.works, plan.ToolPlanner(full=full, again=again)))


def plan_alike(opened: Opened, like: Schedule, *, now: int) -> PlanResult:
    """The decisions of an earlier plan on a changed works, with material counted where the plan did."""
    from pairwright import plan

    again = partial(_alike, opened, now)
    planner = plan.ToolPlanner(full=lambda works: again(works, like), again=again)
    return judged(opened, plan.tooled_plan(opened.works, planner))


def _alike(opened: Opened, now: int, works: Works, like: Schedule) -> Schedule:
    """The decisions of a plan again, on a works whose stations may stop at other times."""
    from pairwright import plan

    again = _again(opened, works, now)
    if like.supply is None:
        return again(like, {})
    planner = plan.Planner(
        first=lambda ready: again(like, ready), full=lambda ready: again(like, ready), again=again
    )
    return plan.supplied_plan(
        works, opened.book, needs=opened.needs, now=now, planner=planner, known=like.ready
    )


def _again(opened: Opened, works: Works, now: int) -> Callable[[Schedule, Mapping[str, int]], Schedule]:
    from pairwright import plan

    def again(like: Schedule, ready: Mapping[str, int]) -> Schedule:
        return plan.plan_like(works, opened.book, like=like, times=opened.times, now=now, ready=ready)

    return again


@contextmanager
def processes(
    workers: int,
) -> Iterator[Callable[[Callable[[Any], Any], Sequence[Any]], Sequence[Any]] | None]:
    """A `map` over so many processes, or None for one: the answer is the same, only sooner."""
    if workers < 2:
        yield None
        return
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn"), initializer=_ignore_interrupt) as pool:
        yield lambda function, jobs: list(pool.map(function, jobs))


def _ignore_interrupt() -> None:
    """A keyboard interrupt is for the process that shows the plan; it ends the search in order."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def judged(opened: Opened, schedule: Schedule) -> PlanResult:
    """A schedule with its document and what the audit says of it."""
    from pairwright import audit, plan

    document = plan.document(schedule, opened.works)
    violations: tuple[Violation, ...] = ()
    if schedule.status in ("optimal", "feasible"):
        violations = audit.verify(
            opened.works, opened.book, times=opened.times, document=document, needs=opened.needs
        )
    return PlanResult(schedule, {**document, "verified": not violations}, violations)


def read_plan(path: Path) -> Mapping[str, Any]:
    """A plan document from a file; raises `InputError` when it does not parse."""
    try:
        size = path.stat().st_size
        if size > PLAN_LIMIT or not path.is_file():
            raise OSError(0, "not an ordinary file of at most 256 MiB")
        document = json.loads(path.read_text("utf-8"))
    except (OSError, UnicodeDecodeError, ValueError, RecursionError) as error:
        why = error.strerror if isinstance(error, OSError) else str(error)
        raise InputError(
            Problem(
                str(path),
                "file",
                text("a plan as written by: pairwright plan --json --out FILE"),
                shown(why or type(error).__name__),
                text("name a readable plan document"),
            )
        ) from None
    if not isinstance(document, dict):
        raise InputError(
            Problem(
                str(path),
                "document",
                text("a JSON object"),
                shown(document),
                text("name a plan document"),
            )
        )
    return document


def verify_plan(opened: Opened, document: Mapping[str, Any], *, actor: str) -> tuple[Violation, ...]:
    """Every violation of a plan document, wherever it came from."""
    del actor
    from pairwright import audit
    from pairwright.app.replanning import verify_live

    live = verify_live(opened, document)
    if live is not None:
        return live
    return audit.verify(opened.works, opened.book, times=opened.times, document=document, needs=opened.needs)
