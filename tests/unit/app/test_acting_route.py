"""Whoever does everything right is never refused: whole pairs made through the acts, from press to packing."""

from __future__ import annotations

import itertools
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from pairwright import sample
from pairwright.app.recording import open_floor
from pairwright.app.stationing import Act, Begun, Done, act
from pairwright.app.stationing_routes import routes_of
from pairwright.archive import write_folder
from pairwright.base.time import iso
from pairwright.floor.routes import Place
from pairwright.works.product import Step

ORDERS = "order,product,option,quantity,due\nA1,alder,walnut,1,2027-06-30\nB1,sorrel,ink,1,2027-06-30\n"


class Works:
    """A floor on which somebody makes things and takes the time that they need."""

    def __init__(self, folder: Path) -> None:
        write_folder(folder, {**sample.layout(pairs=4, start=date(2027, 3, 1), seed=1), "orders.csv": ORDERS})
        self.now = 1_803_880_800  # 2027-03-01 07:00 local
        self.floor = open_floor(folder, clock=lambda: self.now)
        self.routes = routes_of(self.floor.opened)
        self.keys = itertools.count(1)
        self.lots: dict[str, str] = {}

    def act(
        self, name: str, *scans: str, at: str | None = None, begun: Begun | None = None, **data: Any
    ) -> None:
        done = act(
            self.floor,
            Act(name, f"k-{next(self.keys)}", "P1", at, scans, data=data, begun=begun),
            now=self.now,
        )
        assert isinstance(done, Done), f"{name} {scans} at {at}: {done.codes} {done.says}"

    def lot(self, material: str) -> str:
        """A fresh lot with plenty in it."""
        if material not in self.lots:
            self.lots[material] = f"LOT-{material}"
            unit = self.floor.opened.works.materials[material].unit
            raw = {
                "key": f"lot-{material}", "kind": "received", "actor": "P1", "lot": self.lots[material],
                "event_time": iso(self.now, self.floor.opened.works.zone),
                "data": {"material": material, "quantity": 10_000, "unit": unit},
            }  # fmt: skip
            self.floor.append(self.floor.read(raw))
        return self.lots[material]

    def make(self, pieces: dict[str, tuple[Begun, dict[str, list[str]]]]) -> None:
        """Pieces of one kind through their route side by side, as mates go; what goes in is scanned at the start."""
        what = next(iter(pieces.values()))[0]
        product = self.routes.works.variants[what.product, what.option or ""]
        steps = product.parts[what.part].steps
        for step in steps:
            if step.together:
                return
            place = (product.id, product.option, what.part, step.id)
            if not step.stations:
                self.now += int(self.routes.least.get(place, 0.0)) + 60
                continue
            self.step(pieces, step, place=place, first=step is steps[0])

    def step(
        self, pieces: dict[str, tuple[Begun, dict[str, list[str]]]], step: Step, *, place: Place, first: bool
    ) -> None:
        station = step.stations[0].station
        lots = [self.lot(material) for material in self.routes.needs.get(place, {})]
        one_by_one = self.routes.works.factory.stations[station].places == 1
        batch = self.routes.works.factory.stations[station].kind == "batch"
        for label, (what, parts) in pieces.items():
            inside = [name for used in step.uses for name in parts.get(used, ())]
            self.act("start", label, *inside, *lots, at=station, begun=what if first else None)
            if one_by_one and not batch:
                self.now += int(self.routes.least.get(place, 120.0)) + 30
                self.act("finish", label, at=station)
        if batch or not one_by_one:
            self.now += int(self.routes.least.get(place, 120.0)) + 30
            for label in pieces:
                self.act("finish", label, at=station)
        self.now += int(step.next_min) + 30


@pytest.fixture
def works(tmp_path: Path) -> Works:
    return Works(tmp_path)


@pytest.mark.parametrize(("product", "option", "order"), [("sorrel", "ink", "B1"), ("alder", "walnut", "A1")])
def test_a_pair_is_made_from_press_to_packing_without_a_refusal(
    works: Works, product: str, option: str, order: str
) -> None:
    variant = works.routes.works.variants[product, option]
    name, root = f"{order}-1", variant.root
    parts: dict[str, dict[str, list[str]]] = {side: {} for side in variant.sides() if side is not None}
    for part, record in variant.parts.items():
        for number in range(record.quantity if record.steps and part not in (root, "kit") else 0):
            pieces = {f"{part}-{side}-{number}": side for side in parts}
            works.make(
                {label: (Begun(product, option, part, s, name, order), {}) for label, s in pieces.items()}
            )
            for label, side in pieces.items():
                parts[side].setdefault(part, []).append(label)
    halves = {
        f"cabinet-{side}": (Begun(product, option, root, side, name, order), parts[side]) for side in parts
    }
    works.make(halves)

    works.act("mate", *halves, set=name)
    together = [step for step in variant.parts[root].steps if step.together]
    for step in together:
        whole = {name: (Begun(product, option, root), dict[str, list[str]]())}
        works.step(whole, step, place=(product, option, root, step.id), first=False)
        if step.kind == "measure":
            works.act("measure", name, at="measuring-room", characteristic="level", value=86.2)
    raw = {"key": "rel", "kind": "released", "actor": "P9", "set": name, "data": {"dossier": "d" * 64},
           "event_time": iso(works.now, works.routes.works.zone)}  # fmt: skip
    works.floor.append(works.floor.read(raw))

    with works.floor.looking() as state:
        one = state.set(name)
        assert one is not None
        assert one.release is not None
        assert {done.step for done in one.done} == {step.id for step in together}
    assert not [e for e in works.floor.record.events() if e.event.kind == "refused"]
    works.floor.close()
