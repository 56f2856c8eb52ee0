"""A document on paper: the same blocks, set by typst, reproducible to the byte."""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass
from typing import Any, Final

from pairwright.base.errors import MachineryError
from pairwright.base.words import text
from pairwright.render.chart import Figure
from pairwright.render.document import Document
from pairwright.render.marks import STATE_LETTERS
from pairwright.render.page import template
from pairwright.render.palette import PRINT, figure_rules

FONT: Final = "'Libertinus Serif'"
FIGURE_WIDTH: Final = 720.0  # narrower than on screen, so that the words in it stay readable on A4


def document_pdf(document: Document, *, timestamp: int = 0) -> bytes:
    """The document as a tagged PDF with its fonts inside.

    Parameters
    ----------
    document : Document
        What it says; its figures at `FIGURE_WIDTH`.
    timestamp : int
        The moment written into the file, in UTC seconds. [s]
    """
    import typst

    figures: dict[str, bytes] = {}
    data = _plain(document, figures)
    data["palette"], data["letters"] = dict(PRINT), dict(STATE_LETTERS)
    files: dict[str, bytes] = {
        "main.typ": template("book.typ").encode(),
        "book.json": json.dumps(data, ensure_ascii=False, sort_keys=True).encode(),
        **figures,
    }
    try:
        made = typst.compile(files, ignore_system_fonts=True, timestamp=timestamp)  # type: ignore[call-overload]
    except typst.TypstError as error:
        raise MachineryError(text("the paper could not be set: {why}", why=error.message)) from error
    return bytes(made)


def _plain(value: Any, figures: dict[str, bytes]) -> Any:
    """Dataclasses as plain JSON; drawings go into `figures` under a file name."""
    if isinstance(value, Figure):
        name = f"{value.id}.svg"
        figures[name] = value.resolved(figure_rules(PRINT, FONT)).encode()
        return {"file": name, "title": value.title, "sentence": value.sentence}
    if is_dataclass(value) and not isinstance(value, type):
        found = {f.name: _plain(getattr(value, f.name), figures) for f in fields(value)}
        if found.get("block") == "plot":
            found |= found.pop("figure")
        return found
    if isinstance(value, tuple | list):
        return [_plain(v, figures) for v in value]
    if isinstance(value, dict):
        return {k: _plain(v, figures) for k, v in value.items()}
    return value
