"""The book as a page and as paper, from the same data."""

from __future__ import annotations

from pairwright.base.words import Words
from pairwright.render.compose import book_document
from pairwright.render.page import page_html
from pairwright.render.pdf import FIGURE_WIDTH, document_pdf
from pairwright.reports.book import BookData


def book_html(data: BookData, words: Words) -> str:
    """The book as one self-contained HTML page; same data and words, same bytes."""
    return page_html(book_document(data, words))


def book_pdf(data: BookData, words: Words) -> bytes:
    """The book as PDF; same data and words, same bytes."""
    return document_pdf(book_document(data, words, width=FIGURE_WIDTH), timestamp=0)
