"""The act of forecasting: the plan under scatter, rework and breakdown, on all cores."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pairwright.app.opened import Opened
    from pairwright.plan import Forecast, Schedule
    from pairwright.plan.forecast import Chunk

CHUNK = 50  # runs a worker takes at a time: progress is shown by chunks, and what runs share is made for each


def forecast_works(
    opened: Opened,
    schedule: Schedule,
    *,
    actor: str,
    runs: int,
    seed: int,
    workers: int = 2,
    progress: Callable[[int, int], None] | None = None,
) -> Forecast:
    """P10, P50 and P90 of every order; the same numbers for any count of workers."""
    del actor
    from pairwright import plan

    ranges = [(n, min(n + CHUNK, runs)) for n in range(0, runs, CHUNK)]
    args = (opened.works, opened.book, opened.times, schedule, seed)
    chunks: list[Any] = []
    if workers < 2 or len(ranges) < 2:
        for first, last in ranges:
            chunks.append(_chunk((*args, first, last)))
            if progress is not None:
                progress(last, runs)
    else:
        with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
            for chunk, (_, last) in zip(pool.map(_chunk, [(*args, *r) for r in ranges]), ranges, strict=True):
                chunks.append(chunk)
                if progress is not None:
                    progress(last, runs)
    return plan.merge_forecast(
        opened.works, opened.book, schedule=schedule, chunks=chunks, runs=runs, seed=seed
    )


def _chunk(job: tuple[Any, ...]) -> Chunk:
    from pairwright import plan

    works, book, times, schedule, seed, first, last = job
    return plan.forecast_chunk(works, book, times=times, schedule=schedule, seed=seed, first=first, last=last)
