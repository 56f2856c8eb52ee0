"""The canonical form of an event and the chain of hashes through the record.

An event's body is its canonical JSON (RFC 8785). The hash of an entry is the SHA-256 of the canonical
JSON of ``{"event", "previous", "record_time", "sequence"}``, where `previous` is the hash of the entry
before it, 64 zeros at the beginning. Any store that keeps bodies, times and hashes has the same chain.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from pairwright.base.findings import Finding
from pairwright.base.words import text
from pairwright.floor.event import Event

BEGINNING: Final = "0" * 64


@dataclass(frozen=True, slots=True)
class Link:
    """An entry as a store keeps it."""

    sequence: int
    key: str
    record_time: int
    body: str
    hash: str


def canonical(event: Event) -> str:
    """The canonical JSON of an event (RFC 8785).

    Parameters
    ----------
    event : Event
        The event.
    """
    import rfc8785

    return rfc8785.dumps(event.as_json()).decode()


def seal(body: str, *, sequence: int, record_time: int, previous: str) -> str:
    """The hash of an entry.

    Parameters
    ----------
    body : str
        The canonical JSON of its event.
    sequence : int
        Its place in the record, from 1.
    record_time : int
        When it was taken in, UTC seconds.
    previous : str
        The hash of the entry before it.

    Examples
    --------
    >>> seal("{}", sequence=1, record_time=0, previous=BEGINNING)[:16]
    '97a61968979f1fee'
    """
    whole = f'{{"event":{body},"previous":"{previous}","record_time":{record_time},"sequence":{sequence}}}'
    return hashlib.sha256(whole.encode()).hexdigest()


class Chain:
    """Checks links one after the other."""

    def __init__(self, *, sequence: int = 0, head: str = BEGINNING) -> None:
        self.sequence = sequence
        self.head = head
        self.problems: list[Finding] = []

    def check(self, link: Link) -> None:
        """One more link."""
        if link.sequence != self.sequence + 1:
            self.problems.append(
                Finding(
                    "record_gap", "error", f"event {link.sequence}",
                    text("event {wanted} is missing before event {found}: restore the last good backup",
                         wanted=self.sequence + 1, found=link.sequence),
                )
            )  # fmt: skip
        hashed = seal(link.body, sequence=link.sequence, record_time=link.record_time, previous=self.head)
        if hashed != link.hash:
            self.problems.append(
                Finding(
                    "record_changed", "error", f"event {link.sequence}",
                    text("event {found} is not what was recorded: restore the last good backup", found=link.sequence),
                )
            )  # fmt: skip
        self.sequence, self.head = link.sequence, link.hash


def check_chain(links: Iterable[Link], *, head: str | None = None) -> tuple[Finding, ...]:
    """What is wrong with a chain of entries; empty when it is whole.

    Parameters
    ----------
    links : Iterable[Link]
        The entries in order, from the first.
    head : str | None
        The hash that the last one must have, where it is known from elsewhere: only so is a lost end noticed.
    """
    chain = Chain()
    for link in links:
        chain.check(link)
    if head is not None and chain.head != head:
        chain.problems.append(
            Finding(
                "record_end_differs", "error", "record",
                text("the record ends in {found}, not in {wanted}: its end was cut off or it is another record",
                     found=chain.head, wanted=head),
            )
        )  # fmt: skip
    return tuple(chain.problems)
