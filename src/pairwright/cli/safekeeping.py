"""`pairwright verify-record`, `backup`, `restore`, `self-check`: that nothing is lost, and that it shows."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pairwright.base.words import Amount, text
from pairwright.cli.options import Actor, AsJson, WorksFolder
from pairwright.cli.output import print_json
from pairwright.cli.tongue import tr

if TYPE_CHECKING:
    from pairwright.archive.backup import Manifest
    from pairwright.base.words import Words


def verify_record(
    works: WorksFolder,
    expected: Annotated[
        str | None, typer.Option("--expected", metavar="HASH", help=tr("A hash that the record must hold."))
    ] = None,
    attachments: Annotated[
        bool, typer.Option("--attachments", help=tr("Read every kept file too, and compare its digest."))
    ] = False,
    as_json: AsJson = False,
    actor: Actor = "cli",
) -> int:
    """Check that the record is what was recorded: its chain of hashes, its pages, what is derived."""
    del actor
    from pairwright.app.safekeeping import verify_works

    verdict, words = verify_works(works, expected=expected, attachments=attachments)
    if as_json:
        print_json(verdict.as_json(words))
        return 0 if verdict.ok else 1
    for one in verdict.problems:
        typer.echo(words.say(text("{what}: {why}", what=one.subject, why=one.text)), err=True)
    if verdict.ok:
        typer.echo(words.say(text("{n} events, all as recorded; the last hash is {hash}",
                                  n=verdict.events, hash=verdict.head)))  # fmt: skip
    return 0 if verdict.ok else 1


def attach(
    works: WorksFolder,
    files: Annotated[list[Path], typer.Argument(help=tr("The files to keep."), metavar="FILE...")],
    as_json: AsJson = False,
    actor: Actor = "cli",
) -> int:
    """Keep files that events refer to, each under its SHA-256, which is printed."""
    del actor
    from pairwright.app.safekeeping import attach_files

    found = attach_files(works, files)
    if as_json:
        print_json([{"file": name, "digest": digest} for name, digest in found])
        return 0
    for name, digest in found:
        typer.echo(f"{digest}  {name}")
    return 0


def backup(
    works: WorksFolder,
    folder: Annotated[Path, typer.Argument(help=tr("The folder to make."), metavar="FOLDER")],
    as_json: AsJson = False,
    actor: Actor = "cli",
) -> int:
    """Copy the record and its attachments into a new folder and verify the copy; work may go on meanwhile."""
    del actor
    from pairwright.app.safekeeping import backup_works

    manifest, words = backup_works(works, folder)
    _print(manifest, folder, words, as_json=as_json)
    return 0


def restore(
    folder: Annotated[Path, typer.Argument(help=tr("A folder that backup made."), metavar="FOLDER")],
    works: WorksFolder,
    as_json: AsJson = False,
    actor: Actor = "cli",
) -> int:
    """Put a backup in place where there is no record; it is verified before and after."""
    del actor
    from pairwright.app.safekeeping import restore_works

    manifest, words = restore_works(folder, works)
    _print(manifest, works, words, as_json=as_json)
    return 0


def _print(manifest: Manifest, folder: Path, words: Words, *, as_json: bool) -> None:
    if as_json:
        print_json(manifest.as_json())
        return
    line = text("{n} events and {m} files in {folder}; the last hash is {hash}",
                n=manifest.events, m=len(manifest.files), folder=str(folder), hash=manifest.head)  # fmt: skip
    typer.echo(words.say(line))


def self_check(works: WorksFolder, as_json: AsJson = False, actor: Actor = "cli") -> int:
    """Measure what this machine can promise: the engine, the disk, the record."""
    del actor
    from pairwright.app.safekeeping import check_machine

    found, words = check_machine(works)
    document = found.as_json(words)
    if as_json:
        print_json(document)
        return 0 if document["ok"] else 1
    typer.echo(words.say(text("SQLite {version} on {kind}", version=found.engine, kind=found.file_system)))
    typer.echo(
        words.say(
            text(
                "to make an event safe takes {p50} ms as a rule, {p99} ms at worst; {rate} a second alone",
                p50=Amount(found.sync_p50 * 1000, "number"),
                p99=Amount(found.sync_p99 * 1000, "number"),
                rate=round(found.durable_rows_per_second),
            )
        )
    )
    typer.echo(words.say(text("{free} MiB are free", free=found.free_bytes >> 20)))
    if found.events is not None:
        typer.echo(words.say(text("{n} events in the record", n=found.events)))
    for one in found.findings:
        typer.echo(words.say(text("{severity}: {why}", severity=one.severity, why=one.text)))
    return 0 if document["ok"] else 1
