"""`pairwright forecast`: what the promise is worth under scatter, rework and breakdown."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from pairwright.base.words import Amount, Words, text
from pairwright.cli.options import Actor, AsJson, Now, Quiet, Seed, WorksFolder
from pairwright.cli.output import print_json, progress, table
from pairwright.cli.tongue import tr

if TYPE_CHECKING:
    from pairwright.plan import Forecast


def forecast(
    works: WorksFolder,
    as_json: AsJson = False,
    runs: Annotated[int, typer.Option("--runs", min=1, max=100_000, help=tr("How many drawn futures."))] = 40,
    seed: Seed = 0,
    effort: Annotated[
        int | None,
        typer.Option("--effort", min=1, help=tr("How many plans to try before forecasting; default: 48.")),
    ] = None,
    workers: Annotated[int, typer.Option("--workers", min=1, max=64, help=tr("Processes to use."))] = 2,
    now: Now = None,
    quiet: Quiet = False,
    actor: Actor = "cli",
) -> int:
    """Forecast every order's completion under scatter, breakdowns, scrap and rework.

    Exit 1 when there is no plan to forecast.
    """
    from pairwright.app.forecasting import forecast_works
    from pairwright.app.language import words_of
    from pairwright.app.opened import open_works
    from pairwright.app.planning import plan_works
    from pairwright.plan import forecast_document

    opened = open_works(works)
    words = words_of(opened.works)
    moment = opened.now(now)
    shown = progress(quiet)
    shown.stage(words.say(text("planning {n} orders", n=len(opened.book.orders))))
    planned = plan_works(opened, actor=actor, now=moment, effort=effort, seed=seed)
    if not planned.found:
        for reason in planned.schedule.reasons:
            typer.echo(words.say(reason), err=True)
        typer.echo(words.say(text("there is no plan to forecast")), err=True)
        return 1
    shown.stage(words.say(text("forecasting {n} futures", n=runs)))
    result = forecast_works(
        opened, planned.schedule, actor=actor, runs=runs, seed=seed, workers=workers, progress=shown.step
    )
    if as_json:
        print_json(forecast_document(result, opened.works))
    else:
        _print(result, words)
    return 0


def _print(result: Forecast, words: Words) -> None:
    def date(seconds: float) -> str:
        return words.amount(Amount(seconds, "date"))

    def share(value: float) -> str:
        return words.amount(Amount(value, "share"))

    head = ["order", "P10", "P50", "P90", "on time"]
    rows = [(o.order, date(o.p10), date(o.p50), date(o.p90), share(o.on_time)) for o in result.orders]
    typer.echo(table(head, rows))
    typer.echo("")
    head = [words.say(t) for t in (text("station"), text("utilisation"), text("blocked"), text("starved"))]
    stations = [
        (s.station, share(s.utilisation), share(s.blocked), share(s.starved)) for s in result.stations
    ]
    typer.echo(table(head, stations, right=frozenset({1, 2, 3})))
    typer.echo(
        words.say(
            text(
                "bottleneck: {station}; {rate} sets a week; {runs} futures",
                station=result.bottleneck or "-",
                rate=float(result.throughput_per_week),
                runs=result.runs,
            )
        )
    )
