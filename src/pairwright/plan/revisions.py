"""What a plan says of revisions: which sets are made as which."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pairwright.base.words import Text, text
from pairwright.plan.schedule import Operation
from pairwright.works.definition import Works


def revision_notes(works: Works, operations: Iterable[Operation]) -> Iterator[Text]:
    """For each product of which a revision is in force: its sets, and those made as before."""
    made: dict[str, dict[str, None]] = {}
    for op in operations:
        made.setdefault(op.product, {})[op.set] = None
    for name, sets in sorted(made.items()):
        product = works.variants[next(key for key in works.variants if key[0] == name)]
        stated = product.effectivity
        if stated is None:
            continue
        before = len(made.get(stated.revises, {}))
        yield text(
            "{product}: {n} sets are made to revision {revision}, {m} as before",
            product=works.products[stated.revises].name if stated.revises in works.products else stated.revises,
            n=len(sets), m=before, revision=stated.revision,
        )  # fmt: skip
