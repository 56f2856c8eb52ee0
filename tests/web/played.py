"""A few hours on the floor of the sample works, played through the acts of a station."""

from __future__ import annotations

from pathlib import Path

from pairwright.app.acting import act
from pairwright.app.acting_case import Act, Begun
from pairwright.app.recording import Floor, open_floor
from pairwright.app.stationing import board
from pairwright.base.time import iso

NAMES = ("MH-0231L", "MH-0231R", "MH-0232L", "MH-0232R")
FINISHED = ("MH-0198L", "MH-0198R")
PEOPLE = {"P-14": "Ines Ottwald", "P-22": "Bram Kessel", "P-31": "Tova Lindqvar"}


class Play:
    """Acts in order, each with a key of its own."""

    def __init__(self, floor: Floor, at: int) -> None:
        self.floor = floor
        self.at = at
        self.count = 0

    def do(
        self, name: str, *codes: str, station: str, wait: int = 60, actor: str = "P-14", **more: object
    ) -> object:
        self.at += wait
        self.count += 1
        begun = more.pop("begun", None)
        step = more.pop("step", None)
        wanted = Act(
            name,
            f"play-{self.count}",
            actor,
            station,
            codes,
            step,
            self.at,
            dict(more),
            begun,  # type: ignore[arg-type]
        )
        return act(self.floor, wanted, now=self.at)


def play(folder: Path) -> dict[str, str]:
    """Play it; answers names of what it made, and the key of an act that was refused."""
    with open_floor(folder) as floor:
        now = floor.now()
        found = Play(floor, now)
        _people(floor, now)
        rows = [one for one in board(floor, "hot-press", now=now, most=60).next if one.product == "alder"]
        for row, name in zip(rows[:4], NAMES, strict=False):
            begun = Begun(row.product, row.option, row.part, row.side, row.set, row.order)
            found.do("start", name, station="hot-press", begun=begun, wait=300)
            if name != NAMES[3]:
                found.do("finish", name, station="hot-press", wait=2400)
        refused = found.do("start", NAMES[0], station="trim-machine", actor="P-22")
        found.do(
            "measure", NAMES[0], station="trim-machine", characteristic="moisture", value=0.072, unit="-"
        )
        found.do(
            "problem", NAMES[2], station="trim-machine", text="veneer split at the lower edge, 30 mm long"
        )
        _finished_pair(floor, found.at)
        look = _looking(floor)
        found.do("inspect", FINISHED[0], station=look, zone="front", clear=True)
        found.do("inspect", FINISHED[0], station=look, zone="outer-side", defect=_defect(floor), size=0.004)
        with floor.record.reading() as reading:
            lot = next(one.id for one in reading.things("lot") if one.material)
        found.do(
            "hold", lot, station="glue-bench", actor="P-31", reason="delivered warm, certificate missing"
        )
        found.do(
            "note",
            station="hot-press",
            topic="handover",
            text="the left platen runs 2 K warm, watch it",
        )
        found.do(
            "assign",
            station="hot-press",
            person="P-22",
            by="2027-03-03",
            text="ask for the certificate",
        )
        return {
            "left": NAMES[0], "right": NAMES[1], "troubled": NAMES[2], "in_work": NAMES[3], "lot": lot,
            "finished": FINISHED[0], "look": look, "refused": getattr(refused, "key", "").removesuffix(".refused"),
        }  # fmt: skip


def _people(floor: Floor, now: int) -> None:
    for person in PEOPLE:
        floor.append(
            floor.read(
                {"key": f"play-{person}", "kind": "qualified", "event_time": iso(now, floor.opened.works.zone),
                 "actor": "P-31", "data": {"person": person, "skill": "pressing"}}
            )
        )  # fmt: skip
    floor.record.set_names(PEOPLE)


def _finished_pair(floor: Floor, at: int) -> None:
    """A pair that was made before the record began."""
    product = floor.opened.works.variants["alder", "oak"]
    when = {"event_time": iso(at, floor.opened.works.zone), "actor": "P-31"}
    raws: list[dict[str, object]] = [
        {"key": f"play-{name}", "kind": "registered", "item": name, **when,
         "data": {"product": "alder", "option": "oak", "part": product.root, "side": side, "set": "M000-1"}}
        for name, side in zip(FINISHED, ("left", "right"), strict=True)
    ]  # fmt: skip
    raws.append({"key": "play-mated", "kind": "mated", "set": "M000-1", **when,
                 "data": dict(zip(("left", "right"), FINISHED, strict=True))})  # fmt: skip
    floor.append(floor.read(raws))


def _defect(floor: Floor) -> str:
    return next(iter(floor.opened.works.factory.defects))


def _looking(floor: Floor) -> str:
    """The station where finished halves are looked over."""
    return next(
        name for name, one in floor.opened.works.factory.stations.items() if "inspect" in one.name.lower()
    )
