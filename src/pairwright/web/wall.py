"""The wall: what everybody should know, readable at five metres."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from pairwright.base.words import Text, text
from pairwright.reports.notices import Notice
from pairwright.web.looks import page
from pairwright.web.served import served_of
from pairwright.web.troubles import notices

router = APIRouter()

NONE: Final = "–"
MOST: Final = 5  # lines that can be read from where people stand


@dataclass(frozen=True, slots=True)
class Count:
    """One number with its word and state."""

    value: str
    word: Text
    state: str


@dataclass(frozen=True, slots=True)
class WallPage:
    """A few numbers and a few lines."""

    counts: tuple[Count, ...]
    lines: tuple[Notice, ...]
    more: int
    day: int


@router.get("/wall")
def wall_page(request: Request) -> Response:
    """Ships, late, to be decided, held, in work; then what waits for somebody."""
    served = served_of(request)
    made = served.weekly.made()
    found = notices(served)
    with served.floor.record.reading() as reading:
        standings = reading.counts("standing", kind="item")
    late = None if made is None else sum(r.state == "broken" for r in made.data.week.risks)
    decide = sum(one.of == "nonconformance" for one in found)
    held = sum(one.of == "hold" for one in found)
    counts = (
        Count(
            "–" if made is None else str(len(made.data.week.ships)),
            text("ship this week"),
            "fine" if made else "waiting",
        ),
        Count(NONE if late is None else str(late), text("planned late"), "broken" if late else "fine"),
        Count(str(decide), text("to be decided"), "watch" if decide else "fine"),
        Count(str(held), text("on hold"), "broken" if held else "fine"),
        Count(str(standings.get("in work", 0)), text("pieces in work"), "fine"),
    )
    waits = tuple(one for one in found if one.open)
    content = WallPage(counts, waits[:MOST], max(0, len(waits) - MOST), served.now())
    return page(
        request, "wall.html.j2", content, title=text("Wall"), here="wall", modules=("wall.js",), refresh=60
    )
