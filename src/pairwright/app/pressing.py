"""Acts about what is pressed: the mould of a shell, the blanks of its plies, their cutting, a log laid over."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text

if TYPE_CHECKING:
    from pairwright.app.opened import Opened
    from pairwright.physics.profile import Piece
    from pairwright.process.blanks import Blank
    from pairwright.process.cutting import CutPlan
    from pairwright.process.mould import Mould
    from pairwright.process.overlay import StepOverlay
    from pairwright.works.product import Segment

FILE_LIMIT: Final = 16 << 20


def option_of(opened: Opened, product: str, option: str | None) -> str:
    """The option named, or the product's first; raises `InputError` for what there is not."""
    known = [o for p, o in opened.works.variants if p == product]
    if not known:
        names = ", ".join(opened.works.products)
        raise _unknown("product", product, names)
    if option is not None and option not in known:
        raise _unknown("option", option, ", ".join(known))
    return option or known[0]


def mould_for(
    opened: Opened, product: str, *, part: str, actor: str, option: str | None = None, moisture: bool = False
) -> Mould:
    """The profile that the mould must have so that the shell comes out right."""
    del actor
    from pairwright.process.mould import mould_of

    chosen = option_of(opened, product, option)
    return mould_of(opened.works, product, option=chosen, part=part, moisture=moisture)


def profile_bytes(pieces: Sequence[Piece], path: Path) -> bytes:
    """Lines and arcs as the file's ending asks: CSV or DXF."""
    from pairwright.archive.profiles import write_profile_csv, write_profile_dxf

    if path.suffix.lower() == ".csv":
        return write_profile_csv(pieces)
    if path.suffix.lower() == ".dxf":
        return write_profile_dxf(pieces)
    raise InputError(
        Problem(
            str(path),
            "--out",
            text("a file that ends in .csv or .dxf"),
            shown(path.suffix),
            text("choose one"),
        )
    )


def read_profile(path: Path, *, unit: str | None = None, layer: str | None = None) -> tuple[Segment, ...]:
    """Lines and arcs from a CSV or DXF file."""
    from pairwright.archive.profiles import read_profile_csv, read_profile_dxf

    content = read_file(path)
    if path.suffix.lower() == ".dxf":
        return read_profile_dxf(content, path.name, unit=unit, layer=layer)
    return read_profile_csv(content, path.name)


def blanks_for(
    opened: Opened, product: str, *, part: str, actor: str, option: str | None = None
) -> tuple[Blank, ...]:
    """The blank of every ply, from the inner face out."""
    del actor
    from pairwright.process.blanks import blanks_of

    return blanks_of(opened.works, product, option=option_of(opened, product, option), part=part)


def cutting_for(
    blanks: Sequence[Blank], stock: Path, *, veneer: str, items: int, kerf: float, actor: str
) -> CutPlan:
    """How the blanks of one veneer for so many items are cut from the leaves of a stock list."""
    del actor
    from pairwright.archive.cutting_lists import read_stock
    from pairwright.process.cutting import Wanted, cut

    sizes = Counter((round(b.along, 6), round(b.across, 6)) for b in blanks if b.veneer == veneer)
    if not sizes:
        raise _unknown("veneer", veneer, ", ".join(sorted({b.veneer for b in blanks})))
    wanted = [
        Wanted(f"blank {n}", along, across, items * count)
        for n, ((along, across), count) in enumerate(sorted(sizes.items()), start=1)
    ]
    return cut(wanted, read_stock(read_file(stock), stock.name), kerf=kerf)


def overlay_for(
    opened: Opened, product: str, *, part: str, step: str, log: Path, actor: str, option: str | None = None
) -> StepOverlay:
    """A thermocouple log laid over a press step: residuals and corrected constants."""
    del actor
    from pairwright.archive.thermocouple_log import read_log
    from pairwright.process.overlay import overlay

    chosen = option_of(opened, product, option)
    readings = read_log(read_file(log), log.name)
    return overlay(opened.works, product, option=chosen, part=part, step=step, log=readings)


def read_file(path: Path) -> bytes:
    """The bytes of an ordinary file of at most 16 MiB; raises `InputError`."""
    try:
        if not path.is_file():
            raise OSError(0, "no such file, or not an ordinary one")
        if path.stat().st_size > FILE_LIMIT:
            raise OSError(0, "larger than 16 MiB")
        return path.read_bytes()
    except OSError as error:
        raise InputError(
            Problem(
                str(path),
                "file",
                text("an ordinary file of at most 16 MiB"),
                error.strerror or "an error",
                text("name another file"),
            )
        ) from None


def _unknown(field: str, got: str, names: str) -> InputError:
    return InputError(
        Problem(
            "command line", field, text("one of {names}", names=names), shown(got), text("choose one of them")
        )
    )
