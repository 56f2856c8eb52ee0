"""`pairwright follow`: the plan goes on as the record says things are, and tells how reality differs from it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pairwright.base.words import Amount, Text, Words, text
from pairwright.cli.options import Actor, AsJson, Quiet, WorksFolder
from pairwright.cli.output import print_json, progress, table
from pairwright.cli.tongue import tr

if TYPE_CHECKING:
    from pairwright.app.following import Followed
    from pairwright.reports.reality import Group

MOST: int = 20  # rows of a list that are printed


def follow(
    works: WorksFolder,
    plan: Annotated[
        Path | None, typer.Option("--plan", help=tr("The plan to go on from; default: the kept one."))
    ] = None,
    keep: Annotated[bool, typer.Option("--keep", help=tr("Keep the new plan as the works' plan."))] = False,
    as_json: AsJson = False,
    now: Annotated[
        str | None,
        typer.Option(
            "--now", help=tr("The moment that counts as now, ISO 8601; default: the record's last event.")
        ),
    ] = None,
    quiet: Quiet = False,
    actor: Actor = "cli",
) -> int:
    """Take from the record what has begun, ended, was lost or sent back, and let the plan go on from there.

    By default it is the moment of the record's last event. Exit 1 when there is no plan, or when the
    audit finds that it breaks a rule; then nothing is kept.
    """
    from pairwright.app.following import follow as follow_floor
    from pairwright.app.language import words_of
    from pairwright.app.recording import open_floor
    from pairwright.app.replanning import KEPT
    from pairwright.app.writing import write_json

    with open_floor(works, readonly=True) as floor:
        words = words_of(floor.opened.works)
        shown = progress(quiet)
        shown.stage(words.say(text("reading the record")))
        stated = None if now is None else floor.opened.now(now)
        found = follow_floor(floor, actor=actor, plan=plan, now=stated)
    if found.found and keep:
        write_json(works / KEPT, found.plan)
    if as_json:
        print_json(found.as_json(words))
    else:
        _print(found, words)
    return 0 if found.found else 1


def _print(found: Followed, words: Words) -> None:
    for one in found.replanned.says:
        typer.echo(words.say(one))
    frozen = found.replanned.frozen
    if found.found:
        typer.echo(
            words.say(
                text("{n} operations begin at another time, {share} of those that had no reason to; every rule is kept",
                     n=len(frozen.moved), share=Amount(frozen.moved_share, "share"))
            )
        )  # fmt: skip
    for violation in found.replanned.result.violations[:MOST]:
        typer.echo(f"  {violation.rule} {violation.subject}: {words.say(violation.text)}")
    for note in found.schedule.notes:
        typer.echo("  " + words.say(note))
    _list(words, text("what the plan had to be told"), [words.say(one) for one in found.told])
    typer.echo("\n" + words.say(found.reality.says))
    for title, groups in (
        (text("station"), found.reality.stations),
        (text("order"), found.reality.orders),
        (text("step"), found.reality.steps),
    ):
        if groups:
            typer.echo("\n" + _table(words, title, groups))
    waiting = found.reality.of("not begun")
    _list(words, text("planned and not begun"), [row.operation for row in waiting])
    _list(words, text("begun and not planned"), [row.operation for row in found.reality.of("not planned")])


def _list(words: Words, title: Text, lines: list[str]) -> None:
    if not lines:
        return
    typer.echo("\n" + words.say(title))
    for line in lines[:MOST]:
        typer.echo("  " + line)
    if len(lines) > MOST:
        typer.echo("  " + words.say(text("and {n} more", n=len(lines) - MOST)))


def _table(words: Words, title: Text, groups: tuple[Group, ...]) -> str:
    head = (title, text("begun"), text("begins late, median"), text("nine in ten at most"),
            text("longest overrun"), text("operation"))  # fmt: skip

    def time(seconds: float | None) -> str:
        return "" if seconds is None else words.amount(Amount(seconds, "duration"))

    rows = [
        (g.id, str(g.count), time(g.median), time(g.p90), time(g.longest), g.operation or "")
        for g in groups[:MOST]
    ]
    return table([words.say(one) for one in head], rows, right=frozenset((1, 2, 3, 4)))
