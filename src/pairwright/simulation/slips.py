"""Wrong scans on a simulated floor: each is refused, and leaves nothing but the refusal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from pairwright.simulation.hidden import Hidden, Luck
from pairwright.simulation.lives import Life
from pairwright.simulation.moments import Diary, Rank
from pairwright.simulation.people import Cast
from pairwright.works import Works

if TYPE_CHECKING:
    from pairwright.plan.schedule import Operation

KINDS: Final = ("code_unknown", "wrong_station", "not_qualified", "programme_out_of_date")


class Slips:
    """Acts that are tried before the right one."""

    def __init__(self, works: Works, diary: Diary, *, hidden: Hidden, cast: Cast) -> None:
        self._works, self._diary, self._hidden, self._cast = works, diary, hidden, cast
        self._luck = Luck(hidden.seed, "slips")

    def before(self, life: Life, one: Operation, *, scanned: Sequence[str], person: str) -> None:
        """Now and then somebody scans something wrong before a step begins."""
        name = f"{life.id} {one.step} {one.start}"
        if not self._luck.happens(name, self._hidden.wrong_scan):
            return
        kind = KINDS[int(self._luck.share(f"{name} kind") * len(KINDS))]
        if kind == "wrong_station" and self._elsewhere(life, one) is None:
            kind = "code_unknown"
        step = self._works.variants[life.product, life.option].parts[life.part].steps[one.index]
        stranger = self._cast.stranger(step, at=one.start)
        if kind == "not_qualified" and stranger is None:
            kind = "code_unknown"
        if kind == "programme_out_of_date" and step.programme is None:
            kind = "code_unknown"
        actor, station, data = person, str(one.station), {}
        if kind == "code_unknown":
            scanned = (f"{life.id}-torn",)
        elif kind == "wrong_station":
            station = self._elsewhere(life, one) or station
        elif kind == "not_qualified":
            actor = stranger or person
        else:
            data = {"programme": str(step.programme), "revision": "old"}
        self._diary.act(one.start, Rank.BEFORE, name="start", actor=actor, scanned=scanned, station=station,
                        data=data, expects=kind)  # fmt: skip

    def _elsewhere(self, life: Life, one: Operation) -> str | None:
        """A station at which the step is not done."""
        step = self._works.variants[life.product, life.option].parts[life.part].steps[one.index]
        mine = {way.station for way in step.stations}
        others = [name for name in self._works.factory.stations if name not in mine]
        return others[one.start // 60 % len(others)] if others else None
