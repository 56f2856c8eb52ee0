"""A document as blocks of finished text: what page and paper both lay out.

Nothing here knows HTML or typst. Every text is already in the reader's language; every number is
already written.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from pairwright.render.chart import Figure

State: TypeAlias = Literal["fine", "watch", "broken", "waiting", "simulated"]


def sentence_case(words: str) -> str:
    """The first letter large, the others as they are."""
    return words[:1].upper() + words[1:]


@dataclass(frozen=True, slots=True)
class Para:
    """A paragraph; a `quiet` one is an aside."""

    text: str
    quiet: bool = False
    block: str = "para"


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading within a section."""

    text: str
    id: str
    level: int = 3
    state: State | None = None
    word: str = ""
    block: str = "heading"


@dataclass(frozen=True, slots=True)
class Tile:
    """One number that matters, large, with its word; `origin` names where it came from."""

    value: str
    label: str
    note: str = ""
    state: State | None = None
    word: str = ""
    origin: str = ""


@dataclass(frozen=True, slots=True)
class Tiles:
    """A few numbers side by side."""

    tiles: tuple[Tile, ...]
    block: str = "tiles"


@dataclass(frozen=True, slots=True)
class Item:
    """One entry of a list: a state, a head, what is to be said, a remark, a link, its own name."""

    head: str
    body: str = ""
    note: str = ""
    state: State | None = None
    word: str = ""
    link: str = ""
    id: str = ""


@dataclass(frozen=True, slots=True)
class Items:
    """A list under a small heading; `empty` is said where there is nothing."""

    title: str
    items: tuple[Item, ...]
    empty: str = ""
    more: str = ""
    origin: str = ""
    block: str = "items"


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell with a state mark beside its text."""

    text: str
    state: State | None = None


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a grid: head, whether numbers stand right, where its numbers came from, its share."""

    head: str
    numeric: bool = False
    origin: str = ""
    width: float = 1.0


@dataclass(frozen=True, slots=True)
class Grid:
    """A table. Cells are text, or text with a state."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str | Cell, ...], ...]
    empty: str = ""
    block: str = "grid"


@dataclass(frozen=True, slots=True)
class Plot:
    """A figure with its sentence and its table."""

    figure: Figure
    block: str = "plot"


@dataclass(frozen=True, slots=True)
class Columns:
    """Two stacks of blocks side by side where there is room."""

    left: tuple[Block, ...]
    right: tuple[Block, ...]
    block: str = "columns"


Block: TypeAlias = "Para | Heading | Tiles | Items | Grid | Plot | Columns"


@dataclass(frozen=True, slots=True)
class Section:
    """A section with its lead sentence."""

    id: str
    title: str
    lead: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Document:
    """A whole document; the first section is its first page."""

    title: str
    subtitle: str
    facts: tuple[tuple[str, str], ...]
    sections: tuple[Section, ...]
    language: str = "en"
    words: dict[str, str] = field(default_factory=dict)  # of the frame: contents, table, ...

    def figures(self) -> tuple[Figure, ...]:
        """Every figure, in order."""
        return tuple(f for s in self.sections for b in s.blocks for f in _figures(b))


def _figures(block: Block) -> tuple[Figure, ...]:
    if isinstance(block, Plot):
        return (block.figure,)
    if isinstance(block, Columns):
        return tuple(f for b in (*block.left, *block.right) for f in _figures(b))
    return ()
