"""The acts around people's data: names apart from the events, and how long things are kept."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.time import iso
from pairwright.base.words import text
from pairwright.floor.fields import NAME

if TYPE_CHECKING:
    from pairwright.app.recording import Floor
    from pairwright.floor import Event
    from pairwright.works.keeping import Keeping

LONGEST_NAME: Final = 200


@dataclass(frozen=True, slots=True)
class Person:
    """A person as the record knows them: events name the id, the name lies apart."""

    id: str
    name: str | None
    events: int
    last: int | None  # UTC seconds of their last event


@dataclass(frozen=True, slots=True)
class Due:
    """What has been kept as long as the works says, and what there is of each kind."""

    names: tuple[str, ...]
    photographs: tuple[str, ...]
    files: tuple[str, ...]

    @property
    def nothing(self) -> bool:
        """Whether nothing is to be removed."""
        return not (self.names or self.photographs or self.files)

    def as_json(self, *, removed: bool) -> dict[str, Any]:
        """The public shape."""
        return {
            "names": list(self.names),
            "photographs": list(self.photographs),
            "records": list(self.files),
            "removed": removed,
        }


def people_of(floor: Floor, *, actor: str) -> tuple[Person, ...]:
    """Everybody who recorded something or has a name, in order of id.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    actor : str
        Who asks, by id.
    """
    del actor  # a reading act
    with floor.record.reading() as reading:
        names, actors = reading.names(), reading.actors()
    nothing: tuple[int, int | None] = (0, None)
    return tuple(Person(one, names.get(one), *actors.get(one, nothing)) for one in sorted({*names, *actors}))


def name_people(floor: Floor, names: Mapping[str, str], *, actor: str) -> None:
    """Keep people's names; raises `InputError` where an id or a name is none.

    Parameters
    ----------
    floor : Floor
        The works with its record, open for writing.
    names : Mapping[str, str]
        By id.
    actor : str
        Who does it, by id.
    """
    del actor  # names are no events
    problems = [
        Problem("command line", "--name", must_be, shown(got), text("write it as ID=NAME"))
        for one, name in names.items()
        for must_be, got in _wrong(one, name)
    ]
    if problems:
        raise InputError(problems)
    floor.record.set_names(dict(names))


def _wrong(one: str, name: str) -> Iterator[tuple[Any, str]]:
    if not NAME.fullmatch(one):
        yield text("an id of letters, digits, hyphen, point and underscore, at most 60"), one
    if not name.strip() or len(name) > LONGEST_NAME or not name.isprintable():
        yield text("a name of 1 to {most} characters, none of them hidden", most=LONGEST_NAME), name


def forget_people(floor: Floor, people: Sequence[str] | None, *, actor: str) -> int:
    """Remove names, all of them where nobody is named; events stay as they are. Answers how many.

    Parameters
    ----------
    floor : Floor
        The works with its record, open for writing.
    people : Sequence[str] | None
        Ids.
    actor : str
        Who does it, by id.
    """
    del actor
    with floor.record.reading() as reading:
        there = reading.names()
    gone = list(there) if people is None else [one for one in people if one in there]
    if people is not None:
        problems = [
            Problem("command line", "--forget", text("the id of a person whose name is kept"), shown(one),
                    text("look it up with: pairwright people"))
            for one in people
            if one not in there
        ]  # fmt: skip
        if problems:
            raise InputError(problems)
    floor.record.forget_names(gone if people is not None else None)
    return len(gone)


def what_is_due(floor: Floor, *, now: int, actor: str) -> Due:
    """What has been kept as long as `[keeping]` in works.toml says.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    now : int
        UTC seconds.
    actor : str
        Who asks, by id.
    """
    periods = floor.opened.works.factory.keeping
    names: list[str] = []
    if periods.names is not None:
        names = [
            one.id
            for one in people_of(floor, actor=actor)
            if one.name is not None and one.last is not None and one.last + periods.names <= now
        ]
    photographs, files = _old_files(floor, periods, now)
    return Due(tuple(names), photographs, files)


def _old_files(floor: Floor, periods: Keeping, now: int) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Kept files that no event within its period refers to: photographs, and the others."""
    from pairwright.archive.attachments import place

    kept: set[str] = set()
    pictures: dict[str, None] = {}
    others: dict[str, None] = {}
    for entry in floor.record.events():
        event = entry.event
        for name, digest in _referred(event):
            picture = name == "photograph"
            period = periods.photographs if picture else periods.records
            if period is None or event.event_time + period > now:
                kept.add(digest)
            else:
                (pictures if picture else others)[digest] = None

    def there(found: Mapping[str, None]) -> tuple[str, ...]:
        return tuple(sorted(d for d in found if d not in kept and place(floor.folder, d).is_file()))

    return there(pictures), there({d: None for d in others if d not in pictures})


def _referred(event: Event) -> Iterator[tuple[str, str]]:
    for name in ("photograph", "attachment", "certificate"):
        digest = event.data.get(name)
        if isinstance(digest, str):
            yield name, digest
    replacement = event.data.get("replacement")
    inner = replacement.get("data") if isinstance(replacement, Mapping) else None
    if isinstance(inner, Mapping):
        for name in ("photograph", "attachment", "certificate"):
            if isinstance(inner.get(name), str):
                yield name, inner[name]


def carry_out(floor: Floor, due: Due, *, now: int, actor: str) -> None:
    """Remove what is due, and note in the record how much it was; no event is touched.

    Parameters
    ----------
    floor : Floor
        The works with its record, open for writing.
    due : Due
        What to remove.
    now : int
        UTC seconds.
    actor : str
        Who does it, by id.
    """
    from pairwright.archive.attachments import remove
    from pairwright.base.digests import digest_json

    if due.nothing:
        return
    said = (
        f"kept as long as works.toml says, then removed: {len(due.names)} names, "
        f"{len(due.photographs)} photographs, {len(due.files)} other files"
    )
    body = {
        "kind": "noted", "event_time": iso(now, floor.opened.works.zone), "actor": actor,
        "data": {"text": said, "topic": "other"},
    }  # fmt: skip
    key = digest_json({"removed": due.as_json(removed=True), **body})
    floor.append(floor.read({"key": f"keeping-{key[:32]}", **body}))
    if due.names:
        floor.record.forget_names(due.names)
    for digest in (*due.photographs, *due.files):
        remove(floor.folder, digest)
