"""The message catalogues: one TOML file per language, English templates to translations."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources
from typing import Final

__all__ = ["DECIMAL_COMMA", "catalogue", "decimal_sign", "primary"]

DECIMAL_COMMA: Final = frozenset({"de", "nl", "fr", "it", "es", "pt", "da", "sv", "nb", "fi", "pl", "cs"})


def primary(language: str) -> str:
    """The main part of a language tag: ``de`` of ``de-AT``."""
    return language.replace("_", "-").split("-", maxsplit=1)[0].lower()


def decimal_sign(language: str) -> str:
    """How the language writes the decimal sign."""
    return "," if primary(language) in DECIMAL_COMMA else "."


@lru_cache(maxsize=16)
def catalogue(language: str) -> Mapping[str, str]:
    """English templates to those of a language; empty for English and for a language we lack."""
    name = primary(language)
    if name == "en" or not name.isalpha():
        return {}
    file = resources.files(__name__) / f"{name}.toml"
    if not file.is_file():
        return {}
    return {str(k): str(v) for k, v in tomllib.loads(file.read_text("utf-8")).items()}
