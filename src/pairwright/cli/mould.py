"""`pairwright mould`, `profile`, `blanks`, `cut`, `overlay`: what is pressed, from the drawing to the log."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeAlias

import typer

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.quantities import QuantityError, parse
from pairwright.base.words import Amount, Words, text
from pairwright.cli.options import Actor, AsJson, WorksFolder
from pairwright.cli.output import plain, print_json, table
from pairwright.cli.tongue import WORDS, tr

if TYPE_CHECKING:
    from pairwright.process.blanks import Blank

Product: TypeAlias = Annotated[str, typer.Argument(help=tr("The product's id."))]
Part: TypeAlias = Annotated[str, typer.Argument(help=tr("The part that is pressed."))]
OneOption: TypeAlias = Annotated[
    str | None, typer.Option("--option", help=tr("Its option; default: the first."))
]


def mould(
    works: WorksFolder,
    product: Product,
    part: Part = "shell",
    option: OneOption = None,
    moisture: Annotated[
        bool, typer.Option("--moisture", help=tr("Compensate the closing by moisture too."))
    ] = False,
    out: Annotated[Path | None, typer.Option("--out", help=tr("Write the profile: F.csv or F.dxf."))] = None,
    as_json: AsJson = False,
    actor: Actor = "cli",
) -> int:
    """Shape the mould so that the shell comes out right: spring-back compensated, with its spread."""
    from pairwright.app.language import words_of
    from pairwright.app.opened import open_works
    from pairwright.app.pressing import mould_for, profile_bytes
    from pairwright.app.writing import write_bytes
    from pairwright.archive.profiles import text_pieces

    opened = open_works(works)
    words = words_of(opened.works)
    found = mould_for(opened, product, part=part, option=option, moisture=moisture, actor=actor)
    if out is not None:
        write_bytes(out, profile_bytes(found.mould, out))
    if as_json:
        courses = [{"length": c.length, "radius": c.radius, "strain": c.strain} for c in found.courses]
        print_json(
            plain(
                {
                    "narrower": found.narrower,
                    "narrower_sd": found.narrower_sd,
                    "moisture": found.moisture,
                    "mould": text_pieces(found.mould),
                    "wanted": text_pieces(found.wanted),
                    "plies": courses,
                }
            )
        )
        return 0
    said = text(
        "the mould's ends are {narrower} closer together than the shell's, with a standard deviation of {sd}",
        narrower=Amount(found.narrower, "length"),
        sd=Amount(found.narrower_sd, "length"),
    )
    typer.echo(words.say(said))
    typer.echo(text_pieces(found.mould))
    return 0


def profile(
    file: Annotated[Path, typer.Argument(help=tr("A profile of lines and arcs, CSV or DXF."))],
    unit: Annotated[
        str | None, typer.Option("--unit", help=tr("Unit of a DXF that states none, such as mm."))
    ] = None,
    layer: Annotated[str | None, typer.Option("--layer", help=tr("The DXF layer that holds it."))] = None,
    actor: Actor = "cli",
) -> int:
    """Read a drawn profile and print it as the text of a part's profile."""
    del actor
    from pairwright.app.pressing import read_profile

    for segment in read_profile(file, unit=unit, layer=layer):
        if segment.line is not None:
            typer.echo(f'{{ line = "{segment.line * 1e3:.6g} mm" }},')
        else:
            turn = (segment.turn or 0.0) * 57.29577951308232
            typer.echo(f'{{ radius = "{(segment.radius or 0.0) * 1e3:.6g} mm", turn = "{turn:.6g} deg" }},')
    return 0


def blanks(
    works: WorksFolder,
    product: Product,
    part: Part = "shell",
    option: OneOption = None,
    out: Annotated[Path | None, typer.Option("--out", help=tr("Write them as CSV."))] = None,
    actor: Actor = "cli",
) -> int:
    """List the blank of every ply: its developed length, its width, along and across the grain."""
    from pairwright.app.language import words_of
    from pairwright.app.opened import open_works
    from pairwright.app.pressing import blanks_for
    from pairwright.app.writing import write_bytes
    from pairwright.archive.cutting_lists import write_blanks

    opened = open_works(works)
    found = blanks_for(opened, product, part=part, option=option, actor=actor)
    if out is not None:
        write_bytes(out, write_blanks(found))
    typer.echo(_blank_table(found, words_of(opened.works)))
    return 0


def _blank_table(found: tuple[Blank, ...], words: Words) -> str:
    head = [words.say(t) for t in (text("ply"), text("veneer"), text("length"), text("width"), text("grain"))]
    rows = [
        (
            str(b.place),
            b.veneer,
            words.amount(Amount(b.length, "length", 5)),
            words.amount(Amount(b.width, "length", 5)),
            words.amount(Amount(b.grain, "angle")),
        )
        for b in found
    ]
    return table(head, rows, right=frozenset({0, 2, 3, 4}))


def cut(
    works: WorksFolder,
    product: Product,
    stock: Annotated[Path, typer.Option("--stock", help=tr("The leaves: CSV with id, length, width."))],
    veneer: Annotated[str, typer.Option("--veneer", help=tr("Whose blanks are cut."))],
    items: Annotated[int, typer.Option("--items", min=1, max=10_000, help=tr("For how many parts."))] = 2,
    part: Annotated[str, typer.Option("--part", help=tr("The part that is pressed."))] = "shell",
    option: OneOption = None,
    kerf: Annotated[str, typer.Option("--kerf", help=tr("What a cut takes, such as 3 mm."))] = "0 mm",
    out: Annotated[Path | None, typer.Option("--out", help=tr("Write the cutting plan as CSV."))] = None,
    actor: Actor = "cli",
) -> int:
    """Cut blanks from leaves in strips, grain and defects respected, with a proven bound.

    Exit 1 when the leaves are not enough.
    """
    from pairwright.app.language import words_of
    from pairwright.app.opened import open_works
    from pairwright.app.pressing import blanks_for, cutting_for
    from pairwright.app.writing import write_bytes
    from pairwright.archive.cutting_lists import write_cuts

    opened = open_works(works)
    words = words_of(opened.works)
    found = cutting_for(
        blanks_for(opened, product, part=part, option=option, actor=actor),
        stock,
        veneer=veneer,
        items=items,
        kerf=_length(kerf),
        actor=actor,
    )
    typer.echo(words.say(found.says))
    if out is not None and found.leaves:
        write_bytes(out, write_cuts(found))
    for leaf in found.leaves:
        typer.echo(f"  {leaf.stock} {leaf.number}: {len(leaf.placed)}")
    return 0 if found.leaves else 1


def _length(value: str) -> float:
    try:
        length = parse(value, "m")
        if length < 0:
            raise QuantityError("below zero")
    except QuantityError as error:
        raise InputError(
            Problem(
                "pairwright cut",
                "--kerf",
                text("a length of at least 0, such as 3 mm"),
                shown(value),
                text("correct it: {why}", why=str(error)),
            )
        ) from None
    return length


def overlay(
    works: WorksFolder,
    product: Product,
    log: Annotated[Path, typer.Argument(help=tr("The thermocouple log, CSV with units in its header."))],
    part: Annotated[str, typer.Option("--part", help=tr("The part that is pressed."))] = "shell",
    step: Annotated[str, typer.Option("--step", help=tr("The press step."))] = "press",
    option: OneOption = None,
    actor: Actor = "cli",
) -> int:
    """Lay a thermocouple log over a press step: what is left over, corrected constants, what to change."""
    from pairwright.app.language import words_of
    from pairwright.app.opened import open_works
    from pairwright.app.pressing import overlay_for

    opened = open_works(works)
    words = words_of(opened.works)
    found = overlay_for(opened, product, part=part, step=step, log=log, option=option, actor=actor)
    typer.echo(table(("", ""), [(words.say(k[0]), words.value(k[1])) for k in found.keys]))
    for finding in found.findings:
        typer.echo(f"{finding.severity}: {words.say(finding.text)}")
    for path, value in found.changes:
        where = f"products/{product}.{part}.steps.{step}.recipe.{path}={value}"
        typer.echo(WORDS.say(text("proposed: --change {change}", change=where)))
    return 0
