"""Whether everything in a definition leads somewhere and nothing contradicts itself."""

from __future__ import annotations

from pairwright.base.errors import Problem
from pairwright.works.checks_effectivity import check_effectivity
from pairwright.works.checks_factory import check_factory
from pairwright.works.checks_inspection import check_inspection
from pairwright.works.checks_pair import check_pairs
from pairwright.works.checks_parts import check_parts
from pairwright.works.checks_recipe import check_recipes
from pairwright.works.checks_route import check_routes
from pairwright.works.draft import Draft


def cross_check(draft: Draft) -> list[Problem]:
    """Every contradiction found in a definition that could be read."""
    return [
        *check_factory(draft),
        *check_parts(draft),
        *check_pairs(draft),
        *check_effectivity(draft),
        *check_routes(draft),
        *check_recipes(draft),
        *check_inspection(draft),
    ]
