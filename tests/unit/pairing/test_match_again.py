"""The same pieces give the same pairs, on every run."""

from __future__ import annotations

import subprocess
import sys

import numpy as np

from pairwright.pairing.match import pair_pool

SCRIPT = """
import numpy as np
from pairwright.pairing.match import pair_pool
grid = np.array([[i, j] for i in range(9) for j in range(9)], dtype=float)
print(pair_pool(grid).pairs)
"""


def test_ties_fall_the_same_way_in_every_process() -> None:
    # on a grid thousands of matchings are equally good
    said = {
        subprocess.run([sys.executable, "-c", SCRIPT], capture_output=True, text=True, check=True).stdout
        for _ in range(3)
    }

    assert len(said) == 1
    grid = np.array([[i, j] for i in range(9) for j in range(9)], dtype=float)
    assert pair_pool(grid).total == 40.0
    assert said == {f"{pair_pool(grid).pairs}\n"}
