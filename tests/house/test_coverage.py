"""Every public law is held to something outside the project, and so often.

The index is `tests/reference/index.py`. What counts is an assertion: the `assert` statements of a test times the cases
that it is run with. Recalled and only printed rows do not count.
"""

from __future__ import annotations

import ast
import importlib.util
import inspect
import math
import sys
import textwrap
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from tests.house.source import ROOT
from tests.house.test_findings import load
from tests.house.test_laws import registry
from tests.reference.index import INDEX, OPEN, TWO_SOURCES, Check

TESTS = ROOT / "tests"
EACH, PRINTED, ALL = 3, "printed_only", 200
RECALLED = ("test_memory_rows.py",)


@cache
def module(file: str) -> ModuleType:
    path = TESTS / file
    spec = importlib.util.spec_from_file_location(f"counted_{path.stem}", path)
    assert spec is not None
    assert spec.loader is not None
    found = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = found
    spec.loader.exec_module(found)
    return found


def cases(function: Callable[..., Any]) -> int:
    """How often a test is run: the product of its parametrizations."""
    marks = getattr(inspect.unwrap(function), "pytestmark", []) or getattr(function, "pytestmark", [])
    return math.prod(len(list(m.args[1])) for m in marks if m.name == "parametrize")


def asserts(function: Callable[..., Any]) -> int:
    """The assertions in a test's text: `assert`, and what must be refused."""
    tree = ast.parse(textwrap.dedent(inspect.getsource(innermost(function))))
    refused = sum(
        isinstance(node, ast.With) and "pytest.raises" in ast.unparse(node.items[0].context_expr)
        for node in ast.walk(tree)
    )
    return refused + sum(isinstance(node, ast.Assert) for node in ast.walk(tree))


def innermost(function: Callable[..., Any]) -> Callable[..., Any]:
    """The test itself under hypothesis' wrapper."""
    inner = getattr(function, "hypothesis", None)
    return inspect.unwrap(inner.inner_test if inner is not None else function)


def held(check: Check) -> int:
    """Assertions of the tests that an entry names."""
    found = module(check.file)
    return sum(cases(getattr(found, name)) * asserts(getattr(found, name)) for name in check.tests)


@pytest.mark.parametrize("name", sorted(registry()))
def test_a_public_law_is_held_by_three_assertions(name: str) -> None:
    checks: Sequence[Check] = INDEX.get(name, ())
    assert checks, f"name the tests that hold {name} in tests/reference/index.py"
    missing = [f"{c.file}::{t}" for c in checks for t in c.tests if not hasattr(module(c.file), t)]
    assert missing == []

    assert sum(held(check) for check in checks) >= EACH


def test_the_index_names_no_law_that_is_not_there() -> None:
    assert sorted(set(INDEX) - set(registry())) == []


@pytest.mark.parametrize("name", TWO_SOURCES)
def test_press_cure_spring_back_steam_and_hardness_have_two_sources(name: str) -> None:
    published = {c.source for c in INDEX[name] if c.file.startswith("reference/")}

    assert len(published) >= 2


@pytest.mark.parametrize("name", sorted(OPEN))
def test_a_page_says_where_the_literature_has_nothing(name: str) -> None:
    maker, law = load("make_physics"), registry()[name]
    page = " ".join(maker.page(law).split())

    assert OPEN[name] in page


def test_two_hundred_reference_assertions_at_least() -> None:
    total = 0
    for path in sorted((TESTS / "reference").glob("test_*.py")):
        if path.name in RECALLED:
            continue
        found = module(f"reference/{path.name}")
        names = [n for n in vars(found) if n.startswith("test_") and not n.endswith(PRINTED)]
        total += sum(cases(getattr(found, n)) * asserts(getattr(found, n)) for n in names)
    print(f"\n{total} reference assertions")

    assert total >= ALL


def test_the_count_sees_cases_and_assertions(tmp_path: Path) -> None:
    file = tmp_path / "test_counted.py"
    file.write_text(
        "import pytest\n\n\n@pytest.mark.parametrize('x', [1, 2, 3])\ndef test_a(x):\n    assert x\n    assert x > 0\n",
        encoding="utf-8",
    )
    found = module(str(file))

    assert cases(found.test_a) * asserts(found.test_a) == 6
