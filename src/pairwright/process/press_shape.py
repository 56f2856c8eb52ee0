"""What the press does to the shape: bending of the plies, spring-back, spring-in, balance."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from pairwright.base.findings import Finding
from pairwright.base.sources import Source
from pairwright.base.words import Amount, Text, text
from pairwright.physics.bending import BENT_BEECH, SANNE, minimum_bend_radius, spring_in
from pairwright.physics.laminate import CLASSICAL
from pairwright.physics.profile import Arc, mould_for, sprung, tip_opening
from pairwright.physics.shape_spread import WithSpread, drawn_spring, spread_of, spring_back_spread
from pairwright.physics.warp import panel_movement, thickness_movement, warp
from pairwright.process.climate import moistures
from pairwright.process.context import StepContext, source_of
from pairwright.process.outline import arcs, courses, pieces_of
from pairwright.process.press_heat import inputs_of, plies_of
from pairwright.process.sheet import Leaf, coupling, modulus_along

UNBALANCED: Final = 0.01  # coupling from which a panel is said to warp: common practice
APART: Final = 0.25  # of a standard deviation: more, and the two ways of reckoning it disagree
JCGM_101: Final = Source("standard", "JCGM 101:2008, 8 (comparison of first order with Monte Carlo)")
_DRAWS: Final = 2000  # a standard deviation to 1.6 %


@dataclass(frozen=True, slots=True)
class Bent:
    """One ply at the tightest bend: place from the inner face, radius of its middle [m], strain [-]."""

    place: int
    leaf: Leaf
    radius: float
    strain: float


@dataclass(frozen=True, slots=True)
class Spring:
    """What the shell does out of the mould.

    `lost` share of curvature [-]; `opens` elastically and `closes` by moisture, between the ends
    of the profile, with their standard deviations [m]; moisture `before` and `after` [-];
    `closing` share by which moisture closes every bend [-]; `tightest` inner radius [m] and the
    `mould` radius that would give it [m].
    """

    lost: float
    opens: WithSpread
    closes: WithSpread
    before: float
    after: float
    closing: float
    tightest: float
    mould: float


def bent_plies(context: StepContext) -> tuple[Bent, ...]:
    """Every ply at the tightest bend of the profile; empty for a flat part."""
    profile = context.part.profile
    if profile is None or not arcs(profile):
        return ()
    plies = plies_of(context)
    found = courses(profile, tuple(leaf.veneer.thickness for leaf in plies))
    return tuple(
        Bent(place, leaf, course.radius, course.strain)
        for place, (leaf, course) in enumerate(zip(plies, found, strict=True), start=1)
    )


def bend_findings(context: StepContext) -> list[Finding]:
    """Plies bent beyond breaking, or beyond their elastic limit."""
    bent = bent_plies(context)
    broken = _worst(context, bent, elastic=False)
    return broken or _worst(context, bent, elastic=True)


def _worst(context: StepContext, bent: tuple[Bent, ...], *, elastic: bool) -> list[Finding]:
    beyond = [
        (b.strain / limit, b, limit)
        for b in bent
        if (limit := b.leaf.limit(elastic=elastic)) is not None and b.strain > limit
    ]
    if not beyond:
        return []
    _, ply, limit = max(beyond, key=lambda found: (found[0], -found[1].place))
    what = text(
        "ply {place} ({veneer}) is bent to {radius} and strained by {strain}; {limit} needs at least {least}",
        place=ply.place, veneer=ply.leaf.veneer.name, radius=Amount(ply.radius, "length"),
        strain=Amount(ply.strain, "share"), limit=_limit_text(limit, elastic=elastic),
        least=Amount(minimum_bend_radius(ply.leaf.veneer.thickness, limit), "length"),
    )  # fmt: skip
    if elastic:
        return [
            context.finding("bend_above_elastic", "warning", what, source_of(ply.leaf.wood, "elastic_strain"))
        ]
    return [context.finding("bend_below_limit", "error", what, source_of(ply.leaf.wood, "limit_strain"))]


def _limit_text(limit: float, *, elastic: bool) -> Text:
    amount = Amount(limit, "share")
    return (
        text("its elastic limit of {x}", x=amount)
        if elastic
        else text("its breaking strain of {x}", x=amount)
    )


def balance_findings(context: StepContext) -> list[Finding]:
    """A layup that is not symmetrical about its middle: it warps as its moisture moves."""
    plies = plies_of(context)
    share = coupling(tuple(leaf.lamina() for leaf in plies))
    if share <= UNBALANCED:
        return []
    moist = moistures(context.works.factory.climate)
    swing = tuple(leaf.lamina(moist.dampest - moist.driest) for leaf in plies)
    height = 1.0 if context.part.profile is None else context.part.profile.height
    bow = abs(warp(swing, length=1.0, width=height).bow_y)
    what = text(
        "the layup of {plies} plies is not symmetrical: stretch and bending are coupled by {share}, and a free "
        "sheet bows by {bow} over {height} between the driest and the dampest air",
        plies=len(plies), share=Amount(share, "share"), bow=Amount(bow, "length", 2),
        height=Amount(height, "length"),
    )  # fmt: skip
    return [context.finding("unbalanced_layup", "warning", what, CLASSICAL)]


def spring_of(context: StepContext) -> Spring | None:
    """Spring-back and spring-in of the shell; None for a flat part.

    The profile is taken at the middle of the stack, which is its elastic centroid when the layup
    is symmetrical.
    """
    profile = context.part.profile
    if profile is None or not arcs(profile):
        return None
    plies = plies_of(context)
    stack = inputs_of(context).stack
    middle = 0.5 * stack.thickness
    lost = lost_of(plies)
    before = math.fsum(
        m * p.thickness for m, p in zip(stack.moistures(), stack.plies, strict=True)
    ) / stack.thickness  # fmt: skip
    after = moistures(context.works.factory.climate).usual
    along, through = movement_of(plies)
    closing = spring_in(1.0, along=along * (after - before), through=through * (after - before))
    pressed = pieces_of(profile, offset=middle)

    def opens(x: Sequence[float]) -> float:
        return tip_opening(pressed, sprung(pressed, fraction=x[0]))

    def closes(x: Sequence[float]) -> float:
        share = spring_in(1.0, along=x[0] * x[2], through=x[1] * x[2])
        return -tip_opening(pressed, sprung(pressed, fraction=0.0, closing=share))

    movement, moisture = _scatter(plies)
    wanted = min((p for p in pressed if isinstance(p, Arc)), key=lambda arc: arc.radius)
    (mould,) = (p for p in mould_for([wanted], fraction=lost.value) if isinstance(p, Arc))
    side = math.copysign(middle, wanted.angle)
    return Spring(
        lost.value,
        spread_of(opens, [lost.value], sds=[lost.sd]),
        spread_of(closes, [along, through, after - before],
                    sds=[abs(along) * movement, abs(through) * movement, moisture]),
        before, after, closing, wanted.radius - side, mould.radius - side,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Lost:
    """Share of curvature that the elastic plies take back [-].

    `value`; its standard deviation by draws `sd`, and to first order `first_sd` [-].
    """

    value: float
    sd: float
    first_sd: float

    @property
    def straight(self) -> bool:
        """Whether first order tells the spread as well as the draws do."""
        return abs(self.first_sd - self.sd) <= APART * self.sd


def lost_of(plies: tuple[Leaf, ...]) -> Lost:
    """Share of curvature lost with its spread, from moduli and thicknesses that scatter by ply. [-]"""
    return _lost(
        tuple(modulus_along(leaf.lamina()) for leaf in plies),
        tuple(float(leaf.veneer.thickness) for leaf in plies),
        tuple(float(leaf.wood.modulus_scatter) for leaf in plies),
        tuple(float(leaf.veneer.thickness_scatter) for leaf in plies),
    )  # fmt: skip


@lru_cache(maxsize=256)
def _lost(
    moduli: tuple[float, ...],
    thicknesses: tuple[float, ...],
    modulus_cv: tuple[float, ...],
    thickness_cv: tuple[float, ...],
) -> Lost:
    stack = list(zip(moduli, thicknesses, strict=True))
    first = spring_back_spread(stack, modulus_cv=modulus_cv, thickness_cv=thickness_cv)
    drawn = drawn_spring(stack, modulus_cv=modulus_cv, thickness_cv=thickness_cv, seed=1, samples=_DRAWS)
    return Lost(first.value, float(drawn.std()), first.sd)


def _spread_findings(context: StepContext, lost: Lost) -> list[Finding]:
    """Where the spread of the wood is so wide that first order no longer tells it."""
    if lost.straight:
        return []
    what = text(
        "the share of curvature lost spreads by {sd} when drawn and by {first} to first order: the draws are used",
        sd=Amount(lost.sd, "share", 2), first=Amount(lost.first_sd, "share", 2),
    )  # fmt: skip
    return [context.finding("spread_disagrees", "note", what, JCGM_101)]


def movement_of(plies: tuple[Leaf, ...]) -> tuple[float, float]:
    """Movement of the glued stack per unit of moisture: along the bend, and through the thickness. [-]"""
    whole = math.fsum(leaf.veneer.thickness for leaf in plies)
    along, _ = panel_movement([leaf.lamina(1.0) for leaf in plies])
    through = math.fsum(
        thickness_movement([leaf.veneer.thickness], movement=leaf.wood.movement_radial, moisture_change=1.0)
        for leaf in plies
    ) / whole  # fmt: skip
    return along, through


def _scatter(plies: tuple[Leaf, ...]) -> tuple[float, float]:
    """Relative scatter of the movement, and scatter of the moisture, of a stack from one delivery. [-]"""
    whole = math.fsum(leaf.veneer.thickness for leaf in plies)
    return (
        math.fsum(leaf.wood.movement_scatter * leaf.veneer.thickness for leaf in plies) / whole,
        math.fsum(leaf.veneer.moisture_scatter * leaf.veneer.thickness for leaf in plies) / whole,
    )


def spring_findings(context: StepContext) -> list[Finding]:
    """A note with the expected opening, so that the mould can be made for it."""
    spring = spring_of(context)
    if spring is None:
        return []
    what = text(
        "out of the mould the ends open by {opens} ± {opens_sd} ({lost} of the curvature) and move by up to {closes} "
        "± {closes_sd} inwards as moisture goes from {before}, with all of the glue's water, to {after} (± one "
        "standard deviation); stray fibres and creep come on top",
        opens=Amount(spring.opens.value, "length", 2), opens_sd=Amount(spring.opens.sd, "length", 2),
        lost=Amount(spring.lost, "share", 2), closes=Amount(spring.closes.value, "length", 2),
        closes_sd=Amount(spring.closes.sd, "length", 2), before=Amount(spring.before, "share", 2),
        after=Amount(spring.after, "share", 2),
    )  # fmt: skip
    lost = lost_of(plies_of(context))
    return [context.finding("spring_back", "note", what, SANNE), *_spread_findings(context, lost)]


def shape_sources() -> tuple[Source, ...]:
    """Where the limits and laws of the shape come from."""
    return (BENT_BEECH, SANNE, CLASSICAL)
