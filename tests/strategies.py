"""Hypothesis strategies that more than one test needs: what the trade's numbers look like.

All in base SI. Each says its unit and where its ends come from.
"""

from __future__ import annotations

from typing import Final

from hypothesis import strategies as st

from pairwright.base.quantities import UNIT_NAMES


def finite(low: float, high: float) -> st.SearchStrategy[float]:
    """Plain numbers of an interval, its ends included."""
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


# what a works may hold, [K], [-], [m], [Pa], [s]: common practice, wide on purpose
temperatures: Final = finite(263.15, 433.15)
room_temperatures: Final = finite(278.15, 308.15)
platen_temperatures: Final = finite(363.15, 423.15)
humidities: Final = finite(0.05, 0.95)
moistures: Final = finite(0.02, 0.25)
ply_thicknesses: Final = finite(0.0003, 0.0035)
panel_sizes: Final = finite(0.05, 2.5)
radii: Final = finite(0.05, 2.0)
pressures: Final = finite(1.0e4, 3.0e6)
durations: Final = finite(1.0, 30 * 86400.0)
fractions: Final = finite(0.0, 1.0)

seeds: Final = st.integers(0, 2**63 - 1)
unit_names: Final = st.sampled_from(UNIT_NAMES)

# UTC seconds of the years 2020 to 2040
moments: Final = st.integers(1_577_836_800, 2_208_988_800)
zones: Final = st.sampled_from(
    ("UTC", "Europe/Berlin", "Europe/London", "America/New_York", "Asia/Kolkata", "Australia/Lord_Howe")
)

names: Final = st.from_regex(r"[a-z][a-z0-9]{0,8}(-[a-z0-9]{1,6}){0,2}", fullmatch=True)


@st.composite
def layups(draw: st.DrawFn, most: int = 21) -> list[float]:
    """Thicknesses of a balanced, crossed layup, bottom to top: odd count, symmetrical. [m]"""
    half = draw(st.lists(ply_thicknesses, min_size=1, max_size=(most - 1) // 2))
    return [*half, draw(ply_thicknesses), *reversed(half)]


@st.composite
def intervals(draw: st.DrawFn, longest: int = 14 * 86400) -> tuple[int, int]:
    """A half-open interval of UTC seconds, never empty."""
    start = draw(moments)
    return start, start + draw(st.integers(1, longest))
