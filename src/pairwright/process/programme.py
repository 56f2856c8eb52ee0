"""Programmes of parallel lanes: what sanding, flatting, polishing and spraying share."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, Protocol

from pairwright.base.findings import Finding
from pairwright.base.sources import COMMON_PRACTICE
from pairwright.base.words import Amount, Text, text
from pairwright.physics.path import PathTime, contact_time, path_time
from pairwright.process.context import StepContext
from pairwright.process.material_use import Use
from pairwright.process.ranges import outside
from pairwright.works.material import Abrasive
from pairwright.works.recipe import Grit

DWELL_APART: Final = 1.5  # stated and computed contact time may differ by this factor: common practice


class Lanes(Protocol):
    """What a recipe with lanes states. [m2], [m], [-], [m/s]"""

    @property
    def area(self) -> float: ...  # noqa: D102
    @property
    def width(self) -> float: ...  # noqa: D102
    @property
    def overlap(self) -> float: ...  # noqa: D102
    @property
    def feed(self) -> float: ...  # noqa: D102
    @property
    def turns(self) -> float: ...  # noqa: D102


def lanes(recipe: Lanes, passes: int) -> PathTime:
    """The programme over the recipe's area. [s]"""
    return path_time(
        recipe.area,
        recipe.width,
        overlap=recipe.overlap,
        feed=recipe.feed,
        passes=passes,
        turn_time=recipe.turns,
    )


def sequence(recipe: Lanes, grits: Iterable[Grit]) -> tuple[float, int]:
    """Time of all grits one after the other, and how many passes they make. [s]"""
    runs = [(lanes(recipe, g.passes).time, g.passes) for g in grits]
    return sum(time for time, _ in runs), sum(passes for _, passes in runs)


def passes_text(passes: int) -> Text:
    """How many passes, in words."""
    return text("one pass") if passes == 1 else text("{n} passes", n=passes)


def path_reason(recipe: Lanes, *, time: float, passes: int, fixed: float) -> Text:
    """Why a programme takes so long."""
    return text(
        "{passes} over {area} in lanes of {width} with {overlap} overlap at {feed}: {time}; prepare {fixed}",
        passes=passes_text(passes), area=Amount(recipe.area, "area"), width=Amount(recipe.width, "length"),
        overlap=Amount(recipe.overlap, "share"), feed=Amount(recipe.feed, "speed"), time=Amount(time, "duration"),
        fixed=Amount(fixed, "duration"),
    )  # fmt: skip


def dwell_findings(context: StepContext, recipe: Lanes, grits: Iterable[Grit]) -> list[Finding]:
    """Stated contact time of a point against what width, feed and overlap make it."""
    computed = contact_time(recipe.width, feed=recipe.feed, overlap=recipe.overlap)
    return [
        context.finding(
            "dwell_disagrees",
            "warning",
            text("{grit}: a point is said to be in contact for {stated} in a pass; width, feed and overlap "
                 "make it {computed}",
                 grit=g.abrasive, stated=Amount(g.dwell, "duration"), computed=Amount(computed, "duration")),
            COMMON_PRACTICE,
        )
        for g in grits
        if not 1.0 / DWELL_APART <= g.dwell / computed <= DWELL_APART
    ]  # fmt: skip


def abrasion_findings(context: StepContext, grits: Iterable[Grit]) -> list[Finding]:
    """Pressures and speeds for which the law of abrasion is not vouched."""
    found: list[Finding] = []
    for grit in grits:
        found.extend(outside(context, "abrasion_depth", {"pressure": grit.pressure, "speed": grit.speed}))
    return found


def removal_findings(context: StepContext, unknown: Iterable[str]) -> list[Finding]:
    """Abrasives whose removal nobody has measured: what they take off cannot be judged."""
    return [
        context.finding(
            "removal_not_measured",
            "warning",
            text("{abrasive} has no measured removal: what it takes off is not counted", abrasive=name),
        )
        for name in unknown
    ]


def worn(context: StepContext, used: Iterable[tuple[str, float]]) -> list[Use]:
    """Share of an abrasive's life that a step uses, for those that state a life.

    Parameters
    ----------
    context : StepContext
        The step.
    used : iterable of pairs
        Abrasive and time in work. [s]
    """
    found: list[Use] = []
    for name, time in used:
        abrasive = context.works.materials.get(name)
        if isinstance(abrasive, Abrasive) and abrasive.life and abrasive.unit == "piece":
            found.append((name, time / abrasive.life))
    return found
