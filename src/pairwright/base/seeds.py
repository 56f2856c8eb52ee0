"""Seeds: one number from the user, many independent streams from it."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np


def child_seed(seed: int, *names: str | int) -> int:
    """A 63-bit seed for a named purpose, the same on every machine."""
    body = "\0".join(str(n) for n in (seed, *names)).encode()
    return int.from_bytes(hashlib.sha256(body).digest()[:8], "big") >> 1


def generator(seed: int, *names: str | int) -> np.random.Generator:
    """A numpy generator for a named purpose."""
    import numpy as np

    return np.random.Generator(np.random.PCG64(child_seed(seed, *names)))
