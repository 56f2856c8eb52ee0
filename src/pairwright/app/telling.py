"""Telling people: what there is to know, who took notice, messages to those the works names."""

from __future__ import annotations

import json
import smtplib
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from email.message import EmailMessage
from typing import TYPE_CHECKING, Any, Final

from pairwright.base.digests import digest_bytes
from pairwright.base.errors import InputError, MachineryError, Problem, shown
from pairwright.base.time import utc_iso
from pairwright.base.words import Amount, Text, text
from pairwright.floor.things import Common, Item
from pairwright.reports.notices import Message, Notice, addressed, messages

if TYPE_CHECKING:
    from pairwright.app.recording import Floor
    from pairwright.archive.reading import Reading
    from pairwright.works.telling import Mail

LOOKED_AT: Final = 1000  # the last events of a kind that are looked through
PATIENCE: Final = 10.0  # for an address to answer [s]
Carrier = Callable[[Message, "Mail | None", str], None]


@dataclass(frozen=True, slots=True)
class Sent:
    """What became of a message."""

    message: Message
    why: Text | None = None  # it could not be brought

    def as_json(self) -> dict[str, Any]:
        """The public shape."""
        return {
            "key": self.message.notice.key, "by": self.message.by, "to": self.message.to,
            "sent": self.why is None, "problem": None if self.why is None else str(self.why),
        }  # fmt: skip


def notices_of(floor: Floor, *, late: Mapping[str, int] | None = None, now: int) -> tuple[Notice, ...]:
    """What there is to know now, with whom it is for and who took notice of it.

    Parameters
    ----------
    floor : Floor
        The floor.
    late : Mapping[str, int]
        Orders that the current plan brings late, and by how much. [s]
    now : int
        The moment, UTC seconds.
    """
    with floor.record.reading() as reading:
        found = [*_holds(reading), *_troubles(reading)]
        logged = _logged(reading)
        seen, told = _seen(reading), _told(reading)
    found += _unproven(floor, logged)
    for order, seconds in sorted((late or {}).items()):
        says = text(
            "order {order} is {late} late in the current plan", order=order, late=Amount(seconds, "duration")
        )
        found.append(Notice(_key("late", order), "late order", order, says, now))
    return addressed(found, floor.opened.works.factory.telling, seen=seen, told=told)


def late_in(document: Mapping[str, Any]) -> dict[str, int]:
    """Orders that a plan document brings late, and by how much; what is no such row is left out. [s]"""
    rows = document.get("orders")
    found = {}
    for row in rows if isinstance(rows, list) else ():
        late = row.get("late") if isinstance(row, dict) else None
        if isinstance(late, int | float) and not isinstance(late, bool) and late > 0:
            found[str(row.get("order"))] = int(late)
    return found


def acknowledge(floor: Floor, key: str, *, actor: str, now: int, now_of: tuple[Notice, ...]) -> None:
    """Record that somebody took notice; raises `InputError` where there is nothing of that key."""
    if all(one.key != key for one in now_of):
        raise InputError(
            Problem("command line", "--seen", text("the key of a notice that there is now"), shown(key),
                    text("look at the list again: pairwright notices"))
        )  # fmt: skip
    raw = {"key": _key("seen", key, actor), "kind": "acknowledged", "event_time": utc_iso(now), "actor": actor,
           "data": {"about": key}}  # fmt: skip
    floor.append(floor.read(raw))


def send(
    floor: Floor, notices: tuple[Notice, ...], *, actor: str, now: int, carry: Carrier | None = None
) -> tuple[Sent, ...]:
    """Bring the messages that are due; each that arrived is recorded and never sent again.

    Parameters
    ----------
    floor : Floor
        The floor, open for writing.
    notices : tuple[Notice, ...]
        What there is to know.
    actor : str
        Who sends.
    now : int
        The moment of the events, UTC seconds.
    carry : Carrier
        Brings one message; by default through the network.
    """
    factory = floor.opened.works.factory
    found = []
    for message in messages(notices, factory.telling):
        try:
            (carry or _carry)(message, factory.mail, factory.name)
        except MachineryError as error:
            found.append(Sent(message, error.reason))
            continue
        raw = {
            "key": _key("told", message.notice.key, message.to), "kind": "told", "event_time": utc_iso(now),
            "actor": actor, "data": {"about": message.notice.key, "by": message.by, "to": message.to},
        }  # fmt: skip
        floor.append(floor.read(raw))
        found.append(Sent(message))
    return tuple(found)


# what there is to know


def _holds(reading: Reading) -> Iterator[Notice]:
    state = reading.state()
    for entry in reading.find("held", newest=True, limit=LOOKED_AT):
        thing = state.thing(entry.event.subject or "")
        hold = (
            next((h for h in thing.holds if h.key == entry.event.key), None)
            if isinstance(thing, Common)
            else None
        )
        if thing is not None and hold is not None:
            says = text("{thing} is held: {reason}", thing=thing.id, reason=hold.reason)
            yield Notice(hold.key, "hold", thing.id, says, hold.since)


def _troubles(reading: Reading) -> Iterator[Notice]:
    state = reading.state()
    for kind in ("reported", "inspected"):
        for entry in reading.find(kind, newest=True, limit=LOOKED_AT):
            thing = state.thing(entry.event.subject or "")
            for trouble in thing.troubles if isinstance(thing, Common) else ():
                if thing is not None and trouble.open and trouble.opened == entry.sequence:
                    says = text(
                        "{thing}: {what}; what becomes of it is not decided",
                        thing=thing.id,
                        what=trouble.what,
                    )
                    yield Notice(_key("trouble", thing.id, trouble.id), "nonconformance", thing.id, says,
                                 entry.event.event_time)  # fmt: skip


def _logged(reading: Reading) -> dict[str, None]:
    found = reading.find("logged", newest=True, limit=LOOKED_AT)
    return {
        e.event.subject: None for e in found if e.event.subject_kind == "item" and e.event.subject is not None
    }


def _unproven(floor: Floor, items: Mapping[str, None]) -> Iterator[Notice]:
    """Logged cures that the log does not show, of items that are still here."""
    from pairwright.app.machine_curves import proofs_of

    with floor.record.reading() as reading:
        state = reading.state()
        here = [i for i in items if isinstance(one := state.thing(i), Item) and not one.scrapped]
    for name in here:
        for proof in proofs_of(floor, name):
            if proof.proof.verdict != "good" and proof.logs:
                says = text("{item}, {step}: the cure is {verdict}: {why}", item=name, step=proof.step,
                            verdict=proof.proof.verdict, why=proof.proof.says)  # fmt: skip
                yield Notice(_key("cure", name, proof.step, str(proof.end)), "cure", name, says, proof.end)


def _seen(reading: Reading) -> dict[str, tuple[tuple[str, int], ...]]:
    found: dict[str, dict[str, int]] = {}
    for entry in reversed(reading.find("acknowledged", newest=True, limit=LOOKED_AT)):
        found.setdefault(entry.event.data["about"], {}).setdefault(entry.event.actor, entry.event.event_time)
    return {key: tuple(rows.items()) for key, rows in found.items()}


def _told(reading: Reading) -> dict[str, tuple[str, ...]]:
    found: dict[str, list[str]] = {}
    for entry in reading.find("told", newest=True, limit=LOOKED_AT):
        found.setdefault(entry.event.data["about"], []).append(entry.event.data["to"])
    return {key: tuple(rows) for key, rows in found.items()}


def _key(*parts: str) -> str:
    """A key that is the same whenever the same is told of."""
    return f"{parts[0]}-{digest_bytes(chr(31).join(parts).encode())[:32]}"


# bringing messages


def _carry(message: Message, mail: Mail | None, works: str) -> None:
    if message.by == "webhook":
        _post(message, works)
    else:
        _mail(message, mail, works)


def _post(message: Message, works: str) -> None:
    """Post a notice as JSON; raises `MachineryError` where it does not arrive."""
    body = json.dumps({"works": works, **message.notice.as_json()}).encode()
    request = urllib.request.Request(  # noqa: S310: the works text allows http and https only
        message.to, data=body, headers={"Content-Type": "application/json"}, method="POST"
    )
    try:
        with urllib.request.urlopen(request, timeout=PATIENCE) as answer:
            answer.read(1)
    except (urllib.error.URLError, OSError, ValueError) as error:
        raise MachineryError(
            text("{to} did not take the message: {why}", to=message.to, why=str(error))
        ) from error


def _mail(message: Message, mail: Mail | None, works: str) -> None:
    """Mail a notice; raises `MachineryError` where it does not arrive."""
    if mail is None:
        raise MachineryError(text("no mail server: state [mail] with host and sender in works.toml"))
    letter = EmailMessage()
    letter["From"], letter["To"] = mail.sender, message.to
    letter["Subject"] = " ".join(f"{works}: {message.notice.of}, {message.notice.about}".split())
    letter.set_content(str(message.notice.says))
    try:
        with smtplib.SMTP(mail.host, mail.port, timeout=PATIENCE) as server:
            server.send_message(letter)
    except (smtplib.SMTPException, OSError) as error:
        raise MachineryError(
            text("{host} did not take the message: {why}", host=mail.host, why=str(error))
        ) from error
