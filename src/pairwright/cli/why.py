"""`pairwright why`: why an order ends when it ends, and what would help."""

from __future__ import annotations

from typing import Annotated

import typer

from pairwright.base.time import DAY
from pairwright.base.words import Amount, text
from pairwright.cli.options import Actor, AsJson, Now, Quiet, Seed, WorksFolder
from pairwright.cli.output import print_json, progress, table
from pairwright.cli.tongue import tr


def why(
    works: WorksFolder,
    order: Annotated[str, typer.Argument(help=tr("The order's id."))],
    as_json: AsJson = False,
    effort: Annotated[
        int | None, typer.Option("--effort", min=1, help=tr("How many plans to try; default: 48."))
    ] = None,
    seed: Seed = 0,
    now: Now = None,
    quiet: Quiet = False,
    actor: Actor = "cli",
) -> int:
    """Say why an order ends when it ends: the deciding chain in words, and what would help.

    Each help is a plan of its own, made by the same decisions and audited; gains are in days.
    """
    from pairwright.app.explaining import explain_order
    from pairwright.app.language import words_of
    from pairwright.app.opened import open_works

    opened = open_works(works)
    words = words_of(opened.works)
    shown = progress(quiet)
    shown.stage(words.say(text("planning {n} orders", n=len(opened.book.orders))))
    found = explain_order(
        opened, order, actor=actor, now=opened.now(now), effort=effort, seed=seed, stage=shown.step
    )
    if as_json:
        print_json(found.as_json(words))
        return 0
    late = text("is in time")
    if found.late:
        late = text("is {late} late", late=Amount(found.late, "duration"))
    typer.echo(words.say(text("order {order} {late}", order=order, late=late)))
    for cause in found.causes:
        typer.echo("  " + words.say(cause.text))
    rows = [
        (
            words.say(one.says),
            words.say(text("{days} days", days=one.gain / DAY)),
            "-" if one.cost is None else words.amount(Amount(one.cost, "money")),
        )
        for one in found.would_help
    ]
    if rows:
        head = [words.say(t) for t in (text("would help"), text("gain"), text("cost"))]
        typer.echo("\n" + table(head, rows, right=frozenset({1, 2})))
    else:
        typer.echo(words.say(text("nothing that was tried would help")))
    return 0
