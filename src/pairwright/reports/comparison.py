"""What a change does and why: from the recipe to the station to the date, in words and tables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pairwright.base.findings import Finding
from pairwright.base.words import Text, text
from pairwright.reports.names import part_name, station_name, step_word, variant_name
from pairwright.works import Works
from pairwright.works.orders import Book
from pairwright.works.steptime import StepTime


@dataclass(frozen=True, slots=True)
class Moved:
    """One number before and after; `subject` says whose it is."""

    subject: Text
    before: float | None
    after: float | None


@dataclass(frozen=True, slots=True)
class Comparison:
    """A changed works beside the works as it is.

    `says` goes from cause to effect: the change, the durations it moves with their reason, the
    stations, the orders. Durations in seconds, stations as shares, orders as UTC seconds.
    """

    changes: tuple[tuple[str, str], ...]
    says: tuple[Text, ...]
    durations: tuple[Moved, ...]
    stations: tuple[Moved, ...]
    orders: tuple[Moved, ...]
    new: tuple[Finding, ...]
    gone: tuple[Finding, ...]
    cost_before: float
    cost_after: float


def comparison_of(
    works: Works,
    book: Book,
    *,
    changes: Sequence[tuple[str, str]],
    says: Sequence[Text],
    durations: Sequence[tuple[StepTime | None, StepTime | None]],
    stations: Sequence[tuple[str, float, float]],
    orders: Sequence[tuple[str, int | None, int | None]],
    findings: tuple[Sequence[Finding], Sequence[Finding]],
    cost: tuple[float, float],
) -> Comparison:
    """A comparison as a book tells it: by name, each once, only what moves.

    Parameters
    ----------
    works, book
        The works as it is, and its orders.
    changes, says
        What is changed; what it does, from cause to effect.
    durations : sequence
        Times of a step before and after. [s]
    stations : sequence
        Utilisation before and after. [-]
    orders : sequence
        Planned ends before and after. [s]
    findings : tuple
        New ones, gone ones.
    cost : tuple
        Of the order book, before and after.
    """
    moved: dict[Text, Moved] = {}
    for before, after in durations:
        one = before or after
        if one is not None:
            subject = _step(works, one)
            moved.setdefault(subject, Moved(subject, _likely(before), _likely(after)))
    names = {o.id: variant_name(works, o.product, o.option) for o in book.orders}
    return Comparison(
        tuple(changes),
        tuple(says),
        tuple(moved.values()),
        tuple(
            Moved(text("{station}", station=station_name(works, s)), a, b)
            for s, a, b in stations
            if abs(b - a) > 5e-4
        ),
        tuple(
            Moved(
                text("{order} · {name}", order=o, name=names.get(o, text("unknown"))),
                None if a is None else float(a),
                None if b is None else float(b),
            )
            for o, a, b in orders
            if a != b
        ),
        tuple(findings[0]),
        tuple(findings[1]),
        *cost,
    )


def _likely(time: StepTime | None) -> float | None:
    return None if time is None else time.likely


def _step(works: Works, time: StepTime) -> Text:
    return text(
        "{name}, {part}: {step}",
        name=variant_name(works, time.product, time.option),
        part=part_name(works, time.product, option=time.option, part=time.part),
        step=step_word(time.step),
    )
