"""The text of a works to begin with: one product, one crew, stated times, comments on how to go on."""

from __future__ import annotations

import json
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Answers:
    """What a new works is asked: the rest is edited in the text."""

    name: str
    time_zone: str = "Europe/Amsterdam"
    hours: tuple[str, ...] = ("07:00-12:00", "12:30-16:00")
    people: int = 4
    product: str = "first"
    single: bool = False
    opening: str = "2027-03-01T07:00:00+01:00"
    options: tuple[str, ...] = ("natural",)


def starter(answers: Answers) -> dict[str, str]:
    """Texts of a small works that loads, checks and plans as it is."""
    return {
        "works.toml": _works(answers),
        f"products/{answers.product}.toml": _product(answers),
        "orders.csv": "order,product,option,quantity,due\n",
    }


def _works(answers: Answers) -> str:
    hours = json.dumps(list(answers.hours))
    days = "\n".join(f"{day} = {hours}" for day in ("mon", "tue", "wed", "thu", "fri"))
    return f"""# The factory: when people work, where, with what. Quantities carry their unit.
name = {json.dumps(answers.name)}
time_zone = {json.dumps(answers.time_zone)}
opening = {answers.opening}          # when the plan begins, as long as there is no record
climate = {{ temperature = "21 degC", humidity = "50 %" }}

[calendars.day.week]
{days}

# Days that differ from the week: closed, or with other hours.
# [[calendars.day.exceptions]]
# date = 2027-04-27
# hours = []
# reason = "holiday"

[crews.makers]
name = "Makers"
people = {answers.people}
calendar = "day"

# A station is a place where a step is done: single, parallel, batch (an oven) or line.
[stations.bench]
name = "Cabinet benches"
kind = "parallel"
places = 2
calendar = "day"
crew = "makers"

[stations.finishing]
name = "Finishing room"
calendar = "day"
crew = "makers"

[stations.assembly]
name = "Assembly"
calendar = "day"
crew = "makers"

[stations.measuring]
name = "Measuring room"
calendar = "day"
crew = "makers"

[stations.packing]
name = "Packing"
calendar = "day"
crew = "makers"

# A waiting area with so many places.
[buffers.shelf]
name = "Drying shelf"
places = 40
"""


def _product(answers: Answers) -> str:
    kind = "single" if answers.single else "pair"
    together = (
        "" if answers.single else "together = true      # once for the set, both halves at the same time\n"
    )
    binding = "none" if answers.single else "late"
    options = "\n".join(f"[options.{o}]\nname = {json.dumps(o.capitalize())}\n" for o in answers.options)
    return f"""# A product: its options, its parts, and the route of each part, step by step.
id = {json.dumps(answers.product)}
name = {json.dumps(answers.product.capitalize())}
kind = {json.dumps(kind)}
binding = {json.dumps(binding)}      # early: a pair from the veneer leaf on; late: formed from finished cabinets
root = "cabinet"

{options}
[cabinet]
name = "Cabinet"

# Times are stated here: low, likely, high. A step with a recipe (press, glue-up, clamp, sand, spray,
# stove, rest, polish) computes its time from its physics instead: leave `duration` out then.
[[cabinet.steps]]
id = "build"
kind = "build"
name = "Build the cabinet"
stations = ["bench"]
duration = {{ low = "100 min", likely = "120 min", high = "160 min" }}
pause = true

[[cabinet.steps]]
id = "finish"
kind = "finish"
name = "Oil and rub down"
stations = ["finishing"]
duration = {{ low = "35 min", likely = "45 min", high = "60 min" }}
buffer = "shelf"
next_min = "16 h"        # to dry

[[cabinet.steps]]
id = "fit"
kind = "join"
name = "Fit the drive units and the network"
stations = ["assembly"]
duration = {{ low = "50 min", likely = "60 min", high = "80 min" }}
pause = true

[[cabinet.steps]]
id = "measure"
kind = "measure"
name = "Measure"
stations = ["measuring"]
duration = "30 min"
{together}
[[cabinet.steps]]
id = "pack"
kind = "pack"
name = "Pack"
stations = ["packing"]
duration = "20 min"
{together}"""
