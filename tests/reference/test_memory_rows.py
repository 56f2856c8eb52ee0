"""Figures that are recalled, not read anywhere: printed beside ours, never asserted as published.

`pytest -s tests/reference/test_memory_rows.py` shows the table. The test fails only if a figure can no longer be
computed.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from pairwright.physics.laminate import Lamina, engineering_modulus, laminate, reduced_stiffness
from pairwright.physics.movement import wood_movement
from pairwright.physics.shell import curved_section
from pairwright.physics.species import SPECIES
from pairwright.physics.steam import antoine_pressure, magnus_pressure
from pairwright.physics.wood import equilibrium_moisture, wood_conductivity, wood_diffusivity

CARBON = Lamina(181e9, 10.3e9, 7.17e9, 0.28, 5e-3)


def turned(*degrees: float) -> list[Lamina]:
    return [Lamina(181e9, 10.3e9, 7.17e9, 0.28, 5e-3, math.radians(d)) for d in degrees]


def birch_plywood(plies: int, *, across: bool) -> float:
    stack = [(17500.0 * ((n % 2 == 0) != across), 1.1 if n in (0, plies - 1) else 1.4) for n in range(plies)]
    return engineering_modulus(stack)


def square_frame(outside: bool) -> float:
    section = curved_section(0.030, 0.080, width=0.050)
    # the load's line passes 100 mm from the centre of curvature, on the far side
    moment = 9500.0 * (0.100 + 0.055)
    return section.stress(0.080 if outside else 0.030, axial_force=9500.0, moment=moment) / 1e6


ROWS: list[tuple[str, float, Callable[[], float]]] = [
    *(
        (f"Wood Handbook Table 4-2, 21.1 degC, {rh} %", mc, lambda rh=rh: 100 * equilibrium_moisture(294.26, rh / 100))
        for rh, mc in [(10, 2.5), (30, 6.2), (65, 12.0), (80, 16.0), (95, 23.9)]
    ),
    ("Table 4-7, American beech [W/(m K)]", 0.18, lambda: wood_conductivity(0.68, 0.12)),
    ("typical diffusivity [1e-7 m2/s]", 1.61, lambda: 1e7 * wood_diffusivity(0.5, 0.08, temperature=297.0)),
    ("232 mm of white fir, C .00245, 8 to 11 % [mm]", 1.705,
     lambda: 1e3 * wood_movement(0.245, 0.232, moisture_from=0.08, moisture_to=0.11)),
    ("Magnus, 20 degC [Pa]", 2332.6, lambda: magnus_pressure(293.15)),
    ("Antoine, 100 degC [Pa]", 101336.0, lambda: antoine_pressure(373.15)),
    ("Kaw Ex. 2.6, Q11 [GPa]", 181.8, lambda: float(reduced_stiffness(CARBON)[0, 0]) / 1e9),
    ("Kaw Ex. 4.2, A11 [1e9 N/m]", 1.739, lambda: float(laminate(turned(0, 30, -45)).A[0, 0]) / 1e9),
    ("Kaw Ex. 4.2, B11 [1e6 N]", -3.129, lambda: float(laminate(turned(0, 30, -45)).B[0, 0]) / 1e6),
    ("Kaw Ex. 4.2, D11 [1e4 N m]", 3.343, lambda: float(laminate(turned(0, 30, -45)).D[0, 0]) / 1e4),
    *(
        (f"Finnish birch plywood, {n} plies, along [MPa]", along, lambda n=n: birch_plywood(n, across=False))
        for n, along in [(3, 16471), (5, 12737), (7, 11395), (11, 10316), (15, 9858)]
    ),
    *(
        (f"Finnish birch plywood, {n} plies, across [MPa]", across, lambda n=n: birch_plywood(n, across=True))
        for n, across in [(3, 1029), (5, 4763), (7, 6105), (11, 7184), (15, 7642)]
    ),
    ("Boresi and Schmidt Ex. 9.1, inside [MPa]", 106.2, lambda: square_frame(outside=False)),
    ("Boresi and Schmidt Ex. 9.1, outside [MPa]", -49.3, lambda: square_frame(outside=True)),
]  # fmt: skip


def test_recalled_figures_are_printed_beside_ours() -> None:
    found = [(name, recalled, compute()) for name, recalled, compute in ROWS]

    print("\nfrom memory, not confirmed:")
    for name, recalled, ours in found:
        print(f"  {name:55} {recalled:>10.5g} {ours:>12.6g} {100 * (ours / recalled - 1):>+7.2f} %")
    assert all(math.isfinite(ours) for _, _, ours in found)


def test_woods_from_memory_are_marked() -> None:
    unconfirmed = {name for name, wood in SPECIES.items() if not wood.confirmed()}

    # the woods of the handbook's tables that were read in full, and the sheets of European species
    confirmed = {
        "beech, American",
        "birch, yellow",
        "cherry, black",
        "ash, white",
        "birch",
        "beech, European",
    }
    assert not unconfirmed & confirmed
    assert {"okoume", "walnut, European"} <= unconfirmed
