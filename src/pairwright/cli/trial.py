"""`pairwright trial`: lay out a small designed experiment, and read back what it says."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from pairwright.base.words import Amount, Words, text
from pairwright.cli.options import Actor, AsJson, WorksFolder
from pairwright.cli.output import print_json, table
from pairwright.cli.tongue import tr

if TYPE_CHECKING:
    from pairwright.app.trials import TrialRun
    from pairwright.quality.experiment import Effects
    from pairwright.works.trial import Trial


def trial(
    works: WorksFolder,
    file: Annotated[Path, typer.Argument(help=tr("The trial, a TOML file."), metavar="TRIAL")],
    out: Annotated[
        Path | None, typer.Option("--out", help=tr("Write the run sheet, a CSV to fill in."))
    ] = None,
    orders: Annotated[
        bool, typer.Option("--orders", help=tr("Add the runs to orders.csv as trial orders."))
    ] = False,
    read: Annotated[
        Path | None, typer.Option("--read", help=tr("Read a filled-in run sheet and tell the effects."))
    ] = None,
    as_json: AsJson = False,
    actor: Actor = "cli",
) -> int:
    """Lay out a small designed experiment as trial orders and a run sheet, or read its results back."""
    del actor
    from pairwright.app import trials
    from pairwright.app.language import words_of
    from pairwright.app.opened import open_works
    from pairwright.app.writing import write_bytes

    opened = open_works(works)
    words = words_of(opened.works)
    stated = trials.open_trial(opened, file)
    runs = trials.lay_out(stated)
    if read is not None:
        effects = trials.read_results(stated, runs, read)
        if as_json:
            print_json(_effects_json(stated, effects))
        else:
            _print_effects(stated, effects, words)
        return 0
    if out is not None:
        write_bytes(out, trials.run_sheet(stated, runs).encode())
    if orders:
        trials.add_orders(opened, trials.order_rows(stated, runs), works)
    if as_json:
        print_json(
            {"trial": stated.id, "design": stated.design, "runs": [_run_json(stated, r) for r in runs]}
        )
    else:
        head = [words.say(text("run")), *stated.factors]
        typer.echo(table(head, [(run.order, *run.settings) for run in runs]))
    return 0


def _run_json(stated: Trial, run: TrialRun) -> dict[str, Any]:
    return {"order": run.order, "settings": dict(zip(stated.factors, run.settings, strict=True))}


def _effects_json(stated: Trial, effects: dict[str, Effects]) -> dict[str, Any]:
    return {
        "trial": stated.id,
        "responses": [
            {"response": name, "mean": e.mean, "scatter": e.scatter, "freedom": e.freedom,
             "effects": [
                 {"factor": one.factor, "levels": [str(v) for v in stated.factors[one.factor].levels],
                  "means": list(one.means), "effect": one.effect, "half_width": one.half_width}
                 for one in e.effects
             ]}
            for name, e in effects.items()
        ],
    }  # fmt: skip


def _print_effects(stated: Trial, effects: dict[str, Effects], words: Words) -> None:
    def number(value: float) -> str:
        return words.amount(Amount(value, "number"))

    for name, found in effects.items():
        unit = stated.responses[name].unit
        typer.echo(f"{name} [{unit}]" if unit else name)
        head = [
            words.say(t) for t in (text("factor"), text("mean at each level"), text("effect"), text("± 95 %"))
        ]
        rows = [
            (e.factor, "  ".join(number(m) for m in e.means), number(e.effect),
             "?" if e.half_width is None else number(e.half_width))
            for e in found.effects
        ]  # fmt: skip
        typer.echo(table(head, rows))
        if found.scatter is None:
            typer.echo(words.say(text("no run is left to tell effects from scatter: repeat some")))
    if stated.design == "half":
        typer.echo(
            words.say(text("half of the runs: each effect is mixed with the product of all other factors"))
        )
