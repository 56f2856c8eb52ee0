"""What a plan knows of the floor, in its document: so that the next one can go on from it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any, cast

from pairwright.base.time import iso
from pairwright.plan.live import Fate, Live
from pairwright.plan.schedule import Schedule
from pairwright.plan.trouble import Floor, Troubled


def floor_document(live: Live, case: Troubled) -> dict[str, Any]:
    """Fields of a plan's document beside those of every plan.

    Parameters
    ----------
    live : Live
        The state that the plan was made from, with operations of lost pieces under their new names.
    case : Troubled
        What the plan was made from.
    """
    zone = case.works.zone
    return {
        "stock_at": iso(case.stock_at, zone),
        "begun": {name: [iso(a, zone), iso(b, zone)] for name, (a, b) in sorted(live.begun.items())},
        "void": sorted(live.void),
        "pinned": sorted(live.pinned),
        "fates": [
            {"item": item, "step": step, "turn": turn, "fate": fate}
            for (item, step, turn), fate in sorted(live.fates.items())
        ],
        "covered": list(case.book.covered or ()),
        "news": [dict(row) for row in case.lasting],
    }


def floor_from(body: Mapping[str, Any], schedule: Schedule) -> Floor:
    """What a plan document knows; raises `KeyError`, `TypeError` or `ValueError` where it is none."""
    covered = body.get("covered")
    return Floor(
        stock_at=_seconds(body["stock_at"]) if body.get("stock_at") else schedule.now,
        begun={name: (_seconds(a), _seconds(b)) for name, (a, b) in body.get("begun", {}).items()},
        void=frozenset(str(name) for name in body.get("void", ())),
        pinned=frozenset(str(name) for name in body.get("pinned", ())),
        fates={
            (str(r["item"]), str(r["step"]), int(r["turn"])): cast("Fate", _fate(r["fate"]))
            for r in body.get("fates", ())
        },
        news=tuple(dict(row) for row in body.get("news", ())),
        covered=None if covered is None else tuple(str(item) for item in covered),
    )


def _fate(value: object) -> str:
    if value not in ("again", "lost"):
        raise ValueError(f"fate {value}")
    return str(value)


def _seconds(value: str) -> int:
    return round(datetime.fromisoformat(value).timestamp())
