"""The definition of a works, read from its texts into frozen, checked records."""

from pairwright.works.definition import ProductLine, Works
from pairwright.works.load import load_works
from pairwright.works.revision import is_definition, recipe_digest, revision_of

__all__ = ["ProductLine", "Works", "is_definition", "load_works", "recipe_digest", "revision_of"]
