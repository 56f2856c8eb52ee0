"""A small works with every kind of step, and ways to change a word of it."""

from __future__ import annotations

from pairwright.base.findings import Finding
from pairwright.process import check, durations
from pairwright.works import Works, load_works, recipe_digest
from pairwright.works.steptime import StepTime

WORKS = """
name = "Birkhall"
time_zone = "Europe/Amsterdam"
opening = 2027-03-01T06:00:00+01:00

[climate]
temperature = "20 degC"
humidity = 0.50
coldest = "17 degC"
warmest = "25 degC"
driest = 0.40
dampest = 0.60

[calendars.day]
week.mon = ["06:00-10:00", "10:15-14:00"]
week.tue = ["06:00-10:00", "10:15-14:00"]
week.wed = ["06:00-10:00", "10:15-14:00"]

[calendars.late]
week.mon = ["08:00-16:00"]
week.tue = ["08:00-16:00"]

[crews.makers]
people = 3
calendar = "day"

[crews.evening]
people = 1
calendar = "late"

[stations.press]
name = "Press"
calendar = "day"
crew = "makers"
power = "20 kW"

[stations.machine]
name = "Trimming machine"
calendar = "day"
crew = "makers"

[stations.trim-bench]
name = "Trimming bench"
calendar = "day"
crew = "makers"

[stations.bench]
name = "Bench"
calendar = "day"
crew = "makers"

[stations.clamps]
name = "Clamps"
kind = "parallel"
places = 2
manned = false
calendar = "day"

[stations.booth]
name = "Booth"
calendar = "day"
crew = "makers"

[stations.oven]
name = "Oven"
kind = "batch"
capacity = 4
manned = false
calendar = "day"
power = "12 kW"

[buffers.rack]
name = "Rack"
places = 20

[[cautions.press]]
text = "Platens crush and burn: two-hand control."
[[cautions.sand]]
text = "Dust: extraction on."
[[cautions.lifting]]
text = "Two people or the lift."

[restricted]
"restricted/clear.toml" = "DIGEST"
"""

MATERIALS = """
[birch]
kind = "wood"
name = "Birch"
source = "handbook: Wood Handbook FPL-GTR-190 (2010)"
sources.transverse_strength = "measured: hot pull-off"
specific_gravity = 0.62
modulus_along = "13.9 GPa"
modulus_across = "0.70 GPa"
shear_modulus = "1.05 GPa"
movement_radial = 0.256
movement_tangential = 0.338
limit_strain = 0.0083
elastic_strain = 0.0054
limit_strain_across = 0.012
transverse_strength = "1.5 MPa"

[walnut]
kind = "wood"
name = "Walnut"
source = "from memory"
specific_gravity = 0.55
modulus_along = "11.6 GPa"
modulus_across = "0.65 GPa"
shear_modulus = "1.00 GPa"
movement_radial = 0.190
movement_tangential = 0.274
limit_strain = 0.0083
elastic_strain = 0.0054
transverse_strength = "1.5 MPa"

[birch-15]
kind = "veneer"
name = "Birch veneer 1.5 mm"
wood = "birch"
thickness = "1.5 mm"
moisture = 0.07
source = "measured"
unit = "m2"

[walnut-06]
kind = "veneer"
name = "Walnut leaf 0.6 mm"
wood = "walnut"
thickness = "0.6 mm"
moisture = 0.08
source = "measured"
unit = "m2"

[birch-06]
kind = "veneer"
name = "Birch leaf 0.6 mm"
wood = "birch"
thickness = "0.6 mm"
moisture = 0.08
source = "measured"
unit = "m2"

[resin]
kind = "adhesive"
name = "Resin"
setting = "hot"
source = "data sheet: resin"
spread = "150 g/m2"
water = 0.35
rate_constant = "2.734e9 1/s"
activation_energy = "80 kJ/mol"
order = 1
pressure_low = "0.8 MPa"
pressure_high = "2 MPa"
unit = "kg"

[glue]
kind = "adhesive"
name = "Glue"
setting = "cold"
source = "data sheet: glue"
spread = "180 g/m2"
water = 0.5
reference_temperature = "20 degC"
open_time = "10 min"
clamp_time = "60 min"
cure_time = "10 h"
coldest = "10 degC"
doubling = 10
pressure_low = "0.2 MPa"
pressure_high = "1 MPa"
unit = "kg"

[sealer]
kind = "coating"
name = "Sealer"
source = "data sheet: sealer"
solids = 0.4
density = "1000 kg/m3"
recoat_min = "1 h"
recoat_max = "2 d"
pot_life = "3 h"
stove_limit = "60 degC"
unit = "L"

[clear]
kind = "coating"
name = "Clear"
source = "data sheet: clear"
solids = 0.5
density = "1050 kg/m3"
pot_life = "3 h"
stove_limit = "60 degC"
hardness_final = 150
hardness_rate = 0.3
hardness_power = 0.8
hardness_temperature = "20 degC"
hardness_doubling = 12
preston = "1e-12 1/Pa"
unit = "L"

[aluminium]
kind = "metal"
name = "Aluminium"
source = "from memory"
density = "2700 kg/m3"
expansion = "23e-6 1/K"

[disc]
kind = "abrasive"
name = "Disc"
source = "measured"
removal = "3e-10 1/Pa"
life = "30 min"

[film]
kind = "abrasive"
name = "Film"
source = "works"

[compound]
kind = "abrasive"
name = "Compound"
source = "measured"
removal = "1e-12 1/Pa"

[post]
kind = "article"
name = "Terminal post"
source = "works"
"""

CLEAR = """
coating = "clear"
wet = "150 um"
wet_sd = "10 um"
area = "0.9 m2"
fan = "200 mm"
overlap = 0.5
feed = "0.3 m/s"
transfer_efficiency = 0.6
"""

PRODUCT = """
name = "Linden"
kind = "pair"
handed = true
binding = "early"
root = "body"

[options.walnut]
name = "Walnut"
values = { face = "walnut-06" }

[options.birch]
name = "Birch"
values = { face = "birch-06" }

[posts]
name = "Posts"
article = "post"
quantity = 2

[shell]
name = "Shell"
handed = true
leaf = true

[shell.layup]
plies = 9
inner = { veneer = "birch-06", grain = "90 deg" }
alternation = [{ veneer = "birch-15", grain = "0 deg" }, { veneer = "birch-15", grain = "90 deg" }]
outer = { veneer = "{face}", grain = "90 deg" }

[shell.profile]
height = "0.9 m"
steepest_wall = "40 deg"
segments = [{ line = "200 mm" }, { radius = "150 mm", turn = "180 deg" }, { line = "200 mm" }]

[[shell.steps]]
id = "press"
kind = "press"
stations = ["press"]
cautions = ["lifting"]
[shell.steps.recipe]
adhesive = "resin"
platen = "113 degC"
pressure = "1.4 MPa"
target_cure = 0.95
lay_up = "5 min"
close = "1 min"
vent = "1 min"
unload = "3 min"
scatter = 0.08
projected_area = "0.3 m2"
press_force = "600 kN"

[[shell.steps]]
id = "cool"
kind = "rest"
buffer = "rack"
[shell.steps.recipe]
until = "cooled"
initial = "100 degC"
final = "35 degC"
air = "20 degC"
heat_transfer = "10 W/(m2*K)"
layer = { thickness = "11.7 mm", conductivity = "0.16 W/(m*K)", density = "680 kg/m3", heat_capacity = "1600 J/(kg*K)" }

[[shell.steps]]
id = "level"
kind = "rest"
buffer = "rack"
[shell.steps.recipe]
until = "levelled"
wood = "birch"
thickness = "11.7 mm"

[[shell.steps]]
id = "trim"
kind = "trim"
stations = ["machine", { station = "trim-bench", duration = { low = "50 min", likely = "60 min", high = "80 min" } }]
[shell.steps.recipe]
path = "4 m"
feed = "20 mm/s"
passes = 2
tools = 3
tool_change = "30 s"
fixture = "5 min"
tolerance = "2 mm"

[body]
name = "Body"
handed = true
reserve = "50 um"

[[body.steps]]
id = "brace"
kind = "glue-up"
stations = ["bench"]
uses = ["shell"]
[body.steps.recipe]
adhesive = "glue"
area = "0.1 m2"
pieces = 4
spread_rate = "10 cm2/s"
place = "20 s"
open_fixture = "3 min"
opening = "6 mm"

[[body.steps]]
id = "hold"
kind = "clamp"
stations = ["clamps"]
[body.steps.recipe]
adhesive = "glue"
area = "0.1 m2"
force = "50 kN"
load = "4 min"

[[body.steps]]
id = "sand"
kind = "sand"
stations = ["bench"]
[body.steps.recipe]
area = "0.9 m2"
width = "100 mm"
overlap = 0.5
feed = "100 mm/s"
turns = "1 s"
fixture = "4 min"
grits = [{ abrasive = "disc", passes = 2, pressure = "3 kPa", speed = "5 m/s", dwell = "2 s" }]
reserve = "0.3 mm"

[[body.steps]]
id = "seal"
kind = "spray"
stations = ["booth"]
next_min = "20 min"
[body.steps.recipe]
coating = "sealer"
wet = "120 um"
wet_sd = "8 um"
area = "0.9 m2"
fan = "200 mm"
overlap = 0.5
feed = "0.3 m/s"
transfer_efficiency = 0.6
prepare = "5 min"
flash_off = "2 min"

[[body.steps]]
id = "dry"
kind = "stove"
stations = ["oven"]
next_max = "1 d"
[body.steps.recipe]
air = "45 degC"
heat_transfer = "20 W/(m2*K)"
film_temperature = "40 degC"
hold = "30 min"
limit = "55 degC"
coating = "sealer"
layers = [
  { thickness = "0.05 mm", conductivity = "0.2 W/(m*K)", density = "1200 kg/m3", heat_capacity = "1600 J/(kg*K)" },
  { thickness = "11.7 mm", conductivity = "0.16 W/(m*K)", density = "680 kg/m3", heat_capacity = "1600 J/(kg*K)" },
]

[[body.steps]]
id = "flat"
kind = "flat"
stations = ["bench"]
[body.steps.recipe]
area = "0.9 m2"
width = "80 mm"
overlap = 0.5
feed = "80 mm/s"
passes = 3
abrasive = "film"
removal = "10 um"
removal_sd = "2 um"

[[body.steps]]
id = "clear"
kind = "spray"
stations = ["booth"]
recipe = "restricted/clear.toml"
sealed = { low = "10 min", likely = "12 min", high = "16 min" }

[[body.steps]]
id = "rest"
kind = "rest"
buffer = "rack"
[body.steps.recipe]
until = "hard"
coating = "clear"
threshold = 100

[[body.steps]]
id = "polish"
kind = "polish"
stations = ["bench"]
[body.steps.recipe]
area = "0.9 m2"
width = "100 mm"
overlap = 0.5
feed = "100 mm/s"
coating = "clear"
stages = [{ abrasive = "compound", passes = 3, pressure = "10 kPa", speed = "5 m/s", dwell = "2 s" }]
reserve = "50 um"

[[body.steps]]
id = "foot"
kind = "join"
stations = ["bench"]
uses = ["posts"]
duration = "20 min"
[body.steps.recipe]
wood = "birch"
metal = "aluminium"
dimension = "60 mm"
gap = "1 mm"
gap_least = "0.2 mm"
gap_most = "2 mm"
lift = "18 kg"

[[body.steps]]
id = "test"
kind = "test"
stations = ["bench"]
together = true
duration = { low = "20 min", likely = "30 min", high = "40 min" }
consumes = [{ material = "post", amount = 1 }]
[body.steps.recipe]
voltage = "2.83 V"
"""


def at_room(celsius: int) -> tuple[tuple[str, str], tuple[str, str]]:
    """Changes that keep the room at a temperature below the usual, all year."""
    return (
        ('temperature = "20 degC"\nhumidity', f'temperature = "{celsius} degC"\nhumidity'),
        ('coldest = "17 degC"', f'coldest = "{celsius} degC"'),
    )


def changed(*changes: tuple[str, str], sealed: bool = False) -> Works:
    """The small works with words replaced; each must stand there. `sealed` leaves the restricted recipe away."""
    texts = {
        "works.toml": WORKS.replace("DIGEST", recipe_digest(CLEAR)),
        "materials/all.toml": MATERIALS,
        "products/linden.toml": PRODUCT,
        "restricted/clear.toml": CLEAR,
    }
    for before, after in changes:
        homes = [path for path, body in texts.items() if before in body]
        assert homes, f"{before!r} stands nowhere"
        for path in homes:
            texts[path] = texts[path].replace(before, after)
        texts["works.toml"] = texts["works.toml"].replace(
            recipe_digest(CLEAR), recipe_digest(texts["restricted/clear.toml"])
        )
    if sealed:
        del texts["restricted/clear.toml"]
    return load_works(texts)


def time(works: Works, step: str, *, option: str = "walnut", station: str | None = None) -> StepTime:
    """The duration of a step, at a station where it has several."""
    return next(
        d
        for d in durations(works)
        if d.option == option and d.step == step and (station is None or d.station == station)
    )


def found(works: Works, step: str | None = None) -> dict[str, Finding]:
    """Findings by code, of one step or all; notes too."""
    return {
        f.code: f
        for f in check(works)
        if step is None or (f.subject.startswith("linden.") and f.subject.endswith(f".{step}"))
    }
