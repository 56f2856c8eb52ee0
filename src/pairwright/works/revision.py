"""The digest of a definition: what makes two works the same."""

from __future__ import annotations

from collections.abc import Mapping
from fnmatch import fnmatchcase
from typing import Final

from pairwright.base.digests import digest_bytes, digest_texts

_COUNTED: Final = ("works.toml", "materials/*.toml", "products/*.toml")


def recipe_digest(text: str) -> str:
    """Digest of a restricted recipe, as works.toml lists it; line ends do not matter.

    For a file with plain line ends this is its SHA-256.
    """
    return digest_bytes(text.replace("\r\n", "\n").encode())


def revision_of(texts: Mapping[str, str], restricted: Mapping[str, str]) -> str:
    """Digest of works.toml, materials, products and the listed restricted recipes.

    A restricted recipe counts by the digest that works.toml lists for it, so that the revision is
    the same where the recipe itself is absent. Stock, orders and record do not count.

    Parameters
    ----------
    texts : Mapping[str, str]
        The texts by path; others than the definition's are passed over.
    restricted : Mapping[str, str]
        Listed digest by path of the restricted recipe.
    """
    counted = {p: t for p, t in texts.items() if is_definition(p)}
    return digest_texts({**counted, **{f"{path}#listed": digest for path, digest in restricted.items()}})


def is_definition(path: str) -> bool:
    """Whether a path belongs to the definition, restricted recipes apart.

    >>> [is_definition(p) for p in ("works.toml", "products/alder.toml", "orders.csv")]
    [True, True, False]
    """
    return path.count("/") <= 1 and any(fnmatchcase(path, pattern) for pattern in _COUNTED)
