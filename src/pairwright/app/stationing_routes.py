"""A works' routes with what its physics says of them: shortest times, materials of each step."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING, Final

from pairwright.floor.routes import Place, Routes

if TYPE_CHECKING:
    from pairwright.app.opened import Opened

CURES: Final = ("clamp", "rest", "stove")  # kinds that nature, not people, makes long
KEPT: Final = 4  # works at a time

_ROUTES: Final[dict[str, Routes]] = {}
_GUARD: Final = threading.Lock()


def routes_of(opened: Opened) -> Routes:
    """The routes of a works; its recipes are computed once for each revision.

    Parameters
    ----------
    opened : Opened
        The works.
    """
    with _GUARD:
        found = _ROUTES.get(opened.works.revision)
        if found is None:
            found = Routes(opened.works, least=_least(opened), needs=_needs(opened))
            while len(_ROUTES) >= KEPT:
                del _ROUTES[next(iter(_ROUTES))]
            _ROUTES[opened.works.revision] = found
        return found


def _least(opened: Opened) -> dict[Place, float]:
    kinds = {
        (product.id, product.option, part, step.id)
        for product in opened.works.variants.values()
        for part, record in product.parts.items()
        for step in record.steps
        if step.kind in CURES
    }
    found: dict[Place, float] = {}
    for time in opened.times:
        place = (time.product, time.option, time.part, time.step)
        if place in kinds:
            found[place] = min(found.get(place, time.low), time.low)
    return found


def _needs(opened: Opened) -> dict[Place, dict[str, float]]:
    found: dict[Place, dict[str, float]] = {}
    for need in opened.needs:
        place = (need.product, need.option, need.part, need.step)
        found.setdefault(place, {})[need.material] = need.amount
    return found
