"""`pairwright people` and `keeping`: names apart from the events, and how long things are kept."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import Amount, text
from pairwright.cli.options import Actor, AsJson, Now, WorksFolder
from pairwright.cli.output import print_json, table
from pairwright.cli.tongue import tr

if TYPE_CHECKING:
    from pairwright.app.people import Person
    from pairwright.base.words import Words


def people(
    works: WorksFolder,
    name: Annotated[
        list[str] | None, typer.Option("--name", metavar="ID=NAME", help=tr("Keep a name; may be repeated."))
    ] = None,
    forget: Annotated[
        list[str] | None, typer.Option("--forget", metavar="ID", help=tr("Remove a name; may be repeated."))
    ] = None,
    forget_all: Annotated[bool, typer.Option("--forget-all", help=tr("Remove every name."))] = False,
    as_json: AsJson = False,
    actor: Actor = "cli",
) -> int:
    """List the people of the record, keep their names or remove them; events hold ids only."""
    from pairwright.app import people as acts
    from pairwright.app.language import words_of
    from pairwright.app.recording import open_floor

    with open_floor(works, readonly=not (name or forget or forget_all)) as floor:
        words = words_of(floor.opened.works)
        if name:
            acts.name_people(floor, _names(name), actor=actor)
        if forget or forget_all:
            acts.forget_people(floor, None if forget_all else forget, actor=actor)
        found = acts.people_of(floor, actor=actor)
    if as_json:
        print_json([_json(one) for one in found])
        return 0
    head = [words.say(t) for t in (text("person"), text("name"), text("events"), text("last"))]
    rows = [(one.id, one.name or "-", str(one.events), _last(one, words)) for one in found]
    typer.echo(table(head, rows))
    return 0


def _json(one: Person) -> dict[str, str | int | None]:
    from pairwright.base.time import utc_iso

    last = None if one.last is None else utc_iso(one.last)
    return {"person": one.id, "name": one.name, "events": one.events, "last": last}


def _last(one: Person, words: Words) -> str:
    return "" if one.last is None else words.amount(Amount(one.last, "instant"))


def _names(pairs: list[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for pair in pairs:
        person, equals, name = pair.partition("=")
        if not equals or person in found:
            raise InputError(
                Problem("pairwright people", "--name", text("ID=NAME, each once"), shown(pair),
                        text("write such as P07=Ann"))
            )  # fmt: skip
        found[person.strip()] = name.strip()
    return found


def keeping(
    works: WorksFolder,
    carry_out: Annotated[
        bool, typer.Option("--carry-out", help=tr("Remove what is listed; without it nothing is removed."))
    ] = False,
    as_json: AsJson = False,
    now: Now = None,
    actor: Actor = "cli",
) -> int:
    """List names and files that were kept as long as works.toml says, and remove them when told to."""
    from pairwright.app import people as acts
    from pairwright.app.language import words_of
    from pairwright.app.recording import open_floor

    with open_floor(works, readonly=not carry_out) as floor:
        words = words_of(floor.opened.works)
        moment = floor.now(now)
        due = acts.what_is_due(floor, now=moment, actor=actor)
        if carry_out:
            acts.carry_out(floor, due, now=moment, actor=actor)
    if as_json:
        print_json(due.as_json(removed=carry_out))
        return 0
    for title, found in (
        (text("names"), due.names), (text("photographs"), due.photographs), (text("other files"), due.files),
    ):  # fmt: skip
        typer.echo(words.say(text("{what}: {n}", what=title, n=len(found))))
        for one in found:
            typer.echo(f"  {one}")
    if not due.nothing:
        typer.echo(words.say(text("removed") if carry_out else text("nothing was removed: add --carry-out")))
    return 0
