"""What a log proves of a cure: good, bad, or not proven."""

from __future__ import annotations

from itertools import pairwise

import pytest

from pairwright.process.context import StepContext, contexts
from pairwright.process.press_heat import heated, inputs_of
from pairwright.process.proof import Proof, Stay, proof_of, quantity_of
from pairwright.process.stove import stoved
from pairwright.works.recipe import PressRecipe, StoveRecipe
from tests.unit.process.test_sample import WORKS

PRESS = next(c for c in contexts(WORKS) if isinstance(c.step.recipe, PressRecipe))
STOVE = next(c for c in contexts(WORKS) if isinstance(c.step.recipe, StoveRecipe))
TIME = heated(inputs_of(PRESS)).cycle
STAY = stoved(STOVE.recipe(StoveRecipe)).time


def judged(
    context: StepContext, length: float, *, value: float, name: str, leave: tuple[float, float] = (1, 0)
) -> Proof:
    """The proof of an even log, with a stretch left out."""
    times = [float(t) for t in range(0, int(length) + 1, 10)]
    points = tuple((t, value) for t in times if not leave[0] < t < leave[1])
    return proof_of(
        WORKS, context.product.id, option=context.product.option, part=context.part_id, step=context.step.id,
        stay=Stay(length, ((name, points),)),
    )  # fmt: skip


def pressed(length: float, less: float = 0.0, **more: tuple[float, float]) -> Proof:
    return judged(PRESS, length, value=PRESS.recipe(PressRecipe).platen - less, name="platen", **more)


def stood(length: float, less: float = 0.0, **more: tuple[float, float]) -> Proof:
    return judged(STOVE, length, value=STOVE.recipe(StoveRecipe).air - less, name="air", **more)


def test_a_press_as_hot_and_long_as_computed_is_proven() -> None:
    assert TIME is not None
    assert pressed(TIME.open_time + 5.0).verdict == "good"


def test_a_press_opened_early_or_too_cold_is_bad() -> None:
    assert TIME is not None
    assert pressed(TIME.open_time - 15.0).verdict == "bad"
    assert pressed(TIME.open_time + 5.0, less=10.0).verdict == "bad"


def test_a_stove_as_warm_and_long_as_computed_is_proven() -> None:
    assert stood(STAY + 60.0).verdict == "good"


def test_a_stove_left_early_too_cool_or_too_hot_is_bad() -> None:
    recipe = STOVE.recipe(StoveRecipe)
    assert stood(STAY - 120.0).verdict == "bad"
    assert stood(STAY + 60.0, less=recipe.air - recipe.film_temperature + 1.0).verdict == "bad"
    assert stood(STAY * 4, less=recipe.air - recipe.limit - 15.0).verdict == "bad"


@pytest.mark.parametrize("leave", [(100.0, 180.0), (-1.0, 70.0)])
def test_a_gap_of_more_than_a_minute_leaves_it_unproven(leave: tuple[float, float]) -> None:
    assert TIME is not None
    assert pressed(TIME.open_time + 60.0, leave=leave).verdict == "not proven"
    assert stood(STAY + 600.0, leave=leave).verdict == "not proven"


def test_no_log_proves_nothing() -> None:
    assert TIME is not None
    assert pressed(TIME.open_time + 60.0, leave=(-1.0, 1e9)).verdict == "not proven"
    assert judged(PRESS, 900.0, value=390.0, name="force").verdict == "not proven"


def test_the_log_is_drawn_with_its_gaps() -> None:
    assert TIME is not None
    figure = pressed(TIME.open_time + 5.0).figure

    assert figure is not None
    logged = [c for c in figure.curves if str(c.name) == "platen, logged"]
    assert len(logged) == 1
    assert all(b > a for a, b in pairwise(logged[0].x))


def test_a_step_of_another_kind_has_no_quantity_that_proves_it() -> None:
    other = next(c for c in contexts(WORKS) if not isinstance(c.step.recipe, PressRecipe | StoveRecipe))

    def quantity(context: StepContext) -> str | None:
        return quantity_of(WORKS, context.product.id, option=context.product.option, part=context.part_id,
                           step=context.step.id)  # fmt: skip

    assert (quantity(PRESS), quantity(STOVE), quantity(other)) == ("platen", "air", None)
