"""Where a number comes from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, TypeAlias, get_args

SourceKind: TypeAlias = Literal[
    "standard",  # a published standard, with its clause
    "published",  # an article, handbook or patent, with page or equation
    "data sheet",  # the supplier's sheet of this material
    "measured",  # the user's own trial or record
    "closed form",  # mathematics: proves the code, not the physics
    "common practice",  # a fact of the trade without a printed source
    "from memory",  # believed, not confirmed
    "works",  # stated by the user in the works text
]

SOURCE_KINDS: Final[tuple[str, ...]] = get_args(SourceKind)


@dataclass(frozen=True, slots=True)
class Source:
    """A birth certificate: what kind of origin, and the citation."""

    kind: SourceKind
    citation: str = ""

    def __str__(self) -> str:
        return f"{self.kind}: {self.citation}" if self.citation else self.kind


COMMON_PRACTICE: Final = Source("common practice")
FROM_MEMORY: Final = Source("from memory")
WORKS: Final = Source("works")
