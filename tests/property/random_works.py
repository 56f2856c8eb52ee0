"""Small works drawn at random with every kind of constraint that a plan knows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Final

from hypothesis import strategies as st

from pairwright.works.definition import Works
from pairwright.works.orders import Book, Order, PartStock
from tests.unit.plan.builder import EIGHT_HOURS, MONDAY, WITH_BREAK, pair, part, single, step, works_of

CALENDARS: Final = {
    "shift": EIGHT_HOURS,
    "broken": WITH_BREAK,
    "odd": {"week": {"tue": ["07:00-12:00"], "fri": ["06:00-15:00"]}},
}


@dataclass(frozen=True)
class Drawn:
    """A works with an order book."""

    works: Works
    book: Book


def calendars() -> st.SearchStrategy[str]:
    return st.sampled_from(("always", "shift", "shift", "broken", "odd"))


@st.composite
def stations(draw: st.DrawFn) -> dict[str, dict[str, Any]]:
    """A bench, several places, an oven, a line and a press with setups."""
    found: dict[str, dict[str, Any]] = {
        "bench": {"calendar": draw(calendars()), "crew": draw(st.sampled_from((None, "few", "many")))},
        "places": {
            "kind": "parallel", "places": draw(st.integers(2, 3)), "calendar": draw(calendars()),
            "manned": draw(st.booleans()), "crew": draw(st.sampled_from((None, "few"))), "area": "away",
        },
        "oven": {
            "kind": "batch", "capacity": draw(st.sampled_from((1, 2, 3))), "manned": draw(st.booleans()),
            "calendar": draw(calendars()), "fill_wait": f"{draw(st.integers(0, 60))} min",
        },
        "line": {
            "kind": "line", "places": draw(st.integers(1, 4)), "pitch": f"{draw(st.integers(0, 20))} min",
            "capacity": draw(st.sampled_from((1, 2))), "manned": False, "calendar": draw(calendars()),
        },
        "press": {
            "calendar": draw(calendars()), "crew": draw(st.sampled_from((None, "few"))), "area": "away",
            "setup": {"default": f"{draw(st.integers(0, 90))} min", "first": f"{draw(st.integers(0, 30))} min",
                      "changes": [{"before": "red", "after": "blue", "time": "15 min"}]},
        },
    }  # fmt: skip
    if draw(st.booleans()):
        start = datetime(2027, 3, 1, 8) + timedelta(hours=draw(st.integers(0, 60)))
        stop = [{"start": start, "length": f"{draw(st.integers(10, 300))} min"}]
        found[draw(st.sampled_from(sorted(found)))]["maintenance"] = stop
    return found


@st.composite
def asides(draw: st.DrawFn) -> dict[str, Any]:
    """Waits, pauses, kept places and buffers, each now and then."""
    more: dict[str, Any] = {}
    if draw(st.integers(0, 3)) == 0:
        more["next_max"] = draw(st.integers(120, 3000))
    if draw(st.integers(0, 4)) == 0:
        more["next_min"] = draw(st.integers(1, 120))
    if draw(st.integers(0, 3)) == 0:
        more["pause"] = True
    if draw(st.integers(0, 4)) == 0:
        more["keeps_place"] = True
    if draw(st.integers(0, 3)) == 0:
        more["buffer"] = draw(st.sampled_from(("room", "rack")))
    return more


@st.composite
def steps(draw: st.DrawFn, name: str, *, halves: bool, uses: tuple[str, ...] = ()) -> dict[str, Any]:
    """One step with some of what a step can ask."""
    station = draw(st.sampled_from(("bench", "bench", "places", "oven", "line", "press", None)))
    minutes = draw(st.integers(1, 230))
    more: dict[str, Any] = {}
    if uses:
        more["uses"] = uses
    if station is None:
        if draw(st.booleans()):
            more["buffer"] = draw(st.sampled_from(("room", "rack")))
        return step(name, None, minutes, **more)
    more |= draw(asides())
    if station == "press":
        more["setup"] = draw(st.sampled_from(("red", "blue", "green", None)))
    if station in ("oven", "line"):
        more["load"] = draw(st.sampled_from((0.5, 1 / 3, 1.0)))
        if draw(st.booleans()):
            more["batch"] = "word"
    if halves and draw(st.integers(0, 3)) == 0:
        more["mates_within"] = draw(st.integers(300, 2000))
    if halves and station == "oven" and more.get("load", 1.0) < 1 / 2 and draw(st.booleans()):
        more["mates"] = "same batch"
    if draw(st.integers(0, 4)) == 0 and station == "bench":
        return {**step(name, None, minutes, **more), "stations": ["bench", "places"]}
    return step(name, station, minutes, **more)


@st.composite
def routes(
    draw: st.DrawFn, *, halves: bool, uses: tuple[str, ...] = (), most: int = 5
) -> list[dict[str, Any]]:
    """A route; sometimes a carrier goes along for a while, sometimes the end is done together."""
    count = draw(st.integers(1, most))
    at = draw(st.integers(0, count - 1))
    found = [draw(steps(f"s{n}", halves=halves, uses=uses if n == at else ())) for n in range(count)]
    if count > 1 and draw(st.booleans()):
        first = draw(st.integers(0, count - 2))
        found[first]["takes"] = "frame"
        found[draw(st.integers(first + 1, count - 1))]["returns"] = "frame"
    if halves and draw(st.booleans()):
        found.append(step("both", "bench", draw(st.integers(1, 60)), together=True))
    return found


@st.composite
def products(draw: st.DrawFn, name: str) -> dict[str, Any]:
    """A pair or a single, sometimes with a part."""
    parts: dict[str, Any] = {}
    kind = draw(st.sampled_from(("single", "late", "early")))
    halves = kind != "single"
    uses: tuple[str, ...] = ()
    if draw(st.booleans()):
        route = draw(routes(halves=halves, most=2))
        route = [s for s in route if not s.get("together")]
        parts["foot"] = part(*route, quantity=draw(st.integers(1, 2)))
        uses = ("foot",)
    body = draw(routes(halves=halves, uses=uses))
    if kind == "single":
        return single(name, *body, parts=parts)
    more = {"mates_within": "2 d"} if kind == "early" and draw(st.booleans()) else {}
    return pair(name, *body, parts=parts, early=kind == "early", **more)


@st.composite
def drawn_works(draw: st.DrawFn, most_orders: int = 4) -> Drawn:
    """A works with one or two products and a few orders."""
    names = ("s", "t")[: draw(st.integers(1, 2))]
    made = [draw(products(name)) for name in names]
    works = works_of(
        *made, stations=draw(stations()), calendars=CALENDARS,
        crews={
            "few": {"people": 1, "calendar": draw(calendars())},
            "many": {"people": 3, "calendar": draw(calendars())},
        },
        buffers={"room": {"name": "r", "places": draw(st.integers(2, 5))},
                 "rack": {"name": "r", "places": draw(st.integers(2, 3)), "area": "away"}},
        carriers={"frame": {"name": "f", "count": draw(st.integers(2, 4))}},
        transport={"within": "1 min", "default": f"{draw(st.integers(0, 20))} min"},
    )  # fmt: skip
    orders = tuple(
        Order(
            f"O{n}", draw(st.sampled_from(names)), "plain", draw(st.integers(1, 2)),
            MONDAY + timedelta(days=draw(st.integers(0, 12))), float(draw(st.sampled_from((1, 1, 2)))),
            MONDAY + timedelta(days=draw(st.integers(0, 3))) if draw(st.integers(0, 4)) == 0 else None,
        )
        for n in range(draw(st.integers(1, most_orders)))
    )  # fmt: skip
    stock = (PartStock(names[0], "plain", "foot", 1),) if draw(st.booleans()) else ()
    return Drawn(works, Book(orders=orders, parts=stock))
