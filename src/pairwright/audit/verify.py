"""The audit of a plan document against the works: every rule, by name."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, Final

from pairwright.audit import capacity, contents, flow, shared
from pairwright.audit.case import Case
from pairwright.audit.claims import claims
from pairwright.audit.expected import expect
from pairwright.audit.reading import Violation, read_moment, read_operations
from pairwright.base.words import text
from pairwright.works.definition import Works
from pairwright.works.orders import Book
from pairwright.works.steptime import StepTime

RULES: Final[tuple[str, ...]] = (
    "unreadable", "unknown", "complete", "identity", "station", "duration", "earliest", "sequence",
    "transport", "least_wait", "longest_wait", "calendar", "pause", "maintenance", "unit", "batch",
    "line", "setup", "crew", "skill", "carrier", "held", "buffer", "mates_batch", "mates_within",
    "assembly", "claims",
)  # fmt: skip

_CHECKS: Final[tuple[Callable[[Case], Iterable[Violation]], ...]] = (
    contents.complete, contents.station, contents.duration, contents.earliest,
    flow.sequence, flow.overlap, flow.assembly, flow.held, flow.mates,
    capacity.calendar, capacity.maintenance, capacity.units, capacity.batches, capacity.lines,
    capacity.setups, shared.crews, shared.carriers, shared.buffers,
)  # fmt: skip


def verify(
    works: Works, book: Book, *, times: Sequence[StepTime], document: Mapping[str, Any]
) -> tuple[Violation, ...]:
    """Every violation of the rules of a plan (docs/rules-of-a-plan.md).

    Parameters
    ----------
    works, book, times
        The definition, the orders with stock, and the durations that the plan was made for.
    document
        The plan as `plan --json` prints it. Whatever cannot be read is a violation of `unreadable`.
    """
    now = read_moment(document.get("now"))
    if now is None:
        return (Violation("unreadable", "plan", text("now must be an ISO time with offset")),)
    operations, violations = read_operations(document)
    expected = expect(works, book, times)
    sound = []
    for op in operations:
        faults = list(contents.known(works, expected, op=op))
        if not faults:
            faults = list(contents.identity(expected, op))
        violations.extend(faults)
        if not faults:
            sound.append(op)
    case = Case(works, expected, now, sound)
    for check in _CHECKS:
        violations.extend(check(case))
    violations.extend(claims(case, document))
    return tuple(violations)
