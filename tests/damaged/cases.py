"""Forty-odd ways to damage a works: what is done to the texts, and what must be said of it.

Each case changes the small works of `base/` in one way. `where` begins the message's place,
`field` and `must_be` are pieces of those parts.
"""

# ruff: noqa: E501
from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, TypeAlias

Texts: TypeAlias = dict[str, str]
Damage: TypeAlias = Callable[[Texts], None]

WORKS: Final = "works.toml"
ALDER: Final = "products/alder.toml"
TANSY: Final = "products/tansy.toml"
WOOD: Final = "materials/wood.toml"
BOUGHT: Final = "materials/bought.toml"


@dataclass(frozen=True)
class Case:
    name: str
    damage: Damage
    where: str
    field: str
    must_be: str


def put(path: str, old: str, new: str, count: int = 1) -> Damage:
    """Replace a piece of a text; the piece must be there, so that no case goes stale."""

    def damage(texts: Texts) -> None:
        assert old in texts[path], f"{old!r} is not in {path} any more"
        texts[path] = texts[path].replace(old, new, count)

    return damage


def add(path: str, more: str) -> Damage:
    def damage(texts: Texts) -> None:
        texts[path] = texts.get(path, "") + more

    return damage


def drop(path: str) -> Damage:
    def damage(texts: Texts) -> None:
        del texts[path]

    return damage


def both(*damages: Damage) -> Damage:
    def damage(texts: Texts) -> None:
        for one in damages:
            one(texts)

    return damage


CASES: Final = (
    # the texts themselves
    Case("no works.toml", drop(WORKS), "", "", "there"),
    Case("a quotation mark that never closes", put(WORKS, '"21 degC"', '"21 degC'), "works.toml line 9", "(text)", "TOML"),
    Case("a key twice", put(ALDER, 'root = "cabinet"', 'root = "cabinet"\nroot = "shell"'), "products/alder.toml line 6", "(text)", "TOML"),
    Case("a bomb of brackets", add(WOOD, "x = " + "[" * 5000 + "]" * 5000), "materials/wood.toml", "", "within each other"),
    Case("a bomb of points", add(WOOD, ".".join("a" * 3000) + " = 1"), "materials/wood.toml", "a", "within each other"),
    Case("not a number", put(WOOD, "specific_gravity = 0.62", "specific_gravity = nan"), "materials/wood.toml line 7", "birch.specific_gravity", "above 0"),
    Case("a number too long to read", put(WORKS, "places = 4", "places = " + "9" * 5000), "works.toml line 62", "(text)", "numbers of at most"),
    Case("a control character", put(TANSY, 'name = "Tansy"', 'name = "Tan\\u0007sy"'), "products/tansy.toml line 1", "name", "control characters"),
    # fields
    Case("a field misspelt", put(ALDER, "target_cure", "target_cur"), "products/alder.toml line 37", "shell.steps.press.recipe.target_cur", "known field"),
    Case("a field missing", put(ALDER, 'platen = "118 degC"\n', ""), "products/alder.toml", "recipe.platen", "a quantity in K"),
    Case("a unit missing", put(ALDER, '"1.1 MPa"', '"1.1"'), "products/alder.toml line 36", "recipe.pressure", "a quantity in Pa"),
    Case("the wrong unit", put(ALDER, '"118 degC"', '"118 mm"'), "products/alder.toml line 35", "recipe.platen", "a quantity in K"),
    Case("an impossible share", put(ALDER, "target_cure = 0.9", "target_cure = 90"), "products/alder.toml line 37", "recipe.target_cure", "0 to 1"),
    Case("a decimal comma", put(WOOD, '"13.9 GPa"', '"13,9 GPa"'), "materials/wood.toml line 8", "birch.modulus_along", "a quantity in Pa"),
    Case("a number in quotation marks", put(WORKS, "places = 4", 'places = "4"'), "works.toml line", "stations.clamps.places", "whole number"),
    Case("an unknown kind of step", put(ALDER, 'kind = "press"', 'kind = "bend"'), "products/alder.toml line 26", "shell.steps.press.kind", "one of press"),
    Case("times out of order", put(ALDER, 'low = "14 min"', 'low = "40 min"'), "products/alder.toml line", "shell.steps.trim.duration", "low <= likely <= high"),
    # calendars, crews, stations
    Case("a calendar without working time", put(WORKS, "[calendars.always]\nalways = true", "[calendars.always]\nweek = { mon = [] }"), "works.toml line 26", "calendars.always", "working time"),
    Case("hours that overlap", put(WORKS, '"10:15-14:00"', '"09:15-14:00"'), "works.toml line 17", "calendars.early.week.mon.1", "overlap"),
    Case("hours that end before they begin", put(WORKS, '"10:15-14:00"', '"14:15-10:00"'), "works.toml line 17", "calendars.early.week.mon.1", "hours such as"),
    Case("an unknown time zone", put(WORKS, "Europe/Berlin", "Europe/Berlinn"), "works.toml line 3", "time_zone", "IANA"),
    Case("an opening without offset", put(WORKS, "06:00:00+01:00", "06:00:00"), "works.toml line 4", "opening", "offset"),
    Case("a station with an unknown calendar", put(WORKS, 'calendar = "early"\nmanned = false\nfill', 'calendar = "earli"\nmanned = false\nfill'), "works.toml line", "stations.oven.calendar", "a calendar"),
    Case("a station with an unknown crew", put(WORKS, 'crew = "finish"', 'crew = "finnish"'), "works.toml line", "stations.booth.crew", "a crew"),
    Case("a crew that never meets its station", put(WORKS, 'crew = "finish"', 'crew = "night"'), "works.toml line", "stations.booth.crew", "hours"),
    # what steps name
    Case("an unknown station", put(ALDER, '["hot-press"]', '["hot-pres"]'), "products/alder.toml line 27", "shell.steps.press.stations.0", "hot-press"),
    Case("an unknown material", put(ALDER, 'adhesive = "urea"', 'adhesive = "uria"'), "products/alder.toml line 34", "recipe.adhesive", "kind adhesive"),
    Case("the wrong kind of material", put(ALDER, 'adhesive = "urea"', 'adhesive = "clear"'), "products/alder.toml line 34", "recipe.adhesive", "kind adhesive"),
    Case("a cold glue in the hot press", put(ALDER, 'adhesive = "urea"', 'adhesive = "white"'), "products/alder.toml line 34", "recipe.adhesive", "sets hot"),
    Case("an unknown part", put(ALDER, 'uses = ["ring"]', 'uses = ["rim"]'), "products/alder.toml line", "driver.steps.build.uses.0", "a part"),
    Case("an unknown programme", put(ALDER, '"trim-alder"', '"trim-elder"'), "products/alder.toml line", "shell.steps.trim.programme", "a programme"),
    Case("an unknown skill", put(ALDER, '"spraying"', '"praying"'), "products/alder.toml line", "cabinet.steps.spray.skill", "a skill"),
    Case("an option that is none", put(ALDER, 'id = "glue"', 'id = "glue"\nonly = ["wallnut"]'), "products/alder.toml line", "cabinet.steps.glue.only.0", "an option"),
    Case("a placeholder that stands for nothing", put(ALDER, '"{family}"', '"{famly}"'), "products/alder.toml line 29", "shell.steps.press.setup", "unknown words"),
    # routes
    Case("a step nowhere", put(TANSY, 'stations = ["assembly"]\nduration = "15 min"', 'duration = "15 min"'), "products/tansy.toml line", "body.steps.pack.stations", "at least one station"),
    Case("a least wait above the longest", put(ALDER, 'next_min = "5 min"', 'next_min = "3 h"'), "products/alder.toml line", "cabinet.steps.spray.next_max", "next_min"),
    Case("a batch larger than its oven", put(ALDER, "load = 1\n", "load = 2.5\n"), "products/alder.toml line", "cabinet.steps.dry.stations.0", "both mates load"),
    Case("an item that no buffer can take", put(ALDER, "places = 2", "places = 7"), "products/alder.toml line", "buffer", "at least 7 places"),
    Case("mates in one batch where there is none", put(ALDER, 'stations = ["booth"]', 'stations = ["booth"]\nmates = "same batch"'), "products/alder.toml line", "cabinet.steps.spray.stations.0", "batch station or a line"),
    Case("rework to a later step", put(ALDER, 'to = "assemble"', 'to = "pack"'), "products/alder.toml line", "cabinet.steps.test.rework.to", "an earlier step"),
    Case("a carrier that is never returned", put(ALDER, 'returns = "paint"\n', ""), "products/alder.toml line", "cabinet.steps.spray.takes", "returns"),
    Case("a carrier returned before it is taken", both(put(ALDER, 'takes = "paint"\n', ""), put(ALDER, 'id = "rest"', 'id = "rest"\ntakes = "paint"')), "products/alder.toml line", "cabinet.steps.dry.returns", "takes"),
    Case("a step id twice", put(ALDER, 'id = "pack"', 'id = "test"'), "products/alder.toml line", "cabinet.steps.test.id", "of its own"),
    # parts and pairs
    Case("parts in a ring", both(put(ALDER, 'uses = ["shell"]\n', ""), put(ALDER, 'uses = ["driver"]\n', ""), put(ALDER, 'programme = "trim-alder"', 'programme = "trim-alder"\nuses = ["driver"]'), put(ALDER, 'uses = ["ring"]', 'uses = ["ring", "shell"]')), "products/alder.toml line", "uses", "shell < driver < shell"),
    Case("a part made from itself", put(ALDER, 'uses = ["ring"]', 'uses = ["ring", "driver"]'), "products/alder.toml line", "driver.steps.build.uses.1", "driver < driver"),
    Case("a made part that nobody uses", put(ALDER, 'uses = ["driver"]\n', ""), "products/alder.toml line", "driver", "used by a step"),
    Case("a root that is none", put(TANSY, 'root = "body"', 'root = "bodi"'), "products/tansy.toml line 4", "root", "a part of the product"),
    Case("a pair that is never bound", put(ALDER, 'binding = "early"', 'binding = "none"'), "products/alder.toml line 4", "binding", "early or late"),
    Case("an early pair without leaves", put(ALDER, "leaf = true\n", ""), "products/alder.toml line 4", "binding", "late where no part is a leaf"),
    Case("a single with a mate", put(TANSY, 'id = "pack"', 'id = "pack"\nmates_within = "1 h"'), "products/tansy.toml line", "body.steps.pack.mates_within", "no mate"),
    Case("a half's step done together too early", put(ALDER, 'id = "press"', 'id = "press"\ntogether = true'), "products/alder.toml line", "shell.steps.press.together", "root part"),
    Case("a bend without a radius", put(ALDER, '{ radius = "0.12 m", turn', "{ turn"), "products/alder.toml line 22", "shell.profile.segments.1", "a radius with a turn"),
    Case("too few plies", put(ALDER, "plies = 11", "plies = 2"), "products/alder.toml line 21", "shell.layup", "plies"),
    # materials and restricted recipes
    Case("a material twice", add(BOUGHT, '\n[birch]\nkind = "article"\nname = "birch"\nsource = "works"\n'), "materials/wood.toml line 2", "birch", "named once"),
    Case("a veneer of no wood", put(WOOD, 'wood = "birch"', 'wood = "beech"'), "materials/wood.toml line", "birch-06.wood", "a wood"),
    Case("a restricted recipe that was changed", put("restricted/clear.toml", '"0.14 mm"', '"0.16 mm"'), "restricted/clear.toml", "(digest)", "as works.toml lists it"),
    Case("an absent recipe without sealed times", both(drop("restricted/clear.toml"), put(ALDER, 'sealed = { low = "12 min", likely = "14 min", high = "20 min" }\n', "")), "products/alder.toml line", "cabinet.steps.spray.sealed", "low, likely and high"),
    Case("a restricted recipe that is not listed", put(ALDER, '"restricted/clear.toml"', '"restricted/gloss.toml"'), "products/alder.toml line", "cabinet.steps.spray.recipe", "works.toml lists"),
    # orders and stock
    Case("an order of an unknown product", put("orders.csv", "3003,tansy", "3003,tensy"), "orders.csv line 4", "product", "a product"),
    Case("an order of an unknown option", put("orders.csv", "alder,birch", "alder,beech"), "orders.csv line 3", "option", "an option of alder"),
    Case("a decimal comma in the stock", put("stock/lots.csv", "130.5", '"130,5"'), "stock/lots.csv line 3", "quantity", "a number above 0"),
    Case("a date the wrong way round", put("orders.csv", "2027-04-23", "23.04.2027"), "orders.csv line 3", "due", "a day such as"),
    Case("a ragged row", put("orders.csv", ",1,,", ",1,,,,"), "orders.csv line 3", "(row)", "8 values"),
    Case("semicolons", lambda texts: texts.update({"orders.csv": texts["orders.csv"].replace(",", ";")}), "orders.csv line 1", "(header)", "divided by commas"),
    Case("an order number twice", put("orders.csv", "3003", "3001"), "orders.csv line 4", "order", "named once"),
    Case("an open quotation mark", put("orders.csv", "north shop", '"north shop'), "orders.csv line 2", "(text)", "quotation marks close"),
)  # fmt: skip
