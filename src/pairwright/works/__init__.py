"""The definition of a works, read from its texts into frozen, checked records."""

from pairwright.works.definition import ProductLine, Works
from pairwright.works.edit import apply_changes, dump, split_change
from pairwright.works.load import load_works
from pairwright.works.need import MaterialNeed
from pairwright.works.orders import Book, Lot, Order, PartStock, Purchase
from pairwright.works.product import Part, Product, Step
from pairwright.works.revision import is_definition, recipe_digest, revision_of
from pairwright.works.routes import made_parts, set_parts, step_index
from pairwright.works.steptime import StepTime
from pairwright.works.tables import load_book

__all__ = [
    "Book",
    "Lot",
    "MaterialNeed",
    "Order",
    "Part",
    "PartStock",
    "Product",
    "ProductLine",
    "Purchase",
    "Step",
    "StepTime",
    "Works",
    "apply_changes",
    "dump",
    "is_definition",
    "load_book",
    "load_works",
    "made_parts",
    "recipe_digest",
    "revision_of",
    "set_parts",
    "split_change",
    "step_index",
]
