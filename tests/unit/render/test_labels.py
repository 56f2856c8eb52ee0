"""Labels: measured in millimetres, read back from paper, mirrored for mates, the same bytes every time."""

from __future__ import annotations

import random
from pathlib import Path

import numpy as np
import pytest
import zxingcpp
from numpy.typing import NDArray

from pairwright.base.codes import KINDS, make_code, read_code
from pairwright.base.errors import InputError
from pairwright.base.words import ENGLISH, Words
from pairwright.render.codes import SymbolKind, symbol
from pairwright.render.labels import SIZES, SMALLEST_MODULE, labels_pdf, labels_png, module_of, size_named
from pairwright.reports.labels import Label
from tests.unit.render.printed import DOTS, IDS, boxes, every_kind, label, pixels, rastered, read, two_colours

WORKS = "Marlhouse"
SINGLE = [name for name, size in SIZES.items() if not size.carton]


def png(labels: list[Label], size: str, dots: float) -> list[bytes]:
    return labels_png(labels, SIZES[size], words=ENGLISH, works=WORKS, dots=dots)


@pytest.mark.parametrize("dots", DOTS)
@pytest.mark.parametrize("size", SINGLE)
def test_every_kind_on_every_size_is_read_back(size: str, dots: float) -> None:
    labels = every_kind()

    pages = png(labels, size, dots)

    assert [read(two_colours(pixels(page))) for page in pages] == [[one.code.text] for one in labels]


@pytest.mark.parametrize("dots", DOTS)
def test_a_box_carries_its_own_code_and_that_of_the_set(dots: float) -> None:
    pages = png(boxes(), "carton", dots)

    found = [
        sorted(map(str, (read_code(one).readable for one in read(two_colours(pixels(p)))))) for p in pages
    ]

    assert found == [["A1-2 SP", "C-0231L TD"], ["A1-2 SP", "C-0231R TQ"]]


@pytest.mark.parametrize("dots", DOTS)
@pytest.mark.parametrize("size", SIZES)
def test_the_pdf_itself_is_read_back_by_another_renderer(size: str, dots: float, tmp_path: Path) -> None:
    labels = boxes() if SIZES[size].carton else every_kind()
    pdf = labels_pdf(labels, SIZES[size], words=ENGLISH, works=WORKS)

    pages = rastered(pdf, dots, tmp_path)

    assert len(pages) == len(labels)
    for page, one in zip(pages, labels, strict=True):
        assert one.code.text in read(two_colours(page))


@pytest.mark.parametrize("size", SIZES)
def test_a_page_is_as_large_as_the_label(size: str, tmp_path: Path) -> None:
    roll = SIZES[size]
    labels = boxes()[:1] if roll.carton else every_kind()[:1]

    (page,) = rastered(labels_pdf(labels, roll, words=ENGLISH, works=WORKS), 300.0, tmp_path)

    height, width = (one / 300.0 * 25.4 for one in page.shape)
    assert (width, height) == pytest.approx((roll.width, roll.height), abs=0.17)  # two dots


@pytest.mark.parametrize("size", SIZES)
def test_modules_are_whole_dots_of_a_203_dot_printer_and_at_least_three(size: str) -> None:
    roll = SIZES[size]
    for kind, identity in IDS.items():
        content = make_code(kind, identity).text
        drawn = symbol(roll.symbol, content)
        module = module_of(drawn, roll, content=content)

        assert module >= SMALLEST_MODULE
        assert (module / 0.125) % 1 == 0
        assert module * drawn.across <= roll.code


@pytest.mark.parametrize("size", SINGLE)
@pytest.mark.parametrize("side", [None, "left", "right", "a", "b"])
def test_nothing_is_printed_where_a_printer_may_miss(size: str, side: str | None) -> None:
    ids = ("C-0231L", "LONG-ID-0020" if size == "basket" else "A-RATHER-LONG-ID-20")
    labels = [label(make_code("item", one), side=side, long=True) for one in ids]

    for page in png(labels, size, 300.0):
        ink = pixels(page) < 128
        rim = 4  # dots, a third of a millimetre
        ink[rim:-rim, rim:-rim] = False
        assert not ink.any()


@pytest.mark.parametrize("size", SINGLE)
def test_labels_of_mates_mirror_each_other(size: str) -> None:
    pages = png(
        [label(make_code("item", "C-0231L"), side=s) for s in ("left", "right", "a", "b")], size, 300.0
    )

    places = [_middle(pixels(page)) for page in pages]

    assert places[0] < 0.5 < places[1]
    assert places[0] + places[1] == pytest.approx(1.0, abs=0.02)
    assert places[2:] == pytest.approx(places[:2])


def _middle(picture: NDArray[np.uint8]) -> float:
    (found,) = zxingcpp.read_barcodes(picture)
    corners = (found.position.top_left, found.position.bottom_right)
    return sum(corner.x for corner in corners) / 2 / picture.shape[1]


@pytest.mark.parametrize("length", [1, 7, 14, 20, 40, 80])
def test_codes_are_made_with_error_correction_q_or_better(length: int) -> None:
    drawn = symbol("qr", make_code("item", "C" * length).text)

    assert drawn.level in ("Q", "H")
    assert len({len(row) for row in drawn.rows} | {len(drawn.rows)}) == 1


@pytest.mark.parametrize("length", [1, 5, 8, 12, 20, 40])
def test_small_codes_are_square(length: int) -> None:
    drawn = symbol("datamatrix", make_code("item", "C" * length).text)

    assert {len(row) for row in drawn.rows} == {len(drawn.rows)}


@pytest.mark.parametrize("size", list(SIZES))
def test_the_same_labels_are_the_same_bytes(size: str) -> None:
    labels = boxes() if SIZES[size].carton else every_kind()[:2]
    made = [labels_pdf(labels, SIZES[size], words=ENGLISH, works=WORKS, timestamp=86400) for _ in range(2)]

    assert made[0] == made[1]


def test_labels_say_the_side_in_the_readers_language() -> None:
    german = Words(language="de", catalogue={"left": "links"})
    labels = [label(make_code("item", "C-0231L"), side="left")]

    assert labels_png(labels, SIZES["cabinet"], words=german, works=WORKS) != png(labels, "cabinet", 203.2)


@pytest.mark.parametrize(
    ("kind", "identity", "size"),
    [
        ("item", "X" * 40, "basket"),
        ("item", "stock.alder.walnut.woofer.1", "basket"),
        ("station", "s" * 80, "part"),
    ],
)
def test_an_identity_too_long_for_its_label_is_refused(kind: str, identity: str, size: str) -> None:
    with pytest.raises(InputError, match="take a larger label"):
        png([label(make_code(kind, identity))], size, 203.2)


def test_a_single_thing_gets_no_carton() -> None:
    with pytest.raises(InputError, match="name the set"):
        png(every_kind()[:1], "carton", 203.2)


def test_an_unknown_size_is_refused_with_those_that_there_are() -> None:
    with pytest.raises(InputError, match=", ".join(SIZES)):
        size_named("huge")


def test_every_kind_has_an_example_here() -> None:
    assert set(IDS) == set(KINDS)


def _damaged(clean: NDArray[np.uint8], share: float, dice: random.Random) -> NDArray[np.uint8]:
    """Blocks of two modules by two, white or black, until they cover a share of the code, and noise."""
    picture, covered = clean.copy(), np.zeros(clean.shape, dtype=bool)
    height, width = picture.shape
    inside = (height - 48) * (width - 48)
    while covered.sum() < share * inside:
        x, y = dice.randrange(24, width - 36), dice.randrange(24, height - 36)
        picture[y : y + 12, x : x + 12] = dice.choice((0, 255))
        covered[y : y + 12, x : x + 12] = True
    noise = np.random.default_rng(dice.randrange(2**31)).normal(0.0, 20.0, picture.shape)
    return np.clip(picture + noise, 0, 255).astype(np.uint8)


@pytest.mark.parametrize(
    ("kind", "least"), [("qr", {0.0: 60, 0.02: 30, 0.05: 9}), ("datamatrix", {0.0: 60, 0.02: 50})]
)
def test_a_damaged_code_is_read_right_or_not_at_all(kind: SymbolKind, least: dict[float, int]) -> None:
    right = dict.fromkeys((0.0, 0.02, 0.05, 0.1, 0.2), 0)
    for share in right:
        dice = random.Random(5)
        for n in range(60):
            content = make_code("item", f"C-{n:04}L").text
            drawn = symbol(kind, content)
            clean = np.pad(~np.asarray(drawn.rows), 4, constant_values=True)
            grey = np.kron(clean, np.ones((6, 6))).astype(np.uint8) * 255
            found = read(_damaged(grey, share, dice))
            assert found in ([], [content])
            right[share] += bool(found)

    assert {share: right[share] >= count for share, count in least.items()} == dict.fromkeys(least, True)
    assert sorted(right.values(), reverse=True) == list(right.values())
