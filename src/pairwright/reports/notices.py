"""What people should know of now: holds, nonconformances, cures that nobody can show, orders that slip."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from pairwright.base.time import utc_iso
from pairwright.base.words import Text
from pairwright.works.telling import Telling


@dataclass(frozen=True, slots=True)
class Notice:
    """One thing to know: what it is of, about what, since when; who took notice of it, and when."""

    key: str  # of the event it stands for, or one that stays the same from day to day
    of: str
    about: str
    says: Text
    since: int
    people: tuple[str, ...] = ()
    seen: tuple[tuple[str, int], ...] = ()  # person, moment
    told: tuple[str, ...] = ()  # addresses

    @property
    def open(self) -> bool:
        """Whether somebody it is for has yet to take notice; where it is for nobody by name, anybody."""
        took = {person for person, _ in self.seen}
        return not took.issuperset(self.people) if self.people else not took

    def as_json(self) -> dict[str, Any]:
        """The public shape."""
        return {
            "key": self.key, "of": self.of, "about": self.about, "text": str(self.says),
            "since": utc_iso(self.since), "people": list(self.people), "open": self.open,
            "seen": [{"person": person, "at": utc_iso(at)} for person, at in self.seen],
            "told": list(self.told),
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class Message:
    """A notice on its way to one address."""

    notice: Notice
    by: str
    to: str


def addressed(
    notices: Iterable[Notice],
    telling: Iterable[Telling],
    *,
    seen: Mapping[str, tuple[tuple[str, int], ...]],
    told: Mapping[str, tuple[str, ...]],
) -> tuple[Notice, ...]:
    """Notices with whom they are for and who took notice; open ones first, then the latest.

    Parameters
    ----------
    notices : Iterable[Notice]
        What there is to know.
    telling : Iterable[Telling]
        What the works says about who learns of what.
    seen : Mapping[str, tuple[tuple[str, int], ...]]
        Who took notice and when, by key.
    told : Mapping[str, tuple[str, ...]]
        Addresses that were told, by key.
    """
    rows = list(telling)
    found = [
        replace(
            one,
            people=tuple(sorted({p for row in rows if row.of == one.of for p in row.people})),
            seen=seen.get(one.key, ()), told=told.get(one.key, ()),
        )
        for one in notices
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda n: (not n.open, -n.since, n.key)))


def messages(notices: Iterable[Notice], telling: Iterable[Telling]) -> tuple[Message, ...]:
    """Messages that are due: of open notices, to addresses that were not told yet, once each."""
    rows = [row for row in telling if row.by != "page"]
    found = {
        (notice.key, row.by, row.to): Message(notice, row.by, row.to)
        for notice in notices
        for row in rows
        if row.of == notice.of and notice.open and row.to not in notice.told
    }
    return tuple(found.values())
