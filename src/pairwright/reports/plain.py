"""Any report as plain JSON: texts said, numbers in base SI, nothing lost."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from typing import Any

from pydantic import BaseModel

from pairwright.base.findings import Finding
from pairwright.base.sources import Source
from pairwright.base.words import Amount, Text, Words


def plain(value: Any, words: Words) -> Any:
    """A report's data as lists, dicts, numbers and words.

    Parameters
    ----------
    value : object
        A frozen record, or anything in one.
    words : Words
        The reader's language.

    Notes
    -----
    An `Amount` becomes its value in base SI; a number that is not finite becomes null.
    """
    if isinstance(value, Text):
        return words.say(value)
    if isinstance(value, Amount):
        return plain(value.value, words)
    if isinstance(value, Finding):
        return value.as_json(words)
    if isinstance(value, Source):
        return str(value)
    if isinstance(value, BaseModel):
        return value.model_dump(mode="json")
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name), words) for f in fields(value)}
    if isinstance(value, Mapping):
        return {str(k): plain(v, words) for k, v in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [plain(v, words) for v in value]
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return value.isoformat() if isinstance(value, date) else value
