"""The handbook: every law by name, wherever it lives."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from importlib import import_module
from importlib.util import find_spec
from pkgutil import iter_modules
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.laws import Answer, Argument, Law, ask
from pairwright.base.quantities import QuantityError, parse
from pairwright.base.words import text

if TYPE_CHECKING:
    from pairwright.physics.uncertain import SpreadAnswer

PACKAGES: Final = ("physics", "measure", "quality", "pairing")  # whose modules may publish LAWS


@cache
def all_laws() -> Mapping[str, Law]:
    """Every law by its name, in order of name; a module publishes its own in ``LAWS``."""
    found: dict[str, Law] = {}
    for package in PACKAGES:
        spec = find_spec(f"pairwright.{package}")
        for module in iter_modules(spec.submodule_search_locations if spec else None):
            if spec is not None:
                laws = getattr(import_module(f"{spec.name}.{module.name}"), "LAWS", ())
                found.update({law.name: law for law in laws})
    return MappingProxyType(dict(sorted(found.items())))


def law_named(name: str) -> Law:
    """The law; raises `InputError` with the nearest names."""
    laws = all_laws()
    if name not in laws:
        from difflib import get_close_matches

        near = ", ".join(get_close_matches(name, laws, n=3)) or "pairwright calc lists them"
        raise InputError(
            Problem(
                "calc",
                "law",
                text("the name of a law"),
                shown(name),
                text("did you mean: {near}", near=near),
            )
        )
    return laws[name]


def ask_spread(
    law: Law, given: Mapping[str, object], *, spreads: Mapping[str, object], seed: int, samples: int
) -> SpreadAnswer:
    """A law's answer where arguments have a standard deviation; paths such as ``plies[0].thickness``.

    A spread is read in its argument's unit: a difference, so a temperature's is in kelvin.
    """
    from pairwright.physics.uncertain import Spread, ask_with_spread

    read = {name: Spread(_read_spread(law, name, value)) for name, value in spreads.items()}
    return ask_with_spread(law, given, spreads=read, seed=seed, samples=samples)


def _read_spread(law: Law, name: str, value: object) -> float:
    units = {path: argument.unit for path, argument in arguments_of(law.arguments)}
    unit = units.get(re.sub(r"\[[0-9]+\]", "", name))
    try:
        if unit is None:
            raise QuantityError("no such argument")
        sd = float(value) if isinstance(value, int | float) else parse(value, unit)
        if sd < 0:
            raise QuantityError("below zero")
    except (QuantityError, ValueError) as error:
        raise InputError(
            Problem(
                f"calc {law.name}",
                f"--spread {name}",
                text("a standard deviation of an argument, at least 0, in {unit}", unit=unit or "its unit"),
                shown(value),
                text("correct it: {why}", why=str(error)),
            )
        ) from None
    return sd


def arguments_of(arguments: Sequence[Argument], prefix: str = "") -> Iterator[tuple[str, Argument]]:
    """Every argument of a law by its dotted path, those inside tables too."""
    for argument in arguments:
        yield prefix + argument.name, argument
        yield from arguments_of(argument.columns, f"{prefix}{argument.name}.")


def ask_list(questions: object) -> list[Mapping[str, Any]]:
    """Answers to a list of ``{"law", "inputs"}``; a bad one answers with its error and stops nothing."""
    if not isinstance(questions, list):
        raise InputError(
            Problem(
                "standard input",
                "document",
                text("a list of objects with law and inputs"),
                shown(questions),
                text("write a JSON list"),
            )
        )
    answers: list[Mapping[str, Any]] = []
    for n, question in enumerate(questions):
        name = question.get("law") if isinstance(question, Mapping) else None
        try:
            if not isinstance(question, Mapping) or not isinstance(name, str):
                raise InputError(
                    Problem(
                        f"question {n}",
                        "law",
                        text("the name of a law"),
                        shown(name),
                        text("write an object with law and inputs"),
                    )
                )
            given = question.get("inputs", {})
            if not isinstance(given, Mapping):
                raise InputError(
                    Problem(
                        f"question {n}",
                        "inputs",
                        text("an object of arguments"),
                        shown(given),
                        text("name each argument"),
                    )
                )
            answers.append(answer_json(ask(law_named(name), given, where=f"question {n} {name}")))
        except InputError as error:
            answers.append({"law": name, "error": error.problems[0].as_json()})
    return answers


def answer_json(answer: Answer) -> dict[str, Any]:
    """The public shape of an answer."""
    return {
        "law": answer.law.name,
        "result": dict(answer.result),
        "inputs": dict(answer.inputs),
        "source": "; ".join(str(s) for s in answer.law.sources),
        "range": answer.law.range_text(),
        "accuracy": str(answer.law.accuracy),
        "findings": [f.as_json() for f in answer.findings],
    }
