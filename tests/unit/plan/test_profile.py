"""Use over time as a step function, against counting minute by minute."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from pairwright.plan.calendar import NEVER
from pairwright.plan.profile import add, last_full, room_from

BOOKED = st.lists(st.tuples(st.integers(0, 60), st.integers(1, 30), st.integers(1, 3)), max_size=10)


def profile_of(booked: list[tuple[int, int, int]]) -> tuple[list[int], list[int], list[int]]:
    times, use, counted = [0], [0], [0] * 200
    for start, length, count in booked:
        add(times, use, start=start, end=start + length, count=count)
        for minute in range(start, start + length):
            counted[minute] += count
    return times, use, counted


@given(BOOKED, st.integers(0, 90), st.integers(1, 20), st.integers(0, 4))
def test_room_is_found_where_counting_finds_it(
    booked: list[tuple[int, int, int]], at: int, minutes: int, room: int
) -> None:
    times, use, counted = profile_of(booked)

    found = room_from(times, use, at=at, minutes=minutes, room=room)

    assert found == next(s for s in range(at, 150) if max(counted[s : s + minutes]) <= room)


@given(BOOKED, st.integers(0, 90), st.integers(1, 20), st.integers(0, 4))
def test_the_last_full_piece_ends_where_counting_ends_it(
    booked: list[tuple[int, int, int]], start: int, length: int, room: int
) -> None:
    times, use, counted = profile_of(booked)

    found = last_full(times, use, start=start, end=start + length, room=room)

    full = [m for m in range(start, start + length) if counted[m] > room]
    if not full:
        assert found == -1
    else:
        assert found > full[-1]
        assert all(counted[m] == counted[full[-1]] for m in range(full[-1], found))


@given(BOOKED)
def test_taking_back_leaves_nothing(booked: list[tuple[int, int, int]]) -> None:
    times, use, _ = profile_of(booked)

    for start, length, count in reversed(booked):
        add(times, use, start=start, end=start + length, count=-count)

    assert (times, use) == ([0], [0])


def test_an_open_end_is_full_for_ever() -> None:
    times, use = [0], [0]
    add(times, use, start=5, end=NEVER, count=1)

    assert last_full(times, use, start=0, end=NEVER, room=0) == NEVER
    assert room_from(times, use, at=0, minutes=5, room=0) == 0
    assert room_from(times, use, at=1, minutes=5, room=0) == NEVER

    add(times, use, start=9, end=NEVER, count=-1)

    assert last_full(times, use, start=0, end=NEVER, room=0) == 9
