"""How long a works keeps what it records; what is not stated is kept."""

from __future__ import annotations

from typing import TypeAlias

from pairwright.base.laws import Span
from pairwright.works.record import Record, quantity

Period: TypeAlias = quantity("s", Span(86_400.0, 3.2e9))  # type: ignore[valid-type]


class Keeping(Record):
    """Periods after which a person may carry out the removal (`pairwright keeping`).

    `names`: a person's name, from the last event that they recorded on. `photographs`: from the event
    that shows one. `records`: the other files that events refer to, such as curves and logs. The events
    themselves stay: they hold ids of people and no names.
    """

    names: Period | None = None
    photographs: Period | None = None
    records: Period | None = None
