"""What the pages have in common: the works with its record, the reader's words, the plan, the clock."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from starlette.requests import Request

from pairwright.base.words import Text, Words

if TYPE_CHECKING:
    from pairwright.app.recording import Floor
    from pairwright.app.serving import Basis, Weekly
    from pairwright.works import Works

MOST_RECENT: Final = 1000  # sentences kept for the pages that follow an act


@dataclass(frozen=True)
class Served:
    """One works, open for as long as the server runs."""

    floor: Floor
    words: Words
    weekly: Weekly
    clock: Callable[[], int]
    hosts: tuple[str, ...] = ("127.0.0.1", "localhost", "::1")
    recent: OrderedDict[str, Text] = field(default_factory=OrderedDict)
    marks: set[str] = field(default_factory=set)

    @property
    def works(self) -> Works:
        """The definition."""
        return self.floor.opened.works

    def remember(self, key: str, says: Text) -> None:
        """Keep the sentence of an answer, to be said in the reader's own words on the page that follows."""
        self.recent[key] = says
        while len(self.recent) > MOST_RECENT:
            self.recent.popitem(last=False)

    def warm(self) -> None:
        """Do once, before anybody asks, what the first page of a station would have to wait for."""
        from pairwright.app.stationing import board

        board(self.floor, next(iter(self.works.factory.stations)), now=self.now())

    def simulated(self) -> bool:
        """Whether the record holds what never happened: judged by its last event, and never forgotten."""
        if not self.marks:
            with self.floor.record.reading() as reading:
                last = next(reading.events(reading.head().sequence), None)
            if last is not None and last.event.simulated:
                self.marks.add("simulated")
        return "simulated" in self.marks

    def now(self) -> int:
        """UTC seconds: the last event's or the clock's, whichever is later."""
        return max(self.floor.now(), self.clock())

    def basis(self) -> Basis:
        """What a plan that is made now would be made from."""
        from pairwright.app.serving import Basis

        return Basis(self.works.revision, self.floor.record.head().sequence)


def served_of(request: Request) -> Served:
    """What the server of a request serves."""
    found = request.app.state.served
    if not isinstance(found, Served):
        raise TypeError("the app was not made by make_app")
    return found
