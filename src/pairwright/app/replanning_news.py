"""News of the floor from a file: JSON lines, one table or a list; events of the record count as news."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.time import iso
from pairwright.base.words import text

if TYPE_CHECKING:
    from pairwright.app.opened import Opened
    from pairwright.floor import Event
    from pairwright.plan.news import News
    from pairwright.plan.schedule import Operation, Schedule

MOST: Final = 64 << 20  # bytes of a file of news
ENVELOPE: Final = ("now", "others", "news", "stock")


def news_of(path: Path, opened: Opened, *, like: Schedule, pins: Sequence[str] = ()) -> News:
    """News from a file, and operations to pin; raises `InputError` with every problem of every row."""
    from pairwright.plan.news import News, read_news

    news = read_text(_text_of(path), path.name, opened, like=like)
    rows = [("--pin", {"news": "pinned", "operation": name}) for name in pins]
    pinned = read_news(rows, opened.works, operations={op.id for op in like.operations})
    return News((*news.rows, *pinned.rows))


def read_text(body: str, where: str, opened: Opened, *, like: Schedule) -> News:
    """News from the text of a file.

    Parameters
    ----------
    body : str
        JSON lines, a list of tables, or one table with ``news`` (and ``now``, ``others``).
    where : str
        Name of the file, for messages.
    opened : Opened
        The works.
    like : Schedule
        The plan that the news is about.
    """
    from pairwright.plan.news import read_news

    rows: list[tuple[str, object]] = []
    events: list[tuple[str, Mapping[str, Any]]] = []
    for place, raw in _raws(body, where):
        if isinstance(raw, Mapping) and "kind" in raw and "news" not in raw:
            events.append((place, raw))
        else:
            rows.append((place, raw))
    if events:
        rows = [*_event_rows(events, opened, like), *rows]
    return read_news(rows, opened.works, operations={op.id for op in like.operations})


def _text_of(path: Path) -> str:
    try:
        if not path.is_file() or path.stat().st_size > MOST:
            raise OSError(0, "not an ordinary file of at most 64 MiB")
        return path.read_text("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else str(error)
        raise InputError(
            Problem(
                str(path), "file", text("news of the floor as JSON lines, UTF-8"),
                shown(why or type(error).__name__), text("name a readable file"),
            )
        ) from None  # fmt: skip


def _raws(body: str, where: str) -> Iterator[tuple[str, object]]:
    """Tables with the place where each stands."""
    whole = body.strip()
    if whole.startswith("["):
        listed = _json(whole, where, "list")
        yield from ((f"{where}: row {n}", raw) for n, raw in enumerate(_list(listed, where), 1))
        return
    lines = [(n, line) for n, line in enumerate(body.splitlines(), 1) if line.strip()]
    if whole.startswith("{") and (len(lines) == 1 or not _is_json(lines[0][1])):
        table = _json(whole, where, "table")
        if isinstance(table, Mapping) and isinstance(table.get("news"), list):
            yield from _document(table, where)
        else:
            yield f"{where}: row 1", table
        return
    for n, line in lines:
        yield f"{where}: line {n}", _json(line, f"{where}: line {n}", "line")


def _document(table: Mapping[str, Any], where: str) -> Iterator[tuple[str, object]]:
    """One table that holds the rows and what is true of all of them."""
    for name in table:
        if name not in ENVELOPE:
            raise InputError(
                Problem(where, str(name), text("one of {names}", names=", ".join(ENVELOPE)), shown(name),
                        text("remove or correct it"))
            )  # fmt: skip
    for name, field in (("now", "at"), ("stock", "at"), ("others", "are")):
        if table.get(name) is not None:
            yield f"{where}: {name}", {"news": name, field: table[name]}
    yield from ((f"{where}: row {n}", raw) for n, raw in enumerate(_list(table["news"], where), 1))


def _is_json(line: str) -> bool:
    try:
        json.loads(line)
    except (ValueError, RecursionError):
        return False
    return True


def _json(body: str, where: str, field: str) -> object:
    try:
        return json.loads(body)
    except (ValueError, RecursionError) as error:
        raise InputError(
            Problem(where, field, text("JSON"), shown(f"{body[:30]}: {error}"), text("correct it"))
        ) from None


def _list(value: object, where: str) -> list[object]:
    if isinstance(value, list):
        return value
    raise InputError(Problem(where, "news", text("a list of tables"), shown(value), text("write a list")))


# events of the record


def _event_rows(
    raws: Sequence[tuple[str, Mapping[str, Any]]], opened: Opened, like: Schedule
) -> Iterator[tuple[str, object]]:
    """Rows for the events that bear on a plan; the others are passed over."""
    from pairwright import floor

    problems: list[Problem] = []
    events: list[tuple[str, Event]] = []
    for where, raw in raws:
        try:
            events.append((where, floor.read_event(raw)))
        except InputError as error:
            problems += [Problem(where, p.field, p.must_be, p.got, p.do) for p in error.problems]
    if problems:
        raise InputError(problems)
    events = _uncorrected(events)
    told = any(e.kind in ("started", "finished") for _, e in events)
    if told:
        yield "events", {"news": "others", "are": "not begun"}
    yield from rows_of_events(events, opened, like=like)
    if events:
        last = max(e.event_time for _, e in events)
        yield "events", {"news": "now", "at": iso(max(last, like.now), opened.works.zone)}


def _uncorrected(events: Sequence[tuple[str, Event]]) -> list[tuple[str, Event]]:
    """The events as corrections among them leave them."""
    from pairwright.floor.effective import replaced

    corrections = {str(e.data["event"]): e for _, e in events if e.kind == "corrected"}
    found: list[tuple[str, Event]] = []
    for where, event in events:
        correction = corrections.get(event.key)
        stands = event if correction is None or correction.key in corrections else replaced(event, correction)
        if stands is not None and event.kind != "corrected":
            found.append((where, stands))
    return found


def rows_of_events(
    events: Sequence[tuple[str, Event]], opened: Opened, *, like: Schedule
) -> Iterator[tuple[str, dict[str, Any]]]:
    """Rows of news for events, in their order.

    Parameters
    ----------
    events : Sequence[tuple[str, Event]]
        Where each stands, and the event.
    opened : Opened
        The works.
    like : Schedule
        The plan; an event about an item that it has not is passed over.
    """
    things = Things(like)
    zone = opened.works.zone
    for where, event in events:
        at = iso(event.event_time, zone)
        if event.kind == "registered":
            things.register(event)
        row = _step_row(event, things, at) or _stock_row(event)
        if row is not None:
            yield where, {name: value for name, value in row.items() if value is not None}


class Things:
    """The plan's items by the names that the floor gives them."""

    def __init__(self, like: Schedule) -> None:
        self.operations: dict[tuple[str, str], Operation] = {
            (op.item, op.step): op for op in like.operations if not op.rework
        }
        self.items = {op.item for op in like.operations}
        self._free: dict[tuple[str, str, str], list[str]] = {}
        for item, part, side, name in sorted(
            {(o.item, o.part, o.side or "", o.set) for o in like.operations}
        ):
            self._free.setdefault((name, part, side), []).append(item)
        self._names: dict[str, str] = {}

    def register(self, event: Event) -> None:
        """An item of the floor that says to which set, side and part it belongs."""
        data = event.data
        if event.subject is None or event.subject in self.items or not data.get("set"):
            return
        some = self._free.get(
            (str(data["set"]), str(data.get("part") or ""), str(data.get("side") or "")), []
        )
        if some:
            self._names[event.subject] = some.pop(0)

    def named(self, subject: str | None) -> str | None:
        """The plan's item of a name; None where the plan has none."""
        name = self._names.get(subject or "", subject)
        return name if name in self.items else None

    def operation(self, subject: str | None, step: str) -> str | None:
        """The plan's operation of a step; one done together may be told of a half."""
        item = self.named(subject)
        if item is None:
            return None
        found = self.operations.get((item, step)) or self.operations.get((item.rpartition(".")[0], step))
        return None if found is None else found.id


def _step_row(event: Event, things: Things, at: str) -> dict[str, Any] | None:
    data = event.data
    if event.kind in ("started", "finished"):
        operation = things.operation(event.subject, str(data["step"]))
        if operation is None:
            return None
        if event.kind == "started":
            return {"news": "begun", "operation": operation, "start": at}
        return {"news": "finished", "operation": operation, "end": at}
    if event.kind == "disposed" and data["disposition"] in ("scrap", "rework"):
        item = things.named(event.subject)
        kind = "scrapped" if data["disposition"] == "scrap" else "rework"
        return None if item is None else {"news": kind, "item": item}
    return None


def _stock_row(event: Event) -> dict[str, Any] | None:
    data = event.data
    if event.kind == "ordered":
        names = ("order", "product", "option", "quantity", "due", "weight", "released", "customer")
        return {"news": "ordered", **{name: data.get(name) for name in names}}
    if event.kind == "cancelled":
        return {"news": "cancelled", "order": data.get("order"), "purchase": data.get("purchase")}
    if event.kind == "purchased":
        told = {name: data.get(name) for name in ("purchase", "material", "quantity", "arrives")}
        return {"news": "purchased", **told}
    lot = event.subject if event.subject_kind == "lot" else data.get("lot")
    if lot and event.kind == "received" and data.get("material") and data.get("quantity"):
        return {"news": "lot", "lot": lot, "quantity": data["quantity"], "material": data["material"],
                "expiry": data.get("expiry")}  # fmt: skip
    if lot and event.kind == "counted":
        return {"news": "lot", "lot": lot, "quantity": data["quantity"]}
    if lot and event.kind == "held":
        return {"news": "lot", "lot": lot, "quantity": 0}
    return None
