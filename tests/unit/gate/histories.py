"""Histories of one pair through the gate: a whole one, and ways in which something is missing from it."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any, Final

from pairwright.floor import State, fold_all, read_event
from pairwright.floor.routes import Routes
from pairwright.gate import Asked
from pairwright.works import Works, load_works

WORKS_TEXT: Final = """
name = "Fernholm"
time_zone = "Europe/Amsterdam"
opening = 2027-03-01T06:00:00+01:00
climate = { temperature = "21 degC", humidity = "50 %" }

[calendars.day.week]
mon = ["06:00-14:00"]

[crews.makers]
people = 2
calendar = "day"
skills = ["pressing"]

[stations.press]
name = "Press"
calendar = "day"
crew = "makers"

[stations.bench]
name = "Bench"
calendar = "day"
crew = "makers"

[programmes.curve]
station = "press"
product = "tern"
part = "shell"
revision = "A"

[defects.speck]
name = "Speck"
allowed = { always = "0.3 mm" }
"""
TERN: Final = """
id = "tern"
name = "Tern"
kind = "pair"
handed = true
binding = "late"
root = "cabinet"

[options.ash]
name = "Ash"

[inspection.faces.front]
name = "Front"
width = "200 mm"
height = "900 mm"

[inspection.zones.top]
name = "Top"
face = "front"
corners = [["0 mm", "0 mm"], ["200 mm", "0 mm"], ["200 mm", "300 mm"]]

[shell]
name = "Shell"

[[shell.steps]]
id = "form"
kind = "finish"
stations = ["press"]
duration = "60 min"
skill = "pressing"

[cabinet]
name = "Cabinet"

[[cabinet.steps]]
id = "glue"
kind = "build"
stations = ["bench"]
duration = "20 min"
uses = ["shell"]
next_min = "2 h"

[[cabinet.steps]]
id = "coat"
kind = "finish"
stations = ["bench"]
duration = "30 min"

[[cabinet.steps]]
id = "check"
kind = "test"
stations = ["bench"]
duration = "10 min"
"""
WORKS: Final[Works] = load_works({"works.toml": WORKS_TEXT, "products/tern.toml": TERN})
ROUTES: Final = Routes(WORKS)
MORNING: Final = 1_804_230_000
MINUTE: Final = 60
SIDES: Final = ("left", "right")


@dataclass
class History:
    """Events that are still to be changed, and the verdicts of the machine curves."""

    events: list[dict[str, Any]] = field(default_factory=list)
    proofs: dict[tuple[str, str], str] = field(default_factory=dict)

    def add(self, kind: str, subject: str | None, minute: int, /, **data: Any) -> None:
        """An event some minutes into the morning; `subject` is written "item C-1"."""
        raw: dict[str, Any] = {
            "key": f"k{len(self.events)}-{kind}", "kind": kind, "actor": data.pop("actor", "p-1"),
            "event_time": datetime.fromtimestamp(MORNING + minute * MINUTE, UTC).isoformat(),
            "station": data.pop("station", "bench"), "data": data,
        }  # fmt: skip
        if subject is not None:
            kind_of, _, name = subject.partition(" ")
            raw[kind_of] = name
        self.events.append(raw)

    def find(self, kind: str, name: str | None = None, **data: Any) -> dict[str, Any]:
        """The event of a kind about a thing, with such data."""
        return next(
            e for e in self.events
            if e["kind"] == kind and (name is None or name in (e.get("item"), e.get("set")))
            and data.items() <= e["data"].items()
        )  # fmt: skip

    def asked(self) -> Asked:
        """The question to the gate."""
        state = fold_all([read_event(raw) for raw in self.events], State())
        one = state.set("T-1")
        if one is None:
            raise LookupError("no set")
        return Asked(ROUTES, state, one, self.proofs)


def whole() -> History:
    """A pair of which nothing is missing."""
    one = History()
    one.add("qualified", None, 0, person="p-1", skill="pressing", until="2027-12-31")
    one.add("registered", "item mic-1", 0, what="instrument")
    one.add("calibrated", None, 1, instrument="mic-1", good=True, until="2027-12-31")
    for side in SIDES:
        shell, cabinet = f"S-{side}", f"C-{side}"
        facts = {"product": "tern", "option": "ash", "set": "T-1", "side": side}
        one.add("registered", f"item {shell}", 2, part="shell", **facts)
        one.add("started", f"item {shell}", 5, step="form", programme="curve", station="press")
        one.add("finished", f"item {shell}", 65, step="form", programme="curve", station="press")
        one.proofs[shell, "form"] = "good"
        one.add("registered", f"item {cabinet}", 66, part="cabinet", **facts)
        one.add("started", f"item {cabinet}", 70, step="glue")
        one.add("finished", f"item {cabinet}", 90, step="glue", inputs=[{"item": shell}])
        one.add("started", f"item {cabinet}", 220, step="coat")
        one.add("finished", f"item {cabinet}", 250, step="coat")
    one.add("mated", "set T-1", 260, left="C-left", right="C-right")
    for side in SIDES:
        one.add("started", f"item C-{side}", 265, step="check")
        one.add("finished", f"item C-{side}", 275, step="check")
        one.add("measured", f"item C-{side}", 276, characteristic="level", value=87.0, instrument="mic-1",
                limit_revision="L3", verdict="good")  # fmt: skip
        one.add("inspected", f"item C-{side}", 280, zone="top", clear=True)
    return one


Damage = Callable[[History, str], str]  # answers the rule that must tell


def _dropped(one: History, side: str) -> str:
    started = one.find("started", f"C-{side}", step="coat")
    one.events.remove(started)
    one.events.remove(one.find("finished", f"C-{side}", step="coat"))
    return "steps"


def _no_shell(one: History, side: str) -> str:
    one.find("finished", f"C-{side}", step="glue")["data"].pop("inputs")
    return "parts"


def _unqualified(one: History, side: str) -> str:
    for kind in ("started", "finished"):
        one.find(kind, f"S-{side}", step="form")["actor"] = "p-2"
    return "qualified"


def _other_programme(one: History, side: str) -> str:
    for kind in ("started", "finished"):
        one.find(kind, f"S-{side}", step="form")["data"].pop("programme")
    return "programmes"


def _bad(one: History, side: str) -> str:
    one.find("measured", f"C-{side}")["data"]["verdict"] = "bad"
    return "verdicts"


def _not_proven(one: History, side: str) -> str:
    one.find("measured", f"C-{side}")["data"].pop("verdict")
    return "verdicts"


def _uncalibrated(one: History, side: str) -> str:
    one.find("measured", f"C-{side}")["data"]["instrument"] = "mic-2"
    return "instruments"


def _run_out(one: History, side: str) -> str:
    one.find("calibrated")["data"]["until"] = "2027-02-01"
    return "instruments"


def _not_looked_at(one: History, side: str) -> str:
    one.events.remove(one.find("inspected", f"C-{side}"))
    return "inspected"


def _speck(one: History, side: str) -> str:
    looked = one.find("inspected", f"C-{side}")
    looked["data"] = {"zone": "top", "defect": "speck", "size": 0.002}
    return "inspected"


def _held(one: History, side: str) -> str:
    one.add("held", f"item S-{side}", 300, reason="glue in doubt")
    return "held"


def _reported(one: History, side: str) -> str:
    one.add("reported", f"item C-{side}", 300, text="a dent", nonconformance=f"N-{side}")
    return "whole"


def _unmated(one: History, side: str) -> str:
    one.events.remove(one.find("mated"))
    return "whole"


def _unproven(one: History, side: str) -> str:
    one.proofs[f"S-{side}", "form"] = "not proven"
    return "cures"


def _hurried(one: History, side: str) -> str:
    for kind, minute in (("started", 150), ("finished", 170)):
        event = one.find(kind, f"C-{side}", step="coat")
        event["event_time"] = datetime.fromtimestamp(MORNING + minute * MINUTE, UTC).isoformat()
    return "waits"


DAMAGES: Final[tuple[Damage, ...]] = (
    _dropped, _no_shell, _unqualified, _other_programme, _bad, _not_proven, _uncalibrated, _run_out,
    _not_looked_at, _speck, _held, _reported, _unmated, _unproven, _hurried,
)  # fmt: skip
OF_SHELL: Final = ("_unqualified", "_other_programme", "_held", "_unproven")
CLASHES: Final = (
    {"_dropped", "_hurried"}, {"_bad", "_not_proven"}, {"_not_looked_at", "_speck"}, {"_uncalibrated", "_run_out"},
    *({"_no_shell", name} for name in OF_SHELL),  # a shell that nobody has put in is not asked about
)  # fmt: skip


def damaged(rng: random.Random) -> tuple[History, set[str]]:
    """A history with none to four things wrong, and the rules that must tell."""
    one = whole()
    chosen: list[Damage] = []
    for damage in rng.sample(DAMAGES, rng.choice((0, 1, 1, 2, 3, 4))):
        names = {d.__name__ for d in (*chosen, damage)}
        if not any(clash <= names for clash in CLASHES):
            chosen.append(damage)
    wanted = {damage(one, rng.choice(SIDES)) for damage in chosen}
    if "_unmated" in {d.__name__ for d in chosen}:
        wanted &= {"whole"}  # without mates there are no halves to ask about
    return one, wanted
