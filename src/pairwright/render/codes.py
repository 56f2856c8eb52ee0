"""Codes as drawings: QR for labels and travellers, DataMatrix where there is little room.

Modules are black squares on a field of whole numbers, so that a printer's dots can meet them. QR is made
with error correction Q or better (ISO/IEC 18004: about a quarter of the code may be lost), DataMatrix as
ECC 200 (ISO/IEC 16022). The margin that a reader needs is part of the drawing: 4 modules around a QR, and
2 around a DataMatrix, of which its standard asks 1.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

SymbolKind: TypeAlias = Literal["qr", "datamatrix"]
QUIET: Final = {"qr": 4, "datamatrix": 2}


@dataclass(frozen=True, slots=True)
class Symbol:
    """The modules of a code, row by row, without the margin; `level` is the error correction."""

    kind: SymbolKind
    rows: tuple[tuple[bool, ...], ...]
    level: str

    @property
    def quiet(self) -> int:
        """Width of the margin, in modules."""
        return QUIET[self.kind]

    @property
    def across(self) -> int:
        """Width with the margin, in modules."""
        return len(self.rows[0]) + 2 * self.quiet

    def svg(self) -> str:
        """The drawing: one path, one unit a module."""
        path = "".join(
            f"M{x + self.quiet} {y + self.quiet}h{run}v1h-{run}z"
            for y, row in enumerate(self.rows)
            for x, run in _runs(row)
        )
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {self.across} {self.across}" '
            f'shape-rendering="crispEdges"><path d="{path}" fill="#000"/></svg>'
        )


def symbol(kind: SymbolKind, content: str) -> Symbol:
    """A code of a text.

    Parameters
    ----------
    kind : SymbolKind
        ``"qr"`` or ``"datamatrix"``.
    content : str
        What a scanner shall read; ASCII.

    Examples
    --------
    >>> drawn = symbol("qr", "PW1:C-0231L:TD")
    >>> len(drawn.rows), drawn.across, drawn.level
    (21, 29, 'Q')
    """
    return _qr(content) if kind == "qr" else _datamatrix(content)


def _qr(content: str) -> Symbol:
    import segno

    made = segno.make(content, error="q", micro=False, boost_error=True)
    rows = tuple(tuple(bool(module) for module in row) for row in made.matrix)
    return Symbol("qr", rows, str(made.error))


def _datamatrix(content: str) -> Symbol:
    import numpy as np
    import zxingcpp

    made = zxingcpp.create_barcode(content, zxingcpp.BarcodeFormat.DataMatrix, force_square=True)
    picture = np.asarray(made.to_image(scale=1, add_quiet_zones=False))
    return Symbol("datamatrix", tuple(tuple(bool(v < 128) for v in row) for row in picture), "ECC 200")


def _runs(row: tuple[bool, ...]) -> list[tuple[int, int]]:
    """Where black begins in a row, and how many modules it goes on."""
    found: list[tuple[int, int]] = []
    for x, black in enumerate(row):
        if black and found and sum(found[-1]) == x:
            found[-1] = (found[-1][0], found[-1][1] + 1)
        elif black:
            found.append((x, 1))
    return found
