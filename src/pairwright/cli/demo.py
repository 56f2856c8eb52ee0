"""`pairwright demo`: the sample works and the main job on it."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text
from pairwright.cli.options import Actor, Quiet, Seed
from pairwright.cli.output import progress
from pairwright.cli.tongue import WORDS, tr


def demo(
    folder: Annotated[Path, typer.Argument(help=tr("Where to lay it out."))] = Path("demo-works"),
    pairs: Annotated[
        int, typer.Option("--pairs", min=1, max=100_000, help=tr("Pairs in the order book."))
    ] = 40,
    start: Annotated[
        str, typer.Option("--start", help=tr("First day of the plan, a Monday fits best."))
    ] = "2027-03-01",
    layout_only: Annotated[
        bool, typer.Option("--layout-only", help=tr("Stop after the text and the CSV files."))
    ] = False,
    runs: Annotated[int, typer.Option("--runs", min=1, max=100_000, help=tr("How many drawn futures."))] = 40,
    effort: Annotated[
        int | None, typer.Option("--effort", min=1, help=tr("How many plans to try; default: 48."))
    ] = None,
    workers: Annotated[int, typer.Option("--workers", min=1, max=64, help=tr("Processes to use."))] = 2,
    seed: Seed = 1,
    quiet: Quiet = False,
    actor: Actor = "cli",
) -> int:
    """Lay out the sample works, Marlhouse, and do the main job on it: check, plan, audit, forecast, book."""
    from pairwright.app.language import words_of
    from pairwright.app.mainjob import Settings, run_main_job
    from pairwright.app.opened import open_texts
    from pairwright.app.sampling import lay_out

    try:
        day = date.fromisoformat(start)
    except ValueError as error:
        raise InputError(
            Problem(
                "pairwright demo",
                "--start",
                text("a date such as 2027-03-01"),
                shown(start),
                text("correct it: {why}", why=str(error)),
            )
        ) from None
    reports = progress(quiet)
    reports.stage(WORDS.say(text("laying out the sample works in {folder}", folder=str(folder))))
    texts = lay_out(folder, actor=actor, pairs=pairs, start=day, seed=seed)
    if layout_only:
        typer.echo(WORDS.say(text("{n} files in {folder}", n=len(texts), folder=str(folder))))
        return 0
    opened = open_texts(texts, str(folder))
    words = words_of(opened.works)
    settings = Settings(now=opened.now(), runs=runs, effort=effort, workers=workers, seed=seed)
    done = run_main_job(opened, folder, settings, words=words, actor=actor, progress=reports)
    for line in done.lines(words):
        typer.echo(line)
    return 0 if done.planned else 1
