"""`pairwright calc`: the laws of the trade as a handbook."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Annotated, Any

import typer

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text
from pairwright.cli.options import Seed
from pairwright.cli.output import plain, print_json, table
from pairwright.cli.tongue import tr

if TYPE_CHECKING:
    from pairwright.base.laws import Argument, Law


def calc(
    law: Annotated[str, typer.Argument(help=tr("The law; without one, all are listed."))] = "",
    values: Annotated[
        list[str] | None, typer.Argument(help=tr("name=value with a unit, such as temperature='21.1 degC'."))
    ] = None,
    spread: Annotated[
        list[str] | None,
        typer.Option(
            "--spread",
            help=tr(
                "Standard deviation of an argument, name=value, such as thickness='0.05 mm'; may be repeated."
            ),
        ),
    ] = None,
    seed: Seed = 0,
    samples: Annotated[
        int,
        typer.Option("--samples", min=100, max=10_000_000, help=tr("Draws where arguments have a spread.")),
    ] = 10_000,
    explain: Annotated[
        bool, typer.Option("--explain", help=tr("The law's arguments, range, accuracy and source."))
    ] = False,
    stdin: Annotated[
        bool, typer.Option("--stdin", help=tr("Read JSON from standard input, base SI."))
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help=tr("Print one JSON document."))] = False,
) -> int:
    """Ask a law of the trade: number, range, accuracy, source.

    Examples: pairwright calc; pairwright calc equilibrium_moisture temperature="21.1 degC" humidity="45 %".
    """
    from pairwright.app.laws import all_laws, answer_json, ask_list, law_named
    from pairwright.base.laws import ask

    if not law:
        if stdin:
            answers = ask_list(_read_json())
            print_json(plain(answers))
            return 1 if any("error" in a for a in answers) else 0
        if as_json:
            print_json([{"law": n, "title": str(x.title)} for n, x in all_laws().items()])
        else:
            typer.echo(table(("law", "says"), [(n, str(x.title)) for n, x in all_laws().items()]))
            typer.echo("\npairwright calc LAW --help shows arguments, range, accuracy and source")
        return 0
    found = law_named(law)
    if explain:
        typer.echo(describe(found))
        return 0
    given = _read_object(law) if stdin else _read_pairs(law, values or [])
    if spread:
        return _with_spread(found, given, spread, seed=seed, samples=samples, as_json=as_json)
    answer = ask(found, given)
    if as_json:
        print_json(plain(answer_json(answer)))
        return 0
    for result in found.results:
        if result.name in answer.result:
            unit = "" if result.unit == "-" else f" {result.unit}"
            typer.echo(f"{result.name} = {_short(answer.result[result.name])}{unit}")
    typer.echo(f"source: {'; '.join(str(s) for s in found.sources)}")
    for finding in answer.findings:
        typer.echo(f"{finding.severity}: {finding.text}")
    return 0


def _with_spread(
    law: Law, given: dict[str, Any], spread: list[str], *, seed: int, samples: int, as_json: bool
) -> int:
    """The law's answer with the spread that its arguments give it."""
    from pairwright.app.laws import answer_json, ask_spread

    said = ask_spread(law, given, spreads=_read_pairs(law.name, spread), seed=seed, samples=samples)
    outputs = {
        name: {
            "value": one.value,
            "sd": one.sd,
            "low": one.low,
            "high": one.high,
            "sd_first_order": one.sd_first,
        }
        for name, one in said.outputs.items()
    }
    if as_json:
        document = answer_json(said.answer)
        print_json(plain({**document, "spread": outputs, "findings": [f.as_json() for f in said.findings]}))
        return 0
    for name, one in outputs.items():
        value, sd, low, high = (_short(one[k]) for k in ("value", "sd", "low", "high"))
        typer.echo(f"{name} = {value} ± {sd} (95 %: {low} to {high})")
    for finding in said.findings:
        typer.echo(f"{finding.severity}: {finding.text}")
    return 0


def _short(value: Any) -> str:
    value = plain(value)
    if isinstance(value, float):
        return f"{value:.6g}"
    if isinstance(value, list):
        return "[" + ", ".join(_short(v) for v in value) + "]"
    return str(value)


def _read_json() -> Any:
    import json

    def refuse(token: str) -> None:
        raise ValueError(f"{token} is not a number")

    def unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for key, value in pairs:
            if key in found:
                raise ValueError(f"the key {key!r} stands twice")
            found[key] = value
        return found

    try:
        return json.loads(sys.stdin.read(), parse_constant=refuse, object_pairs_hook=unique)
    except (ValueError, RecursionError) as error:
        raise InputError(
            Problem(
                "standard input",
                "document",
                text("one JSON document"),
                shown(str(error)),
                text("correct the JSON"),
            )
        ) from None


def _read_object(law: str) -> dict[str, Any]:
    given = _read_json()
    if not isinstance(given, dict):
        raise InputError(
            Problem(
                f"calc {law}",
                "standard input",
                text("a JSON object of arguments"),
                shown(given),
                text("name each argument"),
            )
        )
    return given


def _read_pairs(law: str, values: list[str]) -> dict[str, Any]:
    import json

    given: dict[str, Any] = {}
    for pair in values:
        name, equals, value = pair.partition("=")
        if not equals or name in given:
            raise InputError(
                Problem(
                    f"calc {law}",
                    name or "argument",
                    text("name=value, each name once"),
                    shown(pair),
                    text("write such as temperature='21.1 degC'"),
                )
            )
        if value[:1] in "[{":
            try:
                given[name] = json.loads(value)
                continue
            except ValueError as error:
                raise InputError(
                    Problem(
                        f"calc {law}",
                        name,
                        text("JSON"),
                        shown(value),
                        text("correct it: {why}", why=str(error)),
                    )
                ) from None
        given[name] = value
    return given


def describe(law: Law) -> str:
    """A law's page in the terminal."""
    lines = [f"{law.name}: {law.title}", "", "arguments"]
    lines += [_argument(a, "  ") for a in law.arguments]
    lines += ["", "result"]
    lines += [f"  {r.name} [{r.unit}]  {r.text}" for r in law.results]
    lines += ["", f"range: {law.range_text()}", f"accuracy: {law.accuracy}"]
    lines += [f"source: {s}" for s in law.sources]
    lines += ["", f"worked number: {_short_map(law.worked.inputs)} -> {_short_map(law.worked.result)}"]
    return "\n".join(lines)


def _short_map(values: Any) -> str:
    return ", ".join(f"{k}={_short(v)}" for k, v in values.items())


def _argument(argument: Argument, indent: str) -> str:
    kind = "" if argument.shape == "number" else f", {argument.shape}"
    default = "" if argument.required else f", default {argument.default}"
    choices = f"; one of: {'; '.join(argument.choices)}" if argument.choices else ""
    limits = "" if argument.shape in ("table", "object", "flag", "word") else f"; {argument.must}"
    reach = f"; source covers {argument.range}" if argument.range else ""
    head = (
        f"{indent}{argument.name} [{argument.unit}{kind}{default}]  {argument.text}{limits}{reach}{choices}"
    )
    return "\n".join([head, *(_argument(c, indent + "    ") for c in argument.columns)])
