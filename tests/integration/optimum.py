"""The optimum of a works without setups, by a constraint solver: a second opinion for tests only.

It reads the works' own records and shares nothing with the plan. It knows what the plant uses: shifts
that manned work stays within, alike places, charges that start on the hour, least and longest waits,
parts, halves, steps done for the pair. It refuses what it does not know.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

from pairwright.app.opened import Opened
from pairwright.works import Order
from pairwright.works.factory import WEEKDAYS, Station
from pairwright.works.product import Step


@dataclass(frozen=True)
class Optimum:
    """What the solver says, in seconds: the best value that it found, and below what nothing can be."""

    value: float
    bound: float

    @property
    def proven(self) -> bool:
        return self.value <= self.bound + 1e-6


@dataclass
class Shop:
    """A model under way. Times are minutes from the start of the plan."""

    opened: Opened
    model: Any
    horizon: int
    minutes: dict[tuple[str, str, str, str], int]
    busy: dict[str, list[Any]] = field(default_factory=dict)

    def starts(self, station: Station, minutes: int) -> list[list[int]]:
        """Intervals of allowed starts, both ends included."""
        calendar = self.opened.works.factory.calendars[station.calendar]
        if calendar.always:
            return [[0, self.horizon]]
        if calendar.exceptions or station.maintenance or station.setup or station.crew:
            raise NotImplementedError(station.name)
        first = datetime.fromtimestamp(self.opened.now(), UTC)
        found = []
        for day in range(self.horizon // 1440):
            midnight = datetime(first.year, first.month, first.day, tzinfo=UTC) + timedelta(days=day)
            begin = int((midnight - first).total_seconds()) // 60
            for hours in calendar.week.get(WEEKDAYS[midnight.weekday()], ()):  # type: ignore[call-overload]
                last = hours.end - minutes if station.manned else hours.end - 1
                if begin + last >= 0 and last >= hours.start:
                    found.append([max(0, begin + hours.start), begin + last])
        return found

    def add(self, order: Order, part: str, step: Step) -> tuple[Any, Any]:
        """Start and end of one operation."""
        if len(step.stations) != 1 or step.load != 1 or step.takes or step.buffer or step.keeps_place:
            raise NotImplementedError(step.id)
        name = step.stations[0].station
        station = self.opened.works.factory.stations[name]
        minutes = self.minutes[order.option, part, step.id, name]
        start = self.model.new_int_var_from_domain(_domain(self.starts(station, minutes)), "")
        self.busy.setdefault(name, []).append(self.model.new_fixed_size_interval_var(start, minutes, ""))
        return start, start + minutes

    def follow(self, before: Step, end: Any, start: Any) -> None:
        """The waits between a step and the next one."""
        self.model.add(start >= end + _up(before.next_min))
        if before.next_max is not None:
            self.model.add(start <= end + int(before.next_max // 60))


def _domain(intervals: list[list[int]]) -> Any:
    from ortools.sat.python import cp_model

    return cp_model.Domain.from_intervals(intervals)


def _up(seconds: float) -> int:
    return -int(-seconds // 60)


def _route(shop: Shop, order: Order, part: str, side: str, shared: dict[str, tuple[Any, Any]]) -> Any:
    """Place a part's steps, and before them the parts that they use; answers the last end."""
    product = shop.opened.works.variants[order.product, order.option]
    before: Step | None = None
    end: Any = 0
    for step in product.route(part):
        if step.together and step.id in shared:
            start, later = shared[step.id]
        else:
            start, later = shop.add(order, part, step)
            if step.together:
                shared[step.id] = (start, later)
        if before is not None:
            shop.follow(before, end, start)
        for used in step.uses:
            last = product.route(used)[-1]
            shop.follow(last, _route(shop, order, used, side, shared), start)
        before, end = step, later
    return end


def optimum(opened: Opened, *, objective: str, days: int, seconds: float) -> Optimum:
    """The least makespan, or the least weighted lateness.

    Parameters
    ----------
    opened : Opened
        A works that the model knows; anything else is refused.
    objective : str
        ``service`` (its first part only) or ``makespan``. [-]
    days : int
        Within how many days the best plan must end: long enough, or there is no answer. [-]
    seconds : float
        How long the solver may take. [s]
    """
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    minutes = {(t.option, t.part, t.step, t.station or ""): _up(t.likely) for t in opened.times}
    shop = Shop(opened, model, 1440 * days, minutes)
    ends: list[tuple[Order, Any]] = []
    for order in opened.book.orders:
        for _ in range(order.quantity):
            product = opened.works.variants[order.product, order.option]
            shared: dict[str, tuple[Any, Any]] = {}
            ends += [
                (order, _route(shop, order, product.root, side or "", shared)) for side in product.sides()
            ]
    for name, intervals in shop.busy.items():
        station = opened.works.factory.stations[name]
        places = int(station.capacity) if station.kind == "batch" else station.places
        model.add_cumulative(intervals, [1] * len(intervals), places)
    _aim(shop, ends, objective)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 2
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        raise RuntimeError(solver.status_name(status))
    return Optimum(60 * solver.objective_value, 60 * solver.best_objective_bound)


def _aim(shop: Shop, ends: list[tuple[Order, Any]], objective: str) -> None:
    """Minimise the last end, or weight times lateness over all orders; in minutes."""
    model = shop.model
    if objective == "makespan":
        last = model.new_int_var(0, shop.horizon, "")
        for _, end in ends:
            model.add(last >= end)
        model.minimize(last)
        return
    late: dict[str, Any] = {}
    for order, end in ends:
        if order.id not in late:
            late[order.id] = model.new_int_var(0, shop.horizon, "")
        model.add(late[order.id] >= end - _due(shop.opened, order))
    model.minimize(sum(int(o.weight) * late[o.id] for o in shop.opened.book.orders))


def _due(opened: Opened, order: Order) -> int:
    """The end of the shift on the due day. [min]"""
    first = datetime.fromtimestamp(opened.now(), UTC)
    day = datetime(order.due.year, order.due.month, order.due.day, tzinfo=UTC)
    week = [c.week for c in opened.works.factory.calendars.values() if not c.always]
    last = max(h.end for w in week for h in w.get(WEEKDAYS[day.weekday()], ()))  # type: ignore[call-overload]
    return int((day - first).total_seconds()) // 60 + last
