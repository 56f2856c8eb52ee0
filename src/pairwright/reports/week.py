"""The week's decisions: what ships, what is at risk and why, what to buy, who does what by when."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from pairwright.base.findings import Finding
from pairwright.base.time import local_date, local_midnight
from pairwright.base.words import Text, text
from pairwright.reports.figures import PromiseFan, PromiseRow, State, StationLoad, WeeklyLoad
from pairwright.reports.names import sets_of, step_of
from pairwright.reports.planned import Planned
from pairwright.reports.purchases import Purchase
from pairwright.reports.reasons import Share, causes, chain_of
from pairwright.reports.stations import full_until
from pairwright.works import Works
from pairwright.works.orders import Book

if TYPE_CHECKING:
    from pairwright.audit import Violation
    from pairwright.plan.schedule import Schedule


@dataclass(frozen=True, slots=True)
class Ship:
    """An order that is planned to end: when, how many sets, when it is due."""

    order: str
    name: Text
    sets: Text
    completion: int
    due: int
    state: State


@dataclass(frozen=True, slots=True)
class Risk:
    """An order that may not be in time, and what its time goes into."""

    order: str
    name: Text
    due: int
    plan: int
    late: float
    p90: float | None
    on_time: float | None
    reasons: tuple[Share, ...]
    state: State


@dataclass(frozen=True, slots=True)
class Bottleneck:
    """The station that limits the works."""

    station: str
    word: str
    planned: float | None
    forecast: float | None
    fullest: int | None  # start of its fullest week [s]
    fullest_share: float
    until: int | None  # start of the last week above what runs well [s]


@dataclass(frozen=True, slots=True)
class Action:
    """What a crew does on a day at one station: kind, how often, from when on."""

    station: str
    kind: str
    count: int
    start: int


@dataclass(frozen=True, slots=True)
class Duty:
    """A crew's week, a tuple of actions for each day."""

    crew: str
    name: str
    days: tuple[tuple[Action, ...], ...]


@dataclass(frozen=True, slots=True)
class Decision:
    """Something that somebody must decide."""

    subject: str
    text: Text
    state: State
    code: str
    also: tuple[str, ...] = ()  # other subjects of which the same is said


@dataclass(frozen=True, slots=True)
class Week:
    """The first page."""

    begin: int
    end: int
    days: tuple[int, ...]
    ships: tuple[Ship, ...]
    next_ships: tuple[Ship, ...]
    risks: tuple[Risk, ...]
    bottleneck: Bottleneck | None
    buys: tuple[Purchase, ...]
    duties: tuple[Duty, ...]
    decisions: tuple[Decision, ...]
    sets_planned: int


def week_days(works: Works, now: int) -> tuple[int, ...]:
    """Local midnights of seven days, the first one before or at now."""
    first = local_date(now, works.zone)
    return tuple(local_midnight(first + timedelta(days=n), works.zone) for n in range(8))


def ships(plan: Planned, book: Book, fan: PromiseFan) -> tuple[Ship, ...]:
    """Every order with its end, by end."""
    quantity = {o.id: (o.product, o.quantity) for o in book.orders}
    found = [
        Ship(r.order, r.name, sets_of(plan.works, quantity[r.order][0], count=quantity[r.order][1]),
             r.plan, r.due, r.state)
        for r in fan.rows
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda s: (s.completion, s.order)))


def risks(plan: Planned, fan: PromiseFan) -> tuple[Risk, ...]:
    """Orders late in the plan, then those whose ninth future in ten is late; the worst first."""
    found = [_risk(plan, row) for row in fan.rows if row.state in ("broken", "watch")]
    return tuple(
        sorted(found, key=lambda r: (r.state != "broken", -r.late, -((r.p90 or r.plan) - r.due), r.order))
    )


def _risk(plan: Planned, row: PromiseRow) -> Risk:
    why = sorted(causes(chain_of(plan, row.order), plan), key=lambda s: s.cause in ("hours", "work"))
    return Risk(
        row.order, row.name, row.due, row.plan, float(max(0, row.plan - row.due)), row.p90, row.on_time,
        tuple(why[:4]), row.state,
    )  # fmt: skip


def bottleneck(load: StationLoad, weekly: WeeklyLoad | None) -> Bottleneck | None:
    """The station that limits, its fullest week, and until when it stays full."""
    if weekly is None:
        return None
    row = next((r for r in load.rows if r.station == weekly.station), None)
    if row is None:
        return None
    fullest = max(weekly.weeks, key=lambda w: (w.worked + w.setup, -w.start), default=None)
    until = full_until(weekly)
    return Bottleneck(
        row.station, row.word, row.planned, row.forecast,
        fullest.start if fullest is not None else None,
        fullest.worked + fullest.setup if fullest is not None else 0.0,
        until.start if until is not None else None,
    )  # fmt: skip


def duties(plan: Planned, days: Sequence[int]) -> tuple[Duty, ...]:
    """What each crew does on each day of the week, in order of the first start."""
    table: dict[str, list[dict[tuple[str, str], list[int]]]] = {}
    for op in plan.schedule.operations:
        if op.crew is None or op.station is None or not days[0] <= op.start < days[-1]:
            continue
        day = max(n for n, moment in enumerate(days[:-1]) if moment <= op.start)
        step = step_of(plan.works, op.product, option=op.option, part=op.part, step=op.step)
        kind = step.kind if step is not None else "build"
        week = table.setdefault(op.crew, [{} for _ in days[:-1]])
        week[day].setdefault((op.station, kind), []).append(op.start)
    found = []
    for crew in plan.works.factory.crews:
        if crew in table:
            cells = tuple(
                tuple(
                    Action(station, kind, len(starts), min(starts))
                    for (station, kind), starts in sorted(cell.items(), key=lambda e: (min(e[1]), e[0]))
                )
                for cell in table[crew]
            )
            found.append(Duty(crew, plan.works.factory.crews[crew].name or crew, cells))
    return tuple(found)


def decisions(
    findings: Sequence[Finding], violations: Sequence[Violation], *, schedule: Schedule
) -> tuple[Decision, ...]:
    """Errors and warnings, what the audit says against the plan, and why there is no plan."""
    found: list[Decision] = []
    if schedule.status in ("infeasible", "unknown"):
        head: Text = text("there is no plan: {status}", status=schedule.status)
        found.append(Decision("plan", head, "broken", "no_plan"))
        found += [Decision("plan", _as_text(r), "broken", "no_plan") for r in schedule.reasons]
    found += [Decision(v.subject, _as_text(v.text), "broken", v.rule) for v in violations]
    found += [Decision("plan", note, "watch", "plan_note") for note in schedule.notes]
    same: dict[tuple[str, str, Text], list[str]] = {}
    for finding in findings:
        if finding.severity in ("error", "warning"):
            same.setdefault((finding.code, finding.severity, finding.text), []).append(finding.subject)
    for (code, severity, what), subjects in same.items():
        state: State = "broken" if severity == "error" else "watch"
        found.append(Decision(subjects[0], what, state, code, tuple(subjects[1:])))
    return tuple(sorted(found, key=lambda d: d.state != "broken"))


def _as_text(value: object) -> Text:
    """A reason as a text, whether it is one, or carries one, or is plain words."""
    if isinstance(value, Text):
        return value
    inner = getattr(value, "text", None)
    return inner if isinstance(inner, Text) else text("{words}", words=str(value))
