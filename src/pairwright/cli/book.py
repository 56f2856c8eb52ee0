"""`pairwright book`: the main job on a works, one document for Monday's meeting."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pairwright.cli.options import Actor, Language, Lengths, Now, Quiet, Seed, WorksFolder
from pairwright.cli.output import progress
from pairwright.cli.tongue import tr


def book(
    works: WorksFolder,
    out: Annotated[
        Path | None,
        typer.Option("--out", help=tr("Folder for book.html, book.pdf, plan.json; default: WORKS.")),
    ] = None,
    runs: Annotated[int, typer.Option("--runs", min=1, max=100_000, help=tr("How many drawn futures."))] = 40,
    effort: Annotated[
        int | None, typer.Option("--effort", min=1, help=tr("How many plans to try; default: 48."))
    ] = None,
    change: Annotated[
        list[str] | None, typer.Option("--change", help=tr("Show what this PATH=VALUE would do, too."))
    ] = None,
    workers: Annotated[int, typer.Option("--workers", min=1, max=64, help=tr("Processes to use."))] = 2,
    seed: Seed = 0,
    now: Now = None,
    language: Language = None,
    lengths: Lengths = None,
    quiet: Quiet = False,
    actor: Actor = "cli",
) -> int:
    """Check, plan, audit, forecast and write the book: one HTML page and the same as PDF."""
    from pairwright.app.comparing import read_changes
    from pairwright.app.language import words_of
    from pairwright.app.mainjob import Settings, run_main_job
    from pairwright.app.opened import open_works

    changes = read_changes(change or [])
    opened = open_works(works)
    words = words_of(opened.works, language=language, lengths=lengths)
    done = run_main_job(
        opened,
        out or works,
        Settings(now=opened.now(now), runs=runs, effort=effort, workers=workers, seed=seed, changes=changes),
        words=words,
        actor=actor,
        progress=progress(quiet),
    )
    for line in done.lines(words):
        typer.echo(line)
    return 0 if done.planned else 1
