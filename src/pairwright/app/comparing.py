"""The act of comparing the works with a changed copy of itself."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from pairwright.app.opened import Opened, open_changed
from pairwright.app.planning import PlanResult, plan_alike, plan_works
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.findings import Finding
from pairwright.base.time import iso
from pairwright.base.words import Amount, Text, Words, text

if TYPE_CHECKING:
    from pairwright.reports import Comparison as ToldComparison
    from pairwright.works import StepTime


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two works, their plans, what differs."""

    changes: tuple[tuple[str, str], ...]
    before: Opened
    after: Opened
    plans: tuple[PlanResult, PlanResult]
    stations: tuple[tuple[str, float, float], ...]  # utilisation over the same window
    cost: tuple[float, float]  # of the order book

    @property
    def both_planned(self) -> bool:
        """Whether both have a plan."""
        return all(p.found for p in self.plans)

    def findings(self) -> tuple[tuple[Finding, ...], tuple[Finding, ...]]:
        """Findings that are new, and those that are gone."""
        old, new = ({_told(f) for f in o.findings} for o in (self.before, self.after))
        return (
            tuple(f for f in self.after.findings if _told(f) not in old),
            tuple(f for f in self.before.findings if _told(f) not in new),
        )

    def durations(self) -> tuple[tuple[StepTime | None, StepTime | None], ...]:
        """Steps whose likely duration differs: before and after."""
        old = {_key(t): t for t in self.before.times}
        new = {_key(t): t for t in self.after.times}
        pairs = [(old.get(k), new.get(k)) for k in [*old, *(k for k in new if k not in old)]]
        return tuple((a, b) for a, b in pairs if a is None or b is None or abs(a.likely - b.likely) > 0.5)

    def completions(self) -> tuple[tuple[str, int | None, int | None], ...]:
        """Each order's completion before and after."""
        one, two = ({o.order: o.completion for o in p.schedule.orders} for p in self.plans)
        return tuple((o.id, one.get(o.id), two.get(o.id)) for o in self.before.book.orders)

    def sentences(self) -> tuple[Text, ...]:
        """What the change does, in words, in the order in which one thing follows from another."""
        said: list[Text] = [text("{path} = {value}", path=p, value=v) for p, v in self.changes]
        told: set[tuple[str, str, str]] = set()
        for a, b in self.durations():
            if a is not None and b is not None and len(told) < 3 and _place(b) not in told:
                told.add(_place(b))
                said.append(
                    text(
                        "{product} {part} {step}: {before} becomes {after}; {reason}",
                        product=self.after.works.products[b.product].name,
                        part=b.part,
                        step=b.step,
                        before=Amount(a.likely, "duration"),
                        after=Amount(b.likely, "duration"),
                        reason=b.reason,
                    )
                )
        causes = {t.station for pair in self.durations() for t in pair if t is not None}
        moved = sorted(self.stations, key=lambda s: (s[0] not in causes, -abs(s[2] - s[1])))
        for name, before, after in moved[:2]:
            if abs(after - before) > 5e-4:
                said.append(
                    text(
                        "{station}: {before} of its time used becomes {after}",
                        station=self.before.works.factory.stations[name].name,
                        before=Amount(before, "share"),
                        after=Amount(after, "share"),
                    )
                )
        shifts = [
            (b - a, o, a, b) for o, a, b in self.completions() if a is not None and b is not None and a != b
        ]
        for _shift, order, a2, b2 in sorted(shifts, key=lambda s: (-abs(s[0]), s[1]))[:3]:
            said.append(
                text(
                    "order {order}: {before} becomes {after}",
                    order=order,
                    before=Amount(a2, "instant"),
                    after=Amount(b2, "instant"),
                )
            )
        if not shifts:
            said.append(text("no order's completion moves"))
        return tuple(said)

    def told(self) -> ToldComparison:
        """The comparison as a book tells it."""
        from pairwright.reports import comparison_of

        return comparison_of(
            self.before.works,
            self.before.book,
            changes=self.changes,
            says=self.sentences(),
            durations=self.durations(),
            stations=self.stations,
            orders=self.completions(),
            findings=self.findings(),
            cost=self.cost,
        )

    def as_json(self, words: Words) -> dict[str, Any]:
        """The public shape."""
        new, gone = self.findings()
        zone = self.before.works.zone

        def when(moment: int | None) -> str | None:
            return None if moment is None else iso(moment, zone)

        return {
            "changes": [{"path": p, "value": v} for p, v in self.changes],
            "findings": {"new": [f.as_json(words) for f in new], "gone": [f.as_json(words) for f in gone]},
            "durations": [_row(a, b) for a, b in self.durations()],
            "stations": [{"station": s, "before": a, "after": b} for s, a, b in self.stations],
            "orders": [{"order": o, "before": when(a), "after": when(b)} for o, a, b in self.completions()],
            "cost": {"before": self.cost[0], "after": self.cost[1]},
            "why": [words.say(t) for t in self.sentences()],
        }


def _told(finding: Finding) -> tuple[str, str, str, str]:
    """A finding as people read it: digits that are not shown do not make it another one."""
    return finding.code, finding.severity, finding.subject, str(finding.text)


def _row(before: StepTime | None, after: StepTime | None) -> Mapping[str, Any]:
    names = {n: getattr(after or before, n) for n in ("product", "option", "part", "step", "station")}
    return {
        **names,
        "before": before.likely if before else None,
        "after": after.likely if after else None,
    }


def _place(time: StepTime) -> tuple[str, str, str]:
    return time.product, time.part, time.step


def _key(time: StepTime) -> tuple[str, str, str, str, str | None]:
    return time.product, time.option, time.part, time.step, time.station


def read_changes(changes: Sequence[str]) -> tuple[tuple[str, str], ...]:
    """``PATH=VALUE`` texts as pairs."""
    found: list[tuple[str, str]] = []
    for change in changes:
        path, equals, value = change.partition("=")
        if not equals or not path.strip():
            raise InputError(
                Problem(
                    "pairwright compare",
                    "--change",
                    text("PATH=VALUE"),
                    shown(change),
                    text("write such as products/alder.shell.layup.plies=13"),
                )
            )
        found.append((path.strip(), value.strip()))
    return tuple(found)


def compare_works(
    opened: Opened,
    changes: Sequence[tuple[str, str]],
    *,
    actor: str,
    now: int,
    effort: int | None = None,
    seed: int = 0,
    planned: PlanResult | None = None,
    stage: Callable[[str], None] | None = None,
) -> Comparison:
    """Check and plan the works and its changed copy, over the same orders.

    The changed works is planned by the same decisions (priorities, rules, held-back starts) as the works
    as it is, so that what differs is what the change does, not what another search happened to find.
    `planned` is the plan of the works as it is, where it has been made already with this effort.
    """
    from pairwright import costing, reports

    changed = open_changed(opened, changes)
    if planned is None:
        if stage is not None:
            stage(f"planning {len(opened.book.orders)} orders")
        planned = plan_works(opened, actor=actor, now=now, effort=effort, seed=seed)
    if planned.found:
        plans = (planned, plan_alike(changed, planned.schedule, now=now))
    else:
        plans = (planned, plan_works(changed, actor=actor, now=now, effort=effort, seed=seed))
    end = max(p.schedule.makespan_end for p in plans)
    use = [
        reports.station_use(o.works, p.schedule, first=now, last=end)
        for o, p in zip((opened, changed), plans, strict=True)
    ]
    stations = tuple((s, use[0].get(s, 0.0), use[1].get(s, 0.0)) for s in opened.works.factory.stations)
    cost = tuple(costing.order_book_cost(o.works, o.book, times=o.times) for o in (opened, changed))
    return Comparison(tuple(changes), opened, changed, plans, stations, (cost[0], cost[1]))
