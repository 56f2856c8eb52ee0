"""What a plan says of its materials: by day, by pot, and what waits for what."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from pairwright.base.time import iso


@dataclass(frozen=True, slots=True)
class Drawn:
    """So much of a lot or a purchase, in the material's unit."""

    kind: str  # lot, purchase
    id: str
    amount: float


@dataclass(frozen=True, slots=True)
class DayNeed:
    """What is needed of a material on a local day, and where it comes from; `short` must be ordered."""

    material: str
    day: date
    need: float
    drawn: tuple[Drawn, ...]
    short: float


@dataclass(frozen=True, slots=True)
class Wait:
    """An operation that could begin sooner if its material were there; UTC. [s]"""

    order: str
    operation: str
    material: str
    until: int
    to_order: bool  # what it waits for must still be ordered


@dataclass(frozen=True, slots=True)
class Pot:
    """What is mixed at once at a station, and who uses it before its pot life is over; UTC. [s]"""

    material: str
    station: str
    mixed: int
    until: int
    amount: float
    operations: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Supply:
    """Materials of a plan. `ready` says from when on an operation's reserved material is there. [s]"""

    days: tuple[DayNeed, ...] = ()
    waits: tuple[Wait, ...] = ()
    pots: tuple[Pot, ...] = ()
    ready: tuple[tuple[str, int], ...] = ()


def supply_document(supply: Supply | None, zone: ZoneInfo) -> dict[str, Any]:
    """The public form; `materials` is null where the plan does not count material."""
    if supply is None:
        return {"materials": None, "waits": [], "pots": []}
    return {
        "materials": [
            {"material": d.material, "date": d.day.isoformat(), "need": d.need,
             "from": [{one.kind: one.id, "amount": one.amount} for one in d.drawn], "short": d.short}
            for d in supply.days
        ],
        "waits": [
            {"order": w.order, "operation": w.operation, "material": w.material,
             "until": iso(w.until, zone), "to_order": w.to_order}
            for w in supply.waits
        ],
        "pots": [
            {"material": p.material, "station": p.station, "mixed": iso(p.mixed, zone),
             "until": iso(p.until, zone), "amount": p.amount, "operations": list(p.operations)}
            for p in supply.pots
        ],
    }  # fmt: skip


def supply_from(body: Mapping[str, Any]) -> Supply | None:
    """Materials from a plan document; raises `KeyError`, `TypeError` or `ValueError` where it is none."""
    rows = body.get("materials")
    if rows is None:
        return None
    ready = body.get("decoder", {}).get("ready", {})
    return Supply(
        tuple(
            DayNeed(r["material"], date.fromisoformat(r["date"]), float(r["need"]),
                    tuple(_drawn(one) for one in r["from"]), float(r["short"]))
            for r in rows
        ),
        tuple(
            Wait(w["order"], w["operation"], w["material"], _seconds(w["until"]), bool(w["to_order"]))
            for w in body.get("waits", ())
        ),
        tuple(
            Pot(p["material"], p["station"], _seconds(p["mixed"]), _seconds(p["until"]), float(p["amount"]),
                tuple(p["operations"]))
            for p in body.get("pots", ())
        ),
        tuple((name, _seconds(at)) for name, at in ready.items()),
    )  # fmt: skip


def _drawn(row: Mapping[str, Any]) -> Drawn:
    kind = "lot" if "lot" in row else "purchase"
    return Drawn(kind, row[kind], float(row["amount"]))


def _seconds(value: str) -> int:
    return round(datetime.fromisoformat(value).timestamp())
