"""From JSON to an event, strictly: every problem at once, each with its five parts."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import Text, text
from pairwright.floor import fields
from pairwright.floor.event import SUBJECTS, Event
from pairwright.floor.fields import Slips
from pairwright.floor.kinds import KINDS, Field, Kind
from pairwright.floor.shapes import SHAPES, any_shape

if TYPE_CHECKING:
    from pairwright.works import Works

DEEPEST: Final = 12  # tables within tables; an event needs six
LARGEST_LINE: Final = 1 << 20  # bytes of one event
ENVELOPE: Final = (
    "key", "kind", "event_time", "station", "actor", *SUBJECTS, "data", "written", "simulated", "device", "counter",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Known:
    """Names that events may use, by what they name; None where the works does not say."""

    stations: frozenset[str] | None = None
    steps: frozenset[str] | None = None
    programmes: frozenset[str] | None = None
    materials: frozenset[str] | None = None
    products: frozenset[str] | None = None
    parts: frozenset[str] | None = None
    buffers: frozenset[str] | None = None
    characteristics: frozenset[str] | None = None
    defects: frozenset[str] | None = None
    zones: frozenset[str] | None = None
    people: frozenset[str] | None = None
    where: str = "event"


def known_of(works: Works) -> Known:
    """The names that a works defines.

    Parameters
    ----------
    works : Works
        The definition.
    """
    variants = works.variants.values()
    steps = {step.id for v in variants for part in v.parts.values() for step in part.steps}
    return Known(
        stations=frozenset(works.factory.stations),
        steps=frozenset(steps | _repair_lines(works)),
        programmes=frozenset(works.factory.programmes),
        materials=frozenset(works.materials),
        products=frozenset(works.products),
        parts=frozenset(name for v in variants for name in v.parts),
        buffers=frozenset(works.factory.buffers),
        defects=frozenset(works.factory.defects) or None,
        zones=frozenset(zone for v in variants if v.inspection is not None for zone in v.inspection.zones)
        or None,
    )


def _repair_lines(works: Works) -> set[str]:
    """The steps of spot repairs, by the names that events use."""
    from pairwright.floor.repairs import line_id

    repairs = works.factory.repairs.items()
    return {line_id(name, n) for name, one in repairs for n in range(1, len(one.steps) + 1)}


NOTHING_KNOWN: Final = Known()


def read_event(raw: str | bytes | Mapping[str, Any], *, known: Known = NOTHING_KNOWN) -> Event:
    """One event from its JSON text or its table.

    Parameters
    ----------
    raw : str | bytes | Mapping[str, Any]
        The JSON text, or what a strict reader made of it.
    known : Known
        The names it may use.

    Raises
    ------
    InputError
        With every problem found.

    Examples
    --------
    >>> event = read_event(
    ...     '{"key": "k-1", "kind": "noted", "event_time": "2027-03-01T06:00:00+01:00",'
    ...     ' "actor": "P1", "item": "C-0231L", "data": {"text": "a scratch"}}'
    ... )
    >>> event.subject, event.local_time()
    ('C-0231L', '2027-03-01T06:00:00+01:00')
    """
    problems: list[Problem] = []
    slips = Slips(known.where, problems)
    tree = _tree(raw, slips) if isinstance(raw, str | bytes) else raw
    event = None
    if not problems:
        if isinstance(tree, Mapping):
            event = _event(tree, known, slips)
        else:
            slips.tell("event", text("a table"), tree, do=text("write one event in curly brackets"))
    if problems or event is None:
        raise InputError(problems)
    return event


def read_events(body: str | bytes, *, known: Known = NOTHING_KNOWN, path: str = "events") -> list[Event]:
    """Events from JSON lines, or from one JSON list or table; all or nothing.

    Parameters
    ----------
    body : str | bytes
        The content of the file.
    known : Known
        The names they may use.
    path : str
        Name of the file, for messages.

    Raises
    ------
    InputError
        With every problem of every line.
    """
    problems: list[Problem] = []
    raws = _raws(body, Slips(path, problems))
    found: list[Event] = []
    seen: dict[str, str] = {}
    for where, raw in raws:
        slips = Slips(f"{path} {where}", problems)
        before = len(problems)
        tree = _tree(raw, slips) if isinstance(raw, str) else raw
        if len(problems) > before:
            continue
        if not isinstance(tree, Mapping):
            slips.tell("event", text("a table"), tree, do=text("write one event in curly brackets"))
            continue
        event = _event(tree, known, slips)
        if event is None:
            continue
        if event.key in seen:
            slips.tell(
                "key",
                text("each once; {place} has it too", place=seen[event.key]),
                event.key,
                do=text("make a key of its own for each event"),
            )
        seen.setdefault(event.key, where)
        found.append(event)
    if not found and not problems:
        problems.append(
            Problem(path, "event", text("at least one event"), "nothing", text("write one a line"))
        )
    if problems:
        raise InputError(problems)
    return found


def read_table(raw: str | bytes, *, where: str = "body") -> Mapping[str, Any]:
    """One JSON table, read as strictly as an event: finite numbers, each field once, no depth without end.

    Parameters
    ----------
    raw : str | bytes
        The JSON text.
    where : str
        Where it came from, for messages.

    Raises
    ------
    InputError
        When it is no such table.
    """
    problems: list[Problem] = []
    slips = Slips(where, problems)
    tree = _tree(raw, slips)
    if not problems and isinstance(tree, Mapping):
        return tree
    if not problems:
        slips.tell("table", text("a table"), tree, do=text("write it in curly brackets"))
    raise InputError(problems)


def _raws(body: str | bytes, slips: Slips) -> list[tuple[str, Any]]:
    """The single events, still raw, with their places."""
    decoded = _decoded(body, slips)
    if decoded is None:
        return []
    if decoded.lstrip().startswith("["):
        tree = _tree(decoded, slips, limit=64 * LARGEST_LINE)
        return [(f"entry {n}", one) for n, one in enumerate(tree, 1)] if isinstance(tree, list) else []
    lines = [(f"line {n}", one) for n, one in enumerate(decoded.split("\n"), 1) if one.strip()]
    if len(lines) > 1 and decoded.lstrip().startswith("{"):
        probe: list[Problem] = []
        whole = _tree(decoded, Slips("", probe))  # one event written over several lines
        if not probe:
            return [("line 1", whole)]
    return lines


def _decoded(body: str | bytes, slips: Slips) -> str | None:
    if isinstance(body, str):
        return body.removeprefix("\ufeff")
    try:
        return body.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        slips.tell(
            "text",
            text("text in UTF-8"),
            f"byte {body[error.start]:#04x} at {error.start}",
            do=text("save it as UTF-8"),
        )
        return None


class _OddError(ValueError):
    """JSON that a strict reader refuses: its message is what was got."""


def _once(pairs: Sequence[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        keys = [key for key, _ in pairs]
        raise _OddError(f"the field {next(key for key in keys if keys.count(key) > 1)!a} twice")
    return found


def _no_constant(word: str) -> Any:
    raise _OddError(word)


def _finite(digits: str) -> float:
    value = float(digits)
    if not math.isfinite(value):
        raise _OddError(digits[:40])
    return value


def _exact(digits: str) -> int:
    if len(digits) > 17 or abs(int(digits)) > fields.LARGEST:
        raise _OddError(f"a whole number of {len(digits)} figures, {digits[:20]}")
    return int(digits)


def _tree(raw: str | bytes, slips: Slips, *, limit: int = LARGEST_LINE) -> Any:
    """The JSON value of a text; duplicates, infinities and depths without end are told."""
    decoded = _decoded(raw, slips)
    if decoded is None:
        return None
    must_be, do = text("one JSON value as RFC 8259 has it"), text("correct it, or let a program write it")
    if len(decoded) > limit:
        slips.tell("text", text("at most {most} characters", most=limit), f"{len(decoded)}", do=do)
        return None
    if _depth(decoded) > DEEPEST:
        slips.tell("text", text("at most {most} tables within tables", most=DEEPEST), "more", do=do)
        return None
    try:
        return json.loads(
            decoded,
            object_pairs_hook=_once,
            parse_constant=_no_constant,
            parse_float=_finite,
            parse_int=_exact,
        )
    except _OddError as error:
        slips.tell("text", text("plain JSON: finite numbers, each field once"), str(error), do=do)
    except json.JSONDecodeError as error:
        near = decoded[error.pos : error.pos + 30]
        slips.tell("text", must_be, f"{shown(near)} at character {error.pos + 1}: {error.msg}", do=do)
    return None


def _depth(body: str) -> int:
    """How deep brackets nest, those within texts aside."""
    deepest = now = 0
    inside = escaped = False
    for sign in body:
        if inside:
            inside = escaped or sign != '"'
            escaped = sign == "\\" and not escaped
        elif sign == '"':
            inside = True
        elif sign in "[{":
            now += 1
            deepest = max(deepest, now)
        elif sign in "]}":
            now -= 1
    return deepest


def _event(tree: Mapping[Any, Any], known: Known, slips: Slips) -> Event | None:
    before = len(slips.problems)
    kind = KINDS.get(tree["kind"]) if isinstance(tree.get("kind"), str) else None
    if kind is None:
        slips.tell(
            "kind",
            text("one of {names}", names=", ".join(KINDS)),
            tree.get("kind"),
            do=text("choose one of them"),
        )
    for field in tree:
        if field not in ENVELOPE:
            slips.tell(str(field), _listed(ENVELOPE), field, do=text("remove it, or put it into data"))
    key = fields.key("key", tree.get("key"), slips)
    actor = _listed_name("actor", tree, known.people, slips=slips, needed=True)
    station = _listed_name("station", tree, known.stations, slips=slips)
    at = fields.read_moment(tree.get("event_time"))
    if at is None:
        fields.moment("event_time", tree.get("event_time"), slips)
    flags = {f: fields.flag(f, tree[f], slips) for f in ("written", "simulated") if tree.get(f) is not None}
    device = fields.ident("device", tree["device"], slips) if tree.get("device") is not None else None
    counter = fields.whole("counter", tree["counter"], slips) if tree.get("counter") is not None else None
    subject_kind, subject = _subject(tree, kind, slips)
    data = _data(tree.get("data"), kind, known=known, slips=slips) if kind is not None else None
    if kind is None or key is None or actor is None or at is None or data is None:
        return None
    if len(slips.problems) == before:
        subject_kind, subject = SHAPES.get(kind.name, any_shape)(subject_kind, subject, data, slips)
    if len(slips.problems) > before:
        return None
    shift = at.utcoffset()
    return Event(
        key=key, kind=kind.name, event_time=int(at.timestamp()),
        offset=0 if shift is None else int(shift.total_seconds()),
        actor=actor, station=station, subject_kind=subject_kind, subject=subject, data=data,
        written=bool(flags.get("written")), simulated=bool(flags.get("simulated")), device=device, counter=counter,
    )  # fmt: skip


def _listed(names: Sequence[str]) -> Text:
    return text("a known field ({names})", names=", ".join(names))


def _listed_name(
    field: str, tree: Mapping[Any, Any], names: frozenset[str] | None, *, slips: Slips, needed: bool = False
) -> str | None:
    """A name that, where the works lists such names, is one of them."""
    value = tree.get(field)
    if value is None and not needed:
        return None
    found = fields.name(field, value, slips)
    return _in_list(field, found, names, slips=slips) if found is not None else None


def _in_list(field: str, found: str, names: frozenset[str] | None, *, slips: Slips) -> str | None:
    if names is None or found in names:
        return found
    import difflib

    alike = difflib.get_close_matches(found, sorted(names), n=5, cutoff=0.5) or sorted(names)[:8]
    slips.tell(
        field,
        text("one that the works knows, such as {names}", names=", ".join(alike)),
        found,
        do=text("correct it, or define it in the works"),
    )
    return None


def _subject(tree: Mapping[Any, Any], kind: Kind | None, slips: Slips) -> tuple[str | None, str | None]:
    """What the event is about: an item, a lot, a set, or nothing."""
    given = [name for name in SUBJECTS if tree.get(name) is not None]
    if kind is None:
        return None, None
    if len(given) > 1:
        slips.tell(
            given[1], text("left out, as {other} is given", other=given[0]), tree[given[1]],
            do=text("write one event for each"),
        )  # fmt: skip
        return None, None
    if not given:
        if not kind.bare:
            names = " or ".join(kind.subjects)
            slips.tell(kind.subjects[0], text("given: {kind} is about {names}", kind=kind.name, names=names),
                       None, do=text("scan it"))  # fmt: skip
        return None, None
    name = given[0]
    if name not in kind.subjects:
        slips.tell(
            name, text("left out: {kind} is not about it", kind=kind.name), tree[name], do=text("remove it")
        )
        return None, None
    return name, fields.ident(name, tree[name], slips)


def _data(raw: object, kind: Kind, *, known: Known, slips: Slips) -> dict[str, Any] | None:
    if not isinstance(raw, Mapping):
        slips.tell("data", text("a table"), raw, do=text("write it in curly brackets"))
        return None
    left = {key: value for key, value in raw.items() if value is not None}
    found: dict[str, Any] = {}
    if kind.name == "corrected" and "replacement" in left:
        found["replacement"] = left.pop("replacement")
    for field in kind.fields:
        given = [name for name in (field.name, *field.also) if name in left]
        if len(given) > 1:
            slips.tell(f"data.{given[1]}", text("left out, as {other} is given", other=given[0]), left[given[1]],
                       do=text("remove one of the two"))  # fmt: skip
        value = [left.pop(name) for name in given]
        if value:
            _read_field(field, value[0], found, known=known, slips=slips)
        elif field.needed:
            slips.tell(
                f"data.{field.name}", text("given: {kind} needs it", kind=kind.name), None, do=text("add it")
            )
    names = [field.name for field in kind.fields]
    for key in left:
        slips.tell(f"data.{key}", _listed(names), key, do=text("remove it, or correct its name"))
    return found


def _read_field(field: Field, value: object, found: dict[str, Any], *, known: Known, slips: Slips) -> None:
    place = f"data.{field.name}"
    read = field.read(place, value, slips)
    if read is not None and field.known is not None:
        read = _in_list(place, read, getattr(known, field.known), slips=slips)
    if read is not None:
        found[field.name] = read
