"""`pairwright promise`: when can I have it?"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pairwright.base.time import DAY
from pairwright.base.words import Amount, Words, text
from pairwright.cli.options import Actor, AsJson, Now, Quiet, Seed, WorksFolder
from pairwright.cli.output import print_json, progress, table
from pairwright.cli.tongue import tr

if TYPE_CHECKING:
    from pairwright.app.promising import Promise


def promise(  # noqa: PLR0913, PLR0917 (a command has as many options as it has)
    works: WorksFolder,
    product: Annotated[str, typer.Option("--product", help=tr("The product's id."))],
    quantity: Annotated[int, typer.Option("--quantity", min=1, max=1000, help=tr("How many sets."))] = 1,
    option: Annotated[
        str | None, typer.Option("--option", help=tr("Its option, where it has several."))
    ] = None,
    wish: Annotated[
        str | None, typer.Option("--wish", help=tr("The day that is wished for, YYYY-MM-DD."))
    ] = None,
    as_json: AsJson = False,
    plan: Annotated[
        Path | None,
        typer.Option("--plan", help=tr("The plan that runs; default: the kept one, else a new one.")),
    ] = None,
    order: Annotated[
        str | None, typer.Option("--order", help=tr("The new order's id; default: the next free."))
    ] = None,
    customer: Annotated[str | None, typer.Option("--customer", help=tr("Who orders."))] = None,
    runs: Annotated[
        int, typer.Option("--runs", min=0, max=5000, help=tr("Runs of the forecast; 0: none."))
    ] = 100,
    workers: Annotated[int, typer.Option("--workers", min=1, max=64, help=tr("Processes to use."))] = 2,
    quick: Annotated[bool, typer.Option("--quick", help=tr("The date alone, at once."))] = False,
    keep: Annotated[bool, typer.Option("--keep", help=tr("Take the order in and keep the plan."))] = False,
    effort: Annotated[
        int | None,
        typer.Option(
            "--effort", min=1, help=tr("How many plans to try, where one must be made first; default: 48.")
        ),
    ] = None,
    seed: Seed = 0,
    now: Now = None,
    quiet: Quiet = False,
    actor: Actor = "cli",
) -> int:
    """Give a date for a new order that moves no other, how sure it is, and what an earlier one would cost.

    Nothing is written without --keep. Exit 1 when no date can be given.
    """
    from pairwright.app import promising, replanning
    from pairwright.app.language import words_of
    from pairwright.app.opened import open_works

    opened = open_works(works)
    words = words_of(opened.works)
    shown = progress(quiet)
    shown.stage(words.say(text("reading the plan")))
    kept = replanning.kept_plan(opened, path=plan, effort=effort, seed=seed)
    wanted = promising.Wanted(product, quantity, option, wish, order, customer)
    stages = {
        "forecast": text("forecast"), "what would help": text("what would help"),
        "what an earlier date would cost": text("what an earlier date would cost"),
    }  # fmt: skip
    found = promising.promise_order(
        opened, kept, wanted, actor=actor, now=None if now is None else opened.now(now), runs=runs, seed=seed,
        workers=workers, quick=quick, stage=lambda name: shown.stage(words.say(stages[name])),
    )  # fmt: skip
    if keep and found.placed.result.found:
        promising.keep_promise(opened, kept, wanted, found, actor=actor, plan=plan)
    if as_json:
        print_json({**found.as_json(words), "kept": keep and found.placed.result.found})
    else:
        _print(found, words, kept=keep)
    return 0 if found.placed.result.found else 1


def _print(found: Promise, words: Words, *, kept: bool) -> None:
    placed = found.placed
    if not placed.result.found:
        typer.echo(words.say(text("no date can be given")))
        for reason in placed.frozen.schedule.reasons:
            typer.echo("  " + words.say(reason))
        return
    typer.echo(
        words.say(text("order {order}: {date}", order=placed.order, date=Amount(placed.date, "instant")))
    )
    if found.p50 is not None and found.p90 is not None:
        typer.echo(words.say(text("in half of all futures by {p50}, in nine of ten by {p90}",
                   p50=Amount(found.p50, "date"), p90=Amount(found.p90, "date"))))  # fmt: skip
    for one in found.limited_by[:6]:
        typer.echo("  " + words.say(one))
    rows = [
        (words.say(one.says), words.say(text("{days} days", days=one.gain / DAY)),
         "-" if one.cost is None else words.amount(Amount(one.cost, "money")))
        for one in found.would_help
    ]  # fmt: skip
    if rows:
        head = [words.say(t) for t in (text("would help"), text("gain"), text("cost"))]
        typer.echo("\n" + table(head, rows, right=frozenset({1, 2})))
    if found.sooner is not None:
        typer.echo(words.say(text("if others made way: {date}", date=Amount(found.sooner, "instant"))))
        for order, before, after in found.moves[:8]:
            typer.echo("  " + words.say(text("order {order}: {before} becomes {after}", order=order,
                       before=Amount(before, "instant"), after=Amount(after, "instant"))))  # fmt: skip
    typer.echo(words.say(text("kept") if kept else text("nothing was written")))
