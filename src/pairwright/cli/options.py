"""Arguments and options that several commands share."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, TypeAlias

import typer

from pairwright.cli.tongue import tr

WorksFolder: TypeAlias = Annotated[Path, typer.Argument(help=tr("The works folder."), metavar="WORKS")]
AsJson: TypeAlias = Annotated[
    bool, typer.Option("--json", help=tr("Print one JSON document on standard output."))
]
Quiet: TypeAlias = Annotated[bool, typer.Option("--quiet", "-q", help=tr("No progress on standard error."))]
Now: TypeAlias = Annotated[
    str | None,
    typer.Option(
        "--now",
        help=tr(
            "The moment that counts as now, ISO 8601; default: the works' opening; with a record its last "
            "event or the clock, whichever is later."
        ),
    ),
]
Seed: TypeAlias = Annotated[
    int, typer.Option("--seed", min=0, max=2**31 - 1, help=tr("Same seed, same answer."))
]
Actor: TypeAlias = Annotated[str, typer.Option("--actor", help=tr("Who asks: a person's id."), hidden=True)]
Language: TypeAlias = Annotated[
    str | None, typer.Option("--language", help=tr("Language of texts, such as en; default: the works'."))
]
Lengths: TypeAlias = Annotated[
    str | None, typer.Option("--lengths", help=tr("mm or inch; default: the works'."))
]
