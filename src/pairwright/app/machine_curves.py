"""Machine curves: logs taken from a watched folder, attached to what was in the machine, held against the model."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from pairwright.base.errors import InputError
from pairwright.base.time import utc_iso
from pairwright.base.words import Text, text
from pairwright.floor.event import Entry, Event
from pairwright.floor.things import Done, Item, Worked

if TYPE_CHECKING:
    from pairwright.app.recording import Floor
    from pairwright.archive.reading import Reading
    from pairwright.measure.machine_log import MachineLog
    from pairwright.process.proof import Proof

LOOKED_AT: Final = 500  # the last operations of a station that a log may belong to


@dataclass(frozen=True, slots=True)
class Taken:
    """What became of one file: attached to items, waiting for what it belongs to, or refused."""

    file: str
    station: str | None
    digest: str | None
    items: tuple[str, ...]
    batches: tuple[str, ...]
    gaps: int
    why: tuple[Text, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """The public shape."""
        return {
            "file": self.file, "station": self.station, "digest": self.digest, "items": list(self.items),
            "batches": list(self.batches), "gaps": self.gaps, "problems": [str(why) for why in self.why],
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class StepProof:
    """What the logs prove of one finished step of an item."""

    item: str
    step: str
    station: str | None
    batch: str | None
    start: int
    end: int
    logs: tuple[str, ...]  # digests
    proof: Proof

    def as_json(self) -> dict[str, Any]:
        """The public shape."""
        return {
            "item": self.item, "step": self.step, "station": self.station, "batch": self.batch,
            "start": utc_iso(self.start), "end": utc_iso(self.end), "logs": list(self.logs),
            "verdict": self.proof.verdict, "text": str(self.proof.says),
        }  # fmt: skip


def take_logs(floor: Floor, folder: Path, *, actor: str, now: int, clock: float) -> Iterator[Taken]:
    """Take in every finished log of a folder, and attach each to what was in the machine then.

    Parameters
    ----------
    floor : Floor
        The floor, open for writing.
    folder : Path
        Where machines write their logs; nothing in it is changed.
    actor : str
        Who takes them in.
    now : int
        The moment of the events, UTC seconds.
    clock : float
        The time as files have it, in seconds.

    Notes
    -----
    A log that was taken before is answered as then. One that belongs to nothing finished yet waits.
    """
    from pairwright.instruments.watched import content_of, finished

    for found in finished(folder, floor.opened.works.factory.stations, now=clock):
        if found.station is None:
            why = text("the name begins with no station: call it STATION_anything.csv")
            yield Taken(found.path.name, None, None, (), (), 0, (why,))
            continue
        try:
            content = content_of(found.path)
            yield take_log(floor, content, name=found.path.name, station=found.station, actor=actor, now=now)
        except InputError as error:
            why = error.problems[0].must_be
            shown = text("{where}, {field}: must be {must}, got {got}", where=error.problems[0].where,
                         field=error.problems[0].field, must=why, got=error.problems[0].got)  # fmt: skip
            yield Taken(found.path.name, found.station, None, (), (), 0, (shown,))


def take_log(floor: Floor, content: bytes, *, name: str, station: str, actor: str, now: int) -> Taken:
    """Attach one log to every item that was at its station meanwhile; nothing is recorded where there is none."""
    from pairwright.archive.machine_log import read_machine_log
    from pairwright.base.digests import digest_bytes
    from pairwright.measure.machine_log import LONGEST

    log = read_machine_log(content, name)
    with floor.record.reading() as reading:
        stays = list(_stays(reading, station, log))
    if not stays:
        why = text("nothing that has finished at {station} was there meanwhile: it waits", station=station)
        return Taken(name, station, digest_bytes(content), (), (), 0, (why,))
    digest = floor.keep(content)
    holes = [[utc_iso(int(a)), utc_iso(int(b))] for a, b in _holes(log, LONGEST)]
    raws = [
        {
            "key": f"log-{digest[:24]}-{item}", "kind": "logged", "event_time": utc_iso(now), "actor": actor,
            "station": station, "item": item,
            "data": {
                "source": station, "from": utc_iso(int(log.start)), "to": utc_iso(int(log.end)), "gaps": holes,
                "attachment": digest, "quantity": log.series[0].name,
                **({} if done.batch is None else {"batch": done.batch}),
            },
        }
        for item, done in stays
    ]  # fmt: skip
    fresh = _not_yet(floor, raws)
    if fresh:
        floor.append(fresh)
    batches = tuple(sorted({done.batch for _, done in stays if done.batch is not None}))
    return Taken(name, station, digest, tuple(item for item, _ in stays), batches, len(holes))


def _not_yet(floor: Floor, raws: Sequence[dict[str, Any]]) -> list[Event]:
    """The events of keys that are not in the record: a log is taken once, whenever it is seen."""
    from pairwright.floor import read_event

    with floor.record.reading() as reading:
        return [read_event(raw, known=floor.known) for raw in raws if reading.event(raw["key"]) is None]


def _holes(log: MachineLog, longest: float) -> Iterator[tuple[float, float]]:
    """Stretches of the whole log in which nothing came."""
    for before, after in zip(log.times, log.times[1:], strict=False):
        if after - before > longest:
            yield before, after


def _stays(reading: Reading, station: str, log: MachineLog) -> Iterator[tuple[str, Done]]:
    """Items that were at a station while it logged, with the step that ended there."""
    state = reading.state()
    seen: set[tuple[str, str]] = set()
    for entry in reading.find("finished", station=station, limit=LOOKED_AT, newest=True):
        if entry.event.subject is None:
            continue
        for item in _halves(state.thing(entry.event.subject)):
            for done in item.done:
                start = done.end if done.start is None else done.start
                near = done.station == station and start <= log.end and done.end >= log.start
                if near and (item.id, done.key) not in seen:
                    seen.add((item.id, done.key))
                    yield item.id, done


def _halves(thing: object) -> Iterator[Worked]:
    if isinstance(thing, Worked):
        yield thing


def proofs_of(floor: Floor, name: str) -> tuple[StepProof, ...]:
    """What the logs prove of every finished press and stove step of an item, in order.

    Parameters
    ----------
    floor : Floor
        The floor.
    name : str
        The item.

    Notes
    -----
    A step without a log is not proven. One that rework has gone back before is left out.
    """
    with floor.record.reading() as reading:
        trace = reading.trace(name)
    if trace is None or not isinstance(trace.thing, Item) or trace.thing.product is None:
        return ()
    logs = [
        entry for entry in trace.history if entry.event.kind == "logged" and entry.event.key not in trace.void
    ]
    found = (_proof(floor, trace.thing, done=done, logs=logs) for done in trace.thing.done if not done.stale)
    return tuple(one for one in found if one is not None)


def _proof(floor: Floor, item: Item, *, done: Done, logs: Iterable[Entry]) -> StepProof | None:
    from pairwright.measure.machine_log import course
    from pairwright.process.proof import Stay, proof_of, quantity_of

    works = floor.opened.works
    product, part = item.product or "", item.part or ""
    option = item.option or next((o for p, o in works.variants if p == product), "")
    variant = works.variants.get((product, option))
    steps = [] if variant is None or part not in variant.parts else [s.id for s in variant.parts[part].steps]
    if done.step not in steps:
        return None
    if quantity_of(works, product, option=option, part=part, step=done.step) is None:
        return None
    start = done.end if done.start is None else done.start
    mine = {str(e.event.data["attachment"]): None for e in logs if e.event.station == done.station}
    courses: dict[str, list[tuple[float, float]]] = {}
    used: list[str] = []
    for digest in mine:
        log = _read(floor, digest)
        if log.start > done.end or log.end < start:
            continue
        used.append(digest)
        for series in log.series:
            courses.setdefault(series.name, []).extend(course(log, series.name, start=start, end=done.end))
    ordered = tuple((name, tuple(sorted(dict(points).items()))) for name, points in courses.items())
    proof = proof_of(
        works, product, option=option, part=part, step=done.step, stay=Stay(float(done.end - start), ordered)
    )
    return StepProof(item.id, done.step, done.station, done.batch, start, done.end, tuple(used), proof)


def _read(floor: Floor, digest: str) -> MachineLog:
    from pairwright.archive.machine_log import read_machine_log

    return read_machine_log(floor.fetch(digest), digest)
