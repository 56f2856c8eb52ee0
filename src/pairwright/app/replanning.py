"""The act of going on from a live state: what has happened is taken in, what can stay stays."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from pairwright.app.planning import PlanResult, plan_works, read_plan
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.time import iso
from pairwright.base.words import Text, Words, text

if TYPE_CHECKING:
    from pairwright.app.opened import Opened
    from pairwright.audit import Violation
    from pairwright.plan import Schedule
    from pairwright.plan.freeze import Freezer
    from pairwright.plan.freezing import Asked
    from pairwright.plan.live import Frozen, Live
    from pairwright.plan.news import News
    from pairwright.plan.trouble import Floor, Troubled
    from pairwright.works import Works

KEPT: Final = "plan.json"  # the works' last kept plan, beside works.toml
TRIES: Final = 3  # sets that may make way for an order that has lost much
ROUNDS: Final = 12  # around tool changes and tooling that is away


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """A plan to go on from, with what it knew of the floor."""

    schedule: Schedule
    floor: Floor


@dataclass(frozen=True, slots=True)
class Replanned:
    """A plan that went on, with its opinion, what it moved, and why, in words."""

    result: PlanResult
    before: Schedule
    frozen: Frozen
    trouble: Troubled
    says: tuple[Text, ...]

    @property
    def found(self) -> bool:
        """Whether there is a plan, and the audit agrees with it."""
        return self.result.found

    def as_json(self, words: Words) -> dict[str, Any]:
        """The public shape: a plan with what moved."""
        zone = self.trouble.works.zone
        return {
            **self.result.document,
            "moved": [
                {"operation": m.operation, "before": iso(m.before, zone), "after": iso(m.after, zone),
                 "affected": m.affected}
                for m in self.frozen.moved
            ],
            "moved_share": self.frozen.moved_share,
            "difference": [words.say(one) for one in self.says],
        }  # fmt: skip


def kept_plan(
    opened: Opened,
    *,
    path: Path | None = None,
    now: int | None = None,
    effort: int | None = None,
    seed: int = 0,
) -> KeptPlan:
    """The plan to go on from: a file, else the works' last kept plan, else one that is made now.

    Parameters
    ----------
    opened : Opened
        The works.
    path : Path
        A plan document.
    now : int
        For a plan that must be made; the works' opening else. [s]
    effort, seed
        For a plan that must be made.
    """
    last = Path(opened.path) / KEPT
    if path is None and opened.path and last.is_file():
        path = last
    if path is not None:
        return plan_from(read_plan(path), str(path), stock_at=opened.recorded)
    result = plan_works(
        opened, actor="plan", now=opened.now() if now is None else now, effort=effort, seed=seed
    )
    return plan_from(result.document, "plan", stock_at=opened.recorded)


def plan_from(body: Mapping[str, Any], where: str, *, stock_at: int | None = None) -> KeptPlan:
    """A plan document read for going on from it; raises `InputError` where it is none."""
    from pairwright import plan
    from pairwright.plan.floor_document import floor_from

    try:
        schedule = plan.from_document(body)
        floor = floor_from(body, schedule)
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise InputError(
            Problem(where, "document", text("a plan as written by: pairwright plan --json --out FILE"),
                    shown(f"{type(error).__name__}: {error}"), text("name a plan document, or plan anew"))
        ) from None  # fmt: skip
    if schedule.status not in ("optimal", "feasible"):
        raise InputError(
            Problem(where, "status", text("optimal or feasible: a plan to go on from"), schedule.status,
                    text("plan anew, and see its reasons"))
        )  # fmt: skip
    return KeptPlan(schedule, floor if stock_at is None else replace(floor, stock_at=stock_at))


def replan_works(
    opened: Opened, news: News, *, actor: str, kept: KeptPlan, now: int | None = None, free: bool = False,
    materials: bool = True,
) -> Replanned:  # fmt: skip
    """Go on from a plan after what has happened.

    Parameters
    ----------
    opened : Opened
        The works, with the orders and stock that the plan was made for.
    news : News
        What has happened.
    actor : str
        Who asks, by id.
    kept : KeptPlan
        The plan.
    now : int
        The moment that counts as now; what the news says else. [s]
    free : bool
        Whether everything that has not begun may move.
    materials : bool
        Whether material is counted, where the plan did.
    """
    del actor  # a reading act
    from pairwright.plan.freezing import SHARE, Asked
    from pairwright.plan.trouble import troubled
    from pairwright.reports.moved import difference

    counted = materials and kept.schedule.supply is not None
    needs = opened.needs if counted else ()
    case = troubled(
        opened.works, opened.book, like=kept.schedule, news=news, floor=kept.floor, needs=needs, now=now
    )
    asked = Asked(free=free, share=SHARE, tries=TRIES)
    frozen, works = go_on(opened, case, asked=asked, counted=counted)
    result = judged_live(opened, case, frozen, counted=counted)
    says = difference(works, kept.schedule, frozen.schedule, hits=case.hits, moved=frozen.moved)
    return Replanned(result, kept.schedule, frozen, case, says)


def go_on(opened: Opened, case: Troubled, *, asked: Asked, counted: bool) -> tuple[Frozen, Works]:
    """A plan around what stays in which no tool is worn out and nothing that is away is used."""
    from pairwright import plan
    from pairwright.plan.freeze import freezer
    from pairwright.plan.frozen import uses_away
    from pairwright.plan.tools import worn

    like = case.like
    bounds: dict[str, int] = dict(uses_away(case.works, like.operations, case.live))
    carry = freezer(case.works, case.book, like=like, times=opened.times, live=case.live)
    frozen = _supplied(opened, case, carry, asked=asked, counted=counted, bounds=bounds)
    for _ in range(ROUNDS):
        if frozen.schedule.status not in ("optimal", "feasible"):
            break
        changes = like.tool_changes
        more = tuple(worn(case.works, replace(frozen.schedule, now=0), changes))[:1]
        away = {
            name: at
            for name, at in uses_away(case.works, frozen.schedule.operations, case.live).items()
            if bounds.get(name, 0) < at
        }
        if not more and not away:
            break
        bounds |= away
        if more:
            changes = tuple(sorted((*changes, *more), key=lambda c: (c.start, c.station)))
            like = replace(like, tool_changes=changes)
            carry = freezer(case.works, case.book, like=like, times=opened.times, live=case.live)
        frozen = _supplied(opened, case, carry, asked=asked, counted=counted, bounds=bounds)
    return frozen, plan.with_changes(case.works, like.tool_changes)


def _supplied(
    opened: Opened, case: Troubled, carry: Freezer, *, asked: Asked, counted: bool, bounds: Mapping[str, int]
) -> Frozen:
    """A plan around what stays, with material counted where the earlier plan did."""
    from pairwright import plan

    made: list[Frozen] = []

    def planned(ready: Mapping[str, int]) -> Schedule:
        every = {**ready, **{name: max(at, ready.get(name, 0)) for name, at in bounds.items()}}
        told = replace(asked, tries=0, way=made[0].way, push=made[0].push) if made else asked
        made.append(carry.plan(every, asked=told))
        return made[-1].schedule

    if not counted:
        planned({})
        return made[-1]
    planner = plan.Planner(first=planned, full=planned, again=lambda _like, ready: planned(ready))
    known = {name: at for name, at in case.like.ready.items() if at > case.live.now}
    schedule = plan.supplied_plan(
        case.works, case.book, needs=opened.needs, now=case.live.now, planner=planner,
        done=frozenset(carry.live.begun), known=known,
        claims={op.id: op.start for op in case.like.operations},
    )  # fmt: skip
    same = next((f for f in reversed(made) if f.schedule.operations == schedule.operations), made[-1])
    return replace(same, schedule=schedule)


def judged_live(opened: Opened, case: Troubled, frozen: Frozen, *, counted: bool) -> PlanResult:
    """A plan that went on with its document and what the audit says of it."""
    from pairwright import audit, plan
    from pairwright.plan.floor_document import floor_document

    schedule = frozen.schedule
    document = {
        **plan.document(schedule, case.works),
        **floor_document(frozen.live, case),
    }
    violations: tuple[Violation, ...] = ()
    if schedule.status in ("optimal", "feasible"):
        violations = audit.verify(
            case.works, case.book, times=opened.times, document=document,
            needs=opened.needs if counted else (), begun=frozen.live.begun, away=away_of(frozen.live),
        )  # fmt: skip
    return PlanResult(schedule, {**document, "verified": not violations}, violations)


def verify_live(opened: Opened, document: Mapping[str, Any]) -> tuple[Violation, ...] | None:
    """Every violation of a plan that went on from an earlier one; None for any other document.

    What the plan says of the floor (what had begun, what stood still, who was away, what had been
    ordered since) is taken for true; everything else is judged.
    """
    from pairwright import audit
    from pairwright.plan.news import News
    from pairwright.plan.trouble import troubled

    if document.get("stock_at") is None:
        return None
    try:
        kept = plan_from(document, "plan", stock_at=None)
        case = troubled(
            opened.works, opened.book, like=kept.schedule, news=News(), floor=kept.floor,
            needs=opened.needs if kept.schedule.supply is not None else (), now=kept.schedule.now,
        )  # fmt: skip
    except InputError:
        return None
    return audit.verify(
        case.works, case.book, times=opened.times, document=document, needs=opened.needs,
        begun=kept.floor.begun, away=away_of(case.live),
    )  # fmt: skip


def away_of(live: Live) -> tuple[Any, ...]:
    """What is away, as the audit reads it."""
    from pairwright.audit import Away

    return tuple(Away(one.name, one.start, one.end, one.count) for one in live.away)
