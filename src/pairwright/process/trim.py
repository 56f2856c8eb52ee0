"""Machine trimming along a programme."""

from __future__ import annotations

from pairwright.base.findings import Finding
from pairwright.base.words import Amount, text
from pairwright.process.context import StepContext
from pairwright.process.figure import Shown
from pairwright.process.programme import passes_text
from pairwright.process.sheet import height_movement
from pairwright.process.timing import Timing, scattered
from pairwright.works.recipe import TrimRecipe


def changes(recipe: TrimRecipe) -> int:
    """Tool changes of one item: none with a single tool, else one to each tool."""
    return recipe.tools if recipe.tools > 1 else 0


def timing(context: StepContext) -> Timing:
    """Cutting along the path, tool changes, clamping in and out."""
    recipe = context.recipe(TrimRecipe)
    cut = recipe.path * recipe.passes / recipe.feed
    fixed = recipe.fixture + changes(recipe) * recipe.tool_change
    reason = text(
        "{passes} of {path} at {feed}: {cut}; tool changes ({changes}) and the fixture {fixed}",
        passes=passes_text(recipe.passes), path=Amount(recipe.path, "length"), feed=Amount(recipe.feed, "speed"),
        cut=Amount(cut, "duration"), changes=changes(recipe), fixed=Amount(fixed, "duration"),
    )  # fmt: skip
    return scattered(cut, fixed, scatter=recipe.scatter, reason=reason)


def findings(context: StepContext) -> list[Finding]:
    """A tolerance that the panel's own movement over the year uses up."""
    recipe = context.recipe(TrimRecipe)
    moved = height_movement(context)
    if recipe.tolerance is None or moved is None or moved.span <= recipe.tolerance:
        return []
    what = text(
        "over the climate of the works the panel moves by {moved} along {size}; the trim tolerance of {tolerance} "
        "holds in the air in which it is trimmed",
        moved=Amount(moved.span, "length", 2), size=Amount(moved.size, "length"),
        tolerance=Amount(recipe.tolerance, "length"),
    )  # fmt: skip
    return [context.finding("tolerance_below_movement", "note", what, moved.source)]


def shown(context: StepContext) -> Shown:
    """Key figures: time of cutting, movement against the tolerance."""
    recipe = context.recipe(TrimRecipe)
    keys = [(text("cutting"), Amount(recipe.path * recipe.passes / recipe.feed, "duration"))]
    moved = height_movement(context)
    if recipe.tolerance is not None:
        keys.append((text("tolerance"), Amount(recipe.tolerance, "length")))
    if moved is not None:
        keys.append((text("movement over the climate of the works"), Amount(moved.span, "length")))
    return Shown((), tuple(keys), () if moved is None else (moved.source,))
