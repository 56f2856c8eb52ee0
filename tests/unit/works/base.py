"""The small works that the tests of the definition share."""

from __future__ import annotations

from pathlib import Path

from pairwright.base.errors import InputError, Problem
from pairwright.works import load_works

BASE = Path(__file__).resolve().parents[2] / "damaged" / "base"

WORKS = "works.toml"
ALDER = "products/alder.toml"
TANSY = "products/tansy.toml"


def base_texts() -> dict[str, str]:
    return {
        path.relative_to(BASE).as_posix(): path.read_text(encoding="utf-8")
        for path in sorted(BASE.rglob("*"))
        if path.is_file()
    }


def with_change(path: str, old: str, new: str) -> dict[str, str]:
    texts = base_texts()
    assert old in texts[path]
    texts[path] = texts[path].replace(old, new, 1)
    return texts


def problems_in(texts: dict[str, str]) -> tuple[Problem, ...]:
    """What the loader refuses; empty when it loads."""
    try:
        load_works(texts)
    except InputError as error:
        return error.problems
    return ()


def lines_of(texts: dict[str, str]) -> str:
    return "\n".join(p.line() for p in problems_in(texts))
