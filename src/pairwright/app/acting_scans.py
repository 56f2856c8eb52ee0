"""What was scanned: an item, a lot, a carrier, a programme, a person, a station, told apart by the record."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from pairwright.base.codes import CodeError, read_code
from pairwright.base.findings import Finding
from pairwright.base.words import text
from pairwright.floor import State
from pairwright.floor.effective import person_mark
from pairwright.floor.fields import IDENT
from pairwright.floor.routes import Routes
from pairwright.floor.things import Item, Lot, Set, Thing, Tool

TOOLS: Final = ("carrier", "mould", "instrument", "batch")


@dataclass(frozen=True, slots=True)
class Scan:
    """A code and what it stands for; `kind` is unknown where nothing here has that name."""

    code: str
    id: str
    kind: str
    thing: Thing | None = None
    revision: str | None = None  # of a programme, where its label carries one
    slip: Finding | None = None  # why the code itself is none

    @property
    def item(self) -> Item | None:
        """The item, where it is one."""
        return self.thing if isinstance(self.thing, Item) else None


def read_scan(code: str, *, routes: Routes, state: State, people: Iterable[str] = ()) -> Scan:
    """What a code stands for.

    Parameters
    ----------
    code : str
        As the scanner or a person typed it.
    routes : Routes
        Of the works.
    state : State
        Of the floor.
    people : Iterable[str]
        Ids of people whose names are kept.
    """
    try:
        name, stated = plain(code)
    except CodeError as error:
        return Scan(code, code, "unknown", slip=Finding("code_unknown", "error", code, error.reason))
    thing = state.thing(name)
    if isinstance(thing, Item | Lot | Set):
        return Scan(code, name, thing.kind, thing)
    if isinstance(thing, Tool) and thing.kind in TOOLS:
        return Scan(code, name, thing.kind, thing)
    factory = routes.works.factory
    if name in factory.stations:
        return Scan(code, name, "station")
    stem, _, revision = name.rpartition(".")
    if name in factory.programmes:
        return Scan(code, name, "programme", thing)
    if stem in factory.programmes:
        return Scan(code, stem, "programme", state.thing(stem), revision)
    if thing is not None:
        return Scan(code, name, thing.kind, thing)
    if name in people or state.past.touching(person_mark(name)):
        return Scan(code, name, "person")
    return Scan(code, name, stated or "unknown")


def plain(code: str) -> tuple[str, str | None]:
    """The identity in a code, and the kind that it states itself; an identity alone states none.

    Parameters
    ----------
    code : str
        As the scanner or a page gave it.

    Raises
    ------
    CodeError
        When it is neither an identity nor a whole code.
    """
    bare = code.strip()
    if IDENT.fullmatch(bare):
        return bare, None
    read = read_code(bare)
    return read.id, "item" if read.kind == "leaf" else read.kind


def read_scans(
    codes: Sequence[str], *, routes: Routes, state: State, people: Iterable[str] = ()
) -> list[Scan]:
    """What several codes stand for, each once.

    Parameters
    ----------
    codes : Sequence[str]
        In the order in which they were scanned.
    routes : Routes
        Of the works.
    state : State
        Of the floor.
    people : Iterable[str]
        Ids of people whose names are kept.
    """
    found: dict[str, Scan] = {}
    for code in codes:
        scan = read_scan(code, routes=routes, state=state, people=people)
        found.setdefault(scan.id, scan)
    return list(found.values())


def unknown_code(scan: Scan) -> Finding:
    """What is told to whoever scanned what nobody knows."""
    if scan.slip is not None:
        return scan.slip
    return Finding(
        "code_unknown", "error", scan.id,
        text("{code} is not known here: scan the label again, or look whether it is of this works",
             code=scan.code),
    )  # fmt: skip
