"""`pairwright check`: will it come out right?"""

from __future__ import annotations

import typer

from pairwright.cli.options import Actor, AsJson, Language, Lengths, WorksFolder
from pairwright.cli.output import print_json, table


def check(
    works: WorksFolder,
    as_json: AsJson = False,
    language: Language = None,
    lengths: Lengths = None,
    actor: Actor = "cli",
) -> int:
    """Check every recipe by its physics before wood is cut; exit 1 where one will not work."""
    from pairwright.app.checking import check_works
    from pairwright.app.language import words_of
    from pairwright.app.opened import open_works

    opened = open_works(works)
    words = words_of(opened.works, language=language, lengths=lengths)
    result = check_works(opened, actor=actor)
    if as_json:
        print_json(result.as_json(words))
        return 0 if result.ok else 1
    typer.echo(f"{result.works}, revision {result.revision[:12]}")
    rows = [(f.severity, f.subject, words.say(f.text)) for f in result.findings]
    typer.echo(table(("severity", "subject", "says"), rows) if rows else "no findings")
    computed = sum(t.computed for t in result.times)
    typer.echo(f"{len(result.times)} durations, {computed} computed from their recipes")
    typer.echo("every recipe will work" if result.ok else "some recipes will not work")
    return 0 if result.ok else 1
