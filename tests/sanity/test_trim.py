"""Trimming lands where the trade knows it: common practice, no source.

Inputs are plausible and not any works' own.
"""

from __future__ import annotations

import math

from pairwright.physics.elastic import veneer
from pairwright.physics.tolerance import Contributor, tolerance_chain
from pairwright.physics.warp import panel_movement

HEIGHT = 1.0  # of the shell along its cut [m]
DRIFT = 0.002  # of its moisture between trimming and measuring [-]


def moves() -> float:
    """How far a crossed beech shell moves along its height meanwhile. [m]"""
    plies = [
        veneer("beech, European", 1.5e-3, angle=0.5 * math.pi * (n % 2), moisture_change=DRIFT)
        for n in range(9)
    ]
    return abs(panel_movement(plies)[1]) * HEIGHT


# common practice, no source: shells are trimmed to about +/- 0.2 mm
def test_a_shell_is_trimmed_to_about_a_fifth_of_a_millimetre() -> None:
    links = [
        Contributor(0.0, 0.05e-3),  # the machine finds its place again
        Contributor(0.0, 0.10e-3),  # the shell against the stops of its fixture
        Contributor(0.0, 0.08e-3),  # the tool gives way and wears
        Contributor(0.0, moves(), distribution="uniform"),
    ]

    chain = tolerance_chain(links, samples=20_000)

    assert 0.1e-3 <= chain.rss_high <= 0.3e-3
    assert chain.worst_high <= 0.4e-3
