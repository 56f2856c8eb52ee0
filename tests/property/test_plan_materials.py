"""Whatever works, stock and purchases: a plan that counts material keeps every rule, and says why it waits."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from pairwright import audit
from pairwright.base.time import DAY
from pairwright.plan import Planner, Schedule, document, from_document, make_plan, plan_like, supplied_plan
from pairwright.works.definition import Works
from pairwright.works.material import Article
from pairwright.works.need import MaterialNeed
from pairwright.works.orders import Book, Lot, Purchase
from tests.property.random_works import Drawn, drawn_works
from tests.unit.plan.builder import MONDAY, NOW, times_of


@st.composite
def stocked(draw: st.DrawFn) -> tuple[Works, Book, tuple[MaterialNeed, ...]]:
    """A random works, of which some steps use up two materials that are partly there."""
    drawn: Drawn = draw(drawn_works())
    steps = [
        (product, option, part, step.id)
        for (product, option), variant in drawn.works.variants.items()
        for part, record in variant.parts.items()
        for step in record.steps
    ]
    day = st.integers(0, 20).map(lambda n: MONDAY + timedelta(days=n))
    amount = st.integers(1, 6).map(float)
    materials: dict[str, Any] = {}
    lots: list[Lot] = []
    coming: list[Purchase] = []
    needs: list[MaterialNeed] = []
    for name in ("bolt", "felt"):
        lead = draw(st.sampled_from([None, "2 d", "12 d"]))
        table = {"kind": "article", "name": name, "source": "works", **({"lead_time": lead} if lead else {})}
        materials[name] = Article.model_validate(table)
        for quantity, until in draw(st.lists(st.tuples(amount, st.one_of(st.none(), day)), max_size=3)):
            lots.append(Lot(f"L{len(lots)}", name, quantity, expiry=until))
        for quantity, arrives in draw(st.lists(st.tuples(amount, day), max_size=2)):
            coming.append(Purchase(f"P{len(coming)}", name, quantity, arrives))
        for step in draw(st.lists(st.sampled_from(steps), max_size=3, unique=True)):
            needs.append(MaterialNeed(*step, name, draw(st.sampled_from([0.5, 1.0, 2.0]))))
    book = replace(drawn.book, lots=tuple(lots), purchases=tuple(coming))
    return replace(drawn.works, materials=materials), book, tuple(needs)


def planned(works: Works, book: Book, needs: tuple[MaterialNeed, ...]) -> Schedule:
    times = times_of(works)

    def made(ready: Any, effort: int = 4) -> Schedule:
        return make_plan(works, book, times=times, now=NOW, effort=effort, ready=ready)

    planner = Planner(
        first=lambda ready: made(ready, 1),
        full=made,
        again=lambda like, ready: plan_like(works, book, like=like, times=times, now=NOW, ready=ready),
    )
    return supplied_plan(works, book, needs=needs, now=NOW, planner=planner)


@settings(max_examples=40, deadline=None)
@given(stocked())
def test_no_operation_begins_without_its_material_and_every_rule_is_kept(
    drawn: tuple[Works, Book, tuple[MaterialNeed, ...]],
) -> None:
    works, book, needs = drawn

    schedule = planned(works, book, needs)

    if schedule.status not in ("optimal", "feasible"):
        return
    body = document(schedule, works)
    found = audit.verify(works, book, times=times_of(works), document=body, needs=needs)
    assert [f"{v.rule} {v.subject}: {v.text}" for v in found] == []
    assert document(from_document(body), works) == body
    assert schedule.supply is not None
    starts = {op.id: op.start for op in schedule.operations}
    assert all(starts[name] >= at for name, at in schedule.ready.items())
    assert all(starts[w.operation] >= w.until > NOW for w in schedule.supply.waits)
    assert max((at for at in schedule.ready.values()), default=NOW) <= NOW + 21 * DAY


@settings(max_examples=10, deadline=None)
@given(stocked())
def test_material_makes_the_same_plan_twice(drawn: tuple[Works, Book, tuple[MaterialNeed, ...]]) -> None:
    assert document(planned(*drawn), drawn[0]) == document(planned(*drawn), drawn[0])
