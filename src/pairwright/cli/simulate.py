"""`pairwright simulate-floor`: a floor played from a seed, for looking at, for load, for learning."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pairwright.base.errors import InputError, Problem
from pairwright.base.words import text
from pairwright.cli.options import Actor, AsJson, Quiet, Seed, WorksFolder
from pairwright.cli.output import print_json, progress
from pairwright.cli.tongue import tr

if TYPE_CHECKING:
    from pairwright.base.words import Words
    from pairwright.simulation.play import Played


def simulate_floor(
    works: WorksFolder,
    days: Annotated[int, typer.Option("--days", min=1, max=1100, help=tr("Calendar days to play."))] = 28,
    seed: Seed = 0,
    truth: Annotated[
        Path | None,
        typer.Option("--truth", metavar="FILE", help=tr("Write the floor's hidden constants to a file.")),
    ] = None,
    as_json: AsJson = False,
    quiet: Quiet = False,
    actor: Actor = "cli",
) -> int:
    """Play a works from a seed: a plan, people, machines, scatter and faults, recorded and marked as simulated.

    The works must not have a record yet. Exit 1 when the record refused something that was not meant to be.
    """
    del actor  # the people who act are simulated
    from pairwright.app.language import words_of
    from pairwright.app.opened import open_definition
    from pairwright.simulation.play import simulate_floor as play_works

    if truth is not None and truth.exists():
        raise InputError(
            Problem("command line", "--truth", text("a file that is not there yet"), str(truth),
                    text("name another file"))
        )  # fmt: skip
    words = words_of(open_definition(works, book=False).works)
    shown = progress(quiet)
    shown.stage(words.say(text("playing {n} days", n=days)))
    played, hidden = play_works(works, days=days, seed=seed, progress=shown.step)
    if truth is not None:
        truth.write_text(json.dumps(hidden.as_json(), indent=2, sort_keys=True) + "\n", "utf-8")
    if as_json:
        print_json(played.as_json())
    else:
        _print(played, words)
    return 1 if played.surprises else 0


def _print(played: Played, words: Words) -> None:
    typer.echo(
        words.say(
            text(
                "{n} events recorded, all marked as simulated; {sets} sets released, {lost} pieces scrapped",
                n=played.events, sets=played.released, lost=played.scrapped,
            )
        )
    )  # fmt: skip
    for code, count in played.refused:
        typer.echo(words.say(text("{n} wrong scans were refused: {code}", n=count, code=code)))
    for one in played.surprises:
        typer.echo(words.say(text("not meant: {what}", what=one)), err=True)
    typer.echo(words.say(text("the last hash is {hash}", hash=played.head)))
