"""The sample works with a few things recorded, for labels and travellers."""

from __future__ import annotations

from datetime import date
from functools import cache
from typing import Any

from pairwright import sample
from pairwright.app.opened import Opened, open_texts
from pairwright.app.stationing_routes import routes_of
from pairwright.base.time import iso, parse_instant
from pairwright.floor import State, fold, read_event
from pairwright.floor.routes import Routes

AT = parse_instant("2027-04-19T08:00:00+02:00")


@cache
def opened() -> Opened:
    return open_texts(sample.layout(pairs=4, start=date(2027, 3, 1), seed=1), "sample")


@cache
def routes() -> Routes:
    return routes_of(opened())


class Floor:
    """A state to tell events to."""

    def __init__(self) -> None:
        self.state = State()
        self.told = 0

    def tell(self, kind: str, subject: str = "", /, **data: Any) -> None:
        self.told += 1
        station = data.pop("station", None)
        raw: dict[str, Any] = {
            "key": f"k-{self.told}", "kind": kind, "actor": "P1", "data": data,
            "event_time": iso(AT + 60 * self.told, opened().works.zone),
        }  # fmt: skip
        if station is not None:
            raw["station"] = station
        if subject:
            what, _, name = subject.partition(" ")
            raw[what] = name
        self.state = fold(self.state, read_event(raw))


def pair() -> Floor:
    """Set A1-1 with both cabinets, their shells used up, two lots, an order, a leaf, a carrier."""
    floor = Floor()
    floor.tell("ordered", order="A1", product="alder", option="walnut", quantity=2, due="2027-05-28")
    floor.tell("registered", "set A1-1", product="alder", option="walnut", order="A1")
    for side, name in (("left", "C-0231L"), ("right", "C-0231R")):
        floor.tell("registered", f"item {name}", product="alder", option="walnut", part="cabinet", side=side,
                   set="A1-1", order="A1")  # fmt: skip
    floor.tell("mated", "set A1-1", left="C-0231L", right="C-0231R")
    floor.tell("registered", "item W-04412", product="alder", option="walnut", part="woofer")
    floor.tell("registered", "item F12-L07", what="leaf", material="walnut-leaf", flitch="F12", number=7)
    floor.tell("received", "lot SL-7", quantity=5, unit="L", material="sealer", expiry="2027-09-01")
    floor.tell("registered", "item CLAMP-2", what="carrier")
    return floor
