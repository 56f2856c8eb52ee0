"""The command line's own language, from PAIRWRIGHT_LANGUAGE: help texts and messages outside a works."""

from __future__ import annotations

import os
from typing import Final

from pairwright.base.words import Text, Words
from pairwright.words import catalogue, decimal_sign

_TAG: Final = os.environ.get("PAIRWRIGHT_LANGUAGE", "en")
WORDS: Final = Words(language=_TAG, decimal=decimal_sign(_TAG), catalogue=catalogue(_TAG))


def tr(template: str) -> str:
    """A help text in the command line's language. The template must be a literal."""
    return WORDS.say(Text(template))
