"""The act of taking a table in: what it would change is shown first, and happens as a whole or not at all."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from pairwright.app.table_changes import WAYS, Change, Coming
from pairwright.app.tables import View, table_named, view_of
from pairwright.base.digests import digest_json
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.time import iso
from pairwright.base.words import text
from pairwright.works.rows import rows_of

if TYPE_CHECKING:
    from pairwright.app.opened import Opened
    from pairwright.app.recording import Floor
    from pairwright.archive.sheets import SheetTable
    from pairwright.floor import Event, Rule, State

MOST_TOLD: Final = 200  # problems of one file: who has more begins with the first


@dataclass(frozen=True, slots=True)
class Intake:
    """What a table would change, row by row, and the events that would say so."""

    kind: str
    file: str
    changes: tuple[Change, ...]
    events: tuple[Event, ...]
    names: Mapping[str, str]
    not_read: tuple[str, ...] = ()  # columns that nothing is taken from

    def count(self, what: str) -> int:
        """How many rows are new, changed or the same."""
        return sum(one.what == what for one in self.changes)

    def as_json(self, *, written: bool) -> dict[str, Any]:
        """The public shape."""
        return {
            "kind": self.kind,
            "file": self.file,
            "rows": len(self.changes),
            "new": self.count("new"),
            "changed": self.count("changed"),
            "same": self.count("same"),
            "events": len(self.events),
            "written": written,
            "changes": [one.as_json() for one in self.changes if one.what != "same"],
            "not_read": list(self.not_read),
        }


@dataclass(frozen=True, slots=True)
class Before:
    """What a table is compared with: a record, or the files of a works that has none yet."""

    opened: Opened
    view: View
    rules: Sequence[Rule]
    now: int
    head: int


def import_file(
    folder: Path,
    path: Path,
    *,
    kind: str,
    actor: str,
    now: str | None = None,
    columns: Mapping[str, str] | None = None,
    sheet: str | None = None,
    dry_run: bool = False,
    clock: Callable[[], int] | None = None,
) -> Intake:
    """Take a CSV or XLSX table into the record of a works.

    Parameters
    ----------
    folder : Path
        The works folder.
    path : Path
        The table.
    kind : str
        What it holds: the name of one of the works' tables.
    actor : str
        Who brings it in, by id.
    now : str | None
        The moment of the events; by default the record's.
    columns : Mapping[str, str] | None
        The sheet's name for a column of ours.
    sheet : str | None
        The sheet of a workbook.
    dry_run : bool
        Whether it is only shown what would change.
    clock : Callable[[], int] | None
        Tells when events are taken in.

    Raises
    ------
    InputError
        With every problem, by row and column; then nothing was changed.
    """
    from pairwright.app.recording import has_record, open_floor
    from pairwright.archive.sheets import read_table

    table_named(kind, field="--kind", taken=True)
    table = renamed(read_table(path, sheet=sheet, prefer=(kind,)), columns or {})
    if dry_run and not has_record(folder):
        return intake(_from_files(folder, now), table, kind=kind, actor=actor)
    with open_floor(folder, readonly=dry_run, clock=clock) as floor, compared(floor, now) as before:
        found = intake(before, table, kind=kind, actor=actor)
        if not dry_run:
            take_in(floor, found)
        return found


@contextmanager
def compared(floor: Floor, now: str | None = None) -> Iterator[Before]:
    """What a table is compared with, while other threads of this process wait.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    now : str | None
        The moment of the events; by default the record's.
    """
    with floor.looking() as state:
        yield Before(floor.opened, view_of(floor), floor.rules, floor.now(now), state.next - 1)


def _from_files(folder: Path, now: str | None) -> Before:
    """A works without a record, as its record would begin."""
    from pairwright.app.opened import open_definition
    from pairwright.app.record_rules import works_rules
    from pairwright.app.recording import first_events
    from pairwright.floor import fold_all

    opened = open_definition(folder)
    state = fold_all(first_events(opened))
    view = View(state, {}, opened.works.zone)
    return Before(opened, view, works_rules(opened), opened.now(now), state.next - 1)


def renamed(table: SheetTable, columns: Mapping[str, str]) -> SheetTable:
    """A table whose columns have our names; raises `InputError` for a name that it does not have."""
    from dataclasses import replace

    problems = [
        Problem(
            table.name, f"column {theirs}", text("one of {names}", names=", ".join(table.header)[:300]),
            "no such column", text("correct the name after --column {ours}=", ours=ours),
        )
        for ours, theirs in columns.items()
        if theirs not in table.header
    ]  # fmt: skip
    if problems:
        raise InputError(problems)
    ours = {theirs: name for name, theirs in columns.items()}
    return replace(table, header=tuple(ours.get(name, name) for name in table.header))


def intake(before: Before, table: SheetTable, *, kind: str, actor: str) -> Intake:
    """What a table would change.

    Parameters
    ----------
    before : Before
        What it is compared with.
    table : SheetTable
        The table, under our column names.
    kind : str
        What it holds.
    actor : str
        Who brings it in, by id.

    Raises
    ------
    InputError
        With every problem, by row and column.
    """
    way = WAYS[kind]
    problems: list[Problem] = []
    records = table.records()
    rows = rows_of(table.name, records, columns=way.columns, problems=problems, word=table.word)
    if not problems and not rows:
        problems.append(Problem(table.name, "(row)", text("at least one row below the header"), "none",
                                text("export the table anew")))  # fmt: skip
    if problems:
        raise InputError(problems[:MOST_TOLD])
    coming = Coming(before.opened.works, before.view, f"as {table.name} has it", problems)
    changes = tuple(way.changes(rows, coming))
    if problems:
        raise InputError(problems[:MOST_TOLD])
    events = _events(before, changes, actor=actor, where=table.name)
    _must_fit(before.view.state, events, rules=before.rules)
    names = {person: name for one in changes for person, name in one.names.items() if one.what != "same"}
    not_read = ("standing",) if kind == "items" and "standing" in table.header else ()
    return Intake(kind, table.name, changes, tuple(e for e, _ in events), names, not_read)


def _events(
    before: Before, changes: Sequence[Change], *, actor: str, where: str
) -> list[tuple[Event, Change]]:
    """The events of all rows; what an event can't hold is told by row and column."""
    from dataclasses import replace

    from pairwright.floor import known_of, read_event

    known = known_of(before.opened.works)
    at = iso(before.now, before.opened.works.zone)
    found: list[tuple[Event, Change]] = []
    problems: list[Problem] = []
    for one in changes:
        for raw in one.events:
            body = {"event_time": at, **raw, "actor": actor}
            key = f"sheet-{digest_json({'after': before.head, **body})[:32]}"
            place = f"{where} {one.row.word} {one.row.line}"
            try:
                found.append((read_event({"key": key, **body}, known=replace(known, where=place)), one))
            except InputError as error:
                problems += [replace(p, field=_column(p.field)) for p in error.problems]
    if problems:
        raise InputError(problems[:MOST_TOLD])
    return found


def _column(field: str) -> str:
    return field.removeprefix("data.").removeprefix("values.")


def _must_fit(state: State, events: Sequence[tuple[Event, Change]], *, rules: Sequence[Rule]) -> None:
    """That the record would take every event, one after the other; the state is left as it is."""
    from pairwright.floor import accept, weigh

    problems: list[Problem] = []
    mark = state.mark()
    try:
        for event, change in events:
            outcome = weigh(state, event, rules=rules)
            if not outcome.findings:
                accept(state, outcome)
                continue
            row = change.row
            column = next(iter(row.columns.needed))
            problems += [
                Problem(
                    f"{row.path} {row.word} {row.line}", column, text("what the record can take"),
                    shown(row.cell(column)), slip.text,
                )
                for slip in outcome.findings
            ]  # fmt: skip
    finally:
        state.back_to(mark)
    if problems:
        raise InputError(problems[:MOST_TOLD])


def take_in(floor: Floor, found: Intake) -> None:
    """Carry out what was shown: all events in one, then the names.

    Parameters
    ----------
    floor : Floor
        The works with its record, open for writing.
    found : Intake
        What a table would change.
    """
    if found.events:
        floor.append(found.events)
    if found.names:
        floor.record.set_names(dict(found.names))
