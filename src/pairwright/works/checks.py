"""Whether everything in a definition leads somewhere and nothing contradicts itself."""

from __future__ import annotations

from pairwright.base.errors import Problem
from pairwright.works.draft import Draft


def cross_check(draft: Draft) -> list[Problem]:
    """Every contradiction found in a definition that could be read."""
    return []
