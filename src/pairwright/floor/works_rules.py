"""What a works adds to the rules that hold everywhere, as rules that the record's writer can apply."""

from __future__ import annotations

from collections.abc import Iterator

from pairwright.base.findings import Finding
from pairwright.floor.carriers import carrier_free
from pairwright.floor.event import Event
from pairwright.floor.open_time import in_time
from pairwright.floor.programme_rules import right_programme
from pairwright.floor.qualification import qualified_for
from pairwright.floor.routes import Routes
from pairwright.floor.sequence import in_sequence, in_step
from pairwright.floor.state import State
from pairwright.floor.taking_in import right_inputs
from pairwright.floor.weighing import Rule


def rules_of(routes: Routes) -> tuple[Rule, ...]:
    """The rules of a works.

    A thing whose product and part nobody has recorded is judged by the general rules alone.

    Parameters
    ----------
    routes : Routes
        Its routes, with the shortest times and the materials of their steps.
    """

    def rule(state: State, event: Event) -> tuple[Finding, ...]:
        return tuple(_all(routes, state, event))

    return (rule,)


def _all(routes: Routes, state: State, event: Event) -> Iterator[Finding]:
    for one in (in_sequence, in_time, in_step, right_programme, qualified_for, right_inputs, carrier_free):
        yield from one(routes, state, event)
