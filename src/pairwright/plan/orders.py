"""Orders in which sets may go first: the rules of thumb that the search begins with."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, TypeAlias

from pairwright.base.time import DAY, MINUTE
from pairwright.plan.problem import Problem

Asked: TypeAlias = tuple[tuple[int, ...], ...]
Sort: TypeAlias = Callable[[int], tuple[float | Asked, ...]]
NAMES: Final = (
    "slack", "week", "due", "ratio", "fortnight", "weight", "longest", "family", "given", "month",
    "campaign", "shortest", "spare", "worth",
)  # fmt: skip


def longest_way(problem: Problem) -> list[int]:
    """Of each set the least minutes from its first task to its end, calendars not counted."""
    found = [0] * len(problem.set_ids)
    for task in range(problem.tasks):
        ways = range(problem.way_from[task], problem.way_from[task + 1])
        minutes = min((problem.way_minutes[way] for way in ways), default=0)
        number = problem.set_of[task]
        found[number] = max(found[number], minutes + problem.tail[task])
    return found


def whole_work(problem: Problem) -> list[int]:
    """Of each set the least minutes of all its tasks together."""
    found = [0] * len(problem.set_ids)
    for task, number in enumerate(problem.set_of):
        ways = range(problem.way_from[task], problem.way_from[task + 1])
        found[number] += min((problem.way_minutes[way] for way in ways), default=0)
    return found


def rank_by(problem: Problem, name: str) -> list[int]:
    """Ranks of the sets by a rule of thumb.

    ``due``: the earliest due date first. ``slack``: due date less the way still to go. ``ratio``:
    time left over way to go. ``weight``: time left over weight. ``week``, ``fortnight``, ``month``,
    ``family``: what asks the same setups together within a week, a fortnight, four weeks, or at
    all. ``campaign``: what asks the same of the station that is changed and full most, the family
    that is due first in front. ``longest``: the longest way first. ``shortest``, ``spare``, ``worth``:
    the least work of all its steps first; due date less work; weight over work. ``given``: as the
    order book lists them.
    """
    way = longest_way(problem)
    work = whole_work(problem)
    kinds = asked_setups(problem)
    due = [problem.order_due[order] for order in problem.set_order]
    weight = [problem.order_weight[order] for order in problem.set_order]
    now = problem.shop.origin
    first = {kind[:1]: min(d for k, d in zip(kinds, due, strict=True) if k[:1] == kind[:1]) for kind in kinds}
    sorts: dict[str, Sort] = {
        "due": lambda s: (due[s],),
        "slack": lambda s: (due[s] - MINUTE * way[s],),
        "ratio": lambda s: ((due[s] - now) / max(1, MINUTE * way[s]),),
        "weight": lambda s: ((due[s] - now) / max(1e-9, weight[s]),),
        "week": lambda s: ((due[s] - now) // (7 * DAY), kinds[s], due[s]),
        "fortnight": lambda s: ((due[s] - now) // (14 * DAY), kinds[s], due[s]),
        "month": lambda s: ((due[s] - now) // (28 * DAY), kinds[s], due[s]),
        "family": lambda s: (kinds[s], due[s]),
        "campaign": lambda s: (first[kinds[s][:1]], kinds[s][:1], due[s]),
        "longest": lambda s: (-way[s], due[s]),
        "shortest": lambda s: (work[s],),
        "spare": lambda s: (due[s] - MINUTE * work[s],),
        "worth": lambda s: (-weight[s] / max(1, work[s]),),
        "given": lambda s: (s,),
    }
    return as_ranks(sorted(range(len(due)), key=lambda s: (sorts[name](s), s)))


def as_ranks(order: list[int]) -> list[int]:
    """Ranks from sets in order."""
    ranks = [0] * len(order)
    for rank, number in enumerate(order):
        ranks[number] = rank
    return ranks


def asked_setups(problem: Problem) -> list[Asked]:
    """Of each set the setup families it asks, station by station, the fullest station first.

    Where nothing is changed over, sets of the same product and option count as alike.
    """
    shop = problem.shop
    load: dict[int, float] = {}
    families: list[dict[int, set[int]]] = [{} for _ in problem.set_ids]
    for task, family in enumerate(problem.family):
        way = problem.way_from[task]
        if family < 0 or way == problem.way_from[task + 1] or problem.way_station[way] < 0:
            continue
        station = problem.way_station[way]
        if shop.setup_of[station] < 0:
            continue
        time = shop.times[problem.way_time[way]]
        there = sum(time.ends) - sum(time.starts)
        units = shop.unit_from[station + 1] - shop.unit_from[station]
        load[station] = load.get(station, 0.0) + problem.way_minutes[way] / max(1, there * units)
        families[problem.set_of[task]].setdefault(station, set()).add(family)
    fullest = sorted(load, key=lambda station: (-load[station], station))
    if not fullest:
        return _kinds(problem)
    return [tuple(tuple(sorted(some.get(station, ()))) for station in fullest) for some in families]


def _kinds(problem: Problem) -> list[Asked]:
    """Product and option of each set, as a number in order of their names."""
    found = [("", "")] * len(problem.set_ids)
    for operation in problem.operations:
        product = operation.facts.product
        found[operation.set] = (product.id, product.option)
    numbers = {kind: n for n, kind in enumerate(sorted(set(found)))}
    return [((numbers[kind],),) for kind in found]
