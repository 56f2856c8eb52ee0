"""Simulated people: ids only, a crew each, away now and then."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Final

from pairwright.base.time import local_date
from pairwright.works import Works

if TYPE_CHECKING:
    from pairwright.simulation.course import Away
    from pairwright.works.product import Step

LEAD: Final = "sim-lead"  # who decides what becomes of what does not conform
STORES: Final = "sim-stores"  # who takes goods in
DECIDING: Final = "deciding"


class Cast:
    """Who does what: the people of each crew, all marked as simulated by their ids.

    Parameters
    ----------
    works : Works
        The works.
    away : tuple[Away, ...]
        Who is away when: one of the crew, the last of its people.
    """

    def __init__(self, works: Works, away: tuple[Away, ...]) -> None:
        self._works = works
        self._crews = {
            name: [f"sim-{name}-{n + 1}" for n in range(crew.people)]
            for name, crew in works.factory.crews.items()
        }
        self._away: dict[str, list[tuple[date, date]]] = {}
        for one in away:
            self._away.setdefault(one.crew, []).append((one.first, one.last))

    def people(self) -> list[str]:
        """Every id."""
        return [LEAD, STORES, *(person for crew in self._crews.values() for person in crew)]

    def skills(self) -> list[tuple[str, str]]:
        """Who may do what: a crew's skills, and those of the steps at its stations."""
        found: dict[tuple[str, str], None] = {(LEAD, DECIDING): None}
        for name, crew in self._works.factory.crews.items():
            for person in self._crews[name]:
                for skill in (*crew.skills, *self._skills_at(name)):
                    found[person, skill] = None
        return list(found)

    def _skills_at(self, crew: str) -> list[str]:
        stations = self._works.factory.stations
        found: dict[str, None] = {}
        for product in self._works.variants.values():
            for part in product.parts.values():
                for step in part.steps:
                    if step.skill is not None and crew in _crews(step, stations):
                        found[step.skill] = None
        return list(found)

    def who(self, crew: str | None, *, unit: int, at: int) -> str:
        """The person of a crew at a place; whoever is there when that one is away."""
        names = self._crews.get(crew or "") or [LEAD]
        name = names[unit % len(names)]
        return names[0] if name == names[-1] and self.is_away(crew, at) else name

    def is_away(self, crew: str | None, at: int) -> bool:
        """Whether one of a crew is away on a day."""
        spells = self._away.get(crew or "", ())
        day = local_date(at, self._works.zone) if spells else None
        return any(first <= day <= last for first, last in spells if day is not None)

    def stranger(self, step: Step, *, at: int) -> str | None:
        """Somebody who may not do a step, or None where anybody may."""
        able = {person for person, skill in self.skills() if skill == step.skill}
        others = [p for crew in self._crews.values() for p in crew if p not in able]
        return others[at % len(others)] if step.skill is not None and able and others else None


def _crews(step: Step, stations: object) -> set[str]:
    known = dict(stations) if isinstance(stations, dict) else {}
    return {step.crew} if step.crew is not None else {
        known[one.station].crew for one in step.stations if known[one.station].crew is not None
    }  # fmt: skip
