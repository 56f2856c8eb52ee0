"""The mould that a shell needs: its profile, bent the more by what the shell springs back."""

from __future__ import annotations

from dataclasses import dataclass, replace

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import Amount, text
from pairwright.physics.profile import Arc, Piece, PlyCourse, mould_for, tip_opening
from pairwright.process.context import StepContext, contexts
from pairwright.process.outline import courses, pieces_of
from pairwright.process.press_heat import inputs_of, plies_of
from pairwright.process.press_shape import Spring, spring_of
from pairwright.works.definition import Works


@dataclass(frozen=True, slots=True)
class Mould:
    """A shell and its mould.

    `wanted` and `mould` are lines and arcs of the inner face: as the shell shall be, and as the mould
    must be; `narrower` by how much the mould's ends are closer together [m], and its standard
    deviation `narrower_sd` [m]; `courses` of every ply in the mould, from the inner face out;
    `spring` what was compensated; `moisture` whether the closing by moisture was too.
    """

    wanted: tuple[Piece, ...]
    mould: tuple[Piece, ...]
    narrower: float
    narrower_sd: float
    courses: tuple[PlyCourse, ...]
    spring: Spring
    moisture: bool


def press_context(works: Works, product: str, *, option: str, part: str) -> StepContext:
    """The first press step of a part; otherwise an `InputError`."""
    for context in contexts(works, product):
        if context.product.option == option and context.part_id == part and context.step.kind == "press":
            return context
    raise InputError(
        Problem(f"{product}.{option}.{part}", "steps", text("a part with a press step, in an option of the product"),
                shown(part), text("name a part that is pressed"))
    )  # fmt: skip


def mould_of(works: Works, product: str, *, option: str, part: str, moisture: bool = False) -> Mould:
    """The mould of a shell.

    Parameters
    ----------
    works : Works
        The definition.
    product : str
        Its id.
    option : str
        Its option: its leaves have their own thickness and wood.
    part : str
        The part that is pressed.
    moisture : bool
        Compensate the closing by moisture too; it is an upper bound, since the press drives some of
        the glue's water out.

    Notes
    -----
    Bends turn by more, and keep their length, at the middle of the stack (the elastic centroid of a
    symmetrical layup); the inner face is then drawn half a stack inside. The spread holds moduli,
    thicknesses, and with moisture the movement; not the mould's own accuracy.
    """
    context = press_context(works, product, option=option, part=part)
    profile, spring = context.part.profile, spring_of(context)
    if profile is None or spring is None:
        raise InputError(
            Problem(context.subject, "profile", text("stated, with a bend in it"), "nothing bent",
                    text("state the profile of the part; a flat part needs no compensation"))
        )  # fmt: skip
    middle = 0.5 * inputs_of(context).stack.thickness
    wanted = pieces_of(profile, offset=middle)
    closing = spring.closing if moisture else 0.0
    pressed = mould_for(wanted, fraction=spring.lost, closing=closing)
    inner = tuple(_moved(piece, -middle, context) for piece in pressed)
    sd = spring.opens.sd if not moisture else (spring.opens.sd**2 + spring.closes.sd**2) ** 0.5
    found = courses(profile, tuple(leaf.veneer.thickness for leaf in plies_of(context)))
    return Mould(pieces_of(profile), inner, tip_opening(pressed, wanted), sd, found, spring, moisture)


def _moved(piece: Piece, offset: float, context: StepContext) -> Piece:
    """A piece of the surface at a distance outside; lines stay as they are."""
    if not isinstance(piece, Arc):
        return piece
    radius = piece.radius + (offset if piece.angle > 0.0 else -offset)
    if radius <= 0.0:
        raise InputError(
            Problem(context.subject, "profile", text("wide enough that the mould has a radius left"),
                    str(Amount(radius, "length")), text("bend less tightly"))
        )  # fmt: skip
    return replace(piece, radius=radius)
