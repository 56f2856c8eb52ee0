"""Every public physics signature says the unit of each number that goes in or comes out."""

from __future__ import annotations

import ast
import inspect
import re

import pytest

from pairwright.base.quantities import QuantityError, unit
from tests.house.source import Module, in_packages, public_functions

NUMERIC = re.compile(r"\b(float|int|complex|ndarray|NDArray|ArrayLike|Array|Floats)\b")
BRACKET = re.compile(r"\[([^\[\]]*)\]")
RULE = re.compile(r"^-{3,}$")

PHYSICS = in_packages(frozenset({"physics"}))
FUNCTIONS = [
    pytest.param(module, node, id=f"{module.name.removeprefix('pairwright.')}.{name}")
    for module in PHYSICS
    for name, node in public_functions(module)
]
RECORDS = [
    pytest.param(module, node, id=f"{module.name.removeprefix('pairwright.')}.{node.name}")
    for module in PHYSICS
    for node in module.tree.body
    if isinstance(node, ast.ClassDef) and not node.name.startswith("_")
]


def sections(docstring: str) -> dict[str, list[str]]:
    """The lines of each numpydoc section; what stands before the first is under the empty name."""
    lines = inspect.cleandoc(docstring).splitlines()
    found: dict[str, list[str]] = {"": []}
    name = ""
    for n, line in enumerate(lines):
        if n + 1 < len(lines) and RULE.match(lines[n + 1]) and line.strip():
            name = line.strip()
            found[name] = []
        elif not RULE.match(line):
            found[name].append(line)
    return found


def entries(lines: list[str]) -> dict[str, str]:
    """`a, b : type` and the indented text under it, as {name: text}."""
    found: dict[str, str] = {}
    names: list[str] = []
    for line in lines:
        if line and not line[0].isspace():
            names = [n.strip().lstrip("*") for n in line.partition(" :")[0].split(",")]
            found.update(dict.fromkeys(names, ""))
        else:
            for name in names:
                found[name] = f"{found[name]} {line.strip()}".strip()
    return found


def units_in(text: str, *, anywhere: bool = False) -> list[str]:
    """What stands in the last brackets of a text (in all of them), split at commas."""
    found = BRACKET.findall(text)
    if not anywhere:
        found = found[-1:] if text.rstrip(" .").endswith("]") else []
    return [part.strip() for one in found for part in one.split(",")]


def wrong(units: list[str]) -> list[str]:
    bad = []
    for one in units:
        try:
            unit(one)
        except QuantityError:
            bad.append(one)
    return bad


def letters(module_docstring: str) -> dict[str, str]:
    """Lines `T  temperatures [K]` of a module that explains its letters once, for all its functions."""
    found = re.findall(r"^[ ]*`{0,2}(\w+)`{0,2}[ :]+(.*\[[^\[\]]*\])[.;]?$", module_docstring, re.MULTILINE)
    return dict(found)


def faults(node: ast.FunctionDef, module_docstring: str = "") -> list[str]:
    docstring = ast.get_docstring(node) or ""
    parts = sections(docstring)
    described = letters(module_docstring) | entries(parts.get("Parameters", []))
    found = []
    every = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
    for argument in every:
        kind = ast.unparse(argument.annotation) if argument.annotation else ""
        if argument.arg in ("self", "cls"):
            continue
        if argument.arg not in described:
            found.append(f"{argument.arg} is not described")
        elif NUMERIC.search(kind):
            units = units_in(described[argument.arg])
            if not units or wrong(units):
                found.append(f"{argument.arg} has no unit that can be read: {described[argument.arg]!r}")
    returned = ast.unparse(node.returns) if node.returns else ""
    if NUMERIC.search(returned):
        summary = (parts[""] or [""])[0]
        units = units_in(summary) or units_in(" ".join(parts.get("Returns", [])), anywhere=True)
        if not units or wrong(units):
            found.append(f"what is returned has no unit that can be read: {summary!r}")
    return found


@pytest.mark.parametrize(("module", "node"), FUNCTIONS)
def test_a_physics_function_states_its_units(module: Module, node: ast.FunctionDef) -> None:
    assert faults(node, ast.get_docstring(module.tree) or "") == [], module.at(node)


@pytest.mark.parametrize(("module", "node"), RECORDS)
def test_a_physics_record_states_its_units(module: Module, node: ast.ClassDef) -> None:
    fields = [
        n for n in node.body if isinstance(n, ast.AnnAssign) and NUMERIC.search(ast.unparse(n.annotation))
    ]
    comments = " ".join(module.lines[n.lineno - 1].partition("#")[2] for n in fields)

    stated = units_in(f"{ast.get_docstring(node) or ''} {comments}", anywhere=True)

    assert not fields or stated, f"{module.at(node)} {node.name} says no unit"
    assert wrong(stated) == [], module.at(node)


@pytest.mark.parametrize(
    ("docstring", "fault"),
    [
        ("Sum. [m]\n\nParameters\n----------\na : float\n    One. [m]\n", "b is not described"),
        ("Sum. [m]\n\nParameters\n----------\na, b : float\n    One.\n", "a has no unit"),
        ("Sum. [m]\n\nParameters\n----------\na, b : float\n    One. [furlong]\n", "a has no unit"),
        ("Sum.\n\nParameters\n----------\na, b : float\n    One. [m]\n", "what is returned"),
    ],
)
def test_the_rule_sees_what_is_missing(docstring: str, fault: str) -> None:
    node = ast.parse(f"def f(a: float, b: float) -> float:\n    {docstring!r}\n").body[0]
    assert isinstance(node, ast.FunctionDef)

    assert any(f.startswith(fault) for f in faults(node))


def test_the_rule_accepts_what_is_whole() -> None:
    docstring = "Sum. [m]\n\nParameters\n----------\na, b : float\n    Ends of a part. [mm]\n"
    node = ast.parse(f"def f(a: float, b: float) -> float:\n    {docstring!r}\n").body[0]
    assert isinstance(node, ast.FunctionDef)

    assert faults(node) == []
