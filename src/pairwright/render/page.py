"""A document as one self-contained page: no script, no request, light, dark and print."""

from __future__ import annotations

from importlib import resources
from typing import Final

from pairwright.render.document import Document
from pairwright.render.marks import STATE_LETTERS
from pairwright.render.palette import DARK, LIGHT, PRINT, VARIABLES, figure_rules, variables

FONT: Final = "system-ui,-apple-system,'Segoe UI',Roboto,'Noto Sans','Liberation Sans',sans-serif"


def template(name: str) -> str:
    """A template of ours by its file name."""
    return resources.files("pairwright.render.templates").joinpath(name).read_text("utf-8")


def style() -> str:
    """The whole style sheet of a page."""
    return (
        f":root{{{variables(LIGHT)}color-scheme:light dark}}"
        f"@media (prefers-color-scheme:dark){{:root{{{variables(DARK)}}}}}"
        f"@media print{{:root{{{variables(PRINT)}color-scheme:light}}}}"
        f"{figure_rules(VARIABLES, FONT)}\n{template('book.css')}"
    )


def page_html(document: Document) -> str:
    """The document as one HTML file.

    Parameters
    ----------
    document : Document
        What it says, in the reader's language.
    """
    from jinja2 import DictLoader, Environment, StrictUndefined

    environment = Environment(
        loader=DictLoader({name: template(name) for name in ("book.html.j2", "blocks.html.j2")}),
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True,
        keep_trailing_newline=True,
    )  # fmt: skip
    return environment.get_template("book.html.j2").render(
        document=document, style=style(), letters=STATE_LETTERS
    )
