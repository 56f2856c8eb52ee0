"""A trial as its file states it: a designed experiment on a product of the kind trial."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, ValidationError

from pairwright.base.errors import InputError, Problem
from pairwright.base.words import text
from pairwright.works.definition import Works
from pairwright.works.reading import read_sheet
from pairwright.works.record import Count, Day, Id, Record
from pairwright.works.wording import problems_of


class Factor(Record):
    """What is varied, in which steps; what it is in the recipe is said in `about`."""

    levels: tuple[str | int | float, ...] = Field(min_length=2, max_length=9)
    about: str = ""


class Response(Record):
    """What is measured on each run."""

    unit: str = ""
    about: str = ""


class Trial(Record):
    """An experiment: factors with levels, responses, and the product of kind trial that is made.

    ``full`` makes every combination, ``half`` half of them (factors at two levels, three at least),
    ``spread`` as many runs as `runs` between the two levels of each factor, which are then numbers.
    """

    id: Id
    name: str
    product: Id
    option: Id
    due: Day
    released: Day | None = None
    weight: float = Field(default=1.0, gt=0)
    design: Literal["full", "half", "spread"] = "full"
    runs: Count | None = None
    repeats: Count = 1
    seed: int = Field(default=0, ge=0)
    factors: dict[Id, Factor] = Field(min_length=1, max_length=12)
    responses: dict[Id, Response] = Field(min_length=1)


def load_trial(path: str, body: str, *, works: Works) -> Trial:
    """A trial from its text, checked against the works.

    Parameters
    ----------
    path : str
        For messages.
    body : str
        TOML.
    works : Works
        The definition.

    Raises
    ------
    InputError
        With every problem of the file.
    """
    problems: list[Problem] = []
    sheet = read_sheet(path, body, problems)
    if sheet is None:
        raise InputError(problems)
    try:
        trial = Trial.model_validate(sheet.tree)
    except ValidationError as error:
        raise InputError(problems_of(error, Trial, tree=sheet.tree, place=lambda loc: (sheet, loc))) from None
    kinds = {name for name, line in works.products.items() if line.kind == "trial"}
    if trial.product not in kinds:
        problems.append(
            sheet.problem(("product",), text("a product of the kind trial ({names})", names=", ".join(sorted(kinds))),
                          got=trial.product, do=text("name one, or write its file with kind = \"trial\""))
        )  # fmt: skip
    elif (trial.product, trial.option) not in works.variants:
        names = ", ".join(sorted(works.products[trial.product].options))
        problems.append(
            sheet.problem(("option",), text("an option of {product} ({names})", product=trial.product, names=names),
                          got=trial.option, do=text("correct the name"))
        )  # fmt: skip
    two = all(len(factor.levels) == 2 for factor in trial.factors.values())
    if trial.design == "half" and (not two or len(trial.factors) < 3):
        problems.append(
            sheet.problem(("design",), text("full or spread, unless three or more factors have two levels each"),
                          got=trial.design, do=text("choose full, or state two levels for each factor"))
        )  # fmt: skip
    numbers = all(isinstance(level, int | float) for f in trial.factors.values() for level in f.levels)
    if trial.design == "spread" and (not two or not numbers or trial.runs is None):
        problems.append(
            sheet.problem(("design",), text("spread only with `runs` and two numbers for each factor"),
                          got=trial.design, do=text("state them, or choose full"))
        )  # fmt: skip
    if problems:
        raise InputError(problems)
    return trial
