"""The audit of a plan document against the works: every rule, by name."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, Final

from pairwright.audit import capacity, contents, flow, shared
from pairwright.audit.begun import away as kept_away
from pairwright.audit.begun import begun as as_begun
from pairwright.audit.case import Away, Case
from pairwright.audit.claims import claims
from pairwright.audit.expected import expect
from pairwright.audit.material import materials
from pairwright.audit.reading import Violation, read_moment, read_operations
from pairwright.audit.tools import changes_of, tools
from pairwright.base.words import text
from pairwright.works.definition import Works
from pairwright.works.need import MaterialNeed
from pairwright.works.orders import Book
from pairwright.works.steptime import StepTime

RULES: Final[tuple[str, ...]] = (
    "unreadable", "unknown", "complete", "identity", "station", "duration", "earliest", "sequence",
    "transport", "least_wait", "longest_wait", "calendar", "pause", "maintenance", "unit", "batch",
    "line", "setup", "crew", "skill", "carrier", "held", "buffer", "mates_batch", "mates_within",
    "assembly", "claims", "material", "pot", "tool",
    "begun", "away",
)  # fmt: skip

_CHECKS: Final[tuple[Callable[[Case], Iterable[Violation]], ...]] = (
    contents.complete, contents.station, contents.duration, contents.earliest,
    flow.sequence, flow.overlap, flow.assembly, flow.held, flow.mates,
    capacity.calendar, capacity.maintenance, capacity.units, capacity.batches, capacity.lines,
    capacity.setups, shared.crews, shared.carriers, shared.buffers, tools,
)  # fmt: skip


def verify(
    works: Works,
    book: Book,
    *,
    times: Sequence[StepTime],
    document: Mapping[str, Any],
    needs: Sequence[MaterialNeed] = (),
    begun: Mapping[str, tuple[int, int]] | None = None,
    away: Sequence[Away] = (),
) -> tuple[Violation, ...]:
    """Every violation of the rules of a plan (docs/rules-of-a-plan.md).

    Parameters
    ----------
    works, book, times
        The definition, the orders with stock, and the durations that the plan was made for.
    document
        The plan as `plan --json` prints it. Whatever cannot be read is a violation of `unreadable`.
    needs
        What every step uses up; without them, or where the plan says that it does not count material,
        `material` and `pot` are not judged.
    begun
        Facts of the floor: start and end of what has begun by now, UTC [s]. They must be in the plan as
        they are; what they do by themselves is no fault of the plan, what it puts beside them is.
        None: what the document itself lists as `begun`.
    away
        Carriers and tooling that are not there for a while.
    """
    now = read_moment(document.get("now"))
    if now is None:
        return (Violation("unreadable", "plan", text("now must be an ISO time with offset")),)
    operations, violations = read_operations(document)
    stated = document.get("covered")
    covered = None if not isinstance(stated, list) else [str(item) for item in stated]
    expected = expect(works, book, times, covered)
    sound = []
    for op in operations:
        faults = list(contents.known(works, expected, op=op))
        if not faults:
            faults = list(contents.identity(expected, op))
        violations.extend(faults)
        if not faults:
            sound.append(op)
    changes, faults = changes_of(document)
    violations.extend(faults)
    facts = dict(_begun_of(document) if begun is None else begun)
    case = Case(works, expected, now, sound, changes, frozenset(facts), tuple(away))
    for check in _CHECKS:
        violations.extend(check(case))
    violations.extend(claims(case, document))
    violations.extend(as_begun(case, facts))
    violations.extend(kept_away(case))
    to_come = Case(works, expected, now, [op for op in sound if op.id not in facts], changes)
    violations.extend(materials(to_come, document, book=book, needs=needs))
    return tuple(violations)


def _begun_of(document: Mapping[str, Any]) -> Mapping[str, tuple[int, int]]:
    """What a plan says had begun when it was made."""
    found: dict[str, tuple[int, int]] = {}
    rows = document.get("begun")
    for name, row in rows.items() if isinstance(rows, Mapping) else ():
        times = [read_moment(at) for at in row] if isinstance(row, list) and len(row) == 2 else []
        if len(times) == 2 and times[0] is not None and times[1] is not None:
            found[str(name)] = (times[0], times[1])
    return found
