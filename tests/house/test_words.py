"""Every sentence goes through the message catalogue: literal templates, named values."""

from __future__ import annotations

import ast
import string

import pytest

from tests.house.source import Module, calls, dotted, modules

TAKERS = {"Finding", "Problem", "RefusedError", "MachineryError", "Violation"}  # they hold Texts


def templates(node: ast.expr) -> list[str] | None:
    """The literals that a first argument of `text` can become; None where it is no literal."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return [node.value]
    return None


def _literal(node: ast.expr) -> bool:
    """A literal, or the docstring of a command, which is one."""
    if isinstance(node, ast.BoolOp):
        return all(_literal(v) for v in node.values)
    return templates(node) is not None or (
        isinstance(node, ast.Call) and dotted(node.func) == "inspect.getdoc"
    )


def slips(module: Module) -> list[str]:
    found = []
    for call in calls(module.tree):
        name = dotted(call.func).split(".")[-1]
        if name == "tr" and not _literal(call.args[0]) and module.name != "pairwright.cli.tongue":
            found.append(f"{module.at(call)} tr(...) is given something else than a literal template")
        if name == "text" and isinstance(call.func, ast.Name):
            found += [f"{module.at(call)} {slip}" for slip in _text_slips(call)]
        if name == "Text" and module.name not in ("pairwright.base.words", "pairwright.cli.tongue"):
            found.append(f"{module.at(call)} builds a Text without text(...)")
        if name in TAKERS:
            found += [
                f"{module.at(call)} {name} is given a text that is not from the catalogue"
                for given in _texts(call, name)
                if isinstance(given, ast.JoinedStr | ast.BinOp)
                or (isinstance(given, ast.Constant) and isinstance(given.value, str))
            ]
    return found


def _texts(call: ast.Call, name: str) -> list[ast.expr]:
    places = {"Finding": (3,), "Problem": (2, 4), "Violation": (2,)}.get(name, (0,))
    named = {k.arg: k.value for k in call.keywords}
    return [
        *(call.args[n] for n in places if n < len(call.args)),
        *(named[k] for k in ("text", "must_be", "do", "reason") if k in named),
    ]


def _text_slips(call: ast.Call) -> list[str]:
    literal = templates(call.args[0]) if call.args else None
    if literal is None:
        return ["text(...) is given something else than a literal template"]
    named = {k.arg for k in call.keywords}
    if None in named:
        return []
    found = []
    for template in literal:
        wanted = {part for _, part, _, _ in string.Formatter().parse(template) if part is not None}
        if not named and ("{" in template or "}" in template):
            found.append(f"{template!r} has braces but no values: it is printed as it stands")
        elif wanted != named:
            found.append(f"{template!r} names {sorted(wanted)} but is given {sorted(map(str, named))}")
    return found


@pytest.mark.parametrize("module", modules(), ids=lambda m: m.name)
def test_sentences_are_literal_templates_with_their_values(module: Module) -> None:
    assert slips(module) == []


@pytest.mark.parametrize(
    "source",
    [
        "text(f'opens by {gap}')",
        "text('opens by ' + gap)",
        "text('opens by {gap}', width=gap)",
        "text('opens', gap=gap)",
        "text('a list of {{x}}')",
        "tr('opens ' + x)",
        "Finding('gap', 'note', 'alder', f'opens by {gap}')",
        "Finding('gap', 'note', 'alder', text='opens')",
        "Problem('a', 'b', 'a number', 'x', text('correct it'))",
        "RefusedError('no')",
        "Text('opens')",
    ],
)
def test_the_rule_sees_what_bypasses_the_catalogue(source: str) -> None:
    tree = ast.parse(source)

    assert slips(Module("pairwright.process.x", modules()[0].path, tree, (source,))) != []


def test_the_rule_accepts_a_whole_sentence() -> None:
    source = "Finding('gap', 'note', 'alder', text('opens by ' '{gap}', gap=Amount(g, 'length')))"

    assert slips(Module("pairwright.process.x", modules()[0].path, ast.parse(source), (source,))) == []
