"""What was written on travellers while no screen was near becomes events, with the times as written.

A row of the form is one step of one thing: when it began and ended, who did it, what was measured and
used. Its events carry the written time as their own; when they were taken in stays the record's later clock.
All rows are taken or none.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from pairwright.archive.sheets import marked, read_table
from pairwright.base.codes import CodeError, read_code
from pairwright.base.digests import digest_json
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.findings import Finding
from pairwright.base.time import iso, parse_instant
from pairwright.base.words import Text, text
from pairwright.floor import Event, State, accept, weigh
from pairwright.floor.routes import Routes
from pairwright.floor.things import Item, Worked
from pairwright.floor.works_rules import rules_of

if TYPE_CHECKING:
    from pairwright.app.recording import Floor
    from pairwright.archive.writer import Answer
    from pairwright.reports.traveller import Traveller

NEEDED: Final = ("code", "step", "day", "start", "finish", "person")
COLUMNS: Final = (
    *NEEDED, "ended on", "station", "programme", "revision", "carrier", "batch", "used", "values", "instrument", "note",
)  # fmt: skip
SHOWN: Final = ("step name",)  # for whoever fills the form in; not read
_CLOCK: Final = re.compile(r"([01]?[0-9]|2[0-3])[:.]([0-5][0-9])(?::00)?")
_AMOUNT: Final = re.compile(r"([+-]?[0-9]+(?:\.[0-9]+)?)\s*([A-Za-zµΩ%°].*)?")
_EARLIEST: Final = timedelta(days=400)


@dataclass(frozen=True, slots=True)
class Written:
    """The events of one row."""

    where: str
    raws: tuple[dict[str, Any], ...]


@dataclass(frozen=True, slots=True)
class Caught:
    """What came of a form: events in order of their time; `broken` are rules that a row broke, with its place."""

    events: tuple[Event, ...]
    broken: tuple[tuple[str, Finding], ...] = ()
    again: int = 0
    answers: tuple[Answer, ...] = ()


@dataclass(slots=True)
class _Row:
    """One row while it is read."""

    where: str
    cells: Mapping[str, str]
    problems: list[Problem] = field(default_factory=list)

    def cell(self, name: str) -> str:
        return self.cells.get(name, "").strip()

    def tell(self, name: str, must_be: Text, do: Text) -> None:
        self.problems.append(
            Problem(self.where, name, must_be, shown(self.cell(name)) if self.cell(name) else "nothing", do)
        )


def form_of(sheets: Sequence[Traveller]) -> bytes:
    """The form of travellers as CSV: a row a step, with its code, to be filled in and handed to `catch-up`.

    Parameters
    ----------
    sheets : Sequence[Traveller]
        The travellers.
    """
    file = io.StringIO(newline="")
    writer = csv.DictWriter(file, fieldnames=("code", "step", *SHOWN, *COLUMNS[2:]), lineterminator="\r\n")
    writer.writeheader()
    for sheet in sheets:
        for row in sheet.rows:
            if row.wait or row.done is not None:
                continue
            code = sheet.code if not row.together or sheet.set is None else sheet.set
            station = row.station_ids[0] if len(row.station_ids) == 1 else ""
            writer.writerow(
                {"code": code.readable, "step": row.step, "step name": marked(row.name), "station": station}
            )
    return file.getvalue().encode()


def rows_of(path: Path, *, sheet: str | None = None) -> list[tuple[str, dict[str, str]]]:
    """The rows of a filled-in form, CSV or XLSX, with where each stands.

    Parameters
    ----------
    path : Path
        The file.
    sheet : str | None
        The sheet of a workbook.

    Raises
    ------
    InputError
        When it can't be read, or a column is missing, unknown or given twice.
    """
    table = read_table(path, sheet=sheet)
    names = [" ".join(name.lower().split()) for name in table.header]
    where = f"{table.name} {table.word} {table.numbers[0]}"
    listed = text("columns of {names}", names=", ".join((*COLUMNS, *SHOWN)))
    problems = [
        Problem(where, name or "(column)", listed, shown(name), text("correct or remove the column"))
        for name in names if name not in (*COLUMNS, *SHOWN) or names.count(name) > 1
    ] + [
        Problem(where, name, text("there"), "nothing", text("add the column")) for name in NEEDED if name not in names
    ]  # fmt: skip
    if problems:
        raise InputError(dict.fromkeys(problems))
    return [
        (f"{table.name} {table.word} {number}", dict(zip(names, cells, strict=True)))
        for number, cells in table.records()[1:]
    ]


def read_form(floor: Floor, rows: Sequence[tuple[str, Mapping[str, str]]], *, now: int) -> list[Written]:
    """The events that rows of a form stand for.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    rows : Sequence[tuple[str, Mapping[str, str]]]
        Where each row stands, for messages, and its cells by the names of `COLUMNS`.
    now : int
        The moment, UTC seconds: nothing was written later. [s]

    Raises
    ------
    InputError
        With every problem of every row.
    """
    problems: list[Problem] = []
    found: list[Written] = []
    routes = Routes(floor.opened.works)
    with floor.looking() as state:
        for where, cells in rows:
            row = _Row(where, cells)
            if not any(row.cell(name) for name in COLUMNS if name not in ("code", "step", "station")):
                continue  # a step that nobody has done yet
            made = _row(row, routes, state=state, now=now)
            problems += row.problems
            if made is not None:
                found.append(Written(where, tuple(made)))
    if problems:
        raise InputError(problems)
    if not found:
        raise InputError(
            Problem(
                "form", "rows", text("at least one row with a time"), "none", text("write when it was done")
            )
        )
    return found


def _row(row: _Row, routes: Routes, *, state: State, now: int) -> list[dict[str, Any]] | None:
    thing = _thing(row, state)
    times = _times(row, routes, now=now)
    person, step = row.cell("person"), row.cell("step")
    if not person:
        row.tell("person", text("the id of whoever did it"), text("write it as on the badge"))
    if not step:
        row.tell("step", text("a step of the route"), text("copy it from the traveller"))
    station = _station(row, routes, thing=thing, step=step) if step else None
    used, measured = list(_used(row)), list(_measured(row))
    if row.problems or thing is None or times is None:
        return None
    start, finish = times
    last = finish if finish is not None else start
    extra = {name: row.cell(name) for name in ("programme", "revision", "carrier", "batch") if row.cell(name)}
    common = {"actor": person, thing.kind: thing.id, "station": station, "written": True}
    told: list[tuple[str, int | None, dict[str, Any]]] = [
        ("started", start, {"step": step, **extra, **({"inputs": used} if used else {})}),
        ("finished", finish, {"step": step, **extra, **({"inputs": used} if used and start is None else {})}),
        *(("measured", last, one) for one in measured),
        *([("noted", last, {"text": row.cell("note")})] if row.cell("note") else []),
    ]
    raws = []
    for kind, at, data in told:
        if at is None:
            continue
        raw = {**common, "kind": kind, "event_time": iso(at, routes.works.zone), "data": data}
        raw = {name: value for name, value in raw.items() if value is not None}
        raws.append({"key": f"written-{digest_json(raw)[:40]}", **raw})
    return raws


def _thing(row: _Row, state: State) -> Worked | None:
    """The item or set; typed without its check character it is refused."""
    try:
        code = read_code(row.cell("code"))
    except CodeError as error:
        row.tell("code", text("an identity with its check character, or a scanned code"), error.reason)
        return None
    found = state.thing(code.id) or state.thing(state.alike(code.id) or "")
    if isinstance(found, Worked):
        return found
    row.tell("code", text("an item or set that the record knows"), text("record what it is first"))
    return None


def _times(row: _Row, routes: Routes, *, now: int) -> tuple[int | None, int | None] | None:
    """When it began and ended, UTC seconds; one of the two may be left out."""
    zone = routes.works.zone
    before = len(row.problems)
    day = _day(row, "day")
    end_day = _day(row, "ended on") if row.cell("ended on") else day
    found: list[int | None] = []
    for name, of in (("start", day), ("finish", end_day)):
        found.append(_moment(row, name, day=of, zone=zone) if row.cell(name) and of is not None else None)
    if len(row.problems) > before:
        return None
    start, finish = found
    if start is None and finish is None:
        row.tell("start", text("a time such as 07:35, here or under finish"), text("write when it was done"))
    elif start is not None and finish is not None and finish < start:
        row.tell("finish", text("not before the start"),
                 text("correct it; where it ended on another day, write that under ended on"))  # fmt: skip
    for name, at in (("start", start), ("finish", finish)):
        if at is not None and at > now:
            row.tell(name, text("not later than now"), text("correct day or time"))
        elif at is not None and at < now - _EARLIEST.total_seconds():
            row.tell("day", text("within the last 400 days"), text("correct the year"))
    return None if len(row.problems) > before else (start, finish)


def _day(row: _Row, name: str) -> date | None:
    try:
        if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", row.cell(name)):
            return date.fromisoformat(row.cell(name))
    except ValueError:
        pass
    row.tell(name, text("a day such as 2027-03-05"), text("write year, month and day with hyphens"))
    return None


def _moment(row: _Row, name: str, *, day: date, zone: Any) -> int | None:
    """A written clock time as UTC seconds; one that the clock skips or shows twice is refused."""
    found = _CLOCK.fullmatch(row.cell(name)) if row.cell(name).isascii() else None
    if found is None:
        row.tell(name, text("a time such as 07:35"), text("write hours and minutes"))
        return None
    naive = datetime(day.year, day.month, day.day, int(found[1]), int(found[2]))
    first, second = (naive.replace(tzinfo=zone, fold=fold) for fold in (0, 1))
    if first.utcoffset() != second.utcoffset():
        row.tell(name, text("a time that the clock shows once on that day"),
                 text("the clocks are changed in that hour: write a time before or after it"))  # fmt: skip
        return None
    return parse_instant(first)


def _station(row: _Row, routes: Routes, *, thing: Worked | None, step: str) -> str | None:
    """Where it was done: as written, else the only station of the step."""
    stations = routes.works.factory.stations
    stated = row.cell("station")
    if stated:
        if stated not in stations:
            row.tell("station", text("one of {names}", names=", ".join(stations)[:300]), text("correct it"))
        return stated
    variant = None if thing is None else routes.variant(thing)
    if variant is None:
        return None
    part = thing.part if isinstance(thing, Item) and thing.part in variant.parts else variant.root
    steps = {one.id: one for one in variant.parts[part].steps}
    if step not in steps:
        row.tell(
            "step", text("a step of {product}", product=variant.name), text("copy it from the traveller")
        )
        return None
    names = [one.station for one in steps[step].stations]
    if len(names) > 1:
        row.tell("station", text("one of {names}", names=", ".join(names)), text("write where it was done"))
    return names[0] if len(names) == 1 else None


def _several(row: _Row, name: str) -> Iterator[str]:
    for piece in row.cell(name).split(";"):
        if piece.strip():
            yield piece.strip()


def _used(row: _Row) -> Iterator[dict[str, Any]]:
    """``JG-1 0.2 kg; BF-L``: lots with quantities, or bare identities."""
    for piece in _several(row, "used"):
        name, _, amount = piece.partition(" ")
        if not amount.strip():
            yield {"id": name}
            continue
        found = _AMOUNT.fullmatch(amount.strip())
        if found is None or not found[2]:
            row.tell("used", text("pieces such as JG-1 0.2 kg, with semicolons between"), text("correct it"))
        else:
            yield {"lot": name, "quantity": float(found[1]), "unit": found[2]}


def _measured(row: _Row) -> Iterator[dict[str, Any]]:
    """``wet-film=118 um; gloss=12``: characteristics with values and units."""
    for piece in _several(row, "values"):
        name, equals, rest = piece.partition("=")
        found = _AMOUNT.fullmatch(rest.strip())
        if not equals or found is None:
            row.tell("values", text("pieces such as wet-film=118 um, with semicolons between"),
                     text("write name, equals sign, number with a decimal point, unit"))  # fmt: skip
            continue
        one: dict[str, Any] = {"characteristic": name.strip(), "value": float(found[1])}
        if found[2]:
            one["unit"] = found[2]
        if row.cell("instrument"):
            one["instrument"] = row.cell("instrument")
        yield one


def catch_up(
    floor: Floor,
    rows: Sequence[tuple[str, Mapping[str, str]]],
    *,
    now: int,
    report: bool = False,
    dry_run: bool = False,
) -> Caught:
    """Record what was written on paper, all rows or none.

    A row that breaks a rule of the works (open time, sequence, programme) is told and nothing is recorded,
    unless `report` is given: then it is recorded as it was done, and reported as a problem for somebody to
    decide upon. What contradicts the record itself is never taken.

    Parameters
    ----------
    floor : Floor
        The works with its record, open for writing unless for a dry run.
    rows : Sequence[tuple[str, Mapping[str, str]]]
        Where each row stands, and its cells.
    now : int
        The moment, UTC seconds. [s]
    report : bool
        Whether broken rules are reported as problems instead of stopping everything.
    dry_run : bool
        Whether nothing is recorded.

    Raises
    ------
    InputError
        When a row can't be read.
    """
    places = [(one.where, raw) for one in read_form(floor, rows, now=now) for raw in one.raws]
    found, stopped = _judged(floor, _events(floor, places), report=report)
    if dry_run or stopped or (found.broken and not report):
        return found
    return replace(found, answers=tuple(floor.append(found.events)))


def _judged(floor: Floor, events: Sequence[tuple[str, Event]], *, report: bool) -> tuple[Caught, bool]:
    """The events with what they break, and whether one contradicts the record itself."""
    from pairwright.app.stationing_routes import routes_of

    works_rules = rules_of(routes_of(floor.opened))
    taken: list[Event] = []
    broken: list[tuple[str, Finding]] = []
    again, stopped = 0, False
    with floor.record.reading() as reading:
        state = reading.state()
        for where, event in events:
            if reading.event(event.key) is not None:
                again += 1
                taken.append(event)
                continue
            outcome = weigh(state, event)
            against = tuple(dict.fromkeys(finding for rule in works_rules for finding in rule(state, event)))
            broken += [(where, finding) for finding in (*outcome.findings, *against)]
            if outcome.findings:
                stopped = True
                continue
            for one in (event, *(_reported(floor, event, finding) for finding in against if report)):
                accept(state, weigh(state, one))
                taken.append(one)
    return Caught(tuple(taken), tuple(broken), again), stopped


def _events(floor: Floor, places: Sequence[tuple[str, dict[str, Any]]]) -> list[tuple[str, Event]]:
    """Read strictly, then in order of time; what was written first stays first where times are equal."""
    problems: list[Problem] = []
    found: list[tuple[str, Event]] = []
    for where, raw in places:
        try:
            found += [(where, event) for event in floor.read(raw, path=where)]
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(problems)
    return sorted(found, key=lambda one: one[1].event_time)


def _reported(floor: Floor, event: Event, finding: Finding) -> Event:
    """A broken rule as a problem that somebody must decide upon."""
    raw: dict[str, Any] = {
        "key": f"{event.key}.{finding.code}"[:80],
        "kind": "reported",
        "event_time": event.local_time(),
        "actor": event.actor,
        "written": True,
        str(event.subject_kind): event.subject,
        "data": {"text": str(finding.text)[:2000]},
    }
    if "step" in event.data:
        raw["data"]["step"] = event.data["step"]
    if event.station is not None:
        raw["station"] = event.station
    return floor.read(raw, path="problem")[0]
