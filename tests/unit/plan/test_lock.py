"""When everything waits for everything: found, explained, avoided."""

from __future__ import annotations

from pairwright.plan.build import build_problem
from pairwright.plan.decode import Rules, decode
from pairwright.plan.explain import who_waits
from pairwright.plan.problem import Problem
from pairwright.plan.shop import build_shop
from pairwright.plan.trial import Candidate, unlocked
from pairwright.works.definition import Works
from pairwright.works.orders import Book
from tests.unit.plan.builder import NOW, book_of, pair, part, single, step, times_of, works_of
from tests.unit.plan.judged import sound_plan

# Two frames; each half takes one and gives it back when both halves have met. One half of each of
# two pairs with a frame in hand: neither pair can ever meet.
STATIONS = {"bench": {"kind": "parallel", "places": 4}, "slow": {}, "table": {}}
FRAMES = {"frame": {"name": "f", "count": 2}}
PRODUCT = pair(
    "p",
    step("a", "slow", 30, buffer="rack"),
    step("b", "bench", 20, takes="frame"),
    step("both", "table", 10, together=True, returns="frame"),
)
RACK = {"rack": {"name": "r", "places": 9}}


def locking() -> tuple[Works, Book]:
    return works_of(PRODUCT, stations=STATIONS, carriers=FRAMES, buffers=RACK), book_of(("p", 2))


def problem_of(works: Works, book: Book) -> Problem:
    return build_problem(build_shop(works, NOW, horizon=100_000), book, times=times_of(works))


def held_up(problem: Problem) -> list[int]:
    """Left halves first: the right ones may not begin before both left ones have a frame."""
    release = list(problem.release)
    for task, numbers in enumerate(problem.task_operations):
        if problem.operations[numbers[0]].item.endswith(".b"):
            release[task] = 500
    return release


def test_a_lock_is_found_and_says_who_waits_for_what() -> None:
    problem = problem_of(*locking())

    decoded = decode(problem, [0, 1], rules=Rules(window=10), release=held_up(problem))

    assert not decoded.complete
    assert decoded.no_room < 0
    assert [str(t) for t in who_waits(problem, decoded)] == [
        "frame is full (2 places): held by A-1.a, A-2.a; waited for by A-1.b/b, A-2.b/b"
    ]


def test_a_lock_is_avoided_with_fewer_sets_in_process() -> None:
    problem = problem_of(*locking())
    late = tuple((task, at) for task, at in enumerate(held_up(problem)) if at)

    candidate, decoded = unlocked(problem, Candidate((0, 1), Rules(window=10), late))

    assert decoded.complete
    assert candidate.rules.in_process == 1


def test_a_works_that_can_lock_gets_a_sound_plan() -> None:
    works, book = locking()

    plan = sound_plan(works, book)

    # one pair after the other has the frames: halves from the slow bench at 30, 60, 90, 120
    assert (plan.makespan_end - NOW) // 60 == 120 + 20 + 10


def test_with_frames_enough_nothing_locks() -> None:
    works = works_of(PRODUCT, stations=STATIONS, carriers={"frame": {"name": "f", "count": 4}}, buffers=RACK)
    problem = problem_of(works, book_of(("p", 2)))

    assert decode(problem, [0, 1], rules=Rules(window=10), release=held_up(problem)).complete


def test_items_that_change_places_in_a_full_buffer_do_not_lock() -> None:
    # Three items in a rack of three, each of which goes back to the rack after its next step.
    works = works_of(
        pair("p", step("a", "slow", 10, buffer="rack"), step("b", "table", 10, buffer="rack"),
             step("c", "table", 10)),
        stations=STATIONS, buffers={"rack": {"name": "r", "places": 3}},
    )  # fmt: skip

    plan = sound_plan(works, book_of(("p", 3)))

    assert plan.notes == ()


def test_who_can_go_is_not_forgotten_behind_who_can_not() -> None:
    # Two places. A half of the pair P and the single X hold one each; the wide single W (two
    # places, first in rank) and the other half wait. When X goes, W is asked first and does not
    # fit; the other half does, and without it nothing would ever move again.
    rack = {"rack": {"name": "r", "places": 2}}
    works = works_of(
        pair("p", step("a", "slow", 10, buffer="rack"), step("both", "table", 10, together=True)),
        single("x", step("a", "slow", 10, buffer="rack"), step("b", "bench", 10)),
        single(
            "w", parts={"body": part(step("a", "quick", 5, buffer="rack"), step("b", "bench", 10), places=2)}
        ),
        stations={**STATIONS, "quick": {}},
        buffers=rack,
    )
    problem = problem_of(works, book_of("p", "x", "w"))
    first = {"A-1.a": 0, "B-1.single": 0, "C-1.single": 30, "A-1.b": 30}
    release = [first.get(problem.operations[n[0]].item, 0) for n in problem.task_operations]
    for task, numbers in enumerate(problem.task_operations):
        if problem.operations[numbers[0]].facts.name == "x.body.b":
            release[task] = 60  # X leaves only after both have asked

    decoded = decode(problem, [2, 1, 0], rules=Rules(window=10), release=release)

    assert decoded.complete


def test_a_set_that_locks_by_itself_is_tried_in_other_orders() -> None:
    # Each half needs two feet at once, two frames are there: a foot for each half, and neither
    # half gets its second one. Half by half it goes.
    foot = part(
        step("turn", "slow", 10, takes="frame"),
        step("rest", None, 5, next_max=9000, returns="frame"),
        quantity=2,
    )
    works = works_of(
        pair("p", step("fit", "bench", 10, uses=["foot"]), parts={"foot": foot}),
        stations=STATIONS,
        carriers=FRAMES,
    )
    problem = problem_of(works, book_of(("p", 3)))

    assert not decode(problem, [0, 1, 2]).complete
    assert decode(problem, [0, 1, 2], rules=Rules(in_process=1)).complete
    sound_plan(works, book_of(("p", 3)))
