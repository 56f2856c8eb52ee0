"""Write docs/events.md from the table of kinds: what each event means, what it is about, its data.

Run it through `scripts/docs`. `tests/house/test_events.py` compares the page with the program.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Final

from pairwright.base.words import ENGLISH
from pairwright.floor import KINDS, Kind
from pairwright.floor import fields as readers
from pairwright.floor.kinds import Field

DOCS = Path(__file__).resolve().parent

HEAD = """\
# Events

*This page is made from the program by `scripts/docs`; do not edit it.*

The record of a works is a list of events, each of one of the kinds below. An event is a JSON object:

| field | what it is |
|---|---|
| `key` | made by whoever records it, names the event for ever: sent again it is answered as before |
| `kind` | one of the kinds of this page |
| `event_time` | when it happened, ISO 8601 with offset; when it was taken in is noted by the record itself |
| `actor` | who did it: a person's id, never a name |
| `station` | where, if at a station |
| `item`, `lot` or `set` | what it is about: at most one of the three |
| `data` | a table of the fields below |
| `written` | true where it was first written on paper |
| `simulated` | true where it never happened |
| `device`, `counter` | the tablet it came from, and its own count |
"""

_SIMPLE: Final = {
    readers.ident: "an identity", readers.key: "the key of an event", readers.name: "a name of the works",
    readers.line: "text", readers.day: "a day, such as 2027-03-05", readers.moment: "a time with offset",
    readers.digest: "the SHA-256 of a kept file", readers.flag: "true or false", readers.whole: "a whole number",
    readers.unit_name: "a unit", readers.values: "a table of names and values",
    readers.spans: "a list of stretches of time",
    readers.inputs: "a list of tables with lot or item, and quantity and unit",
}  # fmt: skip


def described(field: Field) -> str:
    """What a field must be, in words."""
    said = _SIMPLE[field.read] if field.read in _SIMPLE else _told(field)
    if field.known is not None:
        said += f", one of the works' {field.known}"
    if field.also:
        said += f" (also written {', '.join(f'`{one}`' for one in field.also)})"
    return said


def _told(field: Field) -> str:
    """What a reader that was made for the field says it wants, by handing it what can't be right."""
    from pairwright.base.errors import Problem

    problems: list[Problem] = []
    field.read(field.name, object(), readers.Slips("", problems))
    if not problems:
        raise ValueError(f"the field {field.name} takes anything")
    return ENGLISH.say(problems[0].must_be)


def _about(kind: Kind) -> str:
    if not kind.subjects:
        return "nothing but its data"
    names = ", ".join(f"`{name}`" for name in kind.subjects[:-1])
    said = f"{names} or `{kind.subjects[-1]}`" if names else f"`{kind.subjects[-1]}`"
    return f"{said}, or nothing" if kind.bare else said


def _kind(kind: Kind) -> Iterator[str]:
    yield f"\n## `{kind.name}`\n"
    yield f"{ENGLISH.say(kind.means).capitalize()}. About: {_about(kind)}.\n"
    if not kind.fields:
        return
    yield "| field | must be |\n|---|---|"
    for field in kind.fields:
        needed = " (needed)" if field.needed else ""
        yield f"| `{field.name}`{needed} | {described(field)} |"
    if kind.name == "corrected":
        yield (
            "| `replacement` | with incorrect_data: the keys of the events that are right, or a table of the "
            "fields that are |"
        )


def render() -> str:
    """The whole page."""
    return HEAD + "\n".join(line for kind in KINDS.values() for line in _kind(kind)) + "\n"


def main() -> int:
    """Write the page."""
    (DOCS / "events.md").write_text(render(), encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
