"""Opening a shell elastically so that bracing can go in: does it stay elastic?"""

from __future__ import annotations

import math
from typing import Final

from pairwright.base.findings import Finding
from pairwright.base.words import Amount, text
from pairwright.physics.opening import Shell, opened, safe_opening
from pairwright.physics.profile import Arc, Straight
from pairwright.physics.shell import THIN_RING, WINKLER
from pairwright.process.context import StepContext
from pairwright.process.outline import pieces_of
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
    pieces = pieces_of(profile)
    bends = [p for p in pieces if isinstance(p, Arc)]
    if abs(abs(sum(b.angle for b in bends)) - math.pi) > _U_TURN:
        return None
    lines = [p.length for p in pieces if isinstance(p, Straight)]
    around = sum(b.length for b in bends) + sum(lines[1:-1])
    legs = [lines[0], lines[-1]] if len(lines) > 1 else [0.0]
    return sum(legs) / len(legs), around / math.pi


def _least(plies: tuple[Leaf, ...], *, elastic: bool) -> float:
    """The smallest strain limit among the plies. [-]"""
    return min((x for leaf in plies if (x := leaf.limit(elastic=elastic)) is not None), default=math.inf)


def opening_findings(context: StepContext, distance: float) -> list[Finding]:
    """Stress of the opened shell against what its plies bear.

    The panel is taken as even, with its flexural modulus: the strain of its inner face is held
    against the smallest limit of any ply, and the tension through the thickness against the
    stated strength across the grain.
    """
    part = shell_of(context)
    if part is None or part.layup is None or part.profile is None:
        return [
            context.finding(
                "opening_not_judged", "note", text("no shell with layup and profile is known here")
            )
        ]
    shape = _as_u(part.profile)
    if shape is None:
        what = text("the opening law is for a U; this profile turns otherwise")
        return [context.finding("opening_not_judged", "note", what, THIN_RING)]
    plies = leaves(context, part.layup)
    sheet = glued(tuple(leaf.lamina() for leaf in plies))
    shell = Shell(
        shape[0],
        shape[1] + 0.5 * sheet.thickness,
        sheet.thickness,
        part.profile.height,
        sheet.flexural_modulus_x,
    )
    through = min(leaf.wood.transverse_strength for leaf in plies)
    for code, elastic in (("opening_breaks", False), ("opening_above_elastic", True)):
        along = _least(plies, elastic=elastic) * sheet.flexural_modulus_x
        held = opened(shell, distance, along_limit=along, through_limit=through)
        if held.share > 1.0:
            most = safe_opening(shell, along_limit=along, through_limit=through)
            what = text(
                "opening by {distance} takes {force} at each tip and pulls the inside of the bend with {stress}; "
                "the {limit} is reached at {most}",
                distance=Amount(distance, "length"), force=Amount(held.force, "force"),
                stress=Amount(held.hoop_stress, "pressure"), most=Amount(most.opening, "length"),
                limit=text("elastic limit") if elastic else text("breaking limit"),
            )  # fmt: skip
            return [context.finding(code, "warning" if elastic else "error", what, WINKLER)]
    return []
