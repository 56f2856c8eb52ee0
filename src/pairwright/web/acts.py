"""From a form to an act, and from its key back to what was answered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from pairwright.app.acting import REFUSED, act
from pairwright.app.acting_answers import Done
from pairwright.app.acting_case import Act, Begun
from pairwright.base.words import Text, text
from pairwright.web.forms import Form, wrong
from pairwright.web.served import Served

BEGUN: Final = ("product", "option", "part", "side", "set", "order")
TEXTS: Final = (
    "text", "reason", "defect", "zone", "unit", "characteristic", "instrument", "authority", "to_step",
    "nonconformance", "hold", "event", "buffer", "out", "action", "by", "about", "topic", "revision", "programme",
)  # fmt: skip
NUMBERS: Final = ("value", "size", "quantity")


@dataclass(frozen=True, slots=True)
class Answered:
    """What became of the last act: done, with its sentence, or refused, with what to do."""

    done: bool
    key: str
    says: Text
    code: str
    act: str
    subject: str | None
    at: int

    @property
    def last_event(self) -> str:
        """The key of the event that is taken back when the act did not occur."""
        return f"{self.key}.1" if self.act == "registered" else self.key


def act_of(form: Form, *, station: str, actor: str, keep: Callable[[bytes], str]) -> Act:
    """The act that a form asks for; raises `InputError`.

    Parameters
    ----------
    form : Form
        What was sent.
    station : str
        Where.
    actor : str
        Who; empty where nobody's badge was scanned.
    keep : Callable[[bytes], str]
        Keeps a photograph and gives its digest.
    """
    name = form.need("act", text("an act of this station"))
    if not actor:
        raise wrong("person", text("who does it: a badge that was scanned, or initials"), "nobody",
                    text("scan your badge, then press again"))  # fmt: skip
    data: dict[str, Any] = {one: form.fields[one] for one in TEXTS if one in form.fields}
    data.update({one: _number(one, form.fields[one]) for one in NUMBERS if one in form.fields})
    if form.get("clear") == "yes":
        data["clear"] = True
    if form.photograph is not None:
        data["photograph"] = keep(form.photograph)
    subject = form.get("subject")
    scans = (*([subject] if subject else []), *form.many.get("also", ()))
    return Act(
        name, form.need("key", text("the key of the page")), actor, station, scans, form.fields.get("step"),
        _written(form), data, _begun(form), form.fields.get("device"), _count(form),
    )  # fmt: skip


def _number(name: str, given: str) -> float:
    """A number as people write it at a bench; a comma is a decimal sign."""
    plain = given.replace(",", ".").replace("−", "-")
    body = plain.lstrip("+-")
    if not body or not body.isascii() or body.count(".") > 1 or not body.replace(".", "", 1).isdigit():
        raise wrong(name, text("a number such as 12.5"), given, text("write figures only"))
    return float(plain)


def _count(form: Form) -> int | None:
    given = form.get("counter")
    return int(given) if given.isascii() and given.isdigit() and len(given) < 12 else None


def _written(form: Form) -> int | None:
    """When it was done, where it is entered later: from paper, or kept on the tablet until now."""
    kept = form.get("at")
    if kept:
        if not (kept.isascii() and kept.isdigit() and len(kept) <= 11):
            raise wrong("at", text("UTC seconds"), kept, text("let the page fill it in"))
        return int(kept)
    given = form.get("written")
    if not given:
        return None
    try:
        at = datetime.fromisoformat(given)
    except ValueError:
        raise wrong(
            "written", text("a day and a time such as 2027-03-01T14:20"), given, text("correct it")
        ) from None
    if at.tzinfo is None:
        raise wrong("written", text("a time with its offset"), given, text("correct it"))
    return int(at.timestamp())


def _begun(form: Form) -> Begun | None:
    found = {name: form.fields.get(f"b_{name}") for name in BEGUN}
    product, part = found.pop("product"), found.pop("part")
    if product is None or part is None:
        return None
    return Begun(product, found.pop("option"), part, **found)


def do(served: Served, wanted: Act) -> dict[str, Any]:
    """Do it, and say what came of it."""
    answer = act(served.floor, wanted, now=served.now())
    if not answer.replayed:
        served.remember(wanted.key, answer.says)
    return {**answer.as_json(served.words), "done": isinstance(answer, Done)}


def answered(served: Served, done: str | None, refused: str | None) -> Answered | None:
    """What was answered to an act, from the record; None where there is nothing of that key."""
    key = done or refused
    if not key:
        return None
    with served.floor.record.reading() as reading:
        found = reading.event(key if done else key + REFUSED)
    if found is None:
        return None
    event = found.event
    if done:
        says = served.recent.get(key) or _says(event.kind, event.subject)
        return Answered(True, key, says, "", event.kind, event.subject, event.event_time)
    said = served.recent.get(key) or text("{said}", said=str(event.data.get("text", "")))
    return Answered(False, key, said, str(event.data["codes"][0]), str(event.data["act"]), event.subject,
                    event.event_time)  # fmt: skip


_SAYS: Final[dict[str, Text]] = {
    "started": text("begun"),
    "finished": text("finished"),
    "measured": text("measured"),
    "inspected": text("inspected"),
    "reported": text("reported: somebody decides"),
    "disposed": text("decided"),
    "held": text("held"),
    "freed": text("free again"),
    "noted": text("written down"),
    "registered": text("begun"),
    "corrected": text("taken back"),
    "mated": text("a pair"),
    "unmated": text("apart"),
}


def _says(kind: str, subject: str | None) -> Text:
    word = _SAYS.get(kind, text("recorded"))
    return text("{id}: {word}", id=subject, word=word) if subject else word
