"""Write the pages of the physics book, one per law, from the law records. Nothing here is committed.

Run it through `scripts/docs`. What the page says is what `pairwright calc LAW --help` says and what the
tests check: both read the same `Law`.
"""

from __future__ import annotations

import importlib
import inspect
import re
import shutil
import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pairwright.base.laws import Argument, Law

DOCS = Path(__file__).resolve().parent
OUT = DOCS / "physics" / "generated"
REGISTRY = "pairwright.app.laws"
_RULE = re.compile(r"^-{3,}$")


_DRAWN: dict[str, tuple[str, str] | None] = {}


def law_picture(law: Law) -> tuple[str, str] | None:
    """The picture of a law, by the module beside this one; drawn once."""
    if law.name not in _DRAWN:
        sys.path.insert(0, str(DOCS))
        try:
            _DRAWN[law.name] = importlib.import_module("law_pictures").picture(law)
        finally:
            sys.path.remove(str(DOCS))
    return _DRAWN[law.name]


def laws() -> dict[str, Law]:
    """The registry, or nothing and a word on standard error where it can't be imported."""
    try:
        return dict(importlib.import_module(REGISTRY).all_laws())
    except ImportError as error:
        print(f"physics book: {REGISTRY} can't be imported ({error}): no law has a page", file=sys.stderr)
        return {}


def _escape(body: str) -> str:
    return re.sub(r"([\\`*_<>\[\]|$#])", r"\\\1", body)


def _cell(body: str) -> str:
    return _escape(" ".join(body.split())) or "–"


def _shown(value: Any) -> str:
    if isinstance(value, float):
        return f"{value:.6g}"
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{k}: {_shown(v)}" for k, v in value.items()) + "}"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return "[" + ", ".join(_shown(v) for v in value) + "]"
    return str(value)


def section(docstring: str, title: str) -> str:
    """The text of one numpydoc section; empty where there is none."""
    lines = inspect.cleandoc(docstring).splitlines()
    found: list[str] = []
    inside = False
    for n, line in enumerate(lines):
        heading = n + 1 < len(lines) and bool(_RULE.match(lines[n + 1])) and bool(line.strip())
        if heading:
            inside = line.strip() == title
        elif inside and not _RULE.match(line):
            found.append(line)
    return "\n".join(found).strip()


def prose(body: str) -> str:
    """Docstring text as Markdown: ``.. math::`` blocks and :math: roles become formulas."""
    parts: list[str] = []
    lines = body.splitlines()
    n = 0
    while n < len(lines):
        line = lines[n]
        n += 1
        if line.strip().startswith(".. math::"):
            formula = [line.strip().removeprefix(".. math::").strip()]
            while n < len(lines) and (not lines[n].strip() or lines[n].startswith("   ")):
                formula.append(lines[n].strip())
                n += 1
            parts.append("```{math}\n" + "\n".join(f for f in formula if f) + "\n```")
        else:
            parts.append(_inline(line.strip()))
    return "\n".join(parts)


def _inline(line: str) -> str:
    """Keep ``code`` and :math:`formulas`, escape the rest."""
    done = ""
    for piece in re.split(r"(:math:`[^`]+`|``[^`]+``|`[^`]+`)", line):
        if piece.startswith(":math:"):
            done += "{math}" + piece.removeprefix(":math:")
        elif piece.startswith("`"):
            done += "`" + piece.strip("`") + "`"
        else:
            done += _escape(piece)
    return done


def _rows(arguments: Sequence[Argument], prefix: str = "") -> list[str]:
    rows = []
    for a in arguments:
        default = "" if a.required else f" Default: {_shown(a.default)}."
        choices = f" One of: {'; '.join(a.choices)}." if a.choices else ""
        kind = "" if a.shape == "number" else f" ({a.shape})"
        covered = str(a.range) if a.range is not None else "as possible"
        unit = a.unit if a.shape in ("number", "numbers", "rows", "whole") else "–"
        possible = str(a.must) if unit != "–" else ""
        cells = (str(a.text) + kind + choices + default, unit, possible, covered)
        rows.append(" | ".join([f"| `{prefix}{a.name}`", *map(_cell, cells)]) + " |")
        rows += _rows(a.columns, f"{prefix}{a.name}.")
    return rows


def _behind(law: Law) -> list[Callable[..., Any]]:
    """The law's function and the public physics functions that it calls by name, documented ones only."""
    function = inspect.unwrap(law.function)
    called = [getattr(function, "__globals__", {}).get(name) for name in function.__code__.co_names]
    return [
        f
        for f in dict.fromkeys([function, *called])
        if inspect.isfunction(f) and f.__module__.startswith("pairwright.") and inspect.getdoc(f)
        and (f is function or (".physics." in f.__module__ and not f.__name__.startswith("_")))
    ]  # fmt: skip


def _formula(law: Law) -> list[str]:
    """What the module and the functions behind the law say about the relation."""
    module = inspect.getmodule(inspect.unwrap(law.function))
    about = inspect.cleandoc(module.__doc__ or "") if module else ""
    parts = [prose(about.split("\n>>>")[0].strip())]
    for function in _behind(law):
        docstring = inspect.getdoc(function) or ""
        head = " ".join(docstring.split("\n\n")[0].split())
        parts.append(f"`{function.__name__}`\n: {_inline(head)}")
        parts += [
            "\n".join(f"  {line}" if line else "" for line in prose(body).splitlines())
            for title in ("Returns", "Notes")
            if (body := _sentence(section(docstring, title), title))
        ]
    return parts


def _sentence(body: str, title: str) -> str:
    """Of *Returns* only the text under the types: it often states the formula."""
    if title != "Returns":
        return body
    return " ".join(line.strip() for line in body.splitlines() if line.startswith("  "))


def _worked(law: Law) -> list[str]:
    from pairwright.base.laws import ask

    answer = ask(law, law.worked.inputs)
    given = [f"- `{k}` = {_escape(_shown(v))}" for k, v in law.worked.inputs.items()]
    rows = ["| result | expected | computed |", "|---|---|---|"]
    rows += [
        f"| `{k}` | {_cell(_shown(v))} | {_cell(_shown(answer.result.get(k)))} |"
        for k, v in law.worked.result.items()
    ]
    says = [f"- {f.severity}: `{f.code}`: {_escape(str(f.text))}" for f in answer.findings]
    return [
        "\n".join(given),
        "\n".join(rows),
        f"Within {law.worked.tolerance:g} of the value.",
        "\n".join(says),
    ]


def page(law: Law) -> str:
    """The page of one law."""
    parts = [f"(law-{law.name})=\n# {_escape(str(law.title))}", f"`pairwright calc {law.name}`"]
    parts += ["## What it says", *_formula(law)]
    parts += [
        "## Arguments",
        "\n".join(["| name | what | unit | possible | covered by the source |", "|---|---|---|---|---|",
                   *_rows(law.arguments)]),
        "## Results",
        "\n".join(["| name | what | unit |", "|---|---|---|",
                   *(f"| `{r.name}` | {_cell(str(r.text))} | {_cell(r.unit)} |" for r in law.results)]),
        "## Range and accuracy",
        f"Range: {_escape(law.range_text())}. Outside it the number comes with the finding `out_of_range`.",
        f"Accuracy: {_escape(str(law.accuracy))}",
        "## Sources",
        "\n".join(f"- {_escape(str(s))}" for s in law.sources),
    ]  # fmt: skip
    if {s.kind for s in law.sources} <= {"from memory", "common practice"}:
        parts.append("**No published value stands behind this law:** its numbers are as good as the kind of "
                     "source named here.")  # fmt: skip
    parts += ["## A worked number", *_worked(law)]
    drawn = law_picture(law)
    if drawn is not None:
        parts.append(f"![{_escape(drawn[1])}]({law.name}.svg)\n\n*{_escape(drawn[1])}*")
    return "\n\n".join(p for p in parts if p) + "\n"


def write(registry: Mapping[str, Law]) -> int:
    """Write all pages and their index; returns how many laws have one."""
    shutil.rmtree(OUT, ignore_errors=True)
    OUT.mkdir(parents=True)
    for name, law in sorted(registry.items()):
        (OUT / f"{name}.md").write_text(page(law), encoding="utf-8")
        drawn = law_picture(law)
        if drawn is not None:
            (OUT / f"{name}.svg").write_text(drawn[0], encoding="utf-8")
    index = ["# The laws, one by one\n"]
    if registry:
        index += ["```{toctree}", ":maxdepth: 1\n", *sorted(registry), "```\n"]
    else:
        index.append("This copy of the book was made without the registry of laws, so no law has a page.\n")
    (OUT / "index.md").write_text("\n".join(index), encoding="utf-8")
    return len(registry)


if __name__ == "__main__":
    print(f"physics book: {write(laws())} laws have a page")
