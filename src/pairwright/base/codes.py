"""The short code on every label, and what a scanner or a person makes of it.

``PW1:C-0231L:TD`` is the item C-0231L. Behind the identity stand a letter for its kind and a check
character by ISO/IEC 7064, MOD 37,36 [1]_, which covers identity and kind. Below the code a label shows
``C-0231L TD``: that is what people type, and it is refused without the two characters.

Identities that are made for labels hold capitals, figures and hyphens, and no I, O or Q, which look like
1 and 0. Names that a works chose itself (stations, programmes) may hold any letter.

References
----------
.. [1] ISO/IEC 7064:2003, Check character systems, hybrid system MOD 37,36. Hyphens and points do not
   count, as in the published use of the same system in GRid, Global Release Identifier, 2.1.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from pairwright.base.errors import RefusedError, shown
from pairwright.base.keyboards import as_sent
from pairwright.base.words import Text, text

BEGINNING: Final = "PW1:"
LONGEST: Final = 200  # characters that a scanner may send before it is surely none of ours

# The kinds of things that carry a code, with their letters. No letter looks like a figure.
LETTERS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "item": "T", "leaf": "V", "lot": "L", "set": "S", "carrier": "C", "mould": "M", "programme": "P",
        "instrument": "N", "person": "H", "station": "W", "order": "R", "batch": "B",
    }
)  # fmt: skip
KINDS: Final = tuple(LETTERS)
_KIND_OF: Final = {letter: kind for kind, letter in LETTERS.items()}

_FIGURES: Final = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
CLEAR: Final = re.compile(r"[A-HJ-NPR-Z0-9](?:[A-HJ-NPR-Z0-9-]{0,18}[A-HJ-NPR-Z0-9])?")
_IDENT: Final = r"[A-Za-z0-9][A-Za-z0-9._-]{0,79}"
_SCANNED: Final = re.compile(rf"({_IDENT}):([A-Za-z])([A-Za-z0-9])")
_TYPED: Final = re.compile(rf"({_IDENT})[ :]+([A-Za-z])([A-Za-z0-9])")
_SYMBOLOGY: Final = re.compile(
    r"\][A-Za-z][0-9]"
)  # what some scanners put before: ISO/IEC 15424, from memory


class CodeError(RefusedError):
    """A code that is none, is damaged or is of somebody else; `code` names which."""

    def __init__(self, code: str, reason: Text) -> None:
        self.code = code
        super().__init__(reason)


@dataclass(frozen=True, slots=True)
class Code:
    """What a label names: a kind of `KINDS` and an identity.

    `typed` says that a person typed it, `repaired` that a keyboard had to be undone first.
    """

    kind: str
    id: str
    typed: bool = False
    repaired: bool = False

    @property
    def mark(self) -> str:
        """Letter of the kind and check character."""
        return LETTERS[self.kind] + check_character(f"{self.id}{LETTERS[self.kind]}")

    @property
    def text(self) -> str:
        """What the QR holds."""
        return f"{BEGINNING}{self.id}:{self.mark}"

    @property
    def readable(self) -> str:
        """What stands below it, and what people type."""
        return f"{self.id} {self.mark}"


def check_character(body: str) -> str:
    """Check character of a text by ISO/IEC 7064, MOD 37,36.

    Letters count as capitals; other signs than letters and figures do not count.

    Parameters
    ----------
    body : str
        What is to be guarded.

    Notes
    -----
    Finds every single wrong character. Of the exchanges of two neighbours it misses about one in 600:
    counted over all pairs behind every first character, 37 of 23310.

    References
    ----------
    .. [1] ISO/IEC 7064:2003, hybrid systems, MOD 37,36.

    Examples
    --------
    The example of the Global Release Identifier 2.1:

    >>> check_character("A1-2425G-ABC1234002")
    'M'
    """
    rest = 36
    for sign in body.upper():
        if sign in _FIGURES:
            rest = (rest + _FIGURES.index(sign)) % 36 or 36
            rest = 2 * rest % 37
    return _FIGURES[(1 - rest) % 36]


def make_code(kind: str, identity: str) -> Code:
    """The code of a thing.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    identity : str
        As the record or the works writes it.

    Raises
    ------
    CodeError
        When there is no such kind, or no code can hold the identity.

    Examples
    --------
    >>> make_code("item", "C-0231L").text
    'PW1:C-0231L:TD'
    """
    if kind not in LETTERS:
        raise CodeError(
            "kind_unknown", text("{kind} is no kind of thing: take one of {names}", kind=kind, names=", ".join(KINDS))
        )  # fmt: skip
    if not re.fullmatch(_IDENT, identity):
        raise CodeError(
            "identity_unfit",
            text("{identity} does not fit into a code: letters A-Z and a-z, figures, hyphen, point and underscore do",
                 identity=shown(identity)),
        )  # fmt: skip
    return Code(kind, identity)


def is_clear(identity: str) -> bool:
    """Whether an identity can't be misread: capitals but I, O, Q, figures, hyphens, at most 20.

    Examples
    --------
    >>> is_clear("C-0231L"), is_clear("C-O231L")
    (True, False)
    """
    return CLEAR.fullmatch(identity) is not None


def is_code(given: str) -> bool:
    """Whether a text was scanned from one of our labels, whatever a keyboard made of it.

    Examples
    --------
    >>> is_code("PW1ÖCß0231LÖTD"), is_code("C-0231L")
    (True, False)
    """
    return _undone(_bare(given)) is not None


def read_code(given: str) -> Code:
    """What a scanned or typed text names.

    A code that went through a keyboard set to another country is put right where that is certain: the
    check character must agree afterwards. Nothing else is repaired.

    Parameters
    ----------
    given : str
        As it came.

    Raises
    ------
    CodeError
        With one sentence that says what is wrong and what to do.

    Examples
    --------
    >>> read_code("PW1:C-0231L:TD")
    Code(kind='item', id='C-0231L', typed=False, repaired=False)
    >>> read_code("C-0231L TD").typed
    True
    """
    bare = _bare(given)
    if not bare or len(bare) > LONGEST:
        raise _foreign(bare)
    undone = _undone(bare)
    if undone is None:
        return _typed(bare)
    found = _SCANNED.fullmatch(undone[len(BEGINNING) :])
    if found is None:
        raise CodeError(
            "code_damaged", text("{given} is not whole: scan the label again, or its second copy", given=shown(bare))
        )  # fmt: skip
    code = _judged(found, typed=False, repaired=undone != bare)
    if code is None and undone != bare:
        raise CodeError(
            "keyboard_differs",
            text("the scanner and this tablet are set to different keyboards: set the scanner to the tablet's, "
                 "then scan again"),
        )  # fmt: skip
    if code is None:
        raise CodeError(
            "check_wrong",
            text("the check character of {given} does not agree: scan again; if it stays so, print a new label",
                 given=shown(bare)),
        )  # fmt: skip
    return code


def address_of(code: Code) -> str:
    """The address of the page of what a code names.

    Parameters
    ----------
    code : Code
        As read.

    Examples
    --------
    >>> address_of(make_code("item", "C-0231L")), address_of(make_code("station", "hot-press"))
    ('/things/C-0231L', '/stations/hot-press')
    """
    page = {"station": "stations", "person": "people"}.get(code.kind, "things")
    return f"/{page}/{code.id}"


def _bare(given: str) -> str:
    """Without the blanks, line ends and symbology marks that scanners add."""
    stripped = given.strip(" \t\r\n\x00\x02\x03\x04\x1d")
    found = _SYMBOLOGY.match(stripped)
    return stripped[found.end() :] if found else stripped


def _undone(bare: str) -> str | None:
    """A scanned code as it was printed, or None where it is not one of ours."""
    if bare.startswith(BEGINNING):
        return bare
    if bare.startswith(BEGINNING.lower()):
        return bare.swapcase()  # the capitals key was down
    if len(bare) > LONGEST:
        return None
    several = [one for one in as_sent(bare, beginning=BEGINNING) if _SCANNED.fullmatch(one[len(BEGINNING) :])]
    agreed = [one for one in several if _agrees(one)]
    return next(iter(agreed or several), None)


def _agrees(undone: str) -> bool:
    found = _SCANNED.fullmatch(undone[len(BEGINNING) :])
    return found is not None and _judged(found, typed=False, repaired=True) is not None


def _typed(bare: str) -> Code:
    found = _TYPED.fullmatch(bare)
    if found is None:
        if re.fullmatch(_IDENT, bare):
            raise CodeError(
                "check_missing",
                text("{given} was typed without its check character: type the two characters behind it as well, "
                     "such as C-0231L TD",
                     given=bare),
            )  # fmt: skip
        raise _foreign(bare)
    code = _judged(found, typed=True, repaired=False)
    if code is None:
        raise CodeError(
            "check_wrong",
            text("{given} is mistyped: look again at 0 and O, 1 and I, and at neighbours that changed places",
                 given=shown(bare)),
        )  # fmt: skip
    return code


def _judged(found: re.Match[str], *, typed: bool, repaired: bool) -> Code | None:
    """The code, or None where letter or check character are not right."""
    identity, letter, check = found.groups()
    kind = _KIND_OF.get(letter.upper())
    if kind is None or check_character(identity + letter) != check.upper():
        return None
    return Code(kind, identity, typed, repaired)


def _foreign(bare: str) -> CodeError:
    return CodeError(
        "code_foreign",
        text("{given} is not a code of this works: scan the label with the identity below it",
             given=shown(bare) if bare else "nothing"),
    )  # fmt: skip
