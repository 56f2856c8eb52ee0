"""The book: one frozen document that page, paper and JSON are made from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from pairwright import __version__
from pairwright.base.digests import digest_json
from pairwright.base.findings import Finding, worst_first
from pairwright.base.time import iso
from pairwright.base.words import Text, Words
from pairwright.process import StepReport
from pairwright.reports.comparison import Comparison
from pairwright.reports.costs import Costs, costs
from pairwright.reports.figures import BufferLevels, PromiseFan, StationLoad, Track, WeeklyLoad
from pairwright.reports.origins import Origins, gap_words, origins
from pairwright.reports.plain import plain
from pairwright.reports.planned import Planned, planned
from pairwright.reports.promises import promises
from pairwright.reports.purchases import Purchase, purchases
from pairwright.reports.recipes import StepCautions, Verdict, all_reports, cautions, verdicts
from pairwright.reports.stations import bottleneck_of, buffer_levels, station_load, weekly_load
from pairwright.reports.tracks import opening_sentence, tracks
from pairwright.reports.week import Week, bottleneck, decisions, duties, risks, ships, week_days
from pairwright.works import Works
from pairwright.works.orders import Book
from pairwright.works.steptime import StepTime

if TYPE_CHECKING:
    from pairwright.audit import Violation
    from pairwright.plan import Forecast, Schedule


@dataclass(frozen=True, slots=True)
class PlanFacts:
    """What the plan says of itself."""

    status: str
    objective_kind: str
    gap: Text
    verified: bool
    operations: int
    orders: int
    sets: int


@dataclass(frozen=True, slots=True)
class BookData:
    """Everything a book says, in the order in which it says it."""

    works: str
    revision: str
    now: int
    time_zone: str
    currency: str
    plan: PlanFacts
    week: Week
    comparison: Comparison | None
    promises: PromiseFan
    tracks: tuple[Track, ...]
    tracks_say: Text
    stations: StationLoad
    weekly: WeeklyLoad | None
    buffers: BufferLevels
    verdicts: tuple[Verdict, ...]
    findings: tuple[Finding, ...]
    purchases: tuple[Purchase, ...]
    costs: Costs
    cautions: tuple[StepCautions, ...]
    origins: Origins

    def as_json(self, words: Words) -> dict[str, Any]:
        """The whole book as one JSON document; its own moments as ISO 8601, others UTC seconds."""
        from zoneinfo import ZoneInfo

        found = plain(self, words)
        return {**found, "now": iso(self.now, ZoneInfo(self.time_zone))}


def make_book(
    works: Works,
    book: Book,
    *,
    findings: Sequence[Finding],
    times: Sequence[StepTime],
    schedule: Schedule,
    violations: Sequence[Violation],
    forecast: Forecast | None,
    now: int,
    reports: Sequence[StepReport] | None = None,
    comparison: Comparison | None = None,
    version: str = __version__,
) -> BookData:
    """What the book says, from what the acts before it computed.

    Parameters
    ----------
    works, book
        The definition, the orders with stock.
    findings, times
        What `process` found and how long everything takes.
    schedule, violations, forecast
        The plan, what the audit says against it, the futures (where there are any).
    now : int
        The moment the book is of. [s]
    reports : sequence of StepReport, optional
        Of every step; made here when not given.
    comparison : Comparison, optional
        What a change does.
    version : str
        Of the code, for the birth certificates.
    """
    plan = planned(works, schedule)
    days = week_days(works, now)
    fan = promises(works, book, schedule=schedule, forecast=forecast)
    load = station_load(plan, forecast)
    narrow = bottleneck_of(load.rows, forecast)
    weekly = weekly_load(plan, narrow.station) if narrow is not None else None
    bought = purchases(plan, book, week_end=days[-1])
    found = verdicts(works, all_reports(works) if reports is None else reports)
    drawn = tracks(plan, {r.order: r.due for r in fan.rows})
    return BookData(
        works.factory.name, works.revision, now, works.factory.time_zone, works.factory.costs.currency,
        _facts(plan, fan, verified=not violations),
        _week(plan, book, fan, load, weekly, bought, days, decisions(findings, violations, schedule=schedule)),
        comparison, fan, drawn, opening_sentence(drawn), load, weekly, buffer_levels(plan, forecast),
        found, worst_first(findings), bought, costs(works, book, times=times), cautions(works),
        origins(
            works, schedule, forecast=forecast, found=found, orders_digest=_digest(book), version=version,
            verified=not violations,
        ),
    )  # fmt: skip


def _week(
    plan: Planned, book: Book, fan: PromiseFan, load: StationLoad, weekly: WeeklyLoad | None,
    bought: tuple[Purchase, ...], days: tuple[int, ...], found: tuple[Any, ...],
) -> Week:  # fmt: skip
    shipped = ships(plan, book, fan)
    return Week(
        days[0], days[-1], days[:-1],
        tuple(s for s in shipped if s.completion < days[-1]),
        tuple(s for s in shipped if s.completion >= days[-1])[:3],
        risks(plan, fan), bottleneck(load, weekly),
        tuple(p for p in bought if p.state in ("broken", "watch")),
        duties(plan, days), found, len(plan.sets),
    )  # fmt: skip


def _facts(plan: Planned, fan: PromiseFan, *, verified: bool) -> PlanFacts:
    schedule = plan.schedule
    return PlanFacts(
        schedule.status, schedule.objective_kind, gap_words(schedule), verified, len(schedule.operations),
        len(fan.rows), len(plan.sets),
    )  # fmt: skip


def _digest(book: Book) -> str:
    """Digest of orders and stock, whatever their order in memory."""
    return digest_json(
        {
            name: sorted(str(plain(entry, Words())) for entry in getattr(book, name))
            for name in ("orders", "lots", "parts", "purchases")
        }
    )
