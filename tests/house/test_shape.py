"""The shape of the source: small modules, short functions, an honest public face."""

from __future__ import annotations

import ast

import pytest

from tests.house.source import Module, imports, modules, public_functions

CEILING = 500
LONGEST = 60  # lines of code of one function, its docstring not counted
MOST_POSITIONAL = 2
COMPILED = frozenset({"pairwright.physics.pressloop"})  # a compiled routine takes no names at the call

every_module = pytest.mark.parametrize("module", modules(), ids=lambda m: m.name)


def _code_lines(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    body = node.body[1:] if ast.get_docstring(node, clean=False) is not None else node.body
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


def _face(module: Module) -> tuple[list[str] | None, set[str]]:
    """What `__all__` says and which public names an `__init__` really binds."""
    declared: list[str] | None = None
    bound: set[str] = set()
    for node in module.tree.body:
        if isinstance(node, ast.ImportFrom) and (node.level or (node.module or "").startswith("pairwright")):
            bound |= {a.asname or a.name for a in node.names}
        elif isinstance(node, ast.FunctionDef | ast.ClassDef | ast.AsyncFunctionDef):
            bound.add(node.name)
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            names = {t.id for t in targets if isinstance(t, ast.Name)}
            if "__all__" in names:
                assert node.value is not None
                declared = list(ast.literal_eval(node.value))
            bound |= names
    return declared, {n for n in bound if not n.startswith("_")}


@every_module
def test_a_module_stays_under_the_ceiling(module: Module) -> None:
    assert len(module.lines) <= CEILING, f"{module.name} has {len(module.lines)} lines: split it"


@every_module
def test_a_module_says_what_it_is_for(module: Module) -> None:
    assert ast.get_docstring(module.tree), f"{module.name} has no docstring"


@every_module
def test_functions_are_short(module: Module) -> None:
    long = {
        f"{module.at(node)} {node.name}": _code_lines(node)
        for node in ast.walk(module.tree)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and _code_lines(node) > LONGEST
    }
    assert long == {}


def offered() -> set[tuple[str, str]]:
    """The public face: what an `__init__` hands on, as (module, name), and all of physics."""
    found = {
        (name.rpartition(".")[0], name.rpartition(".")[2])
        for module in modules()
        if module.path.name == "__init__.py"
        for name, _ in imports(module)
    }
    return found | {
        (m.name, name) for m in modules() if m.package == "physics" for name, _ in public_functions(m)
    }


@every_module
def test_what_follows_the_second_argument_is_named_at_the_call(module: Module) -> None:
    if module.package == "cli" or module.name in COMPILED:  # typer calls by name
        return
    face = offered()
    loose = []
    for name, node in public_functions(module):
        arguments = [a.arg for a in [*node.args.posonlyargs, *node.args.args] if a.arg not in ("self", "cls")]
        public = {(module.name, name), (module.name, name.partition(".")[0])} & face
        if public and len(arguments) > MOST_POSITIONAL:
            loose.append(f"{module.at(node)} {name}({', '.join(arguments)})")
    assert loose == [], "put a * after the second argument"


@pytest.mark.parametrize(
    "module", [m for m in modules() if m.path.name == "__init__.py"], ids=lambda m: m.name
)
def test_a_public_face_is_sorted_and_complete(module: Module) -> None:
    declared, bound = _face(module)

    if declared is None:
        assert bound == set(), f"{module.name} binds public names but has no __all__"
    else:
        assert declared == sorted(declared)
        assert set(declared) - {"__version__"} == bound


def test_every_folder_of_modules_is_a_package() -> None:
    bare = {m.path.parent for m in modules() if not (m.path.parent / "__init__.py").exists()}

    assert bare == set()
