"""Orders in which sets may go first: the rules of thumb that the search begins with."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, TypeAlias

from pairwright.base.time import DAY, MINUTE
from pairwright.plan.problem import Problem

Sort: TypeAlias = Callable[[int], tuple[float | str, ...]]
NAMES: Final = ("slack", "week", "due", "ratio", "fortnight", "weight", "longest", "family", "given")


def longest_way(problem: Problem) -> list[int]:
    """Of each set the least minutes from its first task to its end, calendars not counted."""
    found = [0] * len(problem.set_ids)
    for task in range(problem.tasks):
        ways = range(problem.way_from[task], problem.way_from[task + 1])
        minutes = min((problem.way_minutes[way] for way in ways), default=0)
        number = problem.set_of[task]
        found[number] = max(found[number], minutes + problem.tail[task])
    return found


def rank_by(problem: Problem, name: str) -> list[int]:
    """Ranks of the sets by a rule of thumb.

    ``due``: the earliest due date first. ``slack``: due date less the way still to go. ``ratio``:
    time left over way to go. ``weight``: time left over weight. ``week``, ``fortnight``,
    ``family``: alike options together within a week, a fortnight, or at all. ``longest``: the
    longest way first. ``given``: as the order book lists them.
    """
    way = longest_way(problem)
    kinds = _kinds(problem)
    due = [problem.order_due[order] for order in problem.set_order]
    weight = [problem.order_weight[order] for order in problem.set_order]
    now = problem.shop.origin
    sorts: dict[str, Sort] = {
        "due": lambda s: (due[s],),
        "slack": lambda s: (due[s] - MINUTE * way[s],),
        "ratio": lambda s: ((due[s] - now) / max(1, MINUTE * way[s]),),
        "weight": lambda s: ((due[s] - now) / max(1e-9, weight[s]),),
        "week": lambda s: ((due[s] - now) // (7 * DAY), kinds[s], due[s]),
        "fortnight": lambda s: ((due[s] - now) // (14 * DAY), kinds[s], due[s]),
        "family": lambda s: (kinds[s], due[s]),
        "longest": lambda s: (-way[s], due[s]),
        "given": lambda s: (s,),
    }
    return as_ranks(sorted(range(len(due)), key=lambda s: (sorts[name](s), s)))


def as_ranks(order: list[int]) -> list[int]:
    """Ranks from sets in order."""
    ranks = [0] * len(order)
    for rank, number in enumerate(order):
        ranks[number] = rank
    return ranks


def _kinds(problem: Problem) -> list[str]:
    """Product and option of each set, as one word."""
    found = [""] * len(problem.set_ids)
    for operation in problem.operations:
        if not found[operation.set]:
            product = operation.facts.product
            found[operation.set] = f"{product.id} {product.option}"
    return found
