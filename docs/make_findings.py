"""Write docs/findings.md from the source: every finding with its sentences.

Run it through `scripts/docs`. `tests/house/test_findings.py` compares the page with the source.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

DOCS = Path(__file__).resolve().parent
SRC = DOCS.parent / "src" / "pairwright"

# what makes a statement, and the order of its fields; the first is the code
MAKERS: dict[str, tuple[str, ...]] = {
    "Finding": ("code", "severity", "subject", "text", "source"),
}

HEAD = """\
# Findings

*This page is made from the source by `scripts/docs`; do not edit it.*

A {term}`finding` is what the program says about a recipe, a plan or a record. An *error* will not work, a
*warning* may not, a *note* is worth knowing. The code stays the same between versions; the sentence may
change. Words in braces are filled in. What the {term}`audit` objects to stands in {doc}`rules-of-a-plan`.
"""


@dataclass
class Statement:
    """One code as found in the source."""

    maker: str
    code: str
    severities: set[str] = field(default_factory=set)
    sentences: set[str] = field(default_factory=set)
    places: set[str] = field(default_factory=set)


@dataclass(frozen=True)
class Found:
    """All statements, and the calls whose code is no literal."""

    statements: dict[tuple[str, str], Statement]
    unreadable: tuple[str, ...]


def _called(call: ast.Call) -> str:
    if isinstance(call.func, ast.Name):
        return call.func.id
    return call.func.attr if isinstance(call.func, ast.Attribute) else ""


def _argument(call: ast.Call, names: tuple[str, ...], name: str) -> ast.expr | None:
    for keyword in call.keywords:
        if keyword.arg == name:
            return keyword.value
    place = names.index(name)
    if place < len(call.args) and not any(isinstance(a, ast.Starred) for a in call.args[: place + 1]):
        return call.args[place]
    return None


def _words(node: ast.expr | None) -> Iterator[str]:
    """The literal strings that an expression can become: itself, or the arms of a conditional."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.IfExp):
        yield from _words(node.body)
        yield from _words(node.orelse)


def _sentences(node: ast.expr | None, around: ast.AST | None) -> Iterator[str]:
    """The templates that an expression can become; a local name stands for all it is ever bound to."""
    if isinstance(node, ast.Call) and _called(node) == "text" and node.args:
        yield from _words(node.args[0])
    elif isinstance(node, ast.IfExp):
        yield from _sentences(node.body, around)
        yield from _sentences(node.orelse, around)
    elif isinstance(node, ast.Name) and around is not None:
        for bound in ast.walk(around):
            targets = bound.targets if isinstance(bound, ast.Assign) else ()
            if any(isinstance(t, ast.Name) and t.id == node.id for t in targets):
                yield from _sentences(bound.value, None)  # type: ignore[attr-defined]


def _parameters(function: ast.FunctionDef) -> tuple[str, ...]:
    a = function.args
    return tuple(p.arg for p in [*a.posonlyargs, *a.args, *a.kwonlyargs])


class _Reader:
    """Reads one module: direct makers, and small functions of the module that pass a code on."""

    def __init__(self, path: Path, found: dict[tuple[str, str], Statement], unreadable: list[str]) -> None:
        self.place = path.relative_to(SRC).with_suffix("").as_posix().replace("/", ".")
        self.tree = ast.parse(path.read_text(encoding="utf-8"))
        self.found, self.unreadable = found, unreadable
        self.passers: dict[str, tuple[str, tuple[str, ...], dict[str, str]]] = {}

    def read(self) -> None:
        functions = [n for n in ast.walk(self.tree) if isinstance(n, ast.FunctionDef)]
        inside = {id(c): f for f in functions for c in ast.walk(f) if isinstance(c, ast.Call)}
        calls = [n for n in ast.walk(self.tree) if isinstance(n, ast.Call)]
        for call in calls:
            if _called(call) in MAKERS:
                self._direct(call, inside.get(id(call)))
        for call in calls:
            if _called(call) in self.passers:
                maker, names, roles = self.passers[_called(call)]
                self._note(call, maker, names, roles, inside.get(id(call)))

    def _direct(self, call: ast.Call, around: ast.FunctionDef | None) -> None:
        maker = _called(call)
        names = MAKERS[maker]
        code = _argument(call, names, names[0])
        if isinstance(code, ast.Name) and around is not None and code.id in _parameters(around):
            roles = {
                role: node.id
                for role in names
                if isinstance(node := _argument(call, names, role), ast.Name)
                and node.id in _parameters(around)
            }
            fixed = {
                role: next(_words(_argument(call, names, role)), "") for role in names if role not in roles
            }
            parameters = tuple(p for p in _parameters(around) if p not in ("self", "cls"))
            self.passers[around.name] = (maker, parameters, {**roles, "=severity": fixed.get("severity", "")})
            return
        self._note(call, maker, names, {role: role for role in names}, around)

    def _note(
        self,
        call: ast.Call,
        maker: str,
        names: tuple[str, ...],
        roles: dict[str, str],
        around: ast.AST | None,
    ) -> None:
        first = MAKERS[maker][0]

        def get(role: str) -> ast.expr | None:
            return _argument(call, names, roles[role]) if role in roles else None

        codes = list(_words(get(first)))
        if not codes:
            self.unreadable.append(f"{self.place}:{call.lineno}")
        for code in codes:
            statement = self.found.setdefault((maker, code), Statement(maker, code))
            statement.severities.update(_words(get("severity")) if "severity" in roles else ())
            statement.severities.update({roles.get("=severity", "")} - {""})
            statement.sentences.update(_sentences(get("text"), around))
            statement.places.add(self.place)


def collect() -> Found:
    """Every code that the source can utter."""
    found: dict[tuple[str, str], Statement] = {}
    unreadable: list[str] = []
    for path in sorted(SRC.rglob("*.py")):
        _Reader(path, found, unreadable).read()
    return Found(found, tuple(unreadable))


def _plain(sentence: str) -> str:
    """Safe from being read as Markdown."""
    return re.sub(r"([\\`*_<>\[\]|$#])", r"\\\1", sentence)


def _entry(statement: Statement) -> str:
    severities = ", ".join(s for s in ("error", "warning", "note") if s in statement.severities)
    head = f"{severities.capitalize()}. " if severities else ""
    sentences = " ".join(f"“{_plain(s)}”" for s in sorted(statement.sentences))
    places = ", ".join(f"`{p}`" for p in sorted(statement.places))
    return f"`{statement.code}`\n: {head}{sentences} ({places})\n".replace("  ", " ")


def render(found: Found | None = None) -> str:
    """The whole page."""
    every = (found or collect()).statements
    return "\n".join([HEAD, *(_entry(statement) for _, statement in sorted(every.items()))])


def main() -> int:
    """Write the page; complain about codes that are no literals."""
    found = collect()
    (DOCS / "findings.md").write_text(render(found), encoding="utf-8")
    for place in found.unreadable:
        print(f"{place}: the code of a statement must be a literal", file=sys.stderr)
    return 1 if found.unreadable else 0


if __name__ == "__main__":
    raise SystemExit(main())
