"""Spot repairs as steps: a short way off the route, spliced in before the step that it comes back to."""

from __future__ import annotations

from collections.abc import Mapping

from pairwright.floor.things import Trouble, Worked
from pairwright.works.definition import Works
from pairwright.works.inspection import Repair
from pairwright.works.product import Alternative, Step, WorkStep


def line_id(repair: str, number: int) -> str:
    """The name of a line of a repair as events have it: ``rub-out.1``.

    Parameters
    ----------
    repair : str
        Id of the repair.
    number : int
        Of the line, from 1. [-]

    Examples
    --------
    >>> line_id("rub-out", 1)
    'rub-out.1'
    """
    return f"{repair}.{number}"


def repair_steps(works: Works) -> Mapping[str, tuple[Step, ...]]:
    """The lines of every repair of a works, as steps.

    Parameters
    ----------
    works : Works
        The definition.
    """
    return {name: _steps(name, repair) for name, repair in works.factory.repairs.items()}


def _steps(name: str, repair: Repair) -> tuple[Step, ...]:
    return tuple(
        WorkStep.model_construct(
            id=line_id(name, number), kind="finish", name=line.name,
            stations=(Alternative(station=line.station),), duration=line.duration, skill=line.skill,
            handling=line.handling, cautions=repair.cautions, next_min=line.next_min,
        )
        for number, line in enumerate(repair.steps, 1)
    )  # fmt: skip


def repair_due(works: Works, thing: Worked) -> tuple[str, Trouble] | None:
    """The spot repair that was decided on and that a thing is sent back with; None where there is none.

    Parameters
    ----------
    works : Works
        The definition.
    thing : Worked
        An item, or a set.
    """
    if thing.to_step is None:
        return None
    decided = [one for one in thing.troubles if one.disposition == "repair" and one.to_step == thing.to_step]
    for trouble in sorted(decided, key=lambda one: -(one.decided or 0)):
        defect = works.factory.defects.get(trouble.what)
        if defect is not None and defect.repair in works.factory.repairs:
            return defect.repair, trouble
    return None
