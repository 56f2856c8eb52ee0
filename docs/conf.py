"""Sphinx settings. The built pages load nothing from outside; formulas become MathML here."""

from __future__ import annotations

import importlib.metadata
import re
from typing import Any

project = "Pairwright"
author = "The Pairwright authors"
project_copyright = "The Pairwright authors"
release = version = importlib.metadata.version("pairwright")

extensions = ["myst_parser"]
myst_enable_extensions = ["deflist", "dollarmath", "colon_fence", "attrs_inline"]
myst_heading_anchors = 3
exclude_patterns = ["_build"]
nitpicky = True
language = "en"

html_theme = "furo"
html_title = "Pairwright"
html_math_renderer = "mathml"
html_copy_source = False
html_show_sphinx = False


def _mathml(latex: str, display: str) -> str:
    from latex2mathml.converter import convert

    return convert(re.sub(r"\s+", " ", latex).strip(), display=display)


def _inline(self: Any, node: Any) -> None:
    from docutils.nodes import SkipNode

    self.body.append(_mathml(node.astext(), "inline"))
    raise SkipNode


def _block(self: Any, node: Any) -> None:
    from docutils.nodes import SkipNode

    self.body.append(f'<div class="math">{_mathml(node.astext(), "block")}</div>')
    raise SkipNode


def setup(app: Any) -> dict[str, bool]:
    """Register the renderer."""
    app.add_html_math_renderer("mathml", (_inline, None), (_block, None))
    return {"parallel_read_safe": True, "parallel_write_safe": True}
