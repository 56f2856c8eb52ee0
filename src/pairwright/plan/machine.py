"""One resource for itself: how soon the k-th of its jobs can be done when all else is free.

The resource may interrupt its jobs and share its places among them at will. The shortest
remaining job first then has, at every moment, done as many jobs as can be done.

References
----------
L. Schrage, "A proof of the optimality of the shortest remaining processing time discipline",
Operations Research 16 (1968) 687-690.
"""

from __future__ import annotations

from bisect import bisect_right
from heapq import heappop, heappush

from pairwright.plan.calendar import NEVER, WorkingTime, flat


def kth_ends(time: WorkingTime, heads: list[int], *, work: list[float]) -> list[int]:
    """Lower bounds of the first, second, ... completion.

    Parameters
    ----------
    time : WorkingTime
        When the resource works.
    heads : list[int]
        Earliest start of each job. [min]
    work : list[float]
        Working time that each job needs, shared among all places. [min]

    Returns
    -------
    list[int]
        Ends in rising order. [min]

    Examples
    --------
    >>> kth_ends(flat([(0, 100)]), [0, 1], work=[10, 2])
    [3, 12]
    """
    order = sorted(range(len(heads)), key=lambda j: heads[j])
    heap: list[tuple[float, int]] = []
    ends: list[int] = []
    n = 0
    at = 0.0
    while n < len(order) or heap:
        if not heap:
            at = max(at, float(heads[order[n]]))
        while n < len(order) and heads[order[n]] <= at:
            heappush(heap, (work[order[n]], order[n]))
            n += 1
        left, job = heappop(heap)
        until = float(heads[order[n]]) if n < len(order) else float(NEVER)
        end = _advance(time, at, left)
        if end <= until:
            ends.append(int(end) if end == int(end) else int(end) + 1)
            at = end
        else:
            heappush(heap, (max(0.0, left - _worked(time, at, until)), job))
            at = until
        if end >= NEVER and n >= len(order):
            ends.extend([NEVER] * (len(heads) - len(ends)))
            break
    return ends


def _advance(time: WorkingTime, at: float, work: float) -> float:
    """The moment when so much work, begun at a moment, is done."""
    if work <= 0:
        return at
    for i in range(bisect_right(time.ends, at), len(time.ends)):
        start = max(at, time.starts[i])
        if start + work <= time.ends[i] + 1e-9:
            return start + work
        work -= time.ends[i] - start
    return float(NEVER)


def _worked(time: WorkingTime, start: float, end: float) -> float:
    """Working time between two moments."""
    done = 0.0
    for i in range(bisect_right(time.ends, start), len(time.ends)):
        if time.starts[i] >= end:
            break
        done += min(end, time.ends[i]) - max(start, time.starts[i])
    return done


def usable(time: WorkingTime, heads: list[int], *, minutes: list[int], last_end: list[int]) -> WorkingTime:
    """The part of each working interval that jobs which may not pause can fill at best.

    Parameters
    ----------
    time : WorkingTime
        When the resource works.
    heads : list[int]
        Earliest starts; an interval in which a job arrives is left whole. [min]
    minutes : list[int]
        The lengths of its jobs. [min]
    last_end : list[int]
        For each interval the latest end from which the next step can still be reached. [min]
    """
    reach = _sums(minutes, max((e - s for s, e in zip(time.starts, time.ends, strict=True)), default=0))
    arrivals = sorted(set(heads))
    kept: list[tuple[int, int]] = []
    for start, end, last in zip(time.starts, time.ends, last_end, strict=True):
        end = min(end, last)
        if end <= start:
            continue
        arrives = bisect_right(arrivals, start) < bisect_right(arrivals, end - 1)
        kept.append((start, end if arrives else start + reach[end - start]))
    return flat([(s, e) for s, e in kept if e > s])


def _sums(minutes: list[int], longest: int) -> list[int]:
    """For each length the most of it that jobs of these lengths can fill, each as often as liked."""
    lengths = sorted({m for m in minutes if 0 < m <= longest})
    can = [False] * (longest + 1)
    can[0] = True
    best = [0] * (longest + 1)
    for total in range(1, longest + 1):
        can[total] = any(m <= total and can[total - m] for m in lengths)
        best[total] = total if can[total] else best[total - 1]
    return best
