"""The tables behind sampling by attributes: code letters, sample sizes, acceptance numbers.

The master table of normal single sampling runs on diagonals: one letter up in size and one quality
level down keep the acceptance number. So it is kept as the diagonal and its exceptions. Which cells
were read in a public copy of the table, and which follow from the diagonal only, is kept too.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, Literal, TypeAlias

Arrow: TypeAlias = Literal["up", "down"]
Cell: TypeAlias = "int | Arrow"

LETTERS: Final = "ABCDEFGHJKLMNPQR"
SIZES: Final[tuple[int, ...]] = (
    2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800, 1250, 2000,
)  # fmt: skip
LOT_ENDS: Final[tuple[int, ...]] = (
    8, 15, 25, 50, 90, 150, 280, 500, 1200, 3200, 10_000, 35_000, 150_000, 500_000,
)  # fmt: skip
LEVELS: Final[Mapping[str, str]] = MappingProxyType({  # one letter for each range of lot sizes
    "I": "AABCCDEFGHJKLMN",
    "II": "ABCDEFGHJKLMNPQ",
    "III": "BCDEFGHJKLMNPQR",
})  # fmt: skip
# Acceptable quality, nonconforming of 1; above 0.10 nonconformities for each item.
QUALITY_LEVELS: Final[tuple[float, ...]] = (
    0.0001, 0.00015, 0.00025, 0.0004, 0.00065, 0.001, 0.0015, 0.0025, 0.004, 0.0065, 0.01, 0.015, 0.025,
    0.04, 0.065, 0.1, 0.15, 0.25, 0.4, 0.65, 1.0, 1.5, 2.5, 4.0, 6.5, 10.0,
)  # fmt: skip

_ZERO: Final = 14  # letter number + level number of the diagonal that accepts 0
_ACCEPT: Final[tuple[Cell, ...]] = (0, "up", "down", 1, 2, 3, 5, 7, 10, 14, 21)  # on from there
_HIGH: Final[tuple[int, ...]] = (30, 44)  # further on, for the smallest samples only
_LAST_HIGH: Final = LETTERS.index("E")
_READ: Final = range(QUALITY_LEVELS.index(0.00065), QUALITY_LEVELS.index(0.15) + 1)


def code_letter(lot: int, level: str) -> str:
    """Code letter of a lot size and inspection level.

    Parameters
    ----------
    lot : int
        Items in the lot, at least 2. [-]
    level : str
        ``I``, ``II`` or ``III``. [-]

    Returns
    -------
    str
        The letter, before arrows are followed. [-]

    References
    ----------
    .. [1] ISO 2859-1, table 1; MIL-STD-105E (1989), table I, the same letters.

    Examples
    --------
    >>> code_letter(500, "II"), code_letter(500, "I")
    ('H', 'F')
    """
    place = next((n for n, end in enumerate(LOT_ENDS) if lot <= end), len(LOT_ENDS))
    return LEVELS[level][place]


def cell(letter: int, quality: int) -> Cell:
    """What stands in the master table: an acceptance number or an arrow. [-]

    Parameters
    ----------
    letter : int
        Place in `LETTERS`. [-]
    quality : int
        Place in `QUALITY_LEVELS`. [-]

    Returns
    -------
    int or str
        Acceptance number, ``up`` (use the first plan above, a smaller sample) or ``down``. [-]

    Notes
    -----
    Along a column: down, 0, up, down, 1, 2, 3, 5, 7, 10, 14, 21, up; for the letters A to E 30 and
    44 stand before the last arrows. An arrow that would leave the table points the other way.

    References
    ----------
    .. [1] ISO 2859-1, table 2-A; MIL-STD-105E (1989), table II-A.

    Examples
    --------
    >>> cell(LETTERS.index("J"), QUALITY_LEVELS.index(0.01))
    2
    """
    step = letter + quality - _ZERO
    if step < 0:
        return "down"
    if step < len(_ACCEPT):
        found = _ACCEPT[step]
        if found == "up" and letter == 0:
            return "down"
        if found == "down" and letter == len(LETTERS) - 1:
            return "up"
        return found
    step -= len(_ACCEPT)
    return _HIGH[step] if letter <= _LAST_HIGH and step < len(_HIGH) else "up"


def follow_arrows(letter: int, quality: int) -> int:
    """Place of the letter whose plan is to be used. [-]

    Parameters
    ----------
    letter : int
        Place in `LETTERS`. [-]
    quality : int
        Place in `QUALITY_LEVELS`. [-]

    Returns
    -------
    int
        Place of a letter with an acceptance number in that column. [-]

    Examples
    --------
    >>> LETTERS[follow_arrows(LETTERS.index("D"), QUALITY_LEVELS.index(0.0065))]
    'F'
    """
    while not isinstance(found := cell(letter, quality), int):
        letter += 1 if found == "down" else -1
    return letter


def was_read(letter: int, quality: int) -> bool:
    """Whether a cell was read in a public copy of the table, and not only follows the diagonal.

    Parameters
    ----------
    letter : int
        Place in `LETTERS`. [-]
    quality : int
        Place in `QUALITY_LEVELS`. [-]

    Returns
    -------
    bool
        True for the levels 0.065 % to 15 %, except where two copies disagree about an arrow (letter
        A at 10 %). [-]
    """
    return quality in _READ and not (letter == 0 and QUALITY_LEVELS[quality] == 0.1)
