"""The act of asking why an order ends when it ends, and what would help."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from pairwright.app.opened import Opened, open_changed
from pairwright.app.planning import PlanResult, plan_alike, plan_works
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.time import DAY, HOUR
from pairwright.base.words import Text, Words, text

if TYPE_CHECKING:
    from pairwright.reports.reasons import Link, Share

TRIED: Final = 6  # changes that are planned anew: each costs a decode and an audit
WEEKEND: Final = '["07:00-13:00"]'


@dataclass(frozen=True, slots=True)
class Help:
    """A change that was planned and audited: what it would gain, and what it would cost."""

    change: tuple[str, str]
    says: Text
    gain: int  # seconds that the order would end earlier
    cost: float | None  # money over the time of the plan, where rates are given
    verified: bool


@dataclass(frozen=True, slots=True)
class Explanation:
    """The deciding chain of an order, what its time went into, what would help."""

    order: str
    late: int
    chain: tuple[Link, ...]
    causes: tuple[Share, ...]
    would_help: tuple[Help, ...]

    def as_json(self, words: Words) -> dict[str, Any]:
        """The public shape."""
        return {
            "order": self.order,
            "late": self.late,
            "chain": [
                {"operation": link.operation, "reason": words.say(share.text), "seconds": share.seconds}
                for link in self.chain
                for share in link.shares
            ],
            "causes": [{"reason": words.say(c.text), "seconds": c.seconds} for c in self.causes],
            "would_help": [help_json(one, words) for one in self.would_help],
        }


def help_json(one: Help, words: Words) -> dict[str, Any]:
    """The public shape of one change that would help."""
    return {
        "change": "=".join(one.change),
        "text": words.say(one.says),
        "gain_days": one.gain / DAY,
        "cost": one.cost,
        "verified": one.verified,
    }


def explain_order(
    opened: Opened,
    order: str,
    *,
    actor: str,
    now: int,
    effort: int | None = None,
    seed: int = 0,
    planned: PlanResult | None = None,
    stage: Callable[[int, int], None] | None = None,
) -> Explanation:
    """Why an order ends when it ends; every help is a plan of its own, made by the same decisions."""
    from pairwright import reports

    if order not in {o.id for o in opened.book.orders}:
        raise InputError(
            Problem(
                "pairwright why",
                "order",
                text("one of {names}", names=", ".join(o.id for o in opened.book.orders)[:200]),
                shown(order),
                text("name an order of the book"),
            )
        )
    planned = planned or plan_works(opened, actor=actor, now=now, effort=effort, seed=seed)
    lookup = reports.planned(opened.works, planned.schedule)
    chain = reports.chain_of(lookup, order)
    found = reports.causes(chain, lookup)
    row = next(o for o in planned.schedule.orders if o.order == order)
    helps: list[Help] = []
    tried = list(candidates(opened, found, chain))[:TRIED]
    for n, (change, says) in enumerate(tried):
        one = try_change(opened, planned, order, change=change, says=says, now=now)
        if one is not None and one.gain > 0 and one.verified:
            helps.append(one)
        if stage is not None:
            stage(n + 1, len(tried))
    helps.sort(key=lambda h: (-h.gain, h.change))
    return Explanation(order, row.late, chain, found, tuple(helps))


def candidates(
    opened: Opened, causes: Sequence[Share], chain: Sequence[Link]
) -> Iterator[tuple[tuple[str, str], Text]]:
    """Changes worth trying, from what the order waited for: places, people, hours."""
    factory = opened.works.factory
    told: set[str] = set()
    waited = [c.subject for c in causes if c.cause in ("queue", "setup") and c.subject in factory.stations]
    waited += [link.station for link in chain if link.station and any(s.cause == "fit" for s in link.shares)]
    for name in waited:
        station = factory.stations[name]
        if station.kind == "batch":
            bigger = f"{station.capacity + 1:g}"
            yield (
                (f"works.stations.{name}.capacity", bigger),
                text("one more load in {station}", station=station.name),
            )
        elif name not in told:
            yield (
                (f"works.stations.{name}.places", str(station.places + 1)),
                text("one more place at {station}", station=station.name),
            )
        told.add(name)
        if station.crew is not None and station.crew not in told:
            told.add(station.crew)
            crew = factory.crews[station.crew]
            yield (
                (f"works.crews.{station.crew}.people", str(crew.people + 1)),
                text("one more person in {crew}", crew=crew.name or station.crew),
            )
        hours = factory.crews[station.crew].calendar if station.crew else station.calendar
        if hours not in told and "sat" not in factory.calendars[hours].week:
            told.add(hours)
            yield (
                (f"works.calendars.{hours}.week.sat", WEEKEND),
                text("a Saturday shift, 07:00 to 13:00, for {calendar}", calendar=hours),
            )


def try_change(
    opened: Opened,
    planned: PlanResult,
    order: str,
    *,
    change: tuple[str, str],
    says: Text,
    now: int,
) -> Help | None:
    """Plan a changed works by the same decisions and have it audited; None where it has no plan."""
    try:
        changed = open_changed(opened, [change])
    except InputError:
        return None  # the works' own checks refuse this change
    result = plan_alike(changed, planned.schedule, now=now)
    like = result.schedule
    if like.status not in ("optimal", "feasible"):
        return None
    before = next(o.completion for o in planned.schedule.orders if o.order == order)
    after = next(o.completion for o in like.orders if o.order == order)
    cost = change_cost(opened, change, seconds=planned.schedule.makespan_end - now)
    return Help(change, says, before - after, cost, not result.violations)


def change_cost(opened: Opened, change: tuple[str, str], *, seconds: int) -> float | None:
    """Money for a change over a stretch of time, from crew and station rates; None without a rate.

    A person and a place are paid for forty hours a week, a Saturday shift for its hours and people.
    """
    factory = opened.works.factory
    weeks = seconds / (7 * DAY)
    parts = change[0].split(".")
    if parts[1] == "crews":
        rate = factory.crews[parts[2]].rate or factory.costs.labour
        return rate * 40 * HOUR * weeks if rate else None
    if parts[1] == "stations":
        rate = factory.stations[parts[2]].rate
        return rate * 40 * HOUR * weeks if rate else None
    crews = [c for c in factory.crews.values() if c.calendar == parts[2]]
    total = sum((c.rate or factory.costs.labour) * c.people for c in crews) * 6 * HOUR * weeks
    return total or None
