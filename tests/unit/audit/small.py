"""A small works with every kind of constraint, and one plan of it made by hand."""

from __future__ import annotations

from typing import Any

from pairwright.base.words import text
from pairwright.works import Book, Works, load_book, load_works
from pairwright.works.steptime import StepTime

WORKS = """
name = "Fernholm"
time_zone = "Europe/Amsterdam"
opening = 2027-03-01T06:00:00+01:00
climate = { temperature = "21 degC", humidity = "50 %" }

[calendars.day.week]
mon = ["06:00-10:00", "10:15-14:00"]
tue = ["06:00-10:00", "10:15-14:00"]
wed = ["06:00-10:00", "10:15-14:00"]
thu = ["06:00-10:00", "10:15-14:00"]
fri = ["06:00-10:00", "10:15-14:00"]

[crews.makers]
people = 2
calendar = "day"
skills = ["pressing", "gluing"]

[stations.press]
name = "Press"
calendar = "day"
crew = "makers"
setup = { default = "30 min" }
maintenance = [{ start = 2027-03-02T10:15:00, length = "60 min", reason = "oil" }]

[stations.bench]
name = "Gluing bench"
kind = "parallel"
places = 2
calendar = "day"
crew = "makers"

[stations.clamps]
name = "Clamps"
kind = "parallel"
places = 2
manned = false
calendar = "day"

[stations.line]
name = "Drying line"
kind = "line"
places = 3
pitch = "10 min"
manned = false
calendar = "day"

[stations.oven]
name = "Oven"
kind = "batch"
capacity = 2
manned = false
calendar = "day"

[stations.packing]
name = "Packing"
calendar = "day"
crew = "makers"
area = "dispatch"

[buffers.rack]
name = "Resting rack"
places = 2

[carriers.trolley]
name = "Trolley"
count = 2

[transport]
default = "5 min"
"""

TERN = """
id = "tern"
name = "Tern"
kind = "pair"
handed = true
binding = "early"
root = "cabinet"
mates_within = "2 h"

[options.ash]
name = "Ash"

[shell]
name = "Shell"
leaf = true

[shell.layup]
plies = [{ veneer = "thin" }, { veneer = "thin", grain = "90 deg" }, { veneer = "thin" }]

[[shell.steps]]
id = "form"
kind = "finish"
stations = ["press"]
duration = "60 min"
setup = "curved"
skill = "pressing"

[cabinet]
name = "Cabinet"

[[cabinet.steps]]
id = "glue"
kind = "build"
stations = ["bench"]
duration = "20 min"
uses = ["shell"]
next_max = "10 min"
skill = "gluing"

[[cabinet.steps]]
id = "cure"
kind = "build"
stations = ["clamps"]
duration = "120 min"
keeps_place = true

[[cabinet.steps]]
id = "coat"
kind = "finish"
stations = ["line"]
duration = "30 min"
takes = "trolley"
next_min = "10 min"

[[cabinet.steps]]
id = "warm"
kind = "finish"
stations = ["oven"]
duration = "60 min"
mates = "same batch"
returns = "trolley"

[[cabinet.steps]]
id = "harden"
kind = "rest"
duration = "600 min"
buffer = "rack"

[[cabinet.steps]]
id = "pack"
kind = "pack"
stations = ["packing"]
duration = "30 min"
together = true
"""

WREN = """
id = "wren"
name = "Wren"
kind = "single"
binding = "none"
root = "body"

[options.oak]
name = "Oak"

[body]
name = "Body"

[[body.steps]]
id = "form"
kind = "finish"
stations = ["press"]
duration = "60 min"
setup = "flat"

[[body.steps]]
id = "pack"
kind = "pack"
stations = ["packing"]
duration = "30 min"
pause = true
"""

MATERIALS = """
[birch]
kind = "wood"
name = "Birch"
source = "from memory"
specific_gravity = 0.6
modulus_along = "14 GPa"
modulus_across = "0.7 GPa"
shear_modulus = "0.9 GPa"
movement_radial = "18 %"
movement_tangential = "24 %"
limit_strain = "0.9 %"
elastic_strain = "0.5 %"
transverse_strength = "2 MPa"

[thin]
kind = "veneer"
name = "Thin birch"
source = "works"
wood = "birch"
thickness = "1 mm"
moisture = "8 %"
face = true
"""

ORDERS = "order,product,option,quantity,due\nT1,tern,ash,1,2027-03-02\nW1,wren,oak,1,2027-03-01\n"

TEXTS = {
    "works.toml": WORKS,
    "materials/woods.toml": MATERIALS,
    "products/tern.toml": TERN,
    "products/wren.toml": WREN,
    "orders.csv": ORDERS,
}


def loaded() -> tuple[Works, Book, tuple[StepTime, ...]]:
    """The works, its orders, and its stated durations."""
    works = load_works(TEXTS)
    times = []
    for (product, option), variant in works.variants.items():
        for part, made in variant.parts.items():
            for step in made.steps:
                stated = step.duration
                assert stated != "computed"
                for station in [a.station for a in step.stations] or [None]:
                    times.append(
                        StepTime(product, option, part, step.id, station, stated.low, stated.likely,
                                 stated.high, False, text("stated"))
                    )  # fmt: skip
    return works, load_book(TEXTS, works), tuple(times)


def at(minute: int) -> str:
    """A moment so many minutes after the opening, Monday 06:00."""
    day, rest = divmod(minute + 360, 1440)
    return f"2027-03-{1 + day:02d}T{rest // 60:02d}:{rest % 60:02d}:00+01:00"


def op(
    name: str, item: str, part: str, step: str, index: int, station: str | None, unit: int | None,
    start: int, end: int, **more: Any,
) -> dict[str, Any]:  # fmt: skip
    """One operation of the hand-made plan."""
    order = item.partition("-")[0]
    side = next((s for s in ("left", "right") if f".{s}" in item), None)
    tern = order == "T1"
    return {
        "id": name, "order": order, "set": f"{order}-1", "item": item, "side": side,
        "product": "tern" if tern else "wren", "option": "ash" if tern else "oak",
        "part": part, "step": step, "index": index, "rework": False, "station": station, "unit": unit,
        "start": at(start), "end": at(end), "pieces": [], "setup_start": None, "batch": None,
        "crew": None, "carrier": None, "held_until": None, "buffer_stays": [], "uses": [], **more,
    }  # fmt: skip


def good_plan(revision: str) -> dict[str, Any]:
    """A plan that keeps every rule: worked out on paper, minute by minute."""
    left, right = "T1-1.left", "T1-1.right"

    def rack(start: int, end: int) -> list[dict[str, str]]:
        return [{"buffer": "rack", "from": at(start), "to": at(end)}]

    operations = [
        op("a", f"{left}.shell", "shell", "form", 0, "press", 0, 0, 60),
        op("b", f"{right}.shell", "shell", "form", 0, "press", 0, 60, 120),
        op("c", left, "cabinet", "glue", 0, "bench", 0, 60, 80, uses=[f"{left}.shell"]),
        op("d", right, "cabinet", "glue", 0, "bench", 0, 120, 140, uses=[f"{right}.shell"]),
        op("e", left, "cabinet", "cure", 1, "clamps", 0, 80, 200, held_until=at(205)),
        op("f", right, "cabinet", "cure", 1, "clamps", 1, 140, 260, held_until=at(260)),
        op("g", left, "cabinet", "coat", 2, "line", 0, 205, 235),
        op("h", right, "cabinet", "coat", 2, "line", 1, 260, 290),
        op("i", left, "cabinet", "warm", 3, "oven", 0, 300, 360, batch="warm-1"),
        op("j", right, "cabinet", "warm", 3, "oven", 0, 300, 360, batch="warm-1"),
        op("k", left, "cabinet", "harden", 4, None, None, 360, 960, buffer_stays=rack(360, 1440)),
        op("l", right, "cabinet", "harden", 4, None, None, 360, 960, buffer_stays=rack(360, 1440)),
        op("m", "T1-1", "cabinet", "pack", 5, "packing", 0, 1440, 1470),
        op("n", "W1-1.single", "body", "form", 0, "press", 0, 150, 210, setup_start=at(120)),
        op("o", "W1-1.single", "body", "pack", 1, "packing", 0, 215, 260,
           pieces=[[at(215), at(240)], [at(255), at(260)]]),
    ]  # fmt: skip
    return {
        "works": "Fernholm", "revision": revision, "now": at(0), "objective_kind": "service",
        "status": "feasible", "objective": 0, "lower_bound": 0, "gap": None, "makespan_end": at(1470),
        "orders": [
            {"order": "T1", "due": at(1440 + 480), "completion": at(1470), "late": 0},
            {"order": "W1", "due": at(480), "completion": at(260), "late": 0},
        ],
        "operations": operations, "reasons": [],
    }  # fmt: skip
