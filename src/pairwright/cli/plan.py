"""`pairwright plan`: when will it be ready?"""

from __future__ import annotations

import signal
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import Amount, Words, text
from pairwright.cli.options import Actor, AsJson, Now, Quiet, Seed, WorksFolder
from pairwright.cli.output import print_json, progress, table
from pairwright.cli.tongue import tr

if TYPE_CHECKING:
    from pairwright.app.opened import Opened
    from pairwright.app.planning import PlanResult


def plan(  # noqa: PLR0913, PLR0917 (a command has as many options as it has)
    works: WorksFolder,
    as_json: AsJson = False,
    objective: Annotated[str, typer.Option("--objective", help=tr("service or makespan."))] = "service",
    effort: Annotated[
        int | None,
        typer.Option(
            "--effort",
            min=1,
            help=tr("How many plans to try; reproducible; default: 48, with --limit no end."),
        ),
    ] = None,
    limit: Annotated[
        float | None, typer.Option("--limit", min=0.1, help=tr("Seconds to search, instead of an effort."))
    ] = None,
    workers: Annotated[int, typer.Option("--workers", min=1, max=64, help=tr("Processes to use."))] = 1,
    seed: Seed = 0,
    out: Annotated[Path | None, typer.Option("--out", help=tr("Write the document to a file too."))] = None,
    verify: Annotated[
        Path | None, typer.Option("--verify", help=tr("Judge this plan document instead of making one."))
    ] = None,
    ignore_materials: Annotated[
        bool, typer.Option("--ignore-materials", help=tr("Plan as if all material were there."))
    ] = False,
    now: Now = None,
    quiet: Quiet = False,
    actor: Actor = "cli",
) -> int:
    """Plan the order book at finite capacity, with a proven bound; the audit judges every plan.

    Exit 1 when there is no plan, or when the judged plan breaks a rule.
    """
    from pairwright.app.language import words_of
    from pairwright.app.opened import open_works
    from pairwright.app.planning import plan_works

    if objective not in ("service", "makespan"):
        raise InputError(
            Problem(
                "pairwright plan",
                "--objective",
                text("service or makespan"),
                shown(objective),
                text("choose one of them"),
            )
        )
    opened = open_works(works)
    words = words_of(opened.works)
    if verify is not None:
        return _verify(opened, verify, as_json=as_json, actor=actor, words=words)
    shown_progress = progress(quiet)
    shown_progress.stage(words.say(text("planning {n} orders", n=len(opened.book.orders))))

    def report(value: float, bound: float, _gap: float | None, done: int, of: int) -> None:
        note = text("{value} against a bound of {bound}", value=_span(value), bound=_span(bound))
        shown_progress.step(done, of, words.say(note))

    result = plan_works(
        opened,
        actor=actor,
        now=opened.now(now),
        objective=objective,
        effort=effort,
        limit=limit,
        workers=workers,
        seed=seed,
        clock=time.monotonic,
        progress=report,
        should_stop=interrupted(),
        materials=not ignore_materials,
    )
    if out is not None:
        from pairwright.app.writing import write_json

        write_json(out, result.document)
    if as_json:
        print_json(result.document)
    else:
        _print(result, words)
    return 0 if result.found else 1


def interrupted() -> Callable[[], bool]:
    """Whether a keyboard interrupt has come: the first ends the search with what it has found so far."""
    asked: list[int] = []

    def note(number: int, _frame: object) -> None:
        asked.append(number)
        signal.signal(signal.SIGINT, signal.default_int_handler)  # a second one stops at once

    signal.signal(signal.SIGINT, note)
    return lambda: bool(asked)


def _span(seconds: float) -> Amount:
    return Amount(seconds, "duration")


def _verify(opened: Opened, path: Path, *, as_json: bool, actor: str, words: Words) -> int:
    from pairwright.app.planning import read_plan, verify_plan

    violations = verify_plan(opened, read_plan(path), actor=actor)
    if as_json:
        print_json({"ok": not violations, "violations": [v.as_json(words) for v in violations]})
    elif violations:
        head = [words.say(text("rule")), words.say(text("subject")), words.say(text("says"))]
        typer.echo(table(head, [(v.rule, v.subject, words.say(v.text)) for v in violations]))
    else:
        typer.echo(words.say(text("the plan keeps every rule")))
    return 1 if violations else 0


def _print(result: PlanResult, words: Words) -> None:
    schedule = result.schedule
    if not result.found:
        typer.echo(words.say(text("no plan: {status}", status=schedule.status)))
        for reason in schedule.reasons:
            typer.echo("  " + words.say(reason))
        for violation in result.violations[:20]:
            typer.echo(f"  {violation.rule} {violation.subject}: {words.say(violation.text)}")
        return
    head = [words.say(t) for t in (text("order"), text("due"), text("completion"), text("late"))]
    rows = [
        (
            o.order,
            words.amount(Amount(o.due, "date")),
            words.amount(Amount(o.completion, "instant")),
            words.amount(Amount(o.late, "duration")) if o.late else "",
        )
        for o in schedule.orders
    ]
    typer.echo(table(head, rows))
    for note in schedule.notes:
        typer.echo("  " + words.say(note))
    gap = text("no gap can be stated: the bound is 0")
    if schedule.gap is not None:
        gap = text("gap {gap}", gap=Amount(schedule.gap, "share"))
    typer.echo(
        words.say(
            text(
                "{n} operations, {kind} {value}, lower bound {bound}, {gap}; audited: every rule is kept",
                n=len(schedule.operations),
                kind=schedule.objective_kind,
                value=_span(schedule.objective),
                bound=_span(schedule.lower_bound),
                gap=gap,
            )
        )
    )
