"""Acts of whoever decides: rework, repair, concession, scrap, hold, free; and taking an entry back."""

from __future__ import annotations

from typing import Any, Final

from pairwright.app.acting_case import Case, Refused
from pairwright.base.findings import Finding
from pairwright.base.time import iso
from pairwright.base.words import text
from pairwright.floor.qualification import may_do
from pairwright.floor.things import Common, Item, Lot, Set, Worked
from pairwright.reports.trouble import back_to

DECIDING: Final = "deciding"  # the skill of an authority; a works that records nobody for it asks for none


def rework(case: Case) -> None:
    """Back to a step, with all after it done again; `repair` when it need not be as new."""
    thing = case.one()
    step = case.act.data.get("to_step") or case.act.step
    if step is None:
        step = _repaired(case, thing) if case.act.name == "repair" else None
        step = step or _usual_way(case, thing)
    if case.act.name == "rework" and step is None:
        raise Refused(
            Finding(
                "step_missing", "error", thing.id,
                text("say to which step {id} goes back", id=thing.id),
            )
        )  # fmt: skip
    _dispose(case, thing, disposition=case.act.name, to_step=step)


def _repaired(case: Case, thing: Worked) -> str | None:
    """The step that a spot repair comes back to: the one it names for the product, else the inspection."""
    position = case.position(thing)
    if position is None:
        return None
    factory = case.routes.works.factory
    for trouble in reversed(thing.troubles):
        defect = factory.defects.get(trouble.what)
        repair = None if defect is None or defect.repair is None else factory.repairs.get(defect.repair)
        if repair is not None and trouble.open:
            return back_to(position, repair)
    return None


def _usual_way(case: Case, thing: Worked) -> str | None:
    """The step that the route names for rework, of the step in work or of the last one done."""
    position = case.position(thing)
    if position is None:
        return None
    names = [thing.under.step] if thing.under is not None else []
    names += [one.step for one in thing.troubles if one.open and one.step is not None]
    names += [position.last[0].id] if position.last is not None else []
    for name in names:
        index = position.index_of(name)
        step = None if index is None else position.steps[index]
        if step is not None and step.rework is not None:
            return step.rework.to
    return None


def concede(case: Case) -> None:
    """It may stay as it is, for a reason, by an authority."""
    _dispose(case, case.one(), disposition="concession", to_step=None)


def scrap(case: Case) -> None:
    """It is lost: an item, or a lot or so much of it."""
    things: list[Common] = [*case.worked(), *(s.thing for s in case.scans if isinstance(s.thing, Lot))]
    if not things:
        raise Refused(case.nothing())
    _dispose(case, things[0], disposition="scrap", to_step=None)


def _dispose(case: Case, thing: Common, *, disposition: str, to_step: str | None) -> None:
    data = case.act.data
    authority = str(data.get("authority") or case.actor)
    slip = may_do(case.state, authority, skill=DECIDING, day=iso(case.at, case.routes.works.zone)[:10])
    if slip is not None:
        raise Refused(
            Finding(
                "not_qualified", "error", authority,
                text("{person} may not decide on {disposition}: ask somebody who may",
                     person=authority, disposition=disposition),
            )
        )  # fmt: skip
    trouble = data.get("nonconformance") or next(
        (one.id for one in reversed(thing.troubles) if one.open), None
    )
    reason = data.get("reason") or data.get("text")
    if trouble is None:
        trouble = f"{case.act.key}.found"
        step = thing.under.step if isinstance(thing, Worked) and thing.under is not None else None
        case.add("reported", (thing.kind, thing.id), text=str(reason or disposition), nonconformance=trouble,
                 step=step, defect=data.get("defect"), photograph=data.get("photograph"))  # fmt: skip
    case.add(
        "disposed", (thing.kind, thing.id), nonconformance=trouble, disposition=disposition, to_step=to_step,
        authority=authority, reason=reason, quantity=data.get("quantity") if isinstance(thing, Lot) else None,
    )  # fmt: skip


def hold(case: Case) -> None:
    """Nothing may be done to a thing, nor to what is made of it, until somebody decides."""
    kind, name = _any(case)
    data: dict[str, Any] = {
        "reason": case.act.data.get("reason") or case.act.data.get("text"),
        "nonconformance": case.act.data.get("nonconformance"),
    }
    if data["reason"] is None:
        raise Refused(_no_reason(name))
    case.add("held", (kind, name), **data)


def free(case: Case) -> None:
    """A hold is lifted, for a reason."""
    kind, name = _any(case)
    reason = case.act.data.get("reason") or case.act.data.get("text")
    if reason is None:
        raise Refused(_no_reason(name))
    case.add("freed", (kind, name), reason=reason, hold=case.act.data.get("hold"))


def undo(case: Case) -> None:
    """What was just recorded did not occur: a correction says so, the entry stays readable."""
    case.add("corrected", None, event=case.act.data.get("event"), reason="did_not_occur",
             explanation=case.act.data.get("text"))  # fmt: skip


def _no_reason(name: str) -> Finding:
    return Finding(
        "reason_missing", "error", name,
        text("say why: whoever reads about {id} later has only the record", id=name),
    )  # fmt: skip


def _any(case: Case) -> tuple[str, str]:
    for scan in case.scans:
        if isinstance(scan.thing, Item | Lot | Set):
            return scan.thing.kind, scan.thing.id
    raise Refused(case.nothing())
