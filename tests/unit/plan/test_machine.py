"""Bounds of one resource against brute force."""

from __future__ import annotations

from itertools import permutations

from hypothesis import given
from hypothesis import strategies as st

from pairwright.plan.assignment import least_cost
from pairwright.plan.calendar import advance, flat
from pairwright.plan.machine import kth_ends, usable

HOURS = flat([(0, 8), (12, 20), (24, 32), (40, 400)])


@given(st.lists(st.tuples(st.integers(0, 20), st.integers(1, 9)), min_size=1, max_size=5))
def test_no_order_of_jobs_ends_its_kth_sooner(jobs: list[tuple[int, int]]) -> None:
    ends = kth_ends(HOURS, [h for h, _ in jobs], work=[float(w) for _, w in jobs])

    for order in permutations(jobs):
        at = 0
        real: list[int] = []
        for head, work in order:
            at = advance(HOURS, max(at, head), work=work)
            real.append(at)
        assert all(bound <= end for bound, end in zip(ends, sorted(real), strict=True))


def test_one_job_ends_when_it_can() -> None:
    assert kth_ends(HOURS, [6], work=[4.0]) == [14]


@given(
    st.integers(1, 5).flatmap(
        lambda n: st.lists(st.lists(st.integers(0, 9), min_size=n, max_size=n), min_size=n, max_size=n)
    )
)
def test_the_assignment_is_the_cheapest(cost: list[list[int]]) -> None:
    n = len(cost)

    found = least_cost([[float(c) for c in row] for row in cost])

    assert found == min(sum(cost[i][p[i]] for i in range(n)) for p in permutations(range(n)))


def test_jobs_that_may_not_pause_leave_a_rest_of_each_interval() -> None:
    # jobs of 3 and 5 fill 8 of 8 and 9 of 10; where one arrives inside, the interval stays whole
    time = flat([(0, 8), (20, 31), (40, 44)])

    shrunk = usable(time, [0], minutes=[3, 5], last_end=[8, 31, 44])

    assert (shrunk.starts, shrunk.ends) == ([0, 20, 40], [8, 31, 43])
    assert usable(time, [41], minutes=[3, 5], last_end=[8, 31, 44]).ends[-1] == 44
    assert usable(time, [0], minutes=[3, 5], last_end=[8, 27, 44]).ends[1] == 26
