"""Where each kind of number in the book comes from: computed by what, from what, after whom."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pairwright.base.sources import Source
from pairwright.base.words import Amount, Text, text
from pairwright.reports.recipes import Verdict, where
from pairwright.works import Works

if TYPE_CHECKING:
    from pairwright.plan import Forecast, Schedule


@dataclass(frozen=True, slots=True)
class Origin:
    """A kind of number: what it is, what computed it, from which inputs, after which source."""

    id: str
    what: Text
    computed: Text
    inputs: Text
    source: Text


@dataclass(frozen=True, slots=True)
class Citation:
    """A source with the recipes that lean on it."""

    kind: str
    citation: str
    used: tuple[Text, ...]


@dataclass(frozen=True, slots=True)
class Origins:
    """The birth certificates of the book."""

    revision: str
    orders_digest: str
    version: str
    numbers: tuple[Origin, ...]
    citations: tuple[Citation, ...]


def citations(found: Sequence[Verdict]) -> tuple[Citation, ...]:
    """Every source behind the recipes, with where it is used; standards and publications first."""
    used: dict[Source, list[Text]] = {}
    for verdict in found:
        for source in verdict.sources:
            places = used.setdefault(source, [])
            place = where(verdict)
            if place not in places:
                places.append(place)
    order = (
        "standard",
        "published",
        "data sheet",
        "measured",
        "closed form",
        "common practice",
        "from memory",
    )
    rank = {kind: n for n, kind in enumerate(order)}
    listed = [Citation(s.kind, s.citation, tuple(p)) for s, p in used.items() if s.citation]
    return tuple(sorted(listed, key=lambda c: (rank.get(c.kind, 99), c.citation)))


def origins(
    works: Works,
    schedule: Schedule,
    *,
    forecast: Forecast | None,
    found: Sequence[Verdict],
    orders_digest: str,
    version: str,
    verified: bool,
) -> Origins:
    """Where the book's numbers come from.

    Parameters
    ----------
    works : Works
        The definition; its revision names it.
    schedule : Schedule
        The plan.
    forecast : Forecast, optional
        The futures.
    found : sequence of Verdict
        The recipes with their sources.
    orders_digest : str
        Digest of orders and stock.
    version : str
        Of the code.
    verified : bool
        Whether the audit found nothing.
    """
    inputs = text("works {revision}", revision=works.revision[:12])
    with_orders = text("works {revision}, orders and stock {orders}", revision=works.revision[:12],
                       orders=orders_digest[:12])  # fmt: skip
    numbers = [
        Origin("durations", text("durations, verdicts, curves"), text("the laws of each kind of step"), inputs,
               text("the sources listed below")),
        _plan_origin(schedule, with_orders, verified=verified),
        Origin("stations", text("utilisation, setups, places taken"), text("counted over the plan's operations"),
               with_orders, text("share of working time less maintenance; of all time at unattended stations")),
        Origin("reasons", text("why an order ends when it ends"),
               text("the chain of operations before its last one, each after what it waited for longest"),
               with_orders, text("arithmetic of the plan")),
        Origin("purchases", text("what to buy by when"),
               text("use of each step at its planned start, against lots by expiry and arrivals"),
               with_orders, text("amounts from recipes, lead times from materials")),
        Origin("costs", text("cost and energy of a set"),
               text("likely times and amounts of each step, scrap and rework expected"), inputs,
               text("rates and prices of the works")),
    ]  # fmt: skip
    if forecast is not None:
        numbers.insert(
            2,
            Origin("forecast", text("P10, P50, P90, on time, forecast utilisation"),
                   text("{runs} futures under scatter, scrap, rework and breakdowns, seed {seed}",
                        runs=forecast.runs, seed=forecast.seed),
                   with_orders, text("low and high of each duration; chances stated in the recipes")),
        )  # fmt: skip
    return Origins(works.revision, orders_digest, version, tuple(numbers), citations(found))


def _plan_origin(schedule: Schedule, inputs: Text, *, verified: bool) -> Origin:
    objective = Amount(float(schedule.objective or 0.0), "duration")
    bound = Amount(float(schedule.lower_bound or 0.0), "duration")
    how = text("search over rules and orders; {status}; first objective {objective}, never below {bound}",
               status=schedule.status, objective=objective, bound=bound)  # fmt: skip
    audit = (
        text("checked by an audit of its own, which found nothing")
        if verified
        else text("the audit disagrees: see the first page")
    )
    return Origin("plan", text("planned starts and ends, lateness"), how, inputs, audit)


def gap_words(schedule: Schedule) -> Text:
    """How far the plan may be from the best one."""
    if schedule.gap is None:
        return text("nothing is late") if not schedule.objective else text("no bound above zero is proven")
    return text("at most {gap} from the best possible", gap=Amount(float(schedule.gap), "share"))
