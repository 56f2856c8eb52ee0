"""Rules of what the floor says: `begun` (facts lie where they lie), `away` (nobody uses what is not there)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from pairwright.audit.case import Case
from pairwright.audit.reading import Violation
from pairwright.base.words import Amount, text


def begun(case: Case, facts: Mapping[str, tuple[int, int]]) -> Iterator[Violation]:
    """`begun`: what has begun (with its setup, where it has one) lies where the facts say, and did begin."""
    by_id = {op.id: op for op in case.ops}
    for name, (start, end) in sorted(facts.items()):
        op = by_id.get(name)
        if op is None or (op.start, op.end) != (start, end):
            yield Violation(
                "begun",
                name,
                text(
                    "began {start} and ends {end}, which the plan does not say",
                    start=Amount(start, "instant"),
                    end=Amount(end, "instant"),
                ),
            )
        elif min(start, op.setup_start or start) >= case.now:
            yield Violation("begun", name, text("has not begun by now"))


def away(case: Case) -> Iterator[Violation]:
    """`away`: nothing is begun or worked with the tooling of a setup family while that is away."""
    for one in case.away:
        if one.count:
            continue  # carriers are counted with those in use, under `carrier`
        for op in case.ops:
            if op.id in case.begun or case.step(op).setup != one.name:
                continue
            if op.start < one.end and one.start < op.end:
                yield Violation(
                    "away",
                    op.id,
                    text(
                        "needs {family}, which is away until {end}",
                        family=one.name,
                        end=Amount(one.end, "instant"),
                    ),
                )
