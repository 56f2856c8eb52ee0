"""What the press does to the shape: bending of the plies, spring-back, spring-in, balance."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from pairwright.base.findings import Finding
from pairwright.base.sources import Source
from pairwright.base.words import Amount, Text, text
from pairwright.physics.bending import (
    BENT_BEECH,
    SANNE,
    bending_strain,
    minimum_bend_radius,
    mould_radius_for,
    spring_back,
    spring_in,
)
from pairwright.physics.laminate import CLASSICAL
from pairwright.process.climate import moistures
from pairwright.process.context import StepContext, source_of
from pairwright.process.outline import arcs, opening, tightest_radius
from pairwright.process.press_heat import inputs_of, plies_of
from pairwright.process.sheet import Leaf, coupling, glued, modulus_along

UNBALANCED: Final = 0.01  # coupling from which a panel is said to warp: common practice
_LEAST: Final = 1e-6  # a radius below this cannot be formed at all [m]


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
    of the profile [m]; moisture `before` and `after` [-]; `tightest` inner radius [m] and the
    `mould` radius that would give it [m].
    """

    lost: float
    opens: float
    closes: float
    before: float
    after: float
    tightest: float
    mould: float


def bent_plies(context: StepContext) -> tuple[Bent, ...]:
    """Every ply at the tightest bend of the profile; empty for a flat part."""
    profile = context.part.profile
    if profile is None or not arcs(profile):
        return ()
    found, offset = [], 0.0
    for place, leaf in enumerate(plies_of(context), start=1):
        t = leaf.veneer.thickness
        radius = max(_LEAST, tightest_radius(profile, offset + 0.5 * t))
        found.append(Bent(place, leaf, radius, bending_strain(t, radius)))
        offset += t
    return tuple(found)


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
    code, severity = ("bend_above_elastic", "warning") if elastic else ("bend_below_limit", "error")
    field = "elastic_strain" if elastic else "limit_strain"
    source = source_of(ply.leaf.wood, field)
    return [context.finding(code, "warning" if severity == "warning" else "error", what, source)]


def _limit_text(limit: float, *, elastic: bool) -> Text:
    amount = Amount(limit, "share")
    return text("its elastic limit of {x}", x=amount) if elastic else text("its breaking strain of {x}", x=amount)


def balance_findings(context: StepContext) -> list[Finding]:
    """A layup that is not symmetrical about its middle: it warps as its moisture moves."""
    plies = plies_of(context)
    share = coupling(tuple(leaf.lamina() for leaf in plies))
    if share <= UNBALANCED:
        return []
    what = text(
        "the layup of {plies} plies is not symmetrical: stretch and bending are coupled by {share}, so it warps "
        "when its moisture changes",
        plies=len(plies), share=Amount(share, "share"),
    )  # fmt: skip
    return [context.finding("unbalanced_layup", "warning", what, CLASSICAL)]


def spring_of(context: StepContext) -> Spring | None:
    """Spring-back and spring-in of the shell; None for a flat part."""
    profile = context.part.profile
    if profile is None or not arcs(profile):
        return None
    plies = plies_of(context)
    stack = inputs_of(context).stack
    lost = spring_back([(modulus_along(leaf.lamina()), leaf.veneer.thickness) for leaf in plies])
    before = sum(
        m * p.thickness for m, p in zip(stack.moistures(), stack.plies, strict=True)
    ) / stack.thickness  # fmt: skip
    after = moistures(context.works.factory.climate).usual
    change = after - before
    along = float(glued(tuple(leaf.lamina(change) for leaf in plies)).strain_and_curvature()[0])
    through = math.fsum(
        leaf.wood.movement_radial * change * leaf.veneer.thickness for leaf in plies
    ) / stack.thickness  # fmt: skip
    tightest = tightest_radius(profile, 0.0)
    middle = 0.5 * stack.thickness
    return Spring(
        lost,
        opening(profile, lost=lost),
        -opening(profile, closes=lambda turn: spring_in(turn, along=along, through=through)),
        before, after, tightest, mould_radius_for(tightest + middle, lost) - middle,
    )  # fmt: skip


def spring_findings(context: StepContext) -> list[Finding]:
    """A note with the expected opening, so that the mould can be made for it."""
    spring = spring_of(context)
    if spring is None:
        return []
    what = text(
        "out of the mould the ends open by {opens} ({lost} of the curvature) and move by {closes} inwards as "
        "moisture goes from {before} to {after}; stray fibres and creep come on top",
        opens=Amount(spring.opens, "length"), lost=Amount(spring.lost, "share"),
        closes=Amount(spring.closes, "length"), before=Amount(spring.before, "share"),
        after=Amount(spring.after, "share"),
    )  # fmt: skip
    return [context.finding("spring_back", "note", what, SANNE)]


def shape_sources() -> tuple[Source, ...]:
    """Where the limits and laws of the shape come from."""
    return (BENT_BEECH, SANNE, CLASSICAL)
