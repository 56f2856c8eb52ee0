"""`pairwright compare`: what a change does, before anything is cut."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from pairwright.base.words import Amount, Words, text
from pairwright.cli.options import Actor, AsJson, Now, Quiet, Seed, WorksFolder
from pairwright.cli.output import print_json, progress, table
from pairwright.cli.tongue import tr

if TYPE_CHECKING:
    from pairwright.app.comparing import Comparison


def compare(
    works: WorksFolder,
    change: Annotated[
        list[str],
        typer.Option(
            "--change", help=tr("PATH=VALUE as in the text, such as products/alder.shell.layup.plies=13.")
        ),
    ],
    as_json: AsJson = False,
    effort: Annotated[
        int | None, typer.Option("--effort", min=1, help=tr("How many plans to try for each; default: 48."))
    ] = None,
    seed: Seed = 0,
    now: Now = None,
    quiet: Quiet = False,
    actor: Actor = "cli",
) -> int:
    """Compare the works with a changed copy: findings, durations, stations, dates, cost.

    Nothing is written. Exit 1 when either of the two has no plan.
    """
    from pairwright.app.comparing import compare_works, read_changes
    from pairwright.app.language import words_of
    from pairwright.app.opened import open_works

    changes = read_changes(change)
    opened = open_works(works)
    words = words_of(opened.works)
    shown = progress(quiet)
    result = compare_works(
        opened, changes, actor=actor, now=opened.now(now), effort=effort, seed=seed, stage=shown.stage
    )
    if as_json:
        print_json(result.as_json(words))
    else:
        _print(result, words)
    return 0 if result.both_planned else 1


def _print(result: Comparison, words: Words) -> None:
    for line in result.sentences():
        typer.echo(words.say(line))

    def amount(value: float | None, kind: str) -> str:
        return "-" if value is None else words.amount(Amount(value, kind))

    head = ["", words.say(text("before")), words.say(text("after"))]
    durations = [
        (
            f"{one.product} {one.option} {one.part}.{one.step}",
            amount(a.likely if a else None, "duration"),
            amount(b.likely if b else None, "duration"),
        )
        for a, b in result.durations()
        if (one := b or a) is not None
    ]
    _section(words.say(text("durations")), head, durations)
    stations = [
        (name, amount(a, "share"), amount(b, "share")) for name, a, b in result.stations if abs(a - b) > 5e-4
    ]
    _section(words.say(text("stations")), head, stations)
    orders = [(o, amount(a, "instant"), amount(b, "instant")) for o, a, b in result.completions() if a != b]
    _section(words.say(text("orders")), head, orders)
    money = [(words.say(text("order book")), *(amount(c, "money") for c in result.cost))]
    _section(words.say(text("cost")), head, money)
    head = [words.say(t) for t in (text("severity"), text("subject"), text("says"))]
    titles = (text("new findings"), text("findings that are gone"))
    for title, findings in zip(titles, result.findings(), strict=True):
        _section(words.say(title), head, [(f.severity, f.subject, words.say(f.text)) for f in findings])


def _section(title: str, head: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    if rows:
        typer.echo(f"\n{title}")
        typer.echo(table(head, rows))
