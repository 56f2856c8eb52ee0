"""`pairwright record`: append what happened to the record of a works."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pairwright.base.words import text
from pairwright.cli.options import Actor, AsJson, Now, WorksFolder
from pairwright.cli.output import print_json
from pairwright.cli.tongue import tr

if TYPE_CHECKING:
    from pairwright.archive.writer import EventsRefusedError
    from pairwright.base.words import Words

MOST = 64 << 20  # bytes of one file of events


def record(
    works: WorksFolder,
    file: Annotated[
        Path | None, typer.Argument(help=tr("Events as JSON lines; default: standard input."), metavar="FILE")
    ] = None,
    as_json: AsJson = False,
    now: Now = None,
    actor: Actor = "cli",
) -> int:
    """Append events to the record, all of them or none; a key that was recorded before is not repeated."""
    del actor  # each event names its own
    from pairwright.app.language import words_of
    from pairwright.app.opened import open_definition
    from pairwright.app.recording import open_floor
    from pairwright.archive.writer import EventsRefusedError

    body, path = _taken(file)
    clock = None
    if now is not None:
        moment = open_definition(works, book=False).now(now)
        clock = lambda: moment  # noqa: E731 (a clock that stands still)
    with open_floor(works, clock=clock) as floor:
        words = words_of(floor.opened.works)
        events = floor.read(body, path=path)
        try:
            answers = floor.append(events)
        except EventsRefusedError as refused:
            _tell(refused, words, as_json=as_json)
            return 1
    if as_json:
        print_json([one.as_json() for one in answers])
        return 0
    again = sum(one.replayed for one in answers)
    typer.echo(words.say(text("{n} events recorded", n=len(answers) - again)))
    if again:
        typer.echo(words.say(text("{n} had been recorded before", n=again)))
    typer.echo(words.say(text("event {n}, hash {hash}", n=answers[-1].sequence, hash=answers[-1].hash)))
    return 0


def _taken(file: Path | None) -> tuple[bytes, str]:
    """What is to be recorded, and where it came from."""
    from pairwright.archive.door import content_of, refuse_size

    if file is not None and str(file) != "-":
        return content_of(file, most=MOST), file.name
    body = sys.stdin.buffer.read(MOST + 1)
    refuse_size(body, "standard input", most=MOST)
    return body, "standard input"


def _tell(refused: EventsRefusedError, words: Words, *, as_json: bool) -> None:
    if as_json:
        print_json({"refused": refused.key, "findings": [one.as_json(words) for one in refused.findings]})
    for one in refused.findings:
        line = text("event {key} was refused, nothing was recorded: {why}", key=refused.key, why=one.text)
        typer.echo(words.say(line), err=True)
