"""Filling the words of an option into the texts of a product."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any, Final

from pairwright.works.lines import Loc

_BRACES: Final = re.compile(r"\{([^{}]*)\}|[{}]")


def fill(tree: Any, words: Mapping[str, str], *, unknown: Callable[[Loc, str], None], loc: Loc = ()) -> Any:
    """A copy of the tree with every ``{word}`` in its texts replaced.

    Parameters
    ----------
    tree : Any
        What the TOML parser gave; keys are left as they are.
    words : Mapping[str, str]
        What each placeholder stands for.
    unknown : Callable[[Loc, str], None]
        Called with place and text for a placeholder that stands for nothing; it is left as it is.
    loc : Loc
        Where the tree stands.

    Examples
    --------
    >>> fill({"veneer": "{wood}-06"}, {"wood": "birch"}, unknown=lambda loc, name: None)
    {'veneer': 'birch-06'}
    """
    if isinstance(tree, str):
        return _fill_text(tree, words, loc=loc, unknown=unknown) if "{" in tree or "}" in tree else tree
    if isinstance(tree, dict):
        return {k: fill(v, words, unknown=unknown, loc=(*loc, k)) for k, v in tree.items()}
    if isinstance(tree, list):
        return [fill(v, words, unknown=unknown, loc=(*loc, n)) for n, v in enumerate(tree)]
    return tree


def _fill_text(body: str, words: Mapping[str, str], *, loc: Loc, unknown: Callable[[Loc, str], None]) -> str:
    def replace(match: re.Match[str]) -> str:
        name = match[1]
        if name in words:
            return words[name]
        unknown(loc, match[0])
        return match[0]

    return _BRACES.sub(replace, body)
