"""Travellers on paper: right size, no colour, each page with its code, mirrored for mates, same bytes."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
import zxingcpp
from PIL import Image

from pairwright.base.errors import InputError
from pairwright.base.words import ENGLISH
from pairwright.render.traveller import PAPERS, paper_named, travellers_pdf, travellers_png
from pairwright.reports.traveller import Traveller, traveller_of
from tests.unit.render.printed import DOTS, pixels, rastered, read, two_colours
from tests.unit.reports.paper import pair, routes

WORKS = "Marlhouse"


def sheets() -> list[Traveller]:
    floor = pair()
    made = []
    for name in ("C-0231L", "C-0231R"):
        item = floor.state.item(name)
        assert item is not None
        sheet = traveller_of(routes(), floor.state, item)
        assert sheet is not None
        made.append(sheet)
    return made


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("dots", DOTS)
def test_every_page_of_the_pdf_is_read_back_and_has_its_size(paper: str, dots: float, tmp_path: Path) -> None:
    two = sheets()

    pages = rastered(travellers_pdf(two, paper=paper, words=ENGLISH, works=WORKS), dots, tmp_path)

    found = [read(two_colours(page)) for page in pages]
    half = len(pages) // 2
    assert found == [[two[0].code.text]] * half + [[two[1].code.text]] * half
    for page in pages:
        size = tuple(one / dots * 25.4 for one in page.shape[::-1])
        assert size == pytest.approx(PAPERS[paper], abs=0.3)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("dots", DOTS)
def test_every_page_of_the_picture_is_read_back(paper: str, dots: float) -> None:
    (one,) = sheets()[:1]

    for page in travellers_png([one], paper=paper, words=ENGLISH, works=WORKS, dots=dots):
        assert read(two_colours(pixels(page))) == [one.code.text]


@pytest.mark.parametrize("paper", PAPERS)
def test_a_page_has_no_colour_and_nothing_at_its_edge(paper: str) -> None:
    for page in travellers_png(sheets()[:1], paper=paper, words=ENGLISH, works=WORKS, dots=150):
        picture = np.asarray(Image.open(io.BytesIO(page)).convert("RGB")).astype(int)
        ink = picture.min(axis=2) < 200
        rim = 18  # dots, three millimetres
        ink[rim:-rim, rim:-rim] = False

        assert np.ptp(picture, axis=2).max() == 0
        assert not ink.any()


def test_the_sheets_of_mates_mirror_each_other() -> None:
    places = []
    for one in sheets():
        page = pixels(travellers_png([one], paper="a5", words=ENGLISH, works=WORKS)[0])
        (found,) = zxingcpp.read_barcodes(page)
        places.append((found.position.top_left.x + found.position.bottom_right.x) / 2 / page.shape[1])

    assert places[0] < 0.5 < places[1]
    assert sum(places) == pytest.approx(1.0, abs=0.02)


@pytest.mark.parametrize("paper", PAPERS)
def test_the_same_traveller_is_the_same_bytes(paper: str) -> None:
    made = [travellers_pdf(sheets(), paper=paper, words=ENGLISH, works=WORKS) for _ in range(2)]

    assert made[0] == made[1]


def test_other_paper_is_refused() -> None:
    assert [paper_named(name) for name in ("A5", "a6")] == ["a5", "a6"]
    with pytest.raises(InputError, match="A5 or A6"):
        paper_named("letter")
