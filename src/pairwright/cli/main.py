"""The `pairwright` command: one small module per command, nothing heavy before it is needed.

Exit status: 0 done; 1 done, and the answer is no or unknown; 2 the call or the input is wrong;
3 the machinery failed. A traceback appears only with ``--debug``.
"""

from __future__ import annotations

import inspect
import os
import sys
from collections.abc import Sequence
from typing import Annotated, Final

import typer

from pairwright import __version__
from pairwright.base.errors import InputError, MachineryError, PairwrightError, Problem, RefusedError, shown
from pairwright.base.words import text
from pairwright.cli import (
    book,
    calc,
    check,
    compare,
    curves,
    demo,
    follow,
    forecast,
    labels,
    mould,
    new,
    notices,
    people,
    plan,
    promise,
    record,
    replan,
    safekeeping,
    serve,
    sheets,
    simulate,
    trace,
    trial,
    why,
)
from pairwright.cli.tongue import WORDS, tr

# A numeric library with threads of its own stalls on a busy machine; our processes are the parallel part.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

app = typer.Typer(
    name="pairwright",
    help=tr(
        "Will it come out right, when will it be ready, what is it made of, is it good enough to leave: "
        "production engineering for loudspeakers made in matched pairs."
    ),
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
COMMANDS: Final = (
    demo.demo,
    new.new,
    check.check,
    plan.plan,
    why.why,
    promise.promise,
    replan.replan,
    follow.follow,
    forecast.forecast,
    compare.compare,
    book.book,
    serve.serve,
    mould.mould,
    mould.profile,
    mould.blanks,
    mould.cut,
    mould.overlay,
    trial.trial,
    record.record,
    trace.trace,
    trace.match,
    sheets.import_,
    sheets.export,
    people.people,
    people.keeping,
    safekeeping.attach,
    safekeeping.verify_record,
    safekeeping.backup,
    safekeeping.restore,
    safekeeping.self_check,
    simulate.simulate_floor,
    curves.logs,
    curves.curves,
    notices.notices,
    labels.labels,
    labels.traveller,
    labels.catch_up,
    calc.calc,
)


def _version(value: bool) -> None:
    if value:
        typer.echo(f"pairwright {__version__}")
        raise typer.Exit


@app.callback()
def main(
    debug: Annotated[
        bool, typer.Option("--debug", help=tr("Show a traceback when the machinery fails."))
    ] = False,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help=tr("Print the version."))
    ] = False,
) -> None:
    """Options that stand before the command."""


for _command in COMMANDS:
    _name = _command.__name__.strip("_").replace("_", "-")
    app.command(_name, help=tr(inspect.getdoc(_command) or ""))(_command)


def run(arguments: Sequence[str] | None = None) -> None:
    """Entry point of the installed command."""
    from pairwright.app.memory import collect_seldom

    collect_seldom()
    args = list(sys.argv[1:] if arguments is None else arguments) or ["--help"]
    if len(args) > 2 and args[0] == "calc" and args[1][:1] != "-":
        # a law has a help page of its own
        args = ["--explain" if a in ("--help", "-h") else a for a in args]
    sys.exit(status_of(args))


def status_of(args: list[str]) -> int:
    """Run a command and turn what happened into an exit status and a message."""
    from pairwright.cli.output import complain

    as_json = "--json" in args
    try:
        result = app(args, prog_name="pairwright", standalone_mode=False)
        return result if isinstance(result, int) else 0
    except typer.Exit as done:
        return int(done.exit_code)
    except InputError as error:
        complain(error.problems, as_json=as_json)
        return 2
    except RefusedError as error:
        typer.echo(str(error), err=True)
        return 1
    except typer.TyperException as error:
        complain([_usage(error, args)], as_json=as_json)
        return 2
    except (typer.Abort, KeyboardInterrupt):
        typer.echo(WORDS.say(text("stopped; nothing was written")), err=True)
        return 3
    except BrokenPipeError:
        return 3
    except (PairwrightError, MachineryError, OSError, MemoryError) as error:
        return _failed(error, args)
    except Exception as error:  # noqa: BLE001 - the last door before the user: never a traceback
        return _failed(error, args)


def _usage(error: Exception, args: list[str]) -> Problem:
    """A wrong call as a five-part message."""
    context = getattr(error, "ctx", None)
    param = getattr(error, "param", None)
    where = context.command_path if context is not None else "pairwright"
    name = getattr(error, "option_name", None) or getattr(param, "name", None)
    return Problem(
        where,
        str(name or "call").strip("'\""),
        text("as {where} --help shows", where=where),
        shown(" ".join(args)) if args else "nothing",
        text("correct the call: {why}", why=str(getattr(error, "message", "") or error).strip().rstrip(".")),
    )


def _failed(error: BaseException, args: list[str]) -> int:
    if "--debug" in args:
        raise error
    what = f"{type(error).__name__}: {error}"
    typer.echo(WORDS.say(text("the machinery failed: {what}", what=what)), err=True)
    typer.echo(WORDS.say(text("run it again with --debug before the command to see where")), err=True)
    return 3
