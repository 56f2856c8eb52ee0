"""A plan as data: operations, order dates, objective, bound; and its public document."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final, Literal, TypeAlias
from zoneinfo import ZoneInfo

from pairwright.base.time import iso
from pairwright.base.words import Text, text
from pairwright.plan.supply import Supply, supply_document, supply_from
from pairwright.works.definition import Works

Objective: TypeAlias = Literal["service", "makespan"]
Status: TypeAlias = Literal["optimal", "feasible", "infeasible", "unknown"]
OBJECTIVES: Final[dict[str, tuple[str, ...]]] = {
    "service": ("weighted_lateness", "flow_time", "setup_time"),
    "makespan": ("makespan", "flow_time", "setup_time"),
}


@dataclass(frozen=True, slots=True)
class Stay:
    """A stay in a buffer; UTC seconds."""

    buffer: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Operation:
    """One step of one item (or set) with its place and time; UTC seconds."""

    id: str
    order: str
    set: str
    item: str
    side: str | None
    product: str
    option: str
    part: str
    step: str
    index: int
    start: int
    end: int
    rework: bool = False
    station: str | None = None
    unit: int | None = None
    pieces: tuple[tuple[int, int], ...] = ()
    setup_start: int | None = None
    batch: str | None = None
    crew: str | None = None
    carrier: str | None = None
    held_until: int | None = None
    buffer_stays: tuple[Stay, ...] = ()
    uses: tuple[str, ...] = ()
    revision: str | None = None  # of the product, where one is in force


@dataclass(frozen=True, slots=True)
class OrderDates:
    """When an order is due and when it is done; UTC seconds, `late` in seconds."""

    order: str
    due: int
    completion: int
    late: int


@dataclass(frozen=True, slots=True)
class ToolChange:
    """A stop of a station to change its tool; UTC seconds."""

    station: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Schedule:
    """A plan with what is proven of it. `rank` and `rules` are what the decoder was told."""

    revision: str
    now: int
    objective_kind: Objective
    status: Status
    objective: float
    objectives: tuple[tuple[str, float], ...]
    lower_bound: float
    gap: float | None
    makespan_end: int
    orders: tuple[OrderDates, ...] = ()
    operations: tuple[Operation, ...] = ()
    reasons: tuple[Text, ...] = ()
    notes: tuple[Text, ...] = ()
    verified: bool | None = None
    recipe: tuple[tuple[str, int], ...] = ()  # rules of the decoder
    rank: tuple[tuple[str, int], ...] = ()  # priority of each set, lower first
    release: tuple[tuple[str, int], ...] = ()  # earliest start of items that were held back
    supply: Supply | None = None  # materials; None: the plan does not count them
    tool_changes: tuple[ToolChange, ...] = ()

    @property
    def ready(self) -> dict[str, int]:
        """From when on the material reserved for an operation is there; UTC. [s]"""
        return {} if self.supply is None else dict(self.supply.ready)


def gap_of(value: float, bound: float) -> float | None:
    """How far a value lies above its bound, as a share of the bound; None where the bound is 0."""
    return None if bound == 0 else (value - bound) / bound


def document(schedule: Schedule, works: Works) -> dict[str, Any]:
    """The public form of a plan: times in the works' zone, texts in English."""
    zone = works.zone
    return {
        "works": works.factory.name,
        "revision": schedule.revision,
        "now": iso(schedule.now, zone),
        "objective_kind": schedule.objective_kind,
        "status": schedule.status,
        "objective": schedule.objective,
        "objectives": dict(schedule.objectives),
        "lower_bound": schedule.lower_bound,
        "gap": schedule.gap,
        "makespan_end": iso(schedule.makespan_end, zone),
        "verified": schedule.verified,
        "orders": [
            {"order": o.order, "due": iso(o.due, zone), "completion": iso(o.completion, zone), "late": o.late}
            for o in schedule.orders
        ],
        "operations": [_operation(op, zone) for op in schedule.operations],
        "reasons": [str(reason) for reason in schedule.reasons],
        "notes": [str(note) for note in schedule.notes],
        **supply_document(schedule.supply, zone),
        "tool_changes": [
            {"station": c.station, "start": iso(c.start, zone), "end": iso(c.end, zone)}
            for c in schedule.tool_changes
        ],
        "decoder": {
            "rules": dict(schedule.recipe),
            "rank": dict(schedule.rank),
            "release": {item: iso(at, zone) for item, at in schedule.release},
            "ready": {name: iso(at, zone) for name, at in schedule.ready.items()},
        },
    }


def _operation(op: Operation, zone: ZoneInfo) -> dict[str, Any]:
    return {
        "id": op.id, "order": op.order, "set": op.set, "item": op.item, "side": op.side,
        "product": op.product, "option": op.option, "part": op.part, "step": op.step, "index": op.index,
        "rework": op.rework, "station": op.station, "unit": op.unit,
        "start": iso(op.start, zone), "end": iso(op.end, zone),
        "pieces": [[iso(a, zone), iso(b, zone)] for a, b in op.pieces],
        "setup_start": None if op.setup_start is None else iso(op.setup_start, zone),
        "batch": op.batch, "crew": op.crew, "carrier": op.carrier,
        "held_until": None if op.held_until is None else iso(op.held_until, zone),
        "buffer_stays": [
            {"buffer": s.buffer, "from": iso(s.start, zone), "to": iso(s.end, zone)} for s in op.buffer_stays
        ],
        "uses": list(op.uses), "revision": op.revision,
    }  # fmt: skip


def from_document(body: Mapping[str, Any]) -> Schedule:
    """A plan from its public form; raises `KeyError`, `TypeError` or `ValueError` where it is none."""
    decoder = body.get("decoder", {})
    return Schedule(
        revision=body["revision"],
        now=_seconds(body["now"]),
        objective_kind=body["objective_kind"],
        status=body["status"],
        objective=float(body["objective"]),
        objectives=tuple((k, float(v)) for k, v in body.get("objectives", {}).items()),
        lower_bound=float(body["lower_bound"]),
        gap=body["gap"],
        makespan_end=_seconds(body["makespan_end"]),
        orders=tuple(
            OrderDates(o["order"], _seconds(o["due"]), _seconds(o["completion"]), int(o["late"]))
            for o in body["orders"]
        ),
        operations=tuple(_read_operation(op) for op in body["operations"]),
        reasons=tuple(text("{reason}", reason=str(r)) for r in body.get("reasons", ())),
        notes=tuple(text("{note}", note=str(n)) for n in body.get("notes", ())),
        verified=body.get("verified"),
        recipe=tuple((k, int(v)) for k, v in decoder.get("rules", {}).items()),
        rank=tuple((k, int(v)) for k, v in decoder.get("rank", {}).items()),
        release=tuple((k, _seconds(v)) for k, v in decoder.get("release", {}).items()),
        supply=supply_from(body),
        tool_changes=tuple(
            ToolChange(c["station"], _seconds(c["start"]), _seconds(c["end"]))
            for c in body.get("tool_changes", ())
        ),
    )


def _read_operation(op: Mapping[str, Any]) -> Operation:
    def moment(name: str) -> int | None:
        return None if op.get(name) is None else _seconds(op[name])

    stays: Sequence[Mapping[str, Any]] = op.get("buffer_stays", ())
    return Operation(
        id=op["id"], order=op["order"], set=op["set"], item=op["item"], side=op["side"],
        product=op["product"], option=op["option"], part=op["part"], step=op["step"], index=op["index"],
        rework=op["rework"], station=op["station"], unit=op["unit"],
        start=_seconds(op["start"]), end=_seconds(op["end"]),
        pieces=tuple((_seconds(a), _seconds(b)) for a, b in op["pieces"]),
        setup_start=moment("setup_start"), batch=op["batch"], crew=op["crew"], carrier=op["carrier"],
        held_until=moment("held_until"),
        buffer_stays=tuple(Stay(s["buffer"], _seconds(s["from"]), _seconds(s["to"])) for s in stays),
        uses=tuple(op["uses"]), revision=op.get("revision"),
    )  # fmt: skip


def _seconds(value: str) -> int:
    return round(datetime.fromisoformat(value).timestamp())
