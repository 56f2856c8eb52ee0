"""The confirmed rows of the reference file on layup and press, where that file is at hand.

The same values stand in the tests beside this one as the project's own text; here nothing is copied, so a row that
is corrected in the file is felt at once.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from pairwright.physics.bending import spring_back
from pairwright.physics.laminate import Lamina, laminate
from pairwright.physics.movement import wood_movement
from pairwright.physics.shell import curved_section
from pairwright.physics.slab import slab_temperature
from pairwright.physics.species import SPECIES
from pairwright.physics.steam import saturation_temperature, steam_pressure
from pairwright.physics.wood import equilibrium_moisture, wood_conductivity, wood_density, wood_heat_capacity

Row = dict[str, Any]


def angle_ply(row: Row) -> Any:
    given = row["inputs"]
    return laminate([
        Lamina(given["E1"], given["E2"], given["G12"], given["nu12"], given["ply_mm"] / 1e3, math.radians(a))
        for a in given["layup"]
    ])  # fmt: skip


def hook(row: Row) -> list[float]:
    given = row["inputs"]
    section = curved_section(given["ri"], given["ro"], width=given["b_in"])
    load = given["F_lbf"]
    moment = load * 0.5 * (given["ri"] + given["ro"])
    return [section.stress(given[r], axial_force=load, moment=moment) / 1e3 for r in ("ri", "ro")]


def wall(row: Row) -> float:
    g = row["inputs"]
    return slab_temperature(
        2 * g["L_m"], g["alpha"], initial=g["Ti"], surface=g["Tinf"], time=g["t_s"], conductivity=g["k"],
        heat_transfer=g["h"],
    )  # fmt: skip


def american(row: Row) -> Any:
    name = row["inputs"]["species"]
    return SPECIES.get("oak, white" if name == "white oak, commercial" else name)


COMPUTE: dict[tuple[str, str], Callable[[Row], Any]] = {
    ("1 EMC", "EMC from formula"): lambda r: 100 * equilibrium_moisture(r["inputs"]["T_C"] + 273.15, r["inputs"]["h"]),
    ("1 wood thermal", "conductivity across grain"): lambda r: wood_conductivity(
        r["inputs"]["G"], r["inputs"]["MC_pct"] / 100
    ),
    ("1 wood thermal", "heat capacity moist wood"): lambda r: (
        wood_heat_capacity(r["inputs"]["T_K"], r["inputs"]["MC_pct"] / 100) / 1e3
    ),
    ("1 wood thermal", "heat capacity dry wood"): lambda r: wood_heat_capacity(r["inputs"]["T_K"], 0.0) / 1e3,
    ("1 wood thermal", "density at 12 % MC"): lambda r: wood_density(r["inputs"]["G12"], r["inputs"]["MC_pct"] / 100),
    ("1 shrinkage", "green to ovendry shrinkage R,T,V"): lambda r: [100 * s for s in american(r).shrinkage],
    ("1 shrinkage", "dimensional change coefficients C_R, C_T"): lambda r: [m / 100 for m in american(r).movement],
    ("1 shrinkage", "width change dD = D C (Mf-Mi)"): lambda r: wood_movement(
        100 * r["inputs"]["C"], r["inputs"]["D_in"], moisture_from=r["inputs"]["Mi"] / 100,
        moisture_to=r["inputs"]["Mf"] / 100,
    ),
    ("1 shrinkage", "thickness change of 20 mm radial beech"): lambda r: wood_movement(
        100 * r["inputs"]["C"], r["inputs"]["D_mm"], moisture_from=r["inputs"]["Mi"] / 100,
        moisture_to=r["inputs"]["Mf"] / 100,
    ),
    ("3 lamination theory", "A12"): lambda r: angle_ply(r).A[0, 1],
    ("3 lamination theory", "|B16|"): lambda r: abs(angle_ply(r).B[0, 2]),
    ("3 lamination theory", "D11"): lambda r: angle_ply(r).D[0, 0],
    ("3 lamination theory", "D12"): lambda r: angle_ply(r).D[0, 1],
    ("3 lamination theory", "D11 and D16 of symmetric angle-ply"): lambda r: [
        angle_ply(r).D[0, 0], angle_ply(r).D[0, 2]
    ],
    ("4 laminated bending", "springback y = x/n^2"): lambda r: (
        r["inputs"]["camber_in"] * spring_back([(1.0, 1.0)] * r["inputs"]["n"])
    ),
    ("5 heat conduction", "insulated-face temperature"): wall,
    ("7 steam", "saturation pressure"): lambda r: steam_pressure(r["inputs"]["T_K"]) / 1e6,
    ("7 steam", "saturation temperature"): lambda r: saturation_temperature(r["inputs"]["p_MPa"] * 1e6),
    ("9 curved beams", "hook stress inner, outer"): hook,
    ("9 curved beams", "r_n and e for the hook"): lambda r: [
        (s := curved_section(r["inputs"]["ri"], r["inputs"]["ro"], width=1.0)).neutral_radius, s.eccentricity
    ],
}  # fmt: skip


def test_every_confirmed_row_on_layup_and_press_comes_out(shared: Path) -> None:
    rows = json.loads((shared / "references" / "checks.json").read_text(encoding="utf-8"))
    wrong, counted = [], 0
    for row in rows:
        compute = COMPUTE.get((row["topic"], row["quantity"]))
        if compute is None or row["confidence"] != "confirmed":
            continue
        got, expected, tolerance = compute(row), row["expected"], row["tolerance"]
        pairs = zip(got, expected, strict=False) if isinstance(expected, list) else [(got, expected)]
        for ours, theirs in pairs:
            counted += 1
            if not math.isclose(ours, theirs, abs_tol=tolerance):
                wrong.append((row["topic"], row["quantity"], row["inputs"], ours, theirs, tolerance))

    assert wrong == []
    assert counted >= 35


@pytest.mark.parametrize("name", ["birch, yellow", "cherry, black", "ash, white"])
def test_gravity_and_stiffness_of_the_handbook_are_held(shared: Path, name: str) -> None:
    rows = json.loads((shared / "references" / "checks.json").read_text(encoding="utf-8"))
    row = next(r for r in rows if r["topic"] == "1 strength" and r["inputs"] == {"species": name})

    assert SPECIES[name].specific_gravity == pytest.approx(row["expected"][0], abs=0.005)
    assert SPECIES[name].stiffness / 1e9 == pytest.approx(row["expected"][2], abs=0.05)
