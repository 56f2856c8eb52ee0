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


def _arms(node: ast.expr) -> Iterator[ast.expr]:
    """An expression, or both arms of a conditional one."""
    if isinstance(node, ast.IfExp):
        yield from _arms(node.body)
        yield from _arms(node.orelse)
    else:
        yield node


def _bound(name: str, around: ast.AST) -> Iterator[ast.expr]:
    """All that a local name is bound to: by assignment, or by a loop over a literal table."""
    for node in ast.walk(around):
        pairs: list[tuple[ast.expr, ast.expr]] = []
        if isinstance(node, ast.Assign):
            pairs = [(target, arm) for target in node.targets for arm in _arms(node.value)]
        elif isinstance(node, ast.For | ast.comprehension) and isinstance(node.iter, ast.Tuple | ast.List):
            pairs = [(node.target, row) for row in node.iter.elts]
        for target, value in pairs:
            if isinstance(target, ast.Name) and target.id == name:
                yield value
            elif isinstance(target, ast.Tuple) and isinstance(value, ast.Tuple):
                yield from (
                    v
                    for t, v in zip(target.elts, value.elts, strict=False)
                    if isinstance(t, ast.Name) and t.id == name
                )


def _words(node: ast.expr | None, around: ast.AST | None = None) -> Iterator[str]:
    """The literal strings that an expression can become."""
    for arm in _arms(node) if node is not None else ():
        if isinstance(arm, ast.Constant) and isinstance(arm.value, str):
            yield arm.value
        elif isinstance(arm, ast.Name) and around is not None:
            for value in _bound(arm.id, around):
                yield from _words(value)


def _sentences(node: ast.expr | None, around: ast.AST | None) -> Iterator[str]:
    """The templates that an expression can become; a local name stands for what it was last bound to."""
    for arm in _arms(node) if node is not None else ():
        if isinstance(arm, ast.Call) and _called(arm) == "text" and arm.args:
            yield from _words(arm.args[0])
        elif isinstance(arm, ast.Name) and around is not None:
            before = [v for v in _bound(arm.id, around) if v.lineno < arm.lineno]
            last = max((v.lineno for v in before), default=0)
            for value in before:
                if value.lineno == last:
                    yield from _sentences(value, None)


def _parameters(function: ast.FunctionDef) -> tuple[str, ...]:
    a = function.args
    every = (p.arg for p in [*a.posonlyargs, *a.args, *a.kwonlyargs])
    return tuple(p for p in every if p not in ("self", "cls"))


@dataclass(frozen=True)
class Passer:
    """A function that hands a code on to a maker: `finding(self, code, severity, what)`."""

    maker: str
    parameters: tuple[str, ...]
    roles: tuple[tuple[str, str], ...]  # what is whose parameter: ("text", "what")
    severities: tuple[str, ...]  # stated by the function itself
    sentences: tuple[str, ...]


class _Reader:
    """Reads one module; what its functions pass on is looked up by name, in all modules."""

    def __init__(self, place: str, tree: ast.Module) -> None:
        self.place, self.tree = place, tree
        functions = [n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef)]
        self.inside = {id(c): f for f in functions for c in ast.walk(f) if isinstance(c, ast.Call)}
        self.calls = [n for n in ast.walk(tree) if isinstance(n, ast.Call)]
        self.own: dict[str, Passer] = {}

    def passer(self, call: ast.Call, public: dict[str, Passer]) -> Passer | None:
        """What is called, if it makes a statement or passes one on."""
        name = _called(call)
        if name in MAKERS:
            return Passer(name, MAKERS[name], tuple((role, role) for role in MAKERS[name]), (), ())
        return self.own.get(name) or public.get(name)

    def learn(self, public: dict[str, Passer]) -> bool:
        """Find functions that pass a code on; whether any was new."""
        new = False
        for call in self.calls:
            around, known = self.inside.get(id(call)), self.passer(call, public)
            if known is None or around is None or around.name in self.own:
                continue
            roles = dict(known.roles)
            code = _argument(call, known.parameters, roles[MAKERS[known.maker][0]])
            if isinstance(code, ast.Name) and code.id in _parameters(around):
                self.own[around.name] = self._passer(call, known, around)
                if not around.name.startswith("_"):
                    public[around.name] = self.own[around.name]
                new = True
        return new

    def _passer(self, call: ast.Call, known: Passer, around: ast.FunctionDef) -> Passer:
        given = {role: _argument(call, known.parameters, name) for role, name in known.roles}
        return Passer(
            known.maker,
            _parameters(around),
            tuple(
                (role, node.id)
                for role, node in given.items()
                if isinstance(node, ast.Name) and node.id in _parameters(around)
            ),
            (*known.severities, *_words(given.get("severity"), around)),
            (*known.sentences, *_sentences(given.get("text"), around)),
        )

    def tell(self, public: dict[str, Passer], found: dict[tuple[str, str], Statement]) -> Iterator[str]:
        """Note every literal code; yield the places of those that are none."""
        for call in self.calls:
            around, known = self.inside.get(id(call)), self.passer(call, public)
            if known is None:
                continue
            given = {role: _argument(call, known.parameters, name) for role, name in known.roles}
            code = given.get(MAKERS[known.maker][0])
            codes = list(_words(code, around))
            passed_on = around is not None and isinstance(code, ast.Name) and code.id in _parameters(around)
            copied = isinstance(code, ast.Attribute) and code.attr == MAKERS[known.maker][0]
            if not codes and not passed_on and not copied:
                yield f"{self.place}:{call.lineno}"
            for one in codes:
                statement = found.setdefault((known.maker, one), Statement(known.maker, one))
                statement.severities.update(known.severities, _words(given.get("severity"), around))
                statement.sentences.update(known.sentences, _sentences(given.get("text"), around))
                statement.places.add(self.place)


def read(sources: dict[str, str]) -> Found:
    """Every code that these modules, {name: text}, can utter."""
    readers = [_Reader(place, ast.parse(body)) for place, body in sorted(sources.items())]
    public: dict[str, Passer] = {}
    while sum(reader.learn(public) for reader in readers):
        pass
    found: dict[tuple[str, str], Statement] = {}
    unreadable = [place for reader in readers for place in reader.tell(public, found)]
    return Found(found, tuple(unreadable))


def collect() -> Found:
    """Every code that the source can utter."""
    return read(
        {
            path.relative_to(SRC).with_suffix("").as_posix().replace("/", "."): path.read_text(
                encoding="utf-8"
            )
            for path in SRC.rglob("*.py")
        }
    )


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
