"""What a book, a dossier, a certificate say: plain frozen data without a look."""

from pairwright.reports.book import BookData, make_book
from pairwright.reports.comparison import Comparison, Moved, comparison_of
from pairwright.reports.planned import planned
from pairwright.reports.reasons import causes, chain_of
from pairwright.reports.stations import station_use

__all__ = [
    "BookData",
    "Comparison",
    "Moved",
    "causes",
    "chain_of",
    "comparison_of",
    "make_book",
    "planned",
    "station_use",
]
