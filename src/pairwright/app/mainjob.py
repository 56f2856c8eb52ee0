"""The main job: check, plan, audit, forecast, book."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from pairwright.app.comparing import compare_works
from pairwright.app.forecasting import forecast_works
from pairwright.app.opened import Opened
from pairwright.app.planning import PlanResult, plan_works
from pairwright.app.writing import write_bytes, write_json
from pairwright.base.words import Amount, Words, text

if TYPE_CHECKING:
    from pairwright.plan import Forecast


class Stages(Protocol):
    """Where the job reports how far it is."""

    def stage(self, name: str) -> None:
        """A new stage begins."""

    def step(self, done: int, of: int, note: str = "") -> None:
        """So much of the stage is done."""


@dataclass(frozen=True, slots=True)
class Settings:
    """How much work to put into the answer."""

    now: int
    runs: int = 40
    effort: int | None = None
    workers: int = 2
    seed: int = 0
    changes: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Done:
    """What the job made."""

    opened: Opened
    plan: PlanResult
    forecast: Forecast | None
    html: Path
    pdf: Path

    @property
    def planned(self) -> bool:
        """Whether there is a plan that keeps every rule."""
        return self.plan.found

    def lines(self, words: Words) -> list[str]:
        """The result in a few lines."""
        findings = self.opened.findings
        counts = {s: sum(f.severity == s for f in findings) for s in ("error", "warning", "note")}
        late = sum(o.late > 0 for o in self.plan.schedule.orders)
        said = [
            text(
                "{works}: {errors} errors, {warnings} warnings, {notes} notes on its recipes",
                works=self.opened.works.factory.name,
                errors=counts["error"],
                warnings=counts["warning"],
                notes=counts["note"],
            )
        ]
        if self.planned:
            schedule = self.plan.schedule
            said.append(
                text(
                    "{n} operations for {orders} orders, {late} late; lower bound {bound} of {value}; "
                    "the audit found no violation",
                    n=len(schedule.operations),
                    orders=len(schedule.orders),
                    late=late,
                    bound=Amount(schedule.lower_bound, "duration"),
                    value=Amount(schedule.objective, "duration"),
                )
            )
        else:
            said.append(text("no plan: {status}", status=self.plan.schedule.status))
            said.extend(self.plan.schedule.reasons)
        said.append(text("book: {html} and {pdf}", html=str(self.html), pdf=str(self.pdf)))
        return [words.say(t) for t in said]


def run_main_job(
    opened: Opened, out: Path, settings: Settings, *, words: Words, actor: str, progress: Stages
) -> Done:
    """Check every recipe, plan, audit, forecast and write book.html, book.pdf and plan.json into `out`.

    Same works, orders and settings: same bytes.
    """
    from pairwright import render, reports

    progress.stage(words.say(text("checking every recipe")))
    opened.findings  # noqa: B018 - computed here, so that the stage's name is true
    progress.stage(words.say(text("planning {n} orders", n=len(opened.book.orders))))
    planned = plan_works(
        opened,
        actor=actor,
        now=settings.now,
        effort=settings.effort,
        workers=settings.workers,
        seed=settings.seed,
        progress=lambda _v, _b, _g, done, of: progress.step(done, of),
    )
    foreseen: Forecast | None = None
    if planned.found:
        progress.stage(words.say(text("forecasting {n} futures", n=settings.runs)))
        foreseen = forecast_works(
            opened,
            planned.schedule,
            actor=actor,
            runs=settings.runs,
            seed=settings.seed,
            workers=settings.workers,
            progress=progress.step,
        )
    comparison = None
    if settings.changes:
        progress.stage(words.say(text("planning the changed works")))
        comparison = compare_works(
            opened,
            settings.changes,
            actor=actor,
            now=settings.now,
            effort=settings.effort,
            seed=settings.seed,
            planned=planned,
        ).told()
    progress.stage(words.say(text("writing the book")))
    data = reports.make_book(
        opened.works,
        opened.book,
        findings=opened.findings,
        times=opened.times,
        schedule=planned.schedule,
        violations=planned.violations,
        forecast=foreseen,
        now=settings.now,
        comparison=comparison,
    )
    html, pdf = out / "book.html", out / "book.pdf"
    write_json(out / "plan.json", planned.document)
    write_bytes(html, render.book_html(data, words).encode())
    write_bytes(pdf, render.book_pdf(data, words))
    return Done(opened, planned, foreseen, html, pdf)
