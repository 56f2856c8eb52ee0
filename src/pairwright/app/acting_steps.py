"""Acts of making: start, finish, measure, inspect, report a problem, put into a buffer."""

from __future__ import annotations

from typing import Any, Final

from pairwright.app.acting_case import Case, Refused, step_data, step_of, subjects_and_inputs
from pairwright.app.acting_scans import Scan
from pairwright.base.findings import Finding
from pairwright.base.time import iso
from pairwright.base.words import text
from pairwright.floor.routes import mate_of
from pairwright.floor.things import Item, Lot, Worked
from pairwright.reports.cosmetic import judge_defect

MEASURED: Final = ("characteristic", "value", "unit", "attachment", "limit_revision", "verdict", "batch")
SEEN: Final = ("zone", "defect", "size", "photograph", "clear", "text")
REPORTED: Final = ("text", "defect", "photograph", "nonconformance")


def start(case: Case) -> None:
    """A step begins, on one thing or on several that share a station."""
    if case.act.begun is not None:
        _begin(case)
        return
    subjects, inputs = subjects_and_inputs(case)
    batch = _batch(case, subjects)
    for number, thing in enumerate(subjects):
        if thing.under is not None:
            raise Refused(_open(thing))
        data = step_data(case, thing, inputs=inputs if number == 0 else ())
        case.add("started", (thing.kind, thing.id), **{**({"batch": batch} if batch else {}), **data})


def _open(thing: Worked) -> Finding:
    return Finding(
        "step_open", "error", thing.id,
        text("{id} is in step {step} already: finish that first",
             id=thing.id, step="" if thing.under is None else thing.under.step),
    )  # fmt: skip


def _batch(case: Case, subjects: list[Worked]) -> str | None:
    """The charge of a batch station: the mate's where it is in already, else a new one."""
    station = case.routes.works.factory.stations.get(case.station or "")
    if station is None or station.kind != "batch" or "batch" in case.act.data or case.of_kind("batch"):
        return None
    for thing in subjects:
        mate = mate_of(case.state, thing) if isinstance(thing, Item) else None
        if mate is not None and mate.under is not None and mate.under.station == case.station:
            return mate.under.batch
    return f"{case.station}-{iso(case.at, case.routes.works.zone)[:16].translate(_PLAIN)}"


_PLAIN: Final = str.maketrans({"-": None, ":": None, "T": "-"})


def _begin(case: Case) -> None:
    """An item gets its identity and its first step begins."""
    begun = case.act.begun
    fresh = [one for one in case.scans if one.thing is None and one.kind in ("unknown", "item")]
    if begun is None or not fresh:
        raise Refused(_no_label(case))
    facts: dict[str, Any] = {
        "product": begun.product, "option": begun.option, "part": begun.part, "side": begun.side,
        "set": begun.set, "order": begun.order,
    }  # fmt: skip
    label: Scan = fresh[0]
    case.add("registered", ("item", label.id), what="item", **facts)
    item = Item(label.id, "item", 0, 0, product=begun.product, option=begun.option, part=begun.part,
                side=begun.side, set=begun.set)  # fmt: skip
    data = step_data(case, item, inputs=[one for one in case.worked() if isinstance(one, Item)])
    case.add("started", ("item", label.id), **data)


def _no_label(case: Case) -> Finding:
    known = case.worked()
    if known:
        return Finding(
            "label_used", "error", known[0].id,
            text("{id} is known already: take a new label for a new piece", id=known[0].id),
        )  # fmt: skip
    return case.nothing()


def finish(case: Case) -> None:
    """A step ends; where it goes into a buffer, that is recorded too."""
    subjects, inputs = subjects_and_inputs(case)
    for number, thing in enumerate(subjects):
        data = step_data(case, thing, inputs=inputs if number == 0 else ())
        case.add("finished", (thing.kind, thing.id), **data)
    buffer = case.act.data.get("buffer")
    for thing in subjects if buffer is not None else ():
        case.add("moved", (thing.kind, thing.id), buffer=buffer)


def measure(case: Case) -> None:
    """A characteristic of an item, a set, a lot or a place."""
    data = {name: case.act.data[name] for name in MEASURED if name in case.act.data}
    tools = case.of_kind("instrument")
    instrument = tools[0].id if tools else case.act.data.get("instrument")
    case.add("measured", _subject(case), instrument=instrument, **data)


def inspect(case: Case) -> None:
    """A zone was looked over: clear, or with a defect, which opens a nonconformance."""
    data = {name: case.act.data[name] for name in SEEN if name in case.act.data}
    subject = _subject(case)
    if subject is None:
        raise Refused(case.nothing())
    case.add("inspected", subject, **_within_limits(case, subject[1], data))


def _within_limits(case: Case, name: str, data: dict[str, Any]) -> dict[str, Any]:
    """What may stay by the limits of the works leaves its zone clear, with a remark of what was seen."""
    thing = case.state.thing(name)
    product = case.routes.variant(thing) if isinstance(thing, Worked) else None
    if product is None or "defect" not in data or "zone" not in data or data.get("size") is None:
        return data
    found = judge_defect(
        case.routes.works, product, zone=data["zone"], defect=data["defect"], size=float(data["size"])
    )
    if not found.may_stay:
        return data
    return {
        "zone": data["zone"],
        "clear": True,
        "text": str(found.says),
        "photograph": data.get("photograph"),
    }


def problem(case: Case) -> None:
    """Something does not conform; somebody decides later."""
    data = {name: case.act.data[name] for name in REPORTED if name in case.act.data}
    if "text" not in data:
        data["text"] = str(case.act.data.get("defect", "")) or "-"
    subject = _subject(case)
    if subject is None:
        raise Refused(case.nothing())
    thing = case.state.thing(subject[1])
    step = case.act.step
    if step is None and isinstance(thing, Worked):
        due = step_of(case, thing)
        step = None if due is None else due.id
    case.add("reported", subject, step=step, **data)


def move(case: Case) -> None:
    """A thing is put into a buffer."""
    thing = case.one()
    case.add("moved", (thing.kind, thing.id), buffer=case.act.data.get("buffer"))


def _subject(case: Case) -> tuple[str, str] | None:
    """The item, set or lot that was scanned; nothing for a reading of a place."""
    things = case.worked()
    if things:
        return things[0].kind, things[0].id
    for scan in case.scans:
        if isinstance(scan.thing, Lot):
            return "lot", scan.id
    if case.of_kind("unknown"):
        raise Refused(case.nothing())
    return None
