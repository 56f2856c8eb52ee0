"""`pairwright replan`: what now?"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pairwright.base.words import Amount, Words, text
from pairwright.cli.options import Actor, AsJson, Now, Quiet, Seed, WorksFolder
from pairwright.cli.output import print_json, progress
from pairwright.cli.tongue import tr

if TYPE_CHECKING:
    from pairwright.app.replanning import Replanned


def replan(  # noqa: PLR0913, PLR0917 (a command has as many options as it has)
    works: WorksFolder,
    events: Annotated[
        Path,
        typer.Option("--events", help=tr("News of the floor: JSON lines of news or of the record's events.")),
    ],
    as_json: AsJson = False,
    plan: Annotated[
        Path | None,
        typer.Option("--plan", help=tr("The plan to go on from; default: the kept one, else a new one.")),
    ] = None,
    free: Annotated[
        bool, typer.Option("--free", help=tr("Let everything move that has not begun and is not pinned."))
    ] = False,
    pin: Annotated[
        list[str] | None,
        typer.Option("--pin", help=tr("An operation that must stay where it is; repeatable.")),
    ] = None,
    effort: Annotated[
        int | None,
        typer.Option(
            "--effort", min=1, help=tr("How many plans to try, where one must be made first; default: 48.")
        ),
    ] = None,
    seed: Seed = 0,
    keep: Annotated[bool, typer.Option("--keep", help=tr("Keep the plan as the works' plan."))] = False,
    out: Annotated[Path | None, typer.Option("--out", help=tr("Write the document to a file too."))] = None,
    now: Now = None,
    quiet: Quiet = False,
    actor: Actor = "cli",
) -> int:
    """Go on from what has happened: what has begun stays, what can stay stays, the rest is placed around it.

    At most 5 % of the operations that had no reason to move do, unless --free is given. Exit 1 when
    there is no plan, or when the audit finds that it breaks a rule.
    """
    from pairwright.app import replanning, replanning_news
    from pairwright.app.language import words_of
    from pairwright.app.opened import open_works
    from pairwright.app.writing import write_json

    opened = open_works(works)
    words = words_of(opened.works)
    shown = progress(quiet)
    shown.stage(words.say(text("reading the plan")))
    kept = replanning.kept_plan(opened, path=plan, effort=effort, seed=seed)
    news = replanning_news.news_of(events, opened, like=kept.schedule, pins=pin or ())
    shown.stage(words.say(text("going on from it")))
    stated = None if now is None else opened.now(now)
    found = replanning.replan_works(opened, news, actor=actor, kept=kept, now=stated, free=free)
    document = found.as_json(words)
    if found.found:
        for path in ([out] if out is not None else []) + ([works / replanning.KEPT] if keep else []):
            write_json(path, document)
    if as_json:
        print_json(document)
    else:
        _print(found, words)
    return 0 if found.found else 1


def _print(found: Replanned, words: Words) -> None:
    for one in found.says:
        typer.echo(words.say(one))
    if not found.found:
        for violation in found.result.violations[:20]:
            typer.echo(f"  {violation.rule} {violation.subject}: {words.say(violation.text)}")
        return
    for note in found.frozen.schedule.notes:
        typer.echo("  " + words.say(note))
    typer.echo(
        words.say(
            text(
                "{n} operations begin at another time, {share} of those that had no reason to; every rule is kept",
                n=len(found.frozen.moved),
                share=Amount(found.frozen.moved_share, "share"),
            )
        )
    )
