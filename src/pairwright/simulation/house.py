"""What happens on a simulated floor beside the pieces: people, instruments, goods, climate, orders."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import Final

from pairwright.base.time import DAY, HOUR, local_date
from pairwright.simulation.hidden import Luck
from pairwright.simulation.lots import CHECK, Bought, Stores
from pairwright.simulation.moments import Diary, Rank
from pairwright.simulation.people import LEAD, STORES, Cast
from pairwright.simulation.values import INSTRUMENTS, Truth
from pairwright.works import Works
from pairwright.works.orders import Order

CALIBRATED_FOR: Final = 180  # days
CHECKED_BEFORE: Final = 10  # days before a calibration runs out
CLIMATE: Final = "sim-climate"
LOOKED_AT: Final[Mapping[str, tuple[str, ...]]] = {
    "veneer": ("moisture", "thickness"), "leaf": ("moisture",), "coating": ("viscosity",),
}  # fmt: skip


class House:
    """Writes what is nobody's piece."""

    def __init__(self, works: Works, diary: Diary, *, cast: Cast, truth: Truth, seed: int) -> None:
        self._works, self._diary, self._cast, self._truth = works, diary, cast, truth
        self._luck = Luck(seed, "house")

    def opens(self, at: int) -> None:
        """Carriers, instruments and people are made known."""
        event = self._diary.event
        for name, carrier in self._works.factory.carriers.items():
            for number in range(carrier.count):
                event(at, Rank.BOOK, kind="registered", actor=LEAD, subject=("item", f"{name}-{number + 1}"),
                      data={"what": "carrier"})  # fmt: skip
        for name in INSTRUMENTS:
            event(at, Rank.BOOK, kind="registered", actor=LEAD, subject=("item", name),
                  data={"what": "instrument"})  # fmt: skip
        for person, skill in self._cast.skills():
            event(at, Rank.BOOK, kind="qualified", actor=LEAD, data={"person": person, "skill": skill})

    def calibrations(self, begin: int, until: int) -> None:
        """Every instrument is checked before its calibration runs out."""
        for number, name in enumerate(INSTRUMENTS):
            at = begin
            while at < until:
                last = local_date(at, self._works.zone) + timedelta(days=CALIBRATED_FOR)
                self._diary.event(at, Rank.BOOK, kind="calibrated", actor=LEAD,
                                  data={"instrument": name, "good": True, "until": last.isoformat()})  # fmt: skip
                at += (CALIBRATED_FOR - CHECKED_BEFORE - number) * DAY

    def orders(self, orders: Iterable[Order], comes: Mapping[str, date], *, begin: int, until: int) -> None:
        """Invented orders come in."""
        for order in orders:
            if order.id not in comes:
                continue
            at = max(begin, self._at(comes[order.id], 9))
            if at < until:
                data = {
                    "order": order.id, "product": order.product, "option": order.option or None,
                    "quantity": order.quantity, "due": order.due.isoformat(), "weight": order.weight,
                    "released": None if order.released is None else order.released.isoformat(),
                    "customer": order.customer or None,
                }  # fmt: skip
                self._diary.event(at, Rank.BOOK, kind="ordered", actor=LEAD, data=data)

    def goods(self, stores: Stores, *, until: int) -> None:
        """Purchases, what comes of them, what is looked at, and lots that are used up."""
        for one in stores.bought:
            if one.ordered is not None and one.ordered < until:
                day = local_date(one.comes, self._works.zone)
                self._diary.event(one.ordered, Rank.BOOK, kind="purchased", actor=STORES, data={
                    "purchase": one.purchase, "material": one.material, "quantity": one.quantity,
                    "unit": one.unit, "arrives": day.isoformat(),
                })  # fmt: skip
            if one.comes < until:
                self._comes(one, until=until)
        for lot, at, unit in stores.leftovers:
            data = {"quantity": 0, "unit": unit, "reason": "what was left is too little to use"}
            self._diary.event(at, Rank.MOVE, kind="counted", actor=STORES, subject=("lot", lot), data=data)

    def _comes(self, one: Bought, *, until: int) -> None:
        subject = ("lot", one.lot)
        self._diary.event(one.comes, Rank.BOOK, kind="received", actor=STORES, subject=subject, data={
            "quantity": one.quantity, "unit": one.unit, "material": one.material, "purchase": one.purchase,
            "expiry": None if one.expiry is None else one.expiry.isoformat(),
        })  # fmt: skip
        if not one.checked:
            return
        self._diary.event(one.comes, Rank.BOOK, kind="held", actor=STORES, subject=subject,
                          data={"reason": "until somebody has looked at what came in"})  # fmt: skip
        at = one.comes + CHECK // 2
        if at >= until:
            return
        for name in self._looked_at(one.material):
            shown = self._truth.loose(
                one.lot, name, at=at, instrument="sim-cup" if name == "viscosity" else "sim-calliper"
            )
            self._diary.event(at, Rank.READING, kind="measured", actor=STORES, subject=subject,
                              data={"characteristic": name, "value": shown.value, "unit": shown.unit,
                                    "instrument": shown.instrument})  # fmt: skip
        self._diary.event(at, Rank.DECISION, kind="freed", actor=STORES, subject=subject,
                          data={"reason": "looked at and in order"})  # fmt: skip

    def _looked_at(self, material: str) -> tuple[str, ...]:
        kind = type(self._works.materials[material]).__name__.lower()
        return LOOKED_AT.get(kind, ())

    def days(self, begin: int, until: int) -> None:
        """Day by day: the climate of the rooms, and who is away."""
        climate = self._works.factory.climate
        day = local_date(begin, self._works.zone)
        stations = list(self._works.factory.stations)
        rooms = {self._works.factory.stations[name].area: name for name in reversed(stations)}
        while (at := self._at(day, 7)) < until:
            season = math.cos(2.0 * math.pi * (day.timetuple().tm_yday - 200) / 365.0)
            if at >= begin and day.isoweekday() <= 5:
                for room, station in sorted(rooms.items()):
                    name = f"{day} {room}"
                    warm = (
                        climate.temperature - 273.15 + 2.0 * season + 0.5 * self._luck.normal(f"{name} warm")
                    )
                    damp = 100.0 * climate.humidity + 9.0 * season + 3.0 * self._luck.normal(f"{name} damp")
                    self._read(at, station, "temperature", round(warm, 1), "degC")
                    self._read(at, station, "humidity", round(min(95.0, max(10.0, damp))), "%")
                self._who_is_away(at)
            day += timedelta(days=1)

    def _read(self, at: int, station: str, name: str, value: float, unit: str) -> None:
        data = {"characteristic": name, "value": value, "unit": unit, "instrument": CLIMATE}
        self._diary.event(at, Rank.READING, kind="measured", actor=LEAD, station=station, data=data)

    def _who_is_away(self, at: int) -> None:
        for name in self._works.factory.crews:
            if self._cast.is_away(name, at):
                self._diary.event(at + HOUR // 2, Rank.READING, kind="noted", actor=LEAD,
                                  data={"text": f"one of crew {name} is away today", "topic": "handover"})  # fmt: skip

    def _at(self, day: date, hour: int) -> int:
        return int(datetime(day.year, day.month, day.day, hour, tzinfo=self._works.zone).timestamp())
