"""A revision holds from a stated set on; what contradicts that is refused."""

# ruff: noqa: E501
from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from pairwright import audit, plan, process
from pairwright.audit.expected import made_as
from pairwright.base.errors import InputError
from pairwright.plan import Schedule
from pairwright.works import Book, Order, PartStock, Works, load_book, load_works
from pairwright.works.effectivity import InForce
from tests.unit.audit.small import TEXTS, WREN

EFFECTIVITY = """
[effectivity]
revises = "wren"
revision = "B"
from_set = "W2-2"
"""
NEW = (
    WREN.replace('id = "wren"', 'id = "wren-b"').replace('duration = "30 min"', 'duration = "45 min"')
    + EFFECTIVITY
)
ORDERS = "order,product,option,quantity,due\nW1,wren,oak,2,2027-03-02\nW2,wren,oak,2,2027-03-03\nW3,wren,oak,1,2027-03-04\n"


def texts(old: str = "", new: str = "", orders: str = ORDERS) -> dict[str, str]:
    assert old in NEW
    return {**TEXTS, "products/wren-b.toml": NEW.replace(old, new, 1) if old else NEW, "orders.csv": orders}


def loaded(old: str = "", new: str = "") -> tuple[Works, Book]:
    some = texts(old, new)
    works = load_works(some)
    return works, load_book(some, works)


def made(works: Works, book: Book) -> dict[str, str]:
    """Every set with the product it is made as; planner and audit agree on it."""
    force = InForce(works, book)
    found = {f"{o.id}-{n}": force.product(o, n).id for o in book.orders for n in range(1, o.quantity + 1)}
    for order in book.orders:
        for n in range(1, order.quantity + 1):
            other = made_as(works, book, order=order, number=n)
            assert other is not None
            assert other.id == found[f"{order.id}-{n}"]
    return found


def new_ones(works: Works, book: Book) -> list[str]:
    return [name for name, product in made(works, book).items() if product == "wren-b"]


@pytest.mark.parametrize(
    ("since", "sets"),
    [
        ('from_set = "W2-2"', ["W2-2", "W3-1"]),
        ('from_order = "W2"', ["W2-1", "W2-2", "W3-1"]),
        ("from_date = 2027-03-03", ["W2-1", "W2-2", "W3-1"]),
        ("from_date = 2027-03-04", ["W3-1"]),
        ("from_date = 2028-01-01", []),
    ],
)
def test_a_revision_holds_from_its_set_on(since: str, sets: list[str]) -> None:
    assert new_ones(*loaded('from_set = "W2-2"', since)) == sets


def test_of_two_revisions_the_later_one_counts() -> None:
    third = NEW.replace("wren-b", "wren-c").replace('"B"', '"C"').replace('"W2-2"', '"W3-1"')
    some = {**texts(), "products/wren-c.toml": third}
    works = load_works(some)

    found = made(works, load_book(some, works))

    assert [found[s] for s in ("W1-1", "W2-2", "W3-1")] == ["wren", "wren-b", "wren-c"]


def test_what_has_begun_goes_on_as_it_was_begun() -> None:
    works, book = loaded()

    assert "W3-1" not in new_ones(works, replace(book, begun=(("W3-1", "wren"),)))


def test_what_has_begun_changes_where_the_revision_says_so() -> None:
    works, book = loaded('revision = "B"', 'revision = "B"\nhalf_made = "change"')

    assert "W3-1" in new_ones(works, replace(book, begun=(("W3-1", "wren"),)))


def planned(works: Works, book: Book) -> Schedule:
    times = process.durations(works)
    opening = works.factory.opening
    assert opening is not None
    schedule = plan.make_plan(works, book, times=times, now=int(opening.timestamp()), effort=4)
    body = plan.document(schedule, works)
    assert audit.verify(works, book, times=times, document=body) == ()
    return schedule


def test_the_plan_makes_both_and_says_which_is_which() -> None:
    works, book = loaded()

    schedule = planned(works, book)

    packed = {
        op.set: (op.revision, op.end - op.start)
        for op in schedule.operations
        if op.step == "pack" and not op.pieces
    }
    assert all(minutes == (45 if revision == "B" else 30) * 60 for revision, minutes in packed.values())
    assert {op.set for op in schedule.operations if op.revision == "B"} == {"W2-2", "W3-1"}
    assert "Wren: 2 sets are made to revision B, 3 as before" in [str(note) for note in schedule.notes]


def test_the_audit_tells_a_set_that_is_made_as_the_wrong_revision() -> None:
    works, book = loaded()
    body = plan.document(planned(works, book), works)
    for op in body["operations"]:
        if op["set"] == "W3-1":
            op["revision"] = None

    found = audit.verify(works, book, times=process.durations(works), document=body)

    assert {(v.rule, v.subject) for v in found} >= {
        ("identity", "W3-1.single/form"),
        ("identity", "W3-1.single/pack"),
    }


def tern_revision(more: str) -> tuple[Works, Book]:
    """Tern, a pair with shells, revised from its only order on."""
    tern = TEXTS["products/tern.toml"]
    new = (
        tern.replace('id = "tern"', 'id = "tern-2"', 1)
        + f'\n[effectivity]\nrevises = "tern"\nrevision = "2"\nfrom_order = "T1"\n{more}\n'
    )
    works = load_works({**TEXTS, "products/tern-2.toml": new})
    book = Book(
        (Order("T1", "tern", "ash", 1, date(2027, 3, 2)),),
        parts=(PartStock("tern", "ash", "shell", 1, None),),
    )
    return works, book


@pytest.mark.parametrize(
    ("more", "shells"),
    [
        ('half_made = "keep"', 2),
        ('half_made = "change"', 2),
        ('half_made = "change"\nmates_may_differ = true', 1),
    ],
)
def test_an_old_part_goes_into_a_new_half_only_where_that_is_stated(more: str, shells: int) -> None:
    works, book = tern_revision(more)

    schedule = planned(works, book)

    assert sum(op.step == "form" for op in schedule.operations) == shells
    assert {op.revision for op in schedule.operations} == {"2"}


@pytest.mark.parametrize(
    ("old", "new", "field"),
    [
        ('from_set = "W2-2"', "", "effectivity"),
        ('from_set = "W2-2"', 'from_set = "W2-2"\nfrom_order = "W2"', "effectivity"),
        ('from_set = "W2-2"', 'from_set = "W2"', "effectivity.from_set"),
        ('from_set = "W2-2"', 'from_set = "W2-0"', "effectivity.from_set"),
        ('revises = "wren"', 'revises = "wran"', "effectivity.revises"),
        ('revises = "wren"', 'revises = "wren-b"', "effectivity.revises"),
        ('revision = "B"', 'revision = ""', "effectivity.revision"),
        ('revision = "B"', 'revision = "B"\nhalf_made = "burn"', "effectivity.half_made"),
        ('revision = "B"', 'revision = "B"\nmates = "differ"', "effectivity.mates"),
        ("[options.oak]", "[options.elm]", "options"),
        ('root = "body"', 'root = "trunk"', "root"),
    ],
)
def test_an_effectivity_that_says_nothing_sound_is_refused(old: str, new: str, field: str) -> None:
    some = texts(old, new)
    if old.startswith("root"):
        some["products/wren-b.toml"] = (
            some["products/wren-b.toml"].replace("[body]", "[trunk]").replace("[[body.", "[[trunk.")
        )

    with pytest.raises(InputError) as told:
        load_works(some)

    assert field in {p.field for p in told.value.problems}, [p.line() for p in told.value.problems]
    assert all(p.where.startswith("products/wren-b.toml") for p in told.value.problems)


@pytest.mark.parametrize(
    ("old", "new", "orders", "field"),
    [
        ('"W2-2"', '"W9-1"', ORDERS, "effectivity.from_set"),
        ('"W2-2"', '"W2-3"', ORDERS, "effectivity.from_set"),
        ('from_set = "W2-2"', 'from_order = "W9"', ORDERS, "effectivity.from_order"),
        ("", "", ORDERS.replace("W1,wren,", "W1,wren-b,"), "W1: product"),
    ],
)
def test_an_order_book_that_does_not_fit_a_revision_is_refused(
    old: str, new: str, orders: str, field: str
) -> None:
    some = texts(old, new, orders)
    works = load_works(some)

    with pytest.raises(InputError) as told:
        load_book(some, works)

    assert [p.field for p in told.value.problems] == [field]


def test_two_revisions_of_one_name_are_refused() -> None:
    some = {**texts(), "products/wren-c.toml": NEW.replace("wren-b", "wren-c")}

    with pytest.raises(InputError, match="revision"):
        load_works(some)
