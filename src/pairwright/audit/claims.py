"""Rule `claims`: what a plan says of itself agrees with its operations."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from pairwright.audit.case import Case
from pairwright.audit.expected import due_moment
from pairwright.audit.reading import Violation, read_moment
from pairwright.base.errors import shown
from pairwright.base.words import Amount, Text, text


def claims(case: Case, document: Mapping[str, Any]) -> Iterator[Violation]:
    """Completion, lateness, objective, bound and gap, computed again from the operations."""
    completion: dict[str, int] = {}
    for op in case.ops:
        completion[op.order] = max(completion.get(op.order, 0), op.end)
    orders = {h[0].order.id: h[0].order for h in case.expected.sets.values()}
    tardiness = 0.0
    stated = document.get("orders")
    rows = {r.get("order"): r for r in stated if isinstance(r, Mapping)} if isinstance(stated, list) else {}
    for name, order in orders.items():
        due, done = due_moment(case.works, order), completion.get(name, case.now)
        late = max(0, done - due)
        tardiness += order.weight * late
        row = rows.get(name)
        if row is None:
            yield _claim(name, text("the order is not listed"))
            continue
        for field, must in (("due", due), ("completion", done)):
            got = read_moment(row.get(field))
            if got != must:
                yield _claim(
                    name,
                    text(
                        "{field} is {must}, the plan says {got}",
                        field=field,
                        must=Amount(must, "instant"),
                        got=shown(row.get(field)),
                    ),
                )
        if row.get("late") != late:
            yield _claim(
                name, text("late is {must}, the plan says {got}", must=late, got=shown(row.get("late")))
            )
    end = max((op.end for op in case.ops), default=case.now)
    if read_moment(document.get("makespan_end")) != end:
        yield _claim("plan", text("the last end is {must}", must=Amount(end, "instant")))
    kind = document.get("objective_kind")
    value = {"service": tardiness, "makespan": float(end - case.now)}.get(str(kind))
    yield from _objective(document, value, kind)
    if document.get("revision") != case.works.revision:
        yield _claim("plan", text("it was made for another revision of the works"))


def _objective(document: Mapping[str, Any], value: float | None, kind: object) -> Iterator[Violation]:
    if value is None:
        yield _claim("plan", text("there is no objective {kind}", kind=shown(kind)))
        return
    stated, bound, gap = (document.get(k) for k in ("objective", "lower_bound", "gap"))
    if not _number(stated) or abs(stated - value) > 0.5:  # type: ignore[operator]
        yield _claim(
            "plan", text("the objective is {must}, the plan says {got}", must=value, got=shown(stated))
        )
    if not _number(bound) or bound > value + 0.5:  # type: ignore[operator]
        yield _claim("plan", text("the bound {bound} is not below the objective", bound=shown(bound)))
        return
    must = None if bound == 0 else (value - bound) / bound  # type: ignore[operator]
    agree = gap is None if must is None else _number(gap) and abs(gap - must) < 1e-3  # type: ignore[operator]
    if not agree:
        yield _claim("plan", text("the gap does not follow from objective and bound"))


def _number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _claim(subject: str, message: Text) -> Violation:
    return Violation("claims", subject, message)
