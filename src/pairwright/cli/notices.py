"""`pairwright notices`: what people should know of now, who took notice, messages to those named."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pairwright.base.words import Amount, text
from pairwright.cli.options import Actor, AsJson, Now, WorksFolder
from pairwright.cli.output import print_json, table
from pairwright.cli.tongue import tr


def notices(
    works: WorksFolder,
    seen: Annotated[
        str | None, typer.Option("--seen", metavar="KEY", help=tr("Take notice of this one."))
    ] = None,
    send: Annotated[
        bool, typer.Option("--send", help=tr("Send the messages that works.toml asks for; off by default."))
    ] = False,
    plan: Annotated[
        Path | None, typer.Option("--plan", help=tr("A plan as written by plan --out: tells of late orders."))
    ] = None,
    as_json: AsJson = False,
    now: Now = None,
    actor: Actor = "cli",
) -> int:
    """Say what people should know of: holds, nonconformances, cures bad or not proven, late orders.

    Exit status 1 says that a message could not be brought.
    """
    from pairwright.app import telling
    from pairwright.app.language import words_of
    from pairwright.app.planning import read_plan
    from pairwright.app.recording import open_floor

    late = {} if plan is None else telling.late_in(read_plan(plan))
    with open_floor(works, readonly=seen is None and not send) as floor:
        words = words_of(floor.opened.works)
        moment = floor.now(now)
        found = telling.notices_of(floor, late=late, now=moment)
        sent: tuple[telling.Sent, ...] = ()
        if seen is not None:
            telling.acknowledge(floor, seen, actor=actor, now=moment, now_of=found)
        if send:
            sent = telling.send(floor, found, actor=actor, now=moment)
        if seen is not None or send:
            found = telling.notices_of(floor, late=late, now=moment)
    if as_json:
        print_json({"notices": [n.as_json() for n in found], "messages": [s.as_json() for s in sent]})
        return 1 if any(s.why for s in sent) else 0
    head = [words.say(t) for t in (text("key"), text("of"), text("since"), text("open"), text("text"))]
    rows = [
        (n.key, n.of, words.amount(Amount(n.since, "instant")), words.say(text("yes") if n.open else text("no")),
         words.say(n.says))
        for n in found
    ]  # fmt: skip
    typer.echo(table(head, rows) if rows else words.say(text("nothing to know of")))
    for one in sent:
        if one.why is not None:
            typer.echo(words.say(one.why), err=True)
    return 1 if any(s.why for s in sent) else 0
