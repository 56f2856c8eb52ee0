"""Labels as printers make them: two colours only, read back by a decoder that is not ours."""

from __future__ import annotations

import io
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
import zxingcpp
from numpy.typing import NDArray
from PIL import Image

from pairwright.base.codes import KINDS, Code, make_code
from pairwright.base.words import Text, text
from pairwright.reports.labels import Carton, Label

DOTS = (203.2, 300.0)  # an inch, of the two usual kinds of label printers
IDS = {
    "item": "C-0231L", "leaf": "F12-L07", "lot": "LACQ-2027-03", "set": "A1-2", "carrier": "clamp-set-2",
    "mould": "M-ALDER-2", "programme": "alder-sanding.F", "instrument": "mic-1", "person": "P14",
    "station": "measuring-room", "order": "2211", "batch": "OVEN-0420-1",
}  # fmt: skip


def said(words: str) -> Text:
    return text("{words}", words=words)


def label(code: Code, *, side: str | None = None, carton: Carton | None = None, long: bool = False) -> Label:
    title = "Alder, walnut with a rather long name" if long else "Alder, walnut"
    return Label(code, said(title), (said("Cabinet"), said("set A1-2"), said("mate C-0231R TQ")), side,
                 "cabinet", carton)  # fmt: skip


def every_kind() -> list[Label]:
    return [label(make_code(kind, IDS[kind])) for kind in KINDS]


def boxes() -> list[Label]:
    left, right, both = make_code("item", "C-0231L"), make_code("item", "C-0231R"), make_code("set", "A1-2")
    return [
        label(left, side="left", carton=Carton(1, 2, both, right)),
        label(right, side="right", carton=Carton(2, 2, both, left)),
    ]


def pixels(picture: bytes) -> NDArray[np.uint8]:
    return np.asarray(Image.open(io.BytesIO(picture)).convert("L"))


def two_colours(grey: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """A printer burns a dot or it does not."""
    return np.where(grey < 128, 0, 255).astype(np.uint8)


def read(picture: NDArray[np.uint8]) -> list[str]:
    return sorted(one.text for one in zxingcpp.read_barcodes(picture) if one.valid)


def rastered(pdf: bytes, dots: float, folder: Path) -> list[NDArray[np.uint8]]:
    """The pages of the PDF itself, by a renderer that is not the one which set it."""
    if shutil.which("pdftoppm") is None:
        pytest.skip("no pdftoppm (poppler-utils) on this machine")
    (folder / "labels.pdf").write_bytes(pdf)
    subprocess.run(
        ["pdftoppm", "-r", f"{dots:g}", "-gray", "labels.pdf", "page"], cwd=folder, check=True, timeout=60
    )
    return [np.asarray(Image.open(page)) for page in sorted(folder.glob("page-*.pgm"))]
