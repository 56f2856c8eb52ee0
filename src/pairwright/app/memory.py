"""How often Python looks for garbage that goes round in circles."""

from __future__ import annotations

import gc
from typing import Final

SELDOM: Final = (200_000, 20, 20)  # allocations, young rounds, middle rounds


def collect_seldom() -> None:
    """Look for cyclic garbage seldom: plans are large, and hold hardly any.

    A works and its plan are hundreds of thousands of small records that live long. The usual thresholds
    have Python walk through all of them again and again: a fourth of the time of an audit.
    """
    gc.set_threshold(*SELDOM)
