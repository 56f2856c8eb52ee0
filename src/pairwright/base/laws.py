"""A law of the trade as data: its function, arguments, range, accuracy and sources.

One `Law` serves the command line, the page and the process modules alike: `ask` checks the
arguments, runs the function, and says in findings where an argument leaves the range in which
the source vouches for the number. Impossible arguments are errors.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.findings import Finding
from pairwright.base.quantities import QuantityError, parse
from pairwright.base.sources import Source
from pairwright.base.words import Text, text

REQUIRED: Final = object()


@dataclass(frozen=True, slots=True)
class Span:
    """An interval; None is unbounded; `open_low`/`open_high` exclude the end itself."""

    low: float | None = None
    high: float | None = None
    open_low: bool = False
    open_high: bool = False

    def holds(self, value: float) -> bool:
        """Whether the value lies inside."""
        if self.low is not None and (value < self.low or (self.open_low and value == self.low)):
            return False
        return not (self.high is not None and (value > self.high or (self.open_high and value == self.high)))

    def __str__(self) -> str:
        if self.low is None and self.high is None:
            return "any number"
        if self.high is None:
            return f"{'above' if self.open_low else 'at least'} {self.low:g}"
        if self.low is None:
            return f"{'below' if self.open_high else 'at most'} {self.high:g}"
        return (
            f"{self.low:g}{' (excluded)' if self.open_low else ''} to "
            f"{self.high:g}{' (excluded)' if self.open_high else ''}"
        )


ANY: Final = Span()
POSITIVE: Final = Span(0.0, None, open_low=True)
NOT_NEGATIVE: Final = Span(0.0)
FRACTION: Final = Span(0.0, 1.0)


@dataclass(frozen=True, slots=True)
class Argument:
    """One argument of a law.

    `shape` is ``number``, ``whole`` (an integer), ``word`` (text; `choices` if limited),
    ``words`` (a list of them), ``flag``, ``numbers`` (a list), ``rows`` (a list of lists of
    numbers, or deeper), ``table`` (a list of objects with `columns`) or ``object`` (one object with
    `columns`).
    `must` is what is possible at all; `range` is what the source covers.
    """

    name: str
    unit: str
    text: Text
    must: Span = ANY
    range: Span | None = None
    default: Any = REQUIRED
    shape: str = "number"
    choices: tuple[str, ...] = ()
    columns: tuple[Argument, ...] = ()
    least: int = 1  # fewest entries of a list

    @property
    def required(self) -> bool:
        """Whether there is no default."""
        return self.default is REQUIRED


@dataclass(frozen=True, slots=True)
class Result:
    """One field of a law's answer."""

    name: str
    unit: str
    text: Text


@dataclass(frozen=True, slots=True)
class Worked:
    """The worked number shown in the book: inputs and what must come out, within `tolerance`."""

    inputs: Mapping[str, Any]
    result: Mapping[str, Any]
    tolerance: float = 1e-3  # relative


@dataclass(frozen=True, slots=True)
class Law:
    """A published relation with its birth certificate."""

    name: str
    title: Text
    function: Callable[..., Mapping[str, Any]]
    arguments: tuple[Argument, ...]
    results: tuple[Result, ...]
    accuracy: Text
    sources: tuple[Source, ...]
    worked: Worked
    also: Callable[[Mapping[str, Any]], Sequence[Finding]] | None = field(default=None)

    def range_text(self) -> str:
        """The range of validity in one line."""
        parts = [
            f"{path} {arg.range} {arg.unit}".rstrip(" -")
            for path, arg in _all(self.arguments)
            if arg.range is not None
        ]
        return "; ".join(parts) or "no limit stated by the source"


@dataclass(frozen=True, slots=True)
class Answer:
    """What a law said."""

    law: Law
    inputs: Mapping[str, Any]
    result: Mapping[str, Any]
    findings: tuple[Finding, ...]


def ask(law: Law, given: Mapping[str, object], *, where: str | None = None) -> Answer:
    """Check the arguments, compute, and report what leaves the source's range.

    Numbers are base SI; text is read as a quantity with a unit. Raises `InputError` with every
    problem in the arguments.
    """
    place = where or f"calc {law.name}"
    problems: list[Problem] = []
    inputs = _read_object(law.arguments, given, place, "", problems)
    if problems:
        raise InputError(problems)
    try:
        result = dict(law.function(**inputs))
        findings = [*out_of_range(law, inputs), *(law.also(inputs) if law.also else ())]
    except (ArithmeticError, ValueError) as error:
        raise _beyond(place, str(error)) from error
    if not _finite(result):
        raise _beyond(place, "a result that is not finite")
    return Answer(law, inputs, result, tuple(findings))


def _beyond(place: str, got: str) -> InputError:
    """Each argument is possible alone, but together they leave what numbers can hold."""
    return InputError(
        Problem(
            place,
            "inputs",
            text("of a size that has a finite answer"),
            got,
            text("check the units of very large and very small values"),
        )
    )


def _finite(value: object) -> bool:
    if isinstance(value, Mapping):
        return all(_finite(v) for v in value.values())
    if isinstance(value, Sequence) and not isinstance(value, str):
        return all(_finite(v) for v in value)
    return not isinstance(value, float) or math.isfinite(value)


def out_of_range(law: Law, inputs: Mapping[str, Any], subject: str | None = None) -> list[Finding]:
    """Findings for every argument outside the range that the source covers."""
    found: list[Finding] = []
    for path, argument, value in _values(law.arguments, inputs, ""):
        if argument.range is not None and not argument.range.holds(value):
            found.append(
                Finding(
                    "out_of_range",
                    "warning",
                    subject or law.name,
                    text(
                        "{name} = {value} {unit} is outside {range} {unit}, for which {law} is published",
                        name=path,
                        value=f"{value:.6g}",
                        unit=argument.unit,
                        range=str(argument.range),
                        law=law.name,
                    ),
                    law.sources[0],
                )
            )
    return found


def _all(arguments: Sequence[Argument], prefix: str = "") -> Iterator[tuple[str, Argument]]:
    for argument in arguments:
        yield prefix + argument.name, argument
        yield from _all(argument.columns, f"{prefix}{argument.name}.")


def _values(
    arguments: Sequence[Argument], inputs: Mapping[str, Any], prefix: str
) -> Iterator[tuple[str, Argument, float]]:
    for argument in arguments:
        value = inputs.get(argument.name)
        path = prefix + argument.name
        if value is None:
            continue
        if argument.shape in ("number", "whole"):
            yield path, argument, float(value)
        elif argument.shape == "numbers":
            for n, one in enumerate(value):
                yield f"{path}[{n}]", argument, float(one)
        elif argument.shape == "table":
            for n, row in enumerate(value):
                yield from _values(argument.columns, row, f"{path}[{n}].")
        elif argument.shape == "object":
            yield from _values(argument.columns, value, f"{path}.")


def _read_object(
    arguments: Sequence[Argument],
    given: Mapping[str, object],
    where: str,
    prefix: str,
    problems: list[Problem],
) -> dict[str, Any]:
    known = {a.name for a in arguments}
    for name in given:
        if name not in known:
            problems.append(
                Problem(
                    where,
                    prefix + str(name),
                    text("one of {names}", names=", ".join(sorted(known))),
                    shown(name),
                    text("correct the name or leave it out"),
                )
            )
    inputs: dict[str, Any] = {}
    for argument in arguments:
        path = prefix + argument.name
        if argument.name not in given:
            if argument.required:
                problems.append(
                    Problem(
                        where, path, _wanted(argument), "nothing", text("give it: {what}", what=argument.text)
                    )
                )
            else:
                inputs[argument.name] = argument.default
            continue
        if given[argument.name] is None and argument.default is None:
            inputs[argument.name] = None  # JSON null says "none" where none is the default
            continue
        inputs[argument.name] = _read(argument, given[argument.name], where, path, problems)
    return inputs


def _read(argument: Argument, value: object, where: str, path: str, problems: list[Problem]) -> object:
    def wrong(must_be: Text, do: Text) -> None:
        problems.append(Problem(where, path, must_be, shown(value), do))

    match argument.shape:
        case "number" | "whole":
            return _read_number(argument, value, where, path, problems)
        case "flag":
            if isinstance(value, bool):
                return value
            if value in ("true", "false"):
                return value == "true"
            wrong(text("true or false"), text("write true or false"))
        case "word":
            if isinstance(value, str) and (not argument.choices or value in argument.choices):
                return value
            wrong(_wanted(argument), text("choose one of them"))
        case "words" | "numbers" | "rows" if isinstance(value, Sequence) and not isinstance(value, str):
            if len(value) >= argument.least:
                return _read_list(argument, value, where, path, problems)
            wrong(_wanted(argument), text("give at least {n}", n=argument.least))
        case "table" if isinstance(value, Sequence) and not isinstance(value, str):
            if len(value) < argument.least:
                wrong(_wanted(argument), text("give at least {n}", n=argument.least))
            return [_read_row(argument, v, where, f"{path}[{n}]", problems) for n, v in enumerate(value)]
        case "object" if isinstance(value, Mapping):
            return _read_row(argument, value, where, path, problems)
        case _:
            wrong(_wanted(argument), text("see calc --help for the form"))
    return value


def _read_list(
    argument: Argument, values: Sequence[object], where: str, path: str, problems: list[Problem]
) -> object:
    """A list of words, of numbers, or of lists of numbers to any depth."""
    if argument.shape == "words":
        if not all(isinstance(v, str) and v for v in values):
            problems.append(Problem(where, path, _wanted(argument), shown(values), text("give words")))
        return list(values)
    return [
        _read_list(argument, v, where, f"{path}[{n}]", problems)
        if argument.shape == "rows" and isinstance(v, Sequence) and not isinstance(v, str)
        else _read_number(argument, v, where, f"{path}[{n}]", problems)
        for n, v in enumerate(values)
    ]


def _read_row(argument: Argument, value: object, where: str, path: str, problems: list[Problem]) -> object:
    if not isinstance(value, Mapping):
        names = ", ".join(c.name for c in argument.columns)
        problems.append(
            Problem(
                where,
                path,
                text("an object with {names}", names=names),
                shown(value),
                text("write one object each"),
            )
        )
        return value
    return _read_object(argument.columns, value, where, f"{path}.", problems)


def _read_number(
    argument: Argument, value: object, where: str, path: str, problems: list[Problem]
) -> float | int:
    number = math.nan
    if isinstance(value, int | float) and not isinstance(value, bool):
        number = float(value) if abs(value) < 1e300 else math.inf
    elif isinstance(value, str):
        try:
            number = parse(value, argument.unit)
        except QuantityError as error:
            problems.append(
                Problem(
                    where, path, _wanted(argument), shown(value), text("correct it: {why}", why=str(error))
                )
            )
            return math.nan
    if not math.isfinite(number) or (argument.shape == "whole" and number != int(number)):
        problems.append(Problem(where, path, _wanted(argument), shown(value), text("give a finite number")))
        return math.nan
    if not argument.must.holds(number):
        problems.append(
            Problem(
                where,
                path,
                _wanted(argument),
                shown(value),
                text("give a possible value: {what}", what=argument.text),
            )
        )
    return int(number) if argument.shape == "whole" else number


def _wanted(argument: Argument) -> Text:
    match argument.shape:
        case "word" if argument.choices:
            return text("one of {names}", names=", ".join(argument.choices))
        case "word":
            return text("a word")
        case "words":
            return text("a list of words, at least {n}", n=argument.least)
        case "flag":
            return text("true or false")
        case "whole":
            return text("a whole number, {span}", span=str(argument.must))
        case "number":
            return text("a number, {span} {unit}", span=str(argument.must), unit=argument.unit)
        case "numbers" | "rows":
            return text("a list of numbers [{unit}], at least {n}", unit=argument.unit, n=argument.least)
        case _:
            names = ", ".join(c.name for c in argument.columns)
            return text("a list of objects with {names}", names=names)
