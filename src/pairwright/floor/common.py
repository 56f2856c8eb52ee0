"""What happens alike to items, lots and sets: holds, nonconformances, steps, readings."""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

from pairwright.base.findings import Finding
from pairwright.base.words import text
from pairwright.floor.event import Entry
from pairwright.floor.things import Common, Done, Hold, Input, Look, Reading, Trouble, Under, Worked, after

C = TypeVar("C", bound=Common)
W = TypeVar("W", bound=Worked)

WHOLE = "whole"  # the zone of an inspection that names none


def hold(thing: C, entry: Entry) -> C:
    """Put a stop on a thing."""
    event = entry.event
    reason = event.data.get("reason") or event.data.get("nonconformance", "")
    stop = Hold(event.key, reason, event.event_time, event.actor, event.data.get("nonconformance"))
    return after(thing, holds=(*thing.holds, stop))


def free(thing: C, entry: Entry) -> tuple[C, Finding | None]:
    """Lift a hold: a named one, or all that are on this very thing."""
    named = entry.event.data.get("hold")
    if named is None:
        if not thing.holds:
            return thing, Finding(
                "nothing_held", "error", thing.id,
                text("there is no hold on {id} itself: name the hold that reaches it", id=thing.id),
            )  # fmt: skip
        return after(thing, holds=()), None
    left = tuple(stop for stop in thing.holds if stop.key != named)
    if len(left) < len(thing.holds):
        return after(thing, holds=left), None
    return after(thing, cleared=(*thing.cleared, named)), None


def report(thing: C, entry: Entry) -> C:
    """Open a nonconformance; its id is the one given, else the key of the event."""
    event = entry.event
    data = event.data
    trouble = Trouble(
        id=data.get("nonconformance", event.key), opened=entry.sequence,
        what=data.get("defect") or data.get("text", ""), step=data.get("step"), zone=data.get("zone"),
        photograph=data.get("photograph"),
    )  # fmt: skip
    others = tuple(one for one in thing.troubles if one.id != trouble.id)
    return after(thing, troubles=(*others, trouble))


def dispose(thing: C, entry: Entry) -> C:
    """Decide a nonconformance; one that was never reported is opened and decided at once."""
    event = entry.event
    data = event.data
    name, what = data["nonconformance"], data["disposition"]
    before = next((one for one in thing.troubles if one.id == name), None)
    opened = before or Trouble(name, entry.sequence, data.get("reason", ""))
    decided = replace(
        opened,
        disposition=what,
        to_step=data.get("to_step"),
        authority=data["authority"],
        decided=entry.sequence,
    )
    others = tuple(one for one in thing.troubles if one.id != name)
    thing = after(thing, troubles=(*others, decided))
    if what == "hold":
        return hold(thing, entry)
    return after(thing, holds=tuple(stop for stop in thing.holds if stop.nonconformance != name))


def send_back(worked: W, entry: Entry) -> W:
    """Rework and repair: the steps from the one named on no longer count, and tests are due again."""
    step = entry.event.data.get("to_step")
    done = worked.done
    places = [n for n, one in enumerate(done) if one.step == step and not one.stale]
    if places:
        done = (*done[: places[-1]], *(replace(one, stale=True) for one in done[places[-1] :]))
    return after(worked, done=done, to_step=step, under=None, changed=entry.sequence)


def start(worked: W, entry: Entry) -> tuple[W, Finding | None]:
    """A step begins."""
    event = entry.event
    data = event.data
    slip = _again(worked, data["step"])
    if worked.under is not None:
        slip = Finding(
            "step_open", "error", worked.id,
            text("{id} is in step {step} since {time}: finish that first",
                 id=worked.id, step=worked.under.step, time=_when(worked.under.since)),
        )  # fmt: skip
    under = Under(
        data["step"], event.event_time, event.station, event.actor, data.get("programme"), data.get("batch"),
        data.get("carrier"), event.key,
    )  # fmt: skip
    moved = after(
        worked, under=under, station=event.station or worked.station, place=None,
        carrier=data.get("carrier", worked.carrier), batch=data.get("batch", worked.batch),
    )  # fmt: skip
    return use(moved, entry), slip


def finish(worked: W, entry: Entry) -> tuple[W, Finding | None]:
    """A step ends; its start may be unknown, where only the end was written down."""
    event = entry.event
    data = event.data
    step, under, slip = data["step"], worked.under, None
    if under is not None and under.step != step:
        slip = Finding(
            "step_open", "error", worked.id,
            text("{id} is in step {step}, not in {other}: finish the step it is in",
                 id=worked.id, step=under.step, other=step),
        )  # fmt: skip
        under = None
    elif under is None:
        slip = _again(worked, step)
    one = Done(
        step, None if under is None else under.since, event.event_time,
        event.station or (under.station if under else None), event.actor,
        data.get("programme", under.programme if under else None),
        data.get("batch", under.batch if under else None),
        data.get("carrier", under.carrier if under else None), event.key, entry.sequence,
        aside=worked.to_step not in (None, step),
    )  # fmt: skip
    moved = after(
        worked, under=None, done=(*worked.done, one), station=event.station or worked.station,
        to_step=None if worked.to_step == step else worked.to_step,
        carrier=data.get("carrier", worked.carrier), batch=data.get("batch", worked.batch),
    )  # fmt: skip
    return use(moved, entry), slip


def _again(worked: Worked, step: str) -> Finding | None:
    if all(one.stale or one.aside or one.step != step for one in worked.done):
        return None
    return finished_already(worked, step)


def finished_already(worked: Worked, step: str) -> Finding:
    """What is said of a step that has been done."""
    return Finding(
        "step_finished", "error", worked.id,
        text("step {step} of {id} is finished already: go on to the next, or ask for rework",
             id=worked.id, step=step),
    )  # fmt: skip


def _when(seconds: int) -> str:
    from pairwright.base.time import utc_iso

    return utc_iso(seconds)[:16] + "Z"


def use(worked: W, entry: Entry) -> W:
    """Note what went in; the same item named at start and finish went in once."""
    given = entry.event.data.get("inputs", ())
    if not given:
        return worked
    had = {one.id for one in worked.inputs if one.kind != "lot" and one.quantity is None}
    found = list(worked.inputs)
    for one in given:
        kind = next(name for name in ("lot", "item", "id") if name in one)
        if one[kind] in had:
            continue
        found.append(
            Input(one[kind], kind, one.get("quantity"), one.get("unit"), entry.event.data["step"],
                  entry.event.key, entry.sequence)
        )  # fmt: skip
    return after(worked, inputs=tuple(found))


def reading(entry: Entry) -> Reading:
    """A measurement as the thing keeps it."""
    event = entry.event
    data = event.data
    return Reading(
        data["characteristic"], data.get("value"), data.get("attachment"), data.get("instrument"),
        data.get("limit_revision"), event.event_time, event.actor, event.key, entry.sequence,
    )  # fmt: skip


def latest(readings: tuple[Reading, ...], one: Reading) -> tuple[Reading, ...]:
    """The readings with one more; an earlier one of its characteristic gives way."""
    return (*(r for r in readings if r.characteristic != one.characteristic), one)


def measure(worked: W, entry: Entry) -> W:
    """A characteristic was measured."""
    return after(worked, readings=latest(worked.readings, reading(entry)), measured=entry.sequence)


def inspect(worked: W, entry: Entry) -> W:
    """A zone was looked over; a defect opens a nonconformance."""
    event = entry.event
    data = event.data
    zone = data.get("zone", WHOLE)
    look = Look(
        zone, bool(data.get("clear")), data.get("defect"), data.get("size"), event.event_time, event.actor,
        event.key, entry.sequence,
    )  # fmt: skip
    worked = after(worked, looks=(*(one for one in worked.looks if one.zone != zone), look))
    return worked if look.clear else report(worked, entry)


def worked_on(worked: W, entry: Entry) -> tuple[W, Finding | None] | None:
    """What happens alike to items and sets; None where it is something else."""
    match entry.event.kind:
        case "started":
            return start(worked, entry)
        case "finished":
            return finish(worked, entry)
        case "measured":
            return measure(worked, entry), None
        case "inspected":
            return inspect(worked, entry), None
        case "reported":
            return report(worked, entry), None
        case "held":
            return hold(worked, entry), None
        case "freed":
            return free(worked, entry)
        case _:
            return None
