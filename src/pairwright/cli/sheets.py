"""`pairwright import` and `export`: tables in from sheets and out to them."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from pairwright.base.words import Words, text
from pairwright.cli.columns import column_names
from pairwright.cli.options import Actor, AsJson, Now, WorksFolder
from pairwright.cli.output import print_json, table
from pairwright.cli.tongue import tr

if TYPE_CHECKING:
    from pairwright.app.importing import Intake

SHOWN = 40  # changes that are printed; --json has all


def import_(
    works: WorksFolder,
    file: Annotated[Path, typer.Argument(help=tr("The table, CSV or XLSX."), metavar="FILE")],
    kind: Annotated[
        str,
        typer.Option(
            "--kind", help=tr("orders, lots, parts, purchases, items, people, qualifications or instruments.")
        ),
    ],
    dry_run: Annotated[bool, typer.Option("--dry-run", help=tr("Only show what would change."))] = False,
    column: Annotated[
        list[str] | None,
        typer.Option("--column", help=tr("OURS=THEIRS for a column of the sheet, such as order=Auftrag.")),
    ] = None,
    sheet: Annotated[str | None, typer.Option("--sheet", help=tr("The sheet of a workbook."))] = None,
    as_json: AsJson = False,
    now: Now = None,
    actor: Actor = "cli",
) -> int:
    """Take a table into the record: all of it, or nothing where a row is wrong; what changes is shown."""
    from pairwright.app.importing import import_file

    found = import_file(
        works, file, kind=kind, actor=actor, now=now, dry_run=dry_run, sheet=sheet,
        columns=column_names(column or [], command="pairwright import"),
    )  # fmt: skip
    if as_json:
        print_json(found.as_json(written=not dry_run))
        return 0
    _print(found, dry_run=dry_run)
    return 0


def _print(found: Intake, *, dry_run: bool) -> None:
    from pairwright.cli.tongue import WORDS

    words: Words = WORDS
    rows = [
        (
            str(one.row.line),
            one.id,
            words.say(text("new") if one.what == "new" else text("changed")),
            _fields(one.fields),
        )
        for one in found.changes
        if one.what != "same"
    ]
    if rows:
        head = [words.say(t) for t in (text("row"), text("id"), text("change"), text("fields"))]
        typer.echo(table(head, rows[:SHOWN]))
    if len(rows) > SHOWN:
        typer.echo(words.say(text("and {n} more; --json shows all", n=len(rows) - SHOWN)))
    line = text("{new} new, {changed} changed, {same} the same", new=found.count("new"),
                changed=found.count("changed"), same=found.count("same"))  # fmt: skip
    typer.echo(words.say(line))
    if found.not_read:
        typer.echo(words.say(text("not read: {names}", names=", ".join(found.not_read))))
    typer.echo(words.say(text("nothing was written") if dry_run else text("taken into the record")))


def _fields(fields: tuple[tuple[str, Any, Any], ...]) -> str:
    said = []
    for name, before, after in fields:
        old, new = ("-" if value in (None, "") else str(value) for value in (before, after))
        said.append(f"{name} {new}" if before is None else f"{name} {old} -> {new}")
    return ", ".join(said)


def export(
    works: WorksFolder,
    name: Annotated[
        str,
        typer.Option(
            "--table",
            help=tr("orders, lots, parts, purchases, items, people, qualifications, instruments or events."),
        ),
    ],
    form: Annotated[str, typer.Option("--format", help=tr("csv, xlsx or json."))] = "csv",
    out: Annotated[
        Path | None, typer.Option("--out", help=tr("The file to write; default: standard output."))
    ] = None,
    actor: Actor = "cli",
) -> int:
    """Take a table of the works out as CSV, XLSX or JSON; no cell of it is ever a formula."""
    from pairwright.app.exporting import export_table
    from pairwright.app.writing import write_bytes
    from pairwright.archive.out_sheets import FORMATS, written
    from pairwright.base.errors import InputError, Problem, shown

    if form not in FORMATS:
        raise InputError(
            Problem("command line", "--format", text("one of {names}", names=", ".join(FORMATS)), shown(form),
                    text("choose one of them"))
        )  # fmt: skip
    if form == "xlsx" and out is None:
        raise InputError(
            Problem("command line", "--out", text("a file, for a workbook"), "nothing", text("name the file"))
        )
    body = written(export_table(works, name, actor=actor), form)
    if out is None:
        sys.stdout.buffer.write(body)
        sys.stdout.buffer.flush()
    else:
        write_bytes(out, body)
    return 0
