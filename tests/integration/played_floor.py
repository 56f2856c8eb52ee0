"""The sample works in the middle of a morning: a record played so far that everything can go wrong."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

from pairwright import sample
from pairwright.app.recording import Floor, open_floor
from pairwright.app.stationing import Act, Begun, Done, Refusal, act
from pairwright.archive import write_folder
from pairwright.base.time import DAY, HOUR, MINUTE, iso, parse_instant

ORDERS = """order,product,option,quantity,due
A1,alder,walnut,2,2027-05-28
B1,sorrel,ink,3,2027-05-28
C1,tansy,slate,1,2027-05-28
"""
NOW = "2027-04-20T10:00:00+02:00"


class Morning:
    """A floor with a clock that stands still, and short ways to play and to act."""

    def __init__(self, folder: Path) -> None:
        texts = sample.layout(pairs=24, start=date(2027, 3, 1), seed=1)
        write_folder(folder, {**texts, "orders.csv": ORDERS})
        self.now = parse_instant(NOW)
        self.floor: Floor = open_floor(folder, clock=lambda: self.now)
        self._keys = itertools.count(1)
        self._told: list[dict[str, Any]] = []
        self._early = True

    @property
    def works(self) -> Any:
        return self.floor.opened.works

    # what happened before

    def tell(self, kind: str, subject: str | None = None, /, *, ago: float = DAY, **more: Any) -> str:
        """An event of the past, as it was recorded then."""
        key = more.pop("key", None) or f"before-{next(self._keys)}"
        raw: dict[str, Any] = {
            "key": key,
            "kind": kind,
            "event_time": iso(int(self.now - ago), self.works.zone),
            "actor": more.pop("actor", "P1"),
            "data": {name: value for name, value in more.items() if name != "station" and value is not None},
        }
        if "station" in more:
            raw["station"] = more["station"]
        if subject is not None:
            kind_of, _, name = subject.partition(" ")
            raw[kind_of] = name
        self._told.append(raw)
        if not self._early:
            self.play()
        return key

    def play(self) -> None:
        """Record what was told, in order, at once."""
        self.floor.append(self.floor.read(self._told))
        self._told.clear()
        self._early = False

    def made(self, name: str, of: str, /, *, upto: str | None = None, ago: float = DAY, **facts: Any) -> None:
        """An item (`of` is "product option part") with its route done up to a step, ended so long ago."""
        product, option, part = of.split()
        self.tell(
            "registered",
            f"item {name}",
            product=product,
            option=option,
            part=part,
            ago=ago + 90 * DAY,
            **facts,
        )
        steps = [
            s for s in self.works.variants[product, option].parts[part].steps if s.stations and not s.together
        ]
        if upto == "":
            return
        if upto is not None:
            steps = steps[: [s.id for s in steps].index(upto) + 1]
        for number, step in enumerate(steps):
            before = ago + (len(steps) - 1 - number) * DAY
            self.tell("finished", f"item {name}", step=step.id, station=step.stations[0].station, ago=before)

    def under(self, name: str, step: str, station: str, /, *, ago: float = HOUR, **more: Any) -> None:
        """A step that has begun."""
        kind, _, _ = name.partition(" ")
        self.tell("started", name if kind in ("item", "set") else f"item {name}", step=step, station=station,
                  ago=ago, **more)  # fmt: skip

    # what is tried now

    def act(
        self, name: str, /, *scanned: str, at: str | None = None, person: str = "P1", step: str | None = None,
        key: str | None = None, **data: Any,
    ) -> Done | Refusal:  # fmt: skip
        if "whom" in data:
            data["person"] = data.pop("whom")
        wanted = Act(name, key or f"act-{next(self._keys)}", person, at, scanned, step, data=data)
        return act(self.floor, wanted, now=self.now)

    def begin(
        self, *scanned: str, at: str | None = None, person: str = "P1", step: str | None = None
    ) -> Done | Refusal:
        fresh = Begun("sorrel", "ink", "shell", order="B1")
        wanted = Act("start", f"act-{next(self._keys)}", person, at, scanned, step, begun=fresh)
        return act(self.floor, wanted, now=self.now)

    def things(self) -> Mapping[str, Any]:
        """Every thing as it is, but for the count of the last event that named it."""
        from pairwright.floor.things import after

        with self.floor.looking() as state:
            return {one.id: after(one, last=0) for one in state.things()}

    def head(self) -> int:
        return self.floor.record.head().sequence


def morning(folder: Path) -> Morning:
    """The played record: who is where is told by the names of the items."""
    day = Morning(folder)
    _people_and_tools(day)
    _lots(day)
    _alder(day)
    _sorrel(day)
    _parts(day)
    day.play()
    return day


def _people_and_tools(day: Morning) -> None:
    day.tell("qualified", person="P1", skill="sanding", until="2027-12-31")
    day.tell("qualified", person="P2", skill="sanding", until="2027-04-19")
    day.tell("qualified", person="P1", skill="lacquering")
    day.tell("qualified", person="P3", skill="lacquering", ago=30 * DAY)
    day.tell("qualified", person="P3", skill="lacquering", withdrawn=True)
    day.tell("qualified", person="P9", skill="deciding")
    day.tell("registered", "item mic-1", what="instrument")
    day.tell("registered", "item mic-2", what="instrument")
    day.tell("registered", "item mic-3", what="instrument")
    day.tell("calibrated", instrument="mic-1", good=True, until="2027-12-01")
    day.tell("calibrated", instrument="mic-2", good=True, until="2027-04-01", ago=60 * DAY)
    day.tell("calibrated", instrument="mic-3", good=False)
    day.tell("registered", "item clamp-1", what="carrier")
    day.tell("registered", "item clamp-2", what="carrier")


def _lots(day: Morning) -> None:
    for name, material, quantity, unit, more in (
        ("JG-1", "joint-glue", 5.0, "kg", {"expiry": "2027-12-31"}),
        ("JG-OLD", "joint-glue", 5.0, "kg", {"expiry": "2027-04-10"}),
        ("JG-END", "joint-glue", 0.001, "kg", {}),
        ("JG-HELD", "joint-glue", 5.0, "kg", {}),
        ("CS-1", "clear-satin", 20.0, "L", {"values": {"mixed": "2027-04-20T09:30:00+02:00"}}),
        ("CS-MIX", "clear-satin", 20.0, "L", {"values": {"mixed": "2027-04-19T09:30:00+02:00"}}),
        ("SL-1", "sealer", 20.0, "L", {}),
        ("UB-1", "unit-bond", 1.0, "kg", {}),
    ):
        day.tell("received", f"lot {name}", material=material, quantity=quantity, unit=unit, **more)
    day.tell("held", "lot JG-HELD", reason="lumps in the can")


def _alder(day: Morning) -> None:
    walnut = "alder walnut"
    for side, letter in (("left", "L"), ("right", "R")):
        facts = {"side": side, "set": "A1-1", "order": "A1"}
        day.made(f"SH-{letter}", f"{walnut} shell", ago=40 * DAY, **facts)
        day.made(f"BF-{letter}", f"{walnut} baffle", ago=40 * DAY, **facts)
        day.made(f"CAB-{letter}", f"{walnut} cabinet", upto="fill", ago=DAY, **facts)
    day.tell("mated", "set A1-1", left="CAB-L", right="CAB-R")
    for side, letter in (("left", "L"), ("right", "R")):
        facts = {"side": side, "set": "A1-2", "order": "A1"}
        day.made(f"SH2-{letter}", f"{walnut} shell", ago=6 * DAY, upto="press", **facts)
        day.made(f"BF2-{letter}", f"{walnut} baffle", ago=3 * DAY, **facts)
        day.made(f"CAB2-{letter}", f"{walnut} cabinet", upto="brace-clamp", ago=2 * DAY, **facts)
    day.made("SH-WET", f"{walnut} shell", ago=2 * HOUR, upto="press", side="left")
    day.made("CAB-OPEN", f"{walnut} cabinet", upto="front", ago=25 * MINUTE, side="left")
    day.made("CAB-SEAL", f"{walnut} cabinet", upto="seal", ago=5 * MINUTE, side="left")
    day.made("CAB-CLR", f"{walnut} cabinet", upto="denib", ago=DAY, side="left")
    day.made("CAB-LATE", f"{walnut} cabinet", upto="sand", ago=6 * DAY, side="left")
    day.made("CAB-SOFT", f"{walnut} cabinet", upto="clear-2-stove", ago=2 * DAY, side="left")


def _sorrel(day: Morning) -> None:
    ink = "sorrel ink"
    for letter in "abcd":
        day.made(f"S-{letter}", f"{ink} cabinet", upto="units", ago=DAY)
    day.tell("mated", "set B1-1", a="S-a", b="S-b")
    day.tell("mated", "set B1-2", a="S-c", b="S-d")
    day.made("S-e", f"{ink} cabinet", upto="clear-1", ago=40 * MINUTE)
    day.made("S-f", f"{ink} cabinet", upto="clear-1", ago=40 * MINUTE)
    day.tell("mated", "set B1-3", a="S-e", b="S-f")
    day.under("S-e", "clear-1-stove", "oven", ago=10 * MINUTE, batch="oven-1")
    day.made("S-i", f"{ink} cabinet", upto="clear-1", ago=3 * HOUR)
    day.made("S-j", f"{ink} cabinet", upto="colour-2-dry", ago=8 * HOUR)
    day.tell("mated", "set B1-4", a="S-i", b="S-j")
    day.made("S-g", f"{ink} cabinet", upto="units", ago=DAY)
    day.made("S-h", f"{ink} cabinet", upto="units", ago=DAY)
    day.tell("mated", "set B1-9", a="S-g", b="S-h")
    for step in ("measure", "look-over", "clean", "pack"):
        day.tell("finished", "set B1-9", step=step, ago=6 * HOUR)
    day.tell("measured", "set B1-9", characteristic="level", value=86.0, ago=5 * HOUR)
    day.tell("released", "set B1-9", dossier="d" * 64, ago=4 * HOUR)
    day.tell("shipped", "set B1-9", ago=3 * HOUR)
    day.made("S-scrap", f"{ink} cabinet", upto="sand", ago=DAY)
    day.tell("reported", "item S-scrap", text="split", nonconformance="N-1")
    day.tell("disposed", "item S-scrap", nonconformance="N-1", disposition="scrap", authority="P9")
    day.made("S-held", f"{ink} cabinet", upto="edges", ago=DAY)
    day.tell("held", "item S-held", reason="dent under the baffle")
    day.made("S-clamped", f"{ink} cabinet", upto="front", ago=20 * MINUTE)
    day.under("S-clamped", "front-clamp", "clamps", ago=15 * MINUTE)
    day.made("S-cell", f"{ink} cabinet", upto="edges", ago=DAY)
    day.under("S-cell", "sand", "sanding-cell", ago=10 * MINUTE, programme="sorrel-sanding")
    day.made("S-new", f"{ink} cabinet", upto="", ago=DAY)
    day.made("SH-ink", f"{ink} shell", ago=2 * DAY)
    day.made("BR-ink", f"{ink} bracing", ago=2 * DAY)


def _parts(day: Morning) -> None:
    day.made("W-ink", "sorrel ink woofer", ago=3 * DAY)
    day.made("W-green", "sorrel ink woofer", upto="close", ago=2 * HOUR)
    day.made("W-alder", "alder walnut woofer", ago=3 * DAY)
    day.made("CX-ink", "sorrel ink crossover", ago=3 * DAY)
    day.made("CX-chalk", "sorrel chalk crossover", ago=3 * DAY)
    day.made("S-join", "sorrel ink cabinet", upto="network", ago=DAY)
    day.made("S-net", "sorrel ink cabinet", upto="inspect", ago=DAY)
    day.made("S-bare", "sorrel ink cabinet", upto="inspect", ago=DAY)
    day.under("S-bare", "network", "assembly", ago=HOUR)
    day.made("BF-USED", "alder walnut baffle", ago=3 * DAY, side="left")
    day.made("CAB-BF", "alder walnut cabinet", upto="brace-clamp", ago=DAY, side="left")
    day.tell("finished", "item CAB-BF", step="front", ago=HOUR, inputs=[{"item": "BF-USED"}])
    day.made("CAB-front", "alder walnut cabinet", upto="brace-clamp", ago=DAY, side="left", set="A1-2")
    day.under("S-new", "brace", "opening-fixture", ago=10 * MINUTE, carrier="clamp-1")
    for number in range(1, 25):
        day.tell("registered", f"item R-{number}", product="sorrel", option="chalk", part="shell")
        day.tell("moved", f"item R-{number}", buffer="conditioning")
