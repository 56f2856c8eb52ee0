"""`pairwright compare`: what a change does, before anything is cut."""

from __future__ import annotations

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
        int | None, typer.Option("--effort", min=1, help=tr("How many plans to try for each."))
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
    document = result.as_json(words)

    def minutes(value: float) -> str:
        return words.amount(Amount(value, "duration"))

    rows = [
        (f"{d['product']} {d['option']} {d['part']}.{d['step']}", minutes(d["before"]), minutes(d["after"]))
        for d in document["durations"]
    ]
    _section(words.say(text("durations")), rows)
    share = [
        (s["station"], words.amount(Amount(s["before"], "share")), words.amount(Amount(s["after"], "share")))
        for s in document["stations"]
        if abs(s["before"] - s["after"]) > 5e-4
    ]
    _section(words.say(text("stations")), share)
    orders = [
        (o["order"], o["before"] or "-", o["after"] or "-")
        for o in document["orders"]
        if o["before"] != o["after"]
    ]
    _section(words.say(text("orders")), orders)
    for kind in ("new", "gone"):
        rows3 = [(f["severity"], f["subject"], f["text"]) for f in document["findings"][kind]]
        _section(
            words.say(text("findings new")) if kind == "new" else words.say(text("findings gone")), rows3
        )


def _section(title: str, rows: list[tuple[str, str, str]]) -> None:
    if rows:
        typer.echo(f"\n{title}")
        typer.echo(
            table(("", "before", "after") if len(rows[0]) == 3 and title != "" else ("", "", ""), rows)
        )
