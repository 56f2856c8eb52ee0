"""An invented plant as a works folder, with so many pairs, with or without setups.

``python bench/plant_works.py FOLDER --pairs 200 [--seed 1] [--no-setups]`` writes the folder, which
`pairwright check`, `plan` and `forecast` read like any other. Without a folder it says whether
bench/plant, which is the plant with 50 pairs, is what this script writes.

The plant has 16 stations and one kind of pair in six shapes and six colours: 60 operations each, 20 for
a half (twice) and 20 for the pair. It is made to be hard: one press with a mould change, one booth with
a change of colour that sprays eight coats, an oven that takes four pairs and starts on the hour only,
recoat windows, glue that must be in clamps within minutes, a rest of days.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Final

from pairwright.base.seeds import child_seed

FOLDER: Final = Path(__file__).parent / "plant"
FIRST: Final = date(2027, 3, 1)  # a Monday
SHAPES: Final = ("wren", "finch", "lark", "linnet", "plover", "snipe")
COLOURS: Final = ("amber", "basalt", "cobalt", "dune", "elm", "frost")
COATS: Final = 8
SIZES: Final = (1, 2, 1, 3, 2)  # pairs of an order, in turn
PACE: Final = 1.6  # pairs a day that the due days count on; the booth can spray two without colour changes
LEAD: Final = 26  # days from the first day to the first due day
SLACK: Final = (-3, 9)  # days by which a due day is earlier or later
PREFERRED: Final = 2.0  # weight of one order in five


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the plant: minutes at a station, what it asks, how long it waits."""

    id: str
    kind: str
    name: str
    station: str
    minutes: int
    more: str = ""


def glued(name: str, what: str, uses: str = "") -> tuple[Step, Step]:
    """A glue-up and its clamping: into the clamps within ten minutes, then a night at least."""
    return (
        Step(name, "glue-up", f"Glue in the {what}", "glue-bench", 30, f'next_max = "10 min"\n{uses}'),
        Step(f"{name}-clamp", "clamp", f"{what.capitalize()} in clamps", "clamps", 180, 'next_min = "12 h"'),
    )


def coats() -> Iterator[Step]:
    """Eight coats with their oven, both halves together; the third and the sixth are flatted."""
    for n in range(1, COATS + 1):
        last = n == COATS
        flatted = n in (3, 6)
        window = "" if last else f'next_min = "1 h"\nnext_max = "{72 if flatted else 96} h"'
        yield Step(
            f"coat-{n}", "spray", f"Coat {n}", "booth", 24,
            'together = true\nsetup = "{colour}"\nnext_min = "15 min"\nnext_max = "90 min"',
        )  # fmt: skip
        yield Step(
            f"coat-{n}-dry", "stove", f"Coat {n}, oven", "oven", 60,
            f'together = true\nbatch = "warm"\n{window}' if window
            else 'together = true\nbatch = "warm"\nnext_min = "10 d"',
        )  # fmt: skip
        if flatted:
            yield Step(f"flat-{n}", "flat", f"Flat coat {n}", "flat-bench", 40, 'next_max = "24 h"')


def route() -> Iterator[Step]:
    """The finished half, from the trimmed shell on."""
    yield from glued("brace", "bracing", 'uses = ["shell"]')
    yield from glued("front", "baffle")
    yield Step("edges", "trim", "Trim the edges", "trim", 25)
    yield Step("sand", "sand", "Sand", "sanding-cell", 40, 'next_max = "96 h"')
    yield from coats()
    yield Step("flat-last", "flat", "Flat for polishing", "flat-bench", 40)
    yield Step("polish", "polish", "Polish", "polish-bench", 75)
    yield Step("by-hand", "finish", "Finish by hand", "hand-finish", 60)
    yield Step("network", "join", "Fit the crossover", "final-bench", 70, 'uses = ["crossover"]')
    yield Step("units", "join", "Fit the drive units", "final-bench", 90, 'uses = ["woofer", "tweeter"]')
    yield Step("measure", "measure", "Measure the pair", "test", 90, "together = true")
    yield Step("look-over", "inspect", "Look the pair over", "hand-finish", 20, "together = true")
    yield Step("clean", "clean", "Clean", "packing", 20, "together = true")
    yield Step("pack", "pack", "Pack", "packing", 40, "together = true")


PARTS: Final = {
    "shell": (
        "Shell",
        (
            Step("press", "build", "Press the shell", "press", 40, 'setup = "{shape}"\nnext_min = "24 h"'),
            Step("trim", "trim", "Trim the shell", "trim", 25),
        ),
    ),
    "woofer": (
        "Woofer",
        (
            Step("bond", "build", "Bond the cone", "unit-bench", 45, 'next_min = "16 h"'),
            Step("test", "test", "Test the woofer", "unit-test", 15),
        ),
    ),
    "tweeter": (
        "Tweeter",
        (
            Step("bond", "build", "Bond the dome", "unit-bench", 35, 'next_min = "16 h"'),
            Step("test", "test", "Test the tweeter", "unit-test", 15),
        ),
    ),
    "crossover": ("Crossover", (Step("place", "board", "Place and solder", "board-bench", 45),)),
    "cabinet": ("Cabinet", tuple(route())),
}

# id, name, what is said besides; one place of kind single where nothing else is said
STATIONS: Final = (
    ("press", "Press", ('rate = "40 EUR/h"\nbreakdown = { every = "200 h", repair = "3 h" }\n'
     '[stations.press.setup]\ndefault = "45 min"\nfirst = "45 min"')),
    ("trim", "Trimming", ""),
    ("glue-bench", "Glue-up benches", 'kind = "parallel"\nplaces = 2'),
    ("clamps", "Clamps", 'kind = "parallel"\nplaces = 6\nmanned = false'),
    ("sanding-cell", "Sanding cell", 'breakdown = { every = "150 h", repair = "2 h" }'),
    ("booth", "Spray booth", 'rate = "32 EUR/h"\n[stations.booth.setup]\ndefault = "30 min"\nfirst = "30 min"'),
    ("oven", "Oven", 'kind = "batch"\ncapacity = 4\nmanned = false\nrate = "12 EUR/h"'),
    ("flat-bench", "Flatting benches", 'kind = "parallel"\nplaces = 2'),
    ("polish-bench", "Polishing benches", 'kind = "parallel"\nplaces = 2'),
    ("hand-finish", "Hand finishing", 'kind = "parallel"\nplaces = 3'),
    ("unit-bench", "Drive-unit benches", 'kind = "parallel"\nplaces = 2'),
    ("unit-test", "Drive-unit test", ""),
    ("board-bench", "Crossover bench", ""),
    ("final-bench", "Final assembly", 'kind = "parallel"\nplaces = 3'),
    ("test", "Measuring room", ""),
    ("packing", "Packing", ""),
)  # fmt: skip
HOURS: Final = {"oven": "on-the-hour", "clamps": "always"}
DAYS: Final = ("mon", "tue", "wed", "thu", "fri")
CAUTIONS: Final = (
    ("build", "Closing platens crush and a hot shell burns: two hands on the switches, gloves."),
    ("trim", "A spindle throws what comes loose: guard shut, eyes and ears covered, dust drawn off."),
    ("glue-up", "Glue on the skin sensitises: gloves, and air that moves."),
    ("clamp", "A clamp that slips hits: stand aside while closing it."),
    ("sand", "Wood dust harms lungs and nose, and burns: draw it off where it is made."),
    ("spray", "Lacquer mist harms and burns: booth running, supplied air, no spark."),
    ("stove", "Solvent gathers in a warm oven: let coats flash off first, keep the exhaust running."),
    ("flat", "Fine dust of lacquer: flat wet, or draw it off."),
    ("polish", "A running buff grips cloth and fingers: sleeves tied, both hands on the work."),
    ("test", "An amplifier's output can hurt: switched off while leads are changed; guard your ears."),
)


def layout(*, pairs: int = 50, setups: bool = True, seed: int = 1) -> dict[str, str]:
    """The plant as texts by path.

    Parameters
    ----------
    pairs : int
        Pairs in the order book. [-]
    setups : bool
        Whether mould and colour take time to change.
    seed : int
        Of the order book: same arguments, same texts. [-]
    """
    return {
        "orders.csv": orders(pairs, seed),
        "products/teasel.toml": product(setups),
        "works.toml": factory(setups),
    }


def factory(setups: bool) -> str:
    """works.toml."""
    hours = ", ".join(f'"{h:02d}:00-{h:02d}:01"' for h in range(6, 14))
    lines = [
        "# Thistlewick, an invented plant: no works that exists is like it. Written by bench/plant_works.py.",
        "",
        'name = "Thistlewick"',
        'time_zone = "UTC"',
        f"opening = {FIRST}T06:00:00Z",
        "",
        "[climate]",
        'temperature = "21 degC"',
        "humidity = 0.5",
        "",
        "[calendars.day]                 # one shift; nothing that is manned goes on beyond it",
        *(f'week.{day} = ["06:00-14:00"]' for day in DAYS),
        "",
        "[calendars.on-the-hour]         # a charge starts within the minute, or an hour later",
        *(f"week.{day} = [{hours}]" for day in DAYS),
        "",
        "[calendars.always]              # a clamp that is closed stays closed through the night",
        "always = true",
        "",
        "[costs]",
        'labour = "35 EUR/h"',
    ]
    for name, title, more in STATIONS:
        lines += ["", f"[stations.{name}]", f'name = "{title}"', f'calendar = "{HOURS.get(name, "day")}"']
        lines += [line for line in _without_setup(more, setups) if line]
    for kind, says in CAUTIONS:
        lines += ["", f"[[cautions.{kind}]]", f'text = "{says}"']
    return "\n".join(lines) + "\n"


def _without_setup(more: str, setups: bool) -> list[str]:
    head, table, rest = more.partition("[stations.")
    return more.splitlines() if setups or not table else head.splitlines() + rest.splitlines()[3:]


def product(setups: bool) -> str:
    """products/teasel.toml: one route, 36 options."""
    lines = [
        "# Teasel, a pair in six shapes and six colours. Its halves are not handed; it is painted, tested",
        "# and packed as a pair. Written by bench/plant_works.py.",
        "",
        'id = "teasel"',
        'name = "Teasel"',
        'kind = "pair"',
        'binding = "late"',
        'root = "cabinet"',
    ]
    for shape in SHAPES:
        for colour in COLOURS:
            lines += [
                "",
                f"[options.{shape}-{colour}]",
                f'name = "{shape.capitalize()} in {colour}"',
                f'values = {{ shape = "{shape}", colour = "{colour}" }}',
            ]
    for part, (title, steps) in PARTS.items():
        lines += ["", f"[{part}]", f'name = "{title}"']
        for step in steps:
            lines += ["", f"[[{part}.steps]]", *_step(step, setups)]
    return "\n".join(lines) + "\n"


def _step(step: Step, setups: bool) -> Iterator[str]:
    yield f'id = "{step.id}"'
    yield f'kind = "{step.kind}"'
    yield f'name = "{step.name}"'
    yield f'stations = ["{step.station}"]'
    if step.station in ("oven", "clamps"):
        yield f'duration = "{step.minutes} min"'
    else:
        low, high = round(0.9 * step.minutes), round(1.25 * step.minutes)
        yield f'duration = {{ low = "{low} min", likely = "{step.minutes} min", high = "{high} min" }}'
    yield from (line for line in step.more.splitlines() if setups or not line.startswith("setup"))


def orders(pairs: int, seed: int) -> str:
    """orders.csv: due days at the works' pace, some too early, some with time to spare."""
    chance = random.Random(child_seed(seed, "plant", "orders"))
    drawn: list[tuple[date, int, str]] = []
    made = 0
    while made < pairs:
        size = min(pairs - made, SIZES[len(drawn) % len(SIZES)])
        made += size
        day = _weekday(FIRST + timedelta(days=LEAD + round(made / PACE * 7 / 5) + chance.randint(*SLACK)))
        weight = PREFERRED if chance.random() < 0.2 else 1.0
        option = f"{chance.choice(SHAPES)}-{chance.choice(COLOURS)}"
        drawn.append((day, len(drawn), f"teasel,{option},{size},{day},{weight:g}"))
    width = max(3, len(str(len(drawn))))
    rows = [f"T{n:0{width}d},{row}\n" for n, (_, _, row) in enumerate(sorted(drawn), 1)]
    return "order,product,option,quantity,due,weight\n" + "".join(rows)


def _weekday(day: date) -> date:
    return day + timedelta(days=max(0, 7 - day.weekday()) % 7 if day.weekday() > 4 else 0)


def write(folder: Path, texts: dict[str, str]) -> None:
    """Write the texts; a folder with anything else in it is left alone."""
    if folder.is_dir() and {p.relative_to(folder).as_posix() for p in folder.rglob("*.*")} - set(texts):
        raise SystemExit(f"{folder} holds other things; name a new folder")
    for name, body in texts.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(body, "utf-8")


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("folder", nargs="?", type=Path)
    parser.add_argument("--pairs", type=int, default=50)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--no-setups", action="store_true")
    given = parser.parse_args()
    texts = layout(pairs=given.pairs, setups=not given.no_setups, seed=given.seed)
    if given.folder is not None:
        write(given.folder, texts)
        print(f"{given.folder}: {given.pairs} pairs, {'without' if given.no_setups else 'with'} setups")
        return 0
    same = all((FOLDER / name).read_text("utf-8") == body for name, body in layout().items())
    print(f"bench/plant is {'what this script writes' if same else 'NOT what this script writes'}")
    return 0 if same else 1


if __name__ == "__main__":
    sys.exit(main())
