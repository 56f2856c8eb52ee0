"""Pages, papers and figures: what a person looks at, made from the plain data of `reports`."""

from pairwright.render.book import book_html, book_pdf

__all__ = ["book_html", "book_pdf"]
