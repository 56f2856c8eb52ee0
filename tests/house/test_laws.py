"""Every law keeps what its record promises."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import pytest

from pairwright.base.laws import Argument, Law, ask
from pairwright.base.quantities import unit


def registry() -> dict[str, Law]:
    try:
        from pairwright.app.laws import all_laws
    except ImportError:
        return {}
    return dict(all_laws())


every_law = pytest.mark.parametrize("law", registry().values(), ids=lambda law: law.name)


def _arguments(arguments: Sequence[Argument]) -> Iterator[Argument]:
    for argument in arguments:
        yield argument
        yield from _arguments(argument.columns)


def _near(got: Any, wanted: Any, tolerance: float) -> bool:
    if isinstance(wanted, Mapping):
        return all(_near(got[k], v, tolerance) for k, v in wanted.items())
    if isinstance(wanted, Sequence) and not isinstance(wanted, str):
        return len(got) == len(wanted) and all(
            _near(g, w, tolerance) for g, w in zip(got, wanted, strict=True)
        )
    if isinstance(wanted, float | int) and not isinstance(wanted, bool):
        return math.isclose(got, wanted, rel_tol=tolerance, abs_tol=tolerance * 1e-6)
    return bool(got == wanted)


def test_there_is_a_registry_of_laws() -> None:
    assert registry()
    assert all(name == law.name for name, law in registry().items())


@every_law
def test_a_law_says_units_that_can_be_read(law: Law) -> None:
    for one in [*_arguments(law.arguments), *law.results]:
        unit(one.unit)


@every_law
def test_a_law_has_a_source_an_accuracy_and_a_word_for_each_argument(law: Law) -> None:
    assert law.sources
    assert str(law.accuracy)
    assert all(str(a.text) for a in _arguments(law.arguments))
    assert all(s.citation for s in law.sources if s.kind in ("standard", "published", "data sheet"))


@every_law
def test_the_worked_number_comes_out(law: Law) -> None:
    answer = ask(law, law.worked.inputs)

    assert law.worked.result
    for name, wanted in law.worked.result.items():
        assert _near(answer.result[name], wanted, law.worked.tolerance), (name, answer.result[name], wanted)


@every_law
def test_a_law_answers_with_the_fields_that_it_promises(law: Law) -> None:
    answer = ask(law, law.worked.inputs)

    assert set(answer.result) == {r.name for r in law.results}
