"""Laws of sheets and shells for the handbook: warp, bending with rolling shear, a shell held open."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, Final

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.laws import ANY, NOT_NEGATIVE, POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text
from pairwright.physics.laminate import CLASSICAL, Lamina
from pairwright.physics.opening import Shell, opened, safe_opening
from pairwright.physics.shear import apparent_modulus, three_point_deflection
from pairwright.physics.warp import panel_movement, warp

TIMOSHENKO: Final = Source(
    "published", "S. Timoshenko, J. Opt. Soc. Am. 11 (1925) 233: bending of two strips that move unlike"
)
BLOMQVIST: Final = Source(
    "published",
    "Blomqvist, Berg, Sandberg 2019: 90 seven-ply birch shells, one stray ply; the model fell short of them",
)
JOURAWSKI: Final = Source("closed form", "shear stress by equilibrium, its energy summed over the layers")
WINKLER: Final = Source("closed form", "thin ring for the give, Winkler and Bach for the stress at the crown")


def _warp_law(**inputs: Any) -> Mapping[str, float]:
    plies = [
        Lamina(
            row["E1"], row["E2"], row["G12"], row["nu12"], row["thickness"], math.radians(row["angle_deg"]),
            (row["movement_along"] * row["moisture_change"], row["movement_across"] * row["moisture_change"]),
        )
        for row in inputs["plies"]
    ]  # fmt: skip
    for n, ply in enumerate(plies):
        if not ply.possible():
            raise InputError(
                Problem("calc warp", f"plies[{n}].nu12", text("below the square root of E1/E2"), shown(ply.nu12),
                        text("check which direction nu12 is for"))
            )  # fmt: skip
    found = warp(plies, length=inputs["length"], width=inputs["width"])
    along, across = panel_movement(plies)
    return {
        "bow_x": found.bow_x,
        "bow_y": found.bow_y,
        "twist": found.twist,
        "strain_x": along,
        "strain_y": across,
    }


def _bending_law(**inputs: Any) -> Mapping[str, float]:
    plies = [(row["E"], row["G"], row["thickness"]) for row in inputs["plies"]]
    bending, shear = three_point_deflection(
        plies, inputs["span"], width=inputs["width"], force=inputs["force"]
    )
    modulus = apparent_modulus(plies, inputs["span"])
    return {"bending": bending, "shear": shear, "apparent_modulus": modulus}


def _open_law(**inputs: Any) -> Mapping[str, float]:
    limits = {"along_limit": inputs.pop("along_limit"), "through_limit": inputs.pop("through_limit")}
    opening = inputs.pop("opening")
    shell = Shell(**inputs)
    held = opened(shell, opening, **limits)
    return {
        "force": held.force, "hoop_stress": held.hoop_stress, "radial_stress": held.radial_stress,
        "share": held.share, "safe_opening": safe_opening(shell, **limits).opening,
    }  # fmt: skip


_PLY: Final = (
    Argument("E1", "Pa", text("modulus along the ply's grain"), POSITIVE),
    Argument("E2", "Pa", text("modulus across it, in the plane"), POSITIVE),
    Argument("G12", "Pa", text("shear modulus in the plane"), POSITIVE),
    Argument("nu12", "-", text("strain across over strain along, under load along"), ANY, Span(0.0, 1.0)),
    Argument("thickness", "m", text("thickness of the ply"), POSITIVE),
    Argument("angle_deg", "deg", text("grain from x, counter-clockwise seen from above"), ANY, default=0.0),
    Argument("moisture_change", "-", text("moisture after less before, dry basis"), Span(-1.0, 1.0),
             Span(-0.1, 0.1)),
    Argument("movement_along", "-", text("strain along the grain per unit moisture"), Span(-1.0, 1.0), default=0.01),
    Argument("movement_across", "-", text("strain across the grain per unit moisture"), Span(-1.0, 1.0)),
)  # fmt: skip
_WOOD: Final = {
    "E1": 12e9,
    "E2": 0.8e9,
    "G12": 0.6e9,
    "nu12": 0.3,
    "thickness": 1.5e-3,
    "movement_across": 0.35,
}
_STRIP: Final = ({"E": 12e9, "G": 0.6e9, "thickness": 1.5e-3}, {"E": 0.8e9, "G": 0.08e9, "thickness": 1.5e-3})

LAWS: tuple[Law, ...] = (
    Law(
        "warp",
        text("Warp of a free sheet when its plies take up or give off moisture"),
        _warp_law,
        (
            Argument("plies", "-", text("from the bottom face up"), shape="table", columns=_PLY),
            Argument("length", "m", text("of the sheet, along x"), POSITIVE),
            Argument("width", "m", text("of the sheet, along y"), POSITIVE),
        ),
        (
            Result("bow_x", "m", text("rise of the middle over the ends along x; positive where the upper face grows")),
            Result("bow_y", "m", text("the same along y")),
            Result("twist", "m", text("rise of one corner over the plane of the other three")),
            Result("strain_x", "-", text("of the sheet along x")),
            Result("strain_y", "-", text("of the sheet along y")),
        ),
        text("lamination theory, small curvature; in trials stray grain and uneven moisture did more"),
        (CLASSICAL, TIMOSHENKO, BLOMQVIST),
        Worked(
            {"plies": [{**_WOOD, "moisture_change": -0.01}, {**_WOOD, "angle_deg": 90.0, "moisture_change": -0.01},
                       {**_WOOD, "moisture_change": -0.02}], "length": 1.0, "width": 0.4},
            {"bow_x": -0.0047576, "bow_y": -0.0136252}, 1e-4,
        ),
    ),
    Law(
        "three_point_bending",
        text("Deflection of a layered strip, rolling shear included"),
        _bending_law,
        (
            Argument("plies", "-", text("from one face to the other"), shape="table", columns=(
                Argument("E", "Pa", text("modulus along the span"), POSITIVE),
                Argument("G", "Pa", text("shear modulus; of a cross ply the rolling shear modulus"), POSITIVE),
                Argument("thickness", "m", text("thickness of the ply"), POSITIVE),
            )),
            Argument("span", "m", text("between supports"), POSITIVE),
            Argument("width", "m", text("of the strip"), POSITIVE),
            Argument("force", "N", text("in the middle"), NOT_NEGATIVE),
        ),
        (
            Result("bending", "m", text("deflection by bending")),
            Result("shear", "m", text("deflection by shear")),
            Result("apparent_modulus", "Pa", text("that the test would report, shear included")),
        ),
        text("exact for thin layers; rolling shear moduli of wood, 40 to 200 MPa, are known to a factor of two"),
        (JOURAWSKI,),
        Worked({"plies": [_STRIP[0], _STRIP[1], _STRIP[0]], "span": 0.09, "width": 0.05, "force": 100.0},
               {"bending": 3.4527e-4, "shear": 8.9367e-5, "apparent_modulus": 9.2031e9}, 1e-4),
    ),
    Law(
        "shell_held_open",
        text("Force and stress of a shell held open, and how far it may be"),
        _open_law,
        (
            Argument("leg", "m", text("length of each straight leg"), NOT_NEGATIVE),
            Argument("radius", "m", text("of the half ring, to the middle of the shell"), POSITIVE),
            Argument("thickness", "m", text("of the shell"), POSITIVE),
            Argument("width", "m", text("along the bend's axis"), POSITIVE),
            Argument("modulus", "Pa", text("of bending along the U"), POSITIVE),
            Argument("opening", "m", text("between the tips, beyond the free shape"), NOT_NEGATIVE),
            Argument("along_limit", "Pa", text("hoop stress that must not be passed"), POSITIVE),
            Argument("through_limit", "Pa", text("stress through the thickness that must not be passed"), POSITIVE),
        ),
        (
            Result("force", "N", text("at each tip")),
            Result("hoop_stress", "Pa", text("at the inside of the crown, tension")),
            Result("radial_stress", "Pa", text("through the thickness there, tension")),
            Result("share", "-", text("of the nearer limit used")),
            Result("safe_opening", "m", text("the opening at which a limit is reached: margin is in the limits")),
        ),
        text("elastic; legs and ring of one thickness; compare with the strength of one's own panel"),
        (WINKLER,),
        Worked({"leg": 0.25, "radius": 0.15, "thickness": 0.018, "width": 1.0, "modulus": 10e9, "opening": 0.010,
                "along_limit": 40e6, "through_limit": 1.5e6},
               {"force": 718.2, "safe_opening": 0.0717}, 1e-3),
    ),
)  # fmt: skip
