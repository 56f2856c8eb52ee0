"""The act of taking a table out: as CSV, XLSX or JSON, safe to open in a spreadsheet."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from pairwright.app.tables import View, outgoing, table_named, view_of

if TYPE_CHECKING:
    from pairwright.archive.out_sheets import Outgoing


def export_table(folder: Path, name: str, *, actor: str) -> Outgoing:
    """A table of a works, from its record or, before it has one, from its files.

    Parameters
    ----------
    folder : Path
        The works folder.
    name : str
        The table.
    actor : str
        Who asks, by id.
    """
    del actor  # a reading act
    from pairwright.app.opened import open_definition
    from pairwright.app.recording import first_events, has_record, open_floor
    from pairwright.floor import fold_all

    table = table_named(name, field="--table")
    if not has_record(folder):
        opened = open_definition(folder)
        return outgoing(table, View(fold_all(first_events(opened)), {}, opened.works.zone))
    with open_floor(folder, readonly=True) as floor:
        return outgoing(table, view_of(floor))
