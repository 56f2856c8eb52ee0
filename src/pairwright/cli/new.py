"""`pairwright new`: a works of one's own."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from pairwright.base.words import text
from pairwright.cli.columns import column_names
from pairwright.cli.options import Actor
from pairwright.cli.tongue import WORDS, tr


def new(
    folder: Annotated[Path, typer.Argument(help=tr("The folder to make."))],
    name: Annotated[str | None, typer.Option("--name", help=tr("The works' name."))] = None,
    zone: Annotated[
        str | None, typer.Option("--zone", help=tr("Time zone, such as Europe/Amsterdam."))
    ] = None,
    hours: Annotated[
        str | None, typer.Option("--hours", help=tr("A working day, such as 07:00-12:00,12:30-16:00."))
    ] = None,
    people: Annotated[
        int | None, typer.Option("--people", min=1, max=10_000, help=tr("How many work there."))
    ] = None,
    product: Annotated[str | None, typer.Option("--product", help=tr("Id of the first product."))] = None,
    option: Annotated[
        list[str] | None, typer.Option("--option", help=tr("A veneer or colour; may be repeated."))
    ] = None,
    single: Annotated[
        bool, typer.Option("--single", help=tr("The product is a single, not a pair."))
    ] = False,
    orders: Annotated[
        Path | None, typer.Option("--orders", help=tr("Today's order sheet, CSV or XLSX, to import."))
    ] = None,
    column: Annotated[
        list[str] | None,
        typer.Option("--column", help=tr("OURS=THEIRS for a column of that sheet, such as order=Auftrag.")),
    ] = None,
    actor: Actor = "cli",
) -> int:
    """Start a works of your own: a few answers, one product, today's orders from a sheet.

    On a terminal what is not given is asked; elsewhere it takes a default. Nothing is overwritten.
    """
    from pairwright.app.starting import start_works
    from pairwright.sample.start import Answers

    asking = sys.stdin.isatty() and sys.stdout.isatty()

    def answer(given: str | None, question: str, default: str) -> str:
        if given is not None or not asking:
            return given if given is not None else default
        return str(typer.prompt(question, default=default))

    day = answer(hours, WORDS.say(text("working hours of a day")), "07:00-12:00,12:30-16:00")
    answers = Answers(
        name=answer(name, WORDS.say(text("name of the works")), folder.name.capitalize()),
        time_zone=answer(zone, WORDS.say(text("time zone")), "Europe/Amsterdam"),
        hours=tuple(part.strip() for part in day.split(",")),
        people=people or int(answer(None, WORDS.say(text("how many people")), "4")),
        product=answer(product, WORDS.say(text("id of the first product")), "first"),
        options=tuple(option or ["natural"]),
        single=single,
    )
    texts = start_works(
        folder,
        answers,
        actor=actor,
        orders=orders,
        columns=column_names(column or [], command="pairwright new"),
    )
    typer.echo(WORDS.say(text("{n} files in {folder}", n=len(texts), folder=str(folder))))
    typer.echo(WORDS.say(text("next: pairwright check {folder}", folder=str(folder))))
    return 0
