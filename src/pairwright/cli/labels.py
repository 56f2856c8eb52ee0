"""`pairwright labels`, `traveller`, `catch-up`: identity on paper, and what was written on it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text
from pairwright.cli.options import Actor, AsJson, Now, WorksFolder
from pairwright.cli.output import print_json
from pairwright.cli.tongue import tr

if TYPE_CHECKING:
    from pairwright.app.catching_up import Caught
    from pairwright.base.words import Words

SHOWN = 40  # broken rules that are printed; --json has all


def labels(
    works: WorksFolder,
    things: Annotated[
        list[str], typer.Argument(help=tr("Ids, or codes as scanned; for cartons the sets."), metavar="ID...")
    ],
    out: Annotated[Path, typer.Option("--out", help=tr("The PDF to write, one label a page."))],
    size: Annotated[
        str | None,
        typer.Option("--size", help=tr("basket, part, cabinet, shelf, station or carton; default by kind.")),
    ] = None,
    kind: Annotated[
        str | None,
        typer.Option(
            "--kind", help=tr("item, leaf, lot, carrier and so on: for labels of what is to be made.")
        ),
    ] = None,
    copies: Annotated[
        int | None,
        typer.Option("--copies", min=1, max=20, help=tr("Of each; default: two for a cabinet, else one.")),
    ] = None,
    actor: Actor = "cli",
) -> int:
    """Print labels with their codes as a PDF for a roll; those of mates mirror each other."""
    del actor
    from pairwright.app.labelling import labels_for, open_desk
    from pairwright.app.writing import write_bytes
    from pairwright.base.codes import KINDS
    from pairwright.render.labels import labels_pdf, size_named

    if size is not None:
        size_named(size)
    if kind is not None and kind not in KINDS:
        raise InputError(
            Problem("command line", "--kind", text("one of {names}", names=", ".join(KINDS)), shown(kind),
                    text("choose one of them"))
        )  # fmt: skip
    with open_desk(works) as desk:
        found, name = labels_for(desk, things, kind=kind, size=size, copies=copies)
        roll = size_named(name)
        made = labels_pdf(found, roll, words=desk.words, works=desk.opened.works.factory.name)
        words = desk.words
    write_bytes(out, made)
    count = text("1 label") if len(found) == 1 else text("{n} labels", n=len(found))
    measures = text("{width} x {height} mm", width=f"{roll.width:g}", height=f"{roll.height:g}")
    typer.echo(words.say(text("{count} of {size} in {file}", count=count, size=measures, file=str(out))))
    return 0


def traveller(
    works: WorksFolder,
    thing: Annotated[str, typer.Argument(help=tr("Id or code of an item, or of a set."), metavar="ID")],
    out: Annotated[Path, typer.Option("--out", help=tr("The PDF to write."))],
    paper: Annotated[str, typer.Option("--paper", help=tr("A5 or A6."))] = "A5",
    form: Annotated[
        Path | None, typer.Option("--form", help=tr("Write the rows as CSV too, to fill in for catch-up."))
    ] = None,
    product: Annotated[
        str | None, typer.Option("--product", help=tr("Of an item that is to be made: its product."))
    ] = None,
    part: Annotated[
        str | None, typer.Option("--part", help=tr("Of an item that is to be made: its part."))
    ] = None,
    option: Annotated[
        str | None, typer.Option("--option", help=tr("Of an item that is to be made: its option."))
    ] = None,
    side: Annotated[
        str | None, typer.Option("--side", help=tr("Of an item that is to be made: left, right, a or b."))
    ] = None,
    actor: Actor = "cli",
) -> int:
    """Print the sheet that follows an item: code, mate, route, boxes to write in. It needs no server."""
    del actor
    from pairwright.app.catching_up import form_of
    from pairwright.app.labelling import New, open_desk, travellers_for
    from pairwright.app.writing import write_bytes
    from pairwright.render.traveller import paper_named, travellers_pdf

    paper = paper_named(paper)
    if (product is None) != (part is None):
        raise InputError(
            Problem("command line", "--product" if product is None else "--part",
                    text("given together with the other of the two"), "nothing", text("state both"))
        )  # fmt: skip
    new = None if product is None or part is None else New(product, part, option, side)
    with open_desk(works) as desk:
        sheets = travellers_for(desk, thing, new=new)
        made = travellers_pdf(sheets, paper=paper, words=desk.words, works=desk.opened.works.factory.name)
        words = desk.words
    write_bytes(out, made)
    if form is not None:
        write_bytes(form, form_of(sheets))
    count = text("1 traveller") if len(sheets) == 1 else text("{n} travellers", n=len(sheets))
    typer.echo(words.say(text("{count} in {file}", count=count, file=str(out))))
    return 0


def catch_up(
    works: WorksFolder,
    file: Annotated[
        Path, typer.Argument(help=tr("The filled-in form of travellers, CSV or XLSX."), metavar="FILE")
    ],
    dry_run: Annotated[bool, typer.Option("--dry-run", help=tr("Only show what would be recorded."))] = False,
    report: Annotated[
        bool,
        typer.Option("--report", help=tr("Record what broke a rule too, and report each as a problem.")),
    ] = False,
    sheet: Annotated[str | None, typer.Option("--sheet", help=tr("The sheet of a workbook."))] = None,
    as_json: AsJson = False,
    now: Now = None,
    actor: Actor = "cli",
) -> int:
    """Record what was written on travellers, with the times as written: all rows, or none."""
    del actor
    from pairwright.app.catching_up import catch_up as caught_up
    from pairwright.app.catching_up import rows_of
    from pairwright.app.language import words_of
    from pairwright.app.opened import open_definition
    from pairwright.app.recording import open_floor

    rows = rows_of(file, sheet=sheet)
    clock = None
    if now is not None:
        moment = open_definition(works, book=False).now(now)
        clock = lambda: moment  # noqa: E731 (a clock that stands still)
    with open_floor(works, clock=clock, readonly=dry_run) as floor:
        words = words_of(floor.opened.works)
        found = caught_up(floor, rows, now=floor.now(now), report=report, dry_run=dry_run)
    failed = not dry_run and not found.answers
    if as_json:
        print_json(
            {
                "recorded": [one.as_json() for one in found.answers],
                "events": [one.as_json() for one in found.events],
                "broken": [{"row": where, **one.as_json(words)} for where, one in found.broken],
            }
        )
    else:
        _print(found, words, failed=failed)
    return 1 if failed or (found.broken and not report) else 0


def _print(found: Caught, words: Words, *, failed: bool) -> None:
    for where, one in found.broken[:SHOWN]:
        typer.echo(words.say(text("{where}: {why}", where=where, why=one.text)), err=True)
    if failed:
        typer.echo(words.say(text("nothing was recorded: correct the form, or give --report")), err=True)
    elif found.answers:
        typer.echo(
            words.say(
                text("{n} events recorded with their written times", n=len(found.answers) - found.again)
            )
        )
        if found.again:
            typer.echo(words.say(text("{n} had been recorded before", n=found.again)))
    else:
        typer.echo(words.say(text("{n} events would be recorded", n=len(found.events) - found.again)))
