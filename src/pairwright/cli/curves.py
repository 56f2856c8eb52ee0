"""`pairwright logs` and `curves`: machine logs taken in, and what they prove."""

from __future__ import annotations

import time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

import typer

from pairwright.base.words import Words, text
from pairwright.cli.options import Actor, AsJson, Now, WorksFolder
from pairwright.cli.output import print_json, table
from pairwright.cli.tongue import tr

if TYPE_CHECKING:
    from pairwright.app.machine_curves import Taken
    from pairwright.app.recording import Floor

EVERY: Final = 5.0  # a watched folder is looked at so often [s]


def logs(
    works: WorksFolder,
    folder: Annotated[Path, typer.Argument(help=tr("Where machines write their logs."), metavar="FOLDER")],
    watch: Annotated[bool, typer.Option("--watch", help=tr("Go on looking until interrupted."))] = False,
    as_json: AsJson = False,
    now: Now = None,
    actor: Actor = "cli",
) -> int:
    """Take in the logs of press, oven, climate, sanding and spray, and attach each to what was there.

    A log's name begins with its station: press-1_2027-03-01.csv. Nothing in the folder is changed.
    """
    from pairwright.app.language import words_of
    from pairwright.app.recording import open_floor

    with open_floor(works) as floor:
        words = words_of(floor.opened.works)
        if watch:
            return _watch(floor, folder, words=words, actor=actor)
        found = _taken(floor, folder, actor=actor, now=now)
    if as_json:
        print_json([one.as_json() for one in found])
    else:
        typer.echo(_taken_table(found, words))
    return 1 if any(one.why for one in found) else 0


def _taken(floor: Floor, folder: Path, *, actor: str, now: str | None) -> list[Taken]:
    from pairwright.app.machine_curves import take_logs

    return list(take_logs(floor, folder, actor=actor, now=floor.now(now), clock=time.time()))


def _watch(floor: Floor, folder: Path, *, words: Words, actor: str) -> int:
    """Look again and again; what is new is said once."""
    said: set[tuple[str, str]] = set()
    try:
        while True:
            for one in _taken(floor, folder, actor=actor, now=None):
                row = (one.file, _outcome(one, words))
                if row not in said:
                    said.add(row)
                    typer.echo(f"{row[0]}: {row[1]}")
            time.sleep(EVERY)
    except KeyboardInterrupt:
        return 0


def _outcome(one: Taken, words: Words) -> str:
    if one.why:
        return words.say(one.why[0])
    return words.say(text("attached to {items}", items=", ".join(one.items)))


def _taken_table(found: list[Taken], words: Words) -> str:
    if not found:
        return words.say(text("no finished log in the folder"))
    head = [words.say(t) for t in (text("file"), text("station"), text("gaps"), text("outcome"))]
    rows = [(one.file, one.station or "-", str(one.gaps), _outcome(one, words)) for one in found]
    return table(head, rows, right=frozenset({2}))


def curves(
    works: WorksFolder,
    item: Annotated[str, typer.Argument(help=tr("The item's id."))],
    as_json: AsJson = False,
    actor: Actor = "cli",
) -> int:
    """Say what the machine logs prove of an item's cures: good, bad, or not proven."""
    from pairwright.app.language import words_of
    from pairwright.app.machine_curves import proofs_of
    from pairwright.app.recording import open_floor
    from pairwright.app.tracing import trace_thing

    with open_floor(works, readonly=True) as floor:
        words = words_of(floor.opened.works)
        trace_thing(floor, item, actor=actor)  # an id that nobody knows is told as such
        found = proofs_of(floor, item)
    if as_json:
        print_json([one.as_json() for one in found])
    elif not found:
        typer.echo(words.say(text("{item} has finished no step that a log proves", item=item)))
    else:
        head = [words.say(t) for t in (text("step"), text("station"), text("verdict"), text("why"))]
        rows = [(p.step, p.station or "-", p.proof.verdict, words.say(p.proof.says)) for p in found]
        typer.echo(table(head, rows))
    return 0 if all(one.proof.verdict == "good" for one in found) else 1
