"""What a scanner's keys become when the tablet believes in another keyboard, and the way back.

A scanner that plays a keyboard sends keys, not letters. Set to one country while the tablet is set to
another, it turns ``-`` and ``:`` into other signs and exchanges letters. The layouts are those of national
keyboards as commonly sold, from memory; keys are told by their place.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

# Each layout: the four rows of keys from left to right, plain, then with shift. A space is a key without
# a sign of its own.
_LAYOUTS: Final = {
    "us": ("`1234567890-=qwertyuiop[]asdfghjkl;'zxcvbnm,./", '~!@#$%^&*()_+QWERTYUIOP{}ASDFGHJKL:"ZXCVBNM<>?'),
    "german": (
        "^1234567890ß´qwertzuiopü+asdfghjklöäyxcvbnm,.-", '°!"§$%&/()=?`QWERTZUIOPÜ*ASDFGHJKLÖÄYXCVBNM;:_'
    ),
    "french": (
        "²&é\"'(-è_çà)=azertyuiop^$qsdfghjklmùwxcvbn,;:!", " 1234567890°+AZERTYUIOP¨£QSDFGHJKLM%WXCVBN?./§"
    ),
}  # fmt: skip
LAYOUTS: Final = tuple(_LAYOUTS)


def as_keyed(sent: str, *, scanner: str, host: str) -> str:
    """What arrives when a scanner set to one keyboard talks to a tablet set to another.

    Parameters
    ----------
    sent : str
        What the scanner read.
    scanner : str
        The keyboard that it plays, one of `LAYOUTS`.
    host : str
        The keyboard that the tablet expects.

    Examples
    --------
    >>> as_keyed("PW1:C-7", scanner="us", host="german")
    'PW1ÖCß7'
    >>> as_keyed("PW1:C-7", scanner="us", host="french")
    'PZ&MC)è'
    """
    keys = dict(zip("".join(_LAYOUTS[scanner]), "".join(_LAYOUTS[host]), strict=True))
    return "".join(keys.get(sign, sign) for sign in sent)


def as_sent(arrived: str, *, beginning: str) -> Iterator[str]:
    """What a scanner may have read, where what arrived does not begin as every code does.

    Each pair of keyboards that makes the beginning come out right gives one answer.

    Parameters
    ----------
    arrived : str
        What came from the scanner.
    beginning : str
        How every code begins.

    Examples
    --------
    >>> list(as_sent("PZ&MC)è", beginning="PW1:"))
    ['PW1:C-7']
    """
    seen = set()
    for scanner in LAYOUTS:
        for host in LAYOUTS:
            # a scanner set to `host` on a tablet set to `scanner` undoes what the other way round did
            back = as_keyed(arrived, scanner=host, host=scanner)
            if scanner != host and back.startswith(beginning) and back not in seen:
                seen.add(back)
                yield back
