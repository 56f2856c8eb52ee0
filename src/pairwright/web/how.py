"""How a step is done, as its station's page says it: every value already in the reader's words."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from threading import Lock
from typing import TYPE_CHECKING, Final

from pairwright.base.words import Amount, Text, Words
from pairwright.process import report
from pairwright.render.chart import Figure
from pairwright.render.curves import curve_figure
from pairwright.reports.board import Task
from pairwright.reports.instructions import Instructions, Value, instructions_of
from pairwright.web.served import Served

if TYPE_CHECKING:
    from pairwright.works.factory import Caution

KEPT: Final = 200  # steps whose instructions are kept
FIGURE_WIDTH: Final = 760.0


@dataclass(frozen=True, slots=True)
class How:
    """Values of the recipe, what goes in, cautions, handling, the programme to use, pictures."""

    step_name: str
    kind: str
    values: tuple[tuple[Text, str], ...]
    stages: tuple[tuple[str, tuple[tuple[Text, str], ...]], ...]
    takes_in: tuple[tuple[str, str], ...]
    cautions: tuple[tuple[str, str], ...]
    handling: str
    programme: str
    revision: str
    likely: float
    sealed: bool
    figures: tuple[Figure, ...]


_MADE: Final[OrderedDict[tuple[str, str, str, str, str, str | None], How]] = OrderedDict()
_GUARD: Final = Lock()


def how_of(served: Served, task: Task) -> How | None:
    """How the step of a task is done; None where the works no longer has it.

    Parameters
    ----------
    served : Served
        The works.
    task : Task
        As the board has it.
    """
    name = (served.works.revision, task.product, task.option, task.part, task.step, task.side)
    with _GUARD:
        if name in _MADE:
            _MADE.move_to_end(name)
            return _MADE[name]
    made = _make(served, task)
    if made is not None:
        with _GUARD:
            _MADE[name] = made
            while len(_MADE) > KEPT:
                _MADE.popitem(last=False)
    return made


def _make(served: Served, task: Task) -> How | None:
    from pairwright.app.stationing import making_of
    from pairwright.floor.routes import Position
    from pairwright.reports.names import step_of

    step = step_of(served.works, task.product, option=task.option, part=task.part, step=task.step)
    if step is None:
        return None
    product = served.works.variants[task.product, task.option]
    position = Position(product, task.part, 0, (), None, frozenset())
    found = instructions_of(making_of(served.floor).routes, position, step=step, side=task.side)
    return _said(found, served.words, figures=_figures(served, task))


def _said(found: Instructions, words: Words, *, figures: tuple[Figure, ...]) -> How:
    return How(
        found.step_name, found.kind, _values(found.values, words),
        tuple((one.name, _values(one.values, words)) for one in found.stages),
        tuple((one.name, _value(one.amount, words)) for one in found.takes_in),
        tuple(_caution(one) for one in found.cautions), found.handling, found.programme or "", found.revision or "",
        found.likely, found.sealed, figures,
    )  # fmt: skip


def _values(values: tuple[Value, ...], words: Words) -> tuple[tuple[Text, str], ...]:
    return tuple((one.name, _value(one.value, words)) for one in values)


def _value(value: Text | Amount, words: Words) -> str:
    return words.amount(value) if isinstance(value, Amount) else words.say(value)


def _caution(one: Caution) -> tuple[str, str]:
    return one.text, " · ".join(part for part in (one.figure, one.source) if part)


def _figures(served: Served, task: Task) -> tuple[Figure, ...]:
    """The curves that the step's physics draws."""
    made = report(served.works, task.product, option=task.option, part=task.part, step=task.step)
    return tuple(
        curve_figure(one, served.words, id=f"how-{n}", width=FIGURE_WIDTH)
        for n, one in enumerate(made.figures)
    )
