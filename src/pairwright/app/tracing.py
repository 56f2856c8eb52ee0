"""The act of asking what a thing is."""

from __future__ import annotations

import difflib
from typing import TYPE_CHECKING

from pairwright.base.codes import is_code, read_code
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text

if TYPE_CHECKING:
    from pairwright.app.recording import Floor
    from pairwright.archive.reading import Reading
    from pairwright.floor import Trace

LOOKED_AT = 2000  # names among which a similar one is looked for


def trace_thing(floor: Floor, name: str, *, actor: str) -> Trace:
    """What a thing is made of, where it was used, its history, the holds on it.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    name : str
        Id of the thing, or the code of its label as a scanner gives it.
    actor : str
        Who asks, by id.

    Raises
    ------
    InputError
        When the record does not know it; what is written alike is named.
    RefusedError
        When it is the code of a label, and damaged.
    """
    del actor  # a reading act
    if is_code(name):
        name = read_code(name).id
    with floor.record.reading() as reading:
        found = reading.trace(name)
        if found is None:
            raise InputError(_unknown(reading, name))
        return found


def _unknown(reading: Reading, name: str) -> Problem:
    alike = [] if len(name) > 80 else _alike(reading, name)
    do = text("did you mean {names}?", names=", ".join(alike)) if alike else text("scan the label again")
    return Problem("command line", "ID", text("the id of a thing in the record"), shown(name), do)


def _alike(reading: Reading, name: str) -> list[str]:
    same = reading.state().alike(name)
    if same is not None:
        return [same]
    near = [one.id for one in reading.things(after=name[:3], limit=LOOKED_AT)]
    return difflib.get_close_matches(name, near, n=3, cutoff=0.7)
