"""Reading our own source as syntax trees, for the tests of the house rules."""

from __future__ import annotations

import ast
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SRC = ROOT / "src" / "pairwright"


@dataclass(frozen=True)
class Module:
    name: str
    path: Path
    tree: ast.Module
    lines: tuple[str, ...]

    @property
    def package(self) -> str:
        """The first name below pairwright: `physics`; the root itself is empty."""
        parts = self.name.split(".")
        return parts[1] if len(parts) > 1 else ""

    def at(self, node: ast.AST) -> str:
        return f"{self.path.relative_to(ROOT)}:{getattr(node, 'lineno', 1)}"


@cache
def modules() -> tuple[Module, ...]:
    """Every module of the package, parsed."""
    found = []
    for path in sorted(SRC.rglob("*.py")):
        body = path.read_text(encoding="utf-8")
        parts = path.relative_to(SRC.parent).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        found.append(Module(name, path, ast.parse(body, str(path)), tuple(body.splitlines())))
    return tuple(found)


def in_packages(names: frozenset[str]) -> list[Module]:
    return [m for m in modules() if m.package in names]


def imports(module: Module) -> Iterator[tuple[str, ast.stmt]]:
    """Full names of what a module imports, anywhere in it."""
    base = module.name if module.path.name == "__init__.py" else module.name.rpartition(".")[0]
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield alias.name, node
        elif isinstance(node, ast.ImportFrom):
            above = base.split(".")[: len(base.split(".")) - node.level + 1] if node.level else []
            start = ".".join([*above, *([node.module] if node.module else [])])
            yield start, node
            for alias in node.names:
                yield f"{start}.{alias.name}", node


def dotted(node: ast.expr) -> str:
    """`np.random.rand` of the attribute chain; empty where it is not a plain chain."""
    if isinstance(node, ast.Name):
        return node.id
    if isinstance(node, ast.Attribute):
        start = dotted(node.value)
        return f"{start}.{node.attr}" if start else ""
    return ""


def calls(tree: ast.AST) -> Iterator[ast.Call]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            yield node


def public_functions(module: Module) -> Iterator[tuple[str, ast.FunctionDef]]:
    """Functions and methods whose name, and whose class's name, does not begin with an underscore."""
    for node in module.tree.body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield node.name, node
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            for inner in node.body:
                if isinstance(inner, ast.FunctionDef) and not inner.name.startswith("_"):
                    yield f"{node.name}.{inner.name}", inner


def tracked_files() -> list[Path]:
    """What is, or would be, committed; in a copy without git, what is not ignored by name."""
    try:
        listed = subprocess.run(
            ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"],
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=True,
        ).stdout.split("\0")
        found = [ROOT / name for name in listed if name]
    except (OSError, subprocess.CalledProcessError):
        found = []
    if not found:
        ignored = {"__pycache__", "_build", "generated", "demo-works", "results", "dist", "build"}
        found = [
            p
            for p in ROOT.rglob("*")
            if not any(
                part in ignored or (part.startswith(".") and part not in (".ci", ".gitignore"))
                for part in p.relative_to(ROOT).parts
            )
        ]
    return sorted(p for p in found if p.is_file())
