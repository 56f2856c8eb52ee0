"""Opening a shell elastically so that bracing can go in: does it stay elastic?"""

from __future__ import annotations

import math
from typing import Final

from pairwright.base.findings import Finding
from pairwright.base.words import Amount, text
from pairwright.physics.shell import THIN_RING, opening_force, opening_moment
from pairwright.process.context import StepContext
from pairwright.process.outline import arcs
from pairwright.process.sheet import Leaf, glued, leaves
from pairwright.works.product import Part, Profile

_U_TURN: Final = math.radians(30.0)  # how far the whole turn may differ from a half circle


def shell_of(context: StepContext) -> Part | None:
    """The part with layup and profile: this one, or the first one built into it."""
    parts = context.product.parts
    seen: list[str] = [context.part_id]
    for name in seen:
        part = parts.get(name)
        if part is None:
            continue
        if part.layup is not None and part.profile is not None:
            return part
        steps = part.steps[: context.index + 1] if name == context.part_id else part.steps
        seen.extend(u for step in steps for u in step.uses if u not in seen)
    return None


def _as_u(profile: Profile) -> tuple[float, float] | None:
    """Leg and radius of a profile that is a U; None for another shape. [m]"""
    bends = arcs(profile)
    turn = sum(t for _, t in bends)
    if abs(abs(turn) - math.pi) > _U_TURN:
        return None
    lines = [s.line for s in profile.segments if s.line is not None]
    around = sum(r * abs(t) for r, t in bends) + sum(lines[1:-1])
    legs = [lines[0], lines[-1]] if len(lines) > 1 else [0.0]
    return sum(legs) / len(legs), around / math.pi


def strains(plies: tuple[Leaf, ...], curvature: float) -> tuple[float, ...]:
    """Largest strain of each ply when the sheet's curvature changes by so much. [-]"""
    low = -0.5 * math.fsum(leaf.veneer.thickness for leaf in plies)
    found = []
    for leaf in plies:
        high = low + leaf.veneer.thickness
        found.append(curvature * max(abs(low), abs(high)))
        low = high
    return tuple(found)


def opening_findings(context: StepContext, distance: float) -> list[Finding]:
    """Strain of the opened shell against what its plies bear."""
    shell = shell_of(context)
    if shell is None or shell.layup is None or shell.profile is None:
        return [context.finding("opening_not_judged", "note", text("no shell with layup and profile is known here"))]
    shape = _as_u(shell.profile)
    if shape is None:
        what = text("the opening law is for a U; this profile turns otherwise")
        return [context.finding("opening_not_judged", "note", what, THIN_RING)]
    plies = leaves(context, shell.layup)
    sheet = glued(tuple(leaf.lamina() for leaf in plies))
    leg, radius = shape[0], shape[1] + 0.5 * sheet.thickness
    stiffness = float(sheet.D[0, 0]) * shell.profile.height
    force = opening_force(leg, radius, stiffness=stiffness, opening=distance)
    curvature = opening_moment(leg, radius, force=force) / stiffness
    for code, elastic in (("opening_breaks", False), ("opening_above_elastic", True)):
        ratios = [
            strain / limit
            for leaf, strain in zip(plies, strains(plies, curvature), strict=True)
            if (limit := leaf.limit(elastic=elastic)) is not None
        ]
        if ratios and max(ratios) > 1.0:
            what = text(
                "opening by {distance} takes {force} at each tip and strains a ply to {ratio} of its {limit}",
                distance=Amount(distance, "length"), force=Amount(force, "force"), ratio=Amount(max(ratios), "share"),
                limit=text("elastic limit") if elastic else text("breaking strain"),
            )  # fmt: skip
            return [context.finding(code, "warning" if elastic else "error", what, THIN_RING)]
    return []
