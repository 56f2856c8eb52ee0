"""The check character against published ones, and what it finds by count.

ISO/IEC 7064:2003 itself was not at hand. `A1-2425G-ABC1234002-M` is the example of the Global Release
Identifier (GRid) standard 2.1, which uses MOD 37,36; it is quoted in the readme of a public library made
for it. `DADPIDA3897722461` and `123AB` are examples of a public software manual's page on ISO 7064
MOD 37/36.
"""

from __future__ import annotations

import itertools

import pytest

from pairwright.base.codes import check_character

FIGURES = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
PUBLISHED = {
    "A12425GABC1234002": "M",
    "A1-2425G-ABC1234002": "M",
    "DADPIDA3897722461": "J",
    "123AB": "X",
}


def by_the_book(body: str) -> str:
    """A slow twin, from the recursive definition: the character that makes the whole come out as 1."""

    def remainder(whole: str) -> int:
        product = 36
        for sign in whole[:-1]:
            total = (product % 37 + FIGURES.index(sign)) % 36
            product = (total if total != 0 else 36) * 2
        return (product % 37 + FIGURES.index(whole[-1])) % 36

    (found,) = [sign for sign in FIGURES if remainder(body + sign) == 1]
    return found


@pytest.mark.parametrize(("body", "check"), PUBLISHED.items())
def test_the_check_character_is_the_published_one(body: str, check: str) -> None:
    assert check_character(body) == check


@pytest.mark.parametrize("body", ["0", "Z", "C0231LT", "HOTPRESSW", "0" * 20, "Z9" * 10])
def test_the_check_character_is_the_one_that_makes_the_remainder_one(body: str) -> None:
    assert check_character(body) == by_the_book(body)


def test_every_single_wrong_character_is_found() -> None:
    for before, after in itertools.product(["", *FIGURES], ["", "7", "K"]):
        found = {check_character(before + sign + after) for sign in FIGURES}

        assert len(found) == len(FIGURES)


def test_of_exchanged_neighbours_one_in_six_hundred_stays_unseen() -> None:
    pairs = [
        (before, one, other) for before in ["", *FIGURES] for one, other in itertools.combinations(FIGURES, 2)
    ]
    unseen = [p for p in pairs if check_character(p[0] + p[1] + p[2]) == check_character(p[0] + p[2] + p[1])]

    assert (len(unseen), len(pairs)) == (37, 23310)
