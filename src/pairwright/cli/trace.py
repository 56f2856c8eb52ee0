"""`pairwright trace` and `match`: what a thing is made of, where it went; which halves go together."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Final

import typer

from pairwright.base.words import Amount, text
from pairwright.cli.options import Actor, AsJson, WorksFolder
from pairwright.cli.output import print_json, table
from pairwright.cli.tongue import tr

if TYPE_CHECKING:
    from pairwright.app.matching import Mates
    from pairwright.base.words import Words
    from pairwright.floor import Trace


ABOUT: Final = (
    "step",
    "characteristic",
    "zone",
    "material",
    "into",
    "reason",
    "text",
)  # shown, the first there is


def trace(
    works: WorksFolder,
    thing: Annotated[str, typer.Argument(help=tr("Id of an item, lot, set, tool or order."), metavar="ID")],
    as_json: AsJson = False,
    actor: Actor = "cli",
) -> int:
    """Show what a thing is made of, where it was used, its whole history and the holds on it."""
    from pairwright.app.language import words_of
    from pairwright.app.recording import open_floor
    from pairwright.app.tracing import trace_thing
    from pairwright.floor import document

    with open_floor(works, readonly=True) as floor:
        words = words_of(floor.opened.works)
        found = trace_thing(floor, thing, actor=actor)
    if as_json:
        print_json(document(found))
    else:
        _print(found, words)
    return 0


def _print(found: Trace, words: Words) -> None:
    from pairwright.floor import standing

    typer.echo(f"{found.thing.kind} {found.thing.id}: {standing(found.thing)}")
    for reach in found.holds:
        typer.echo(words.say(text("on hold because of {on}: {why}", on=reach.on, why=reach.hold.reason)))
    for title, pieces in ((text("made of"), found.made_of), (text("where used"), found.where_used)):
        if pieces:
            typer.echo(f"\n{words.say(title)}")
            typer.echo(
                table(
                    ("", words.say(text("kind")), words.say(text("id")), words.say(text("what"))),
                    [("  " * (p.depth - 1) + p.way, p.kind, p.id, p.what or "") for p in pieces],
                )
            )
    typer.echo(f"\n{words.say(text('history'))}")
    titles = (text("event"), text("when"), text("what"), text("about"), text("where"), text("who"))
    head = [words.say(t) for t in titles]
    rows = [
        (
            str(entry.sequence),
            words.amount(Amount(entry.event.event_time, "instant")),
            _what(entry.event.kind, words, corrected=entry.event.key in found.void),
            next((str(entry.event.data[n]) for n in ABOUT if n in entry.event.data), ""),
            entry.event.station or "",
            entry.event.actor,
        )
        for entry in found.history
    ]
    typer.echo(table(head, rows))


def _what(kind: str, words: Words, *, corrected: bool) -> str:
    return words.say(text("{kind} (corrected)", kind=kind)) if corrected else kind


def match(
    works: WorksFolder,
    part: Annotated[str, typer.Option("--part", help=tr("A part, or product.part."))],
    characteristic: Annotated[
        list[str] | None,
        typer.Option("--characteristic", help=tr("What to compare; may be repeated. Default: all measured.")),
    ] = None,
    limit: Annotated[
        float | None,
        typer.Option(
            "--limit",
            min=0.0,
            help=tr("Largest distance of a pair; its unit is the characteristic's if all share one."),
        ),
    ] = None,
    as_json: AsJson = False,
    actor: Actor = "cli",
) -> int:
    """Find the best mates among finished halves by what was measured on them; say what orphans could have.

    Nothing is recorded: mates are made by a `mated` event.
    """
    from pairwright.app.language import words_of
    from pairwright.app.matching import match_part
    from pairwright.app.recording import open_floor

    with open_floor(works, readonly=True) as floor:
        words = words_of(floor.opened.works)
        found = match_part(floor, part, actor=actor, characteristics=characteristic or (), limit=limit)
    if as_json:
        print_json(found.as_json(words))
        return 0
    head = [words.say(t) for t in (text("left"), text("right"), text("distance"), text("because"))]
    if found.pairs:
        typer.echo(table(head, [_row(one, words) for one in found.pairs]))
    else:
        typer.echo(words.say(text("no two free items of {part} to be matched", part=part)))
    for name, why in found.left_over:
        typer.echo(words.say(text("{item} stays alone: {why}", item=name, why=why)))
    for name, mates in found.offers:
        names = ", ".join(m.right if m.left == name else m.left for m in mates) or "-"
        typer.echo(
            words.say(text("{item} has lost its mate; the most alike are {names}", item=name, names=names))
        )
    return 0


def _row(one: Mates, words: Words) -> tuple[str, ...]:
    why = "; ".join(words.say(reason) for reason in one.reasons)
    return one.left, one.right, words.amount(Amount(one.distance, "number")), why
