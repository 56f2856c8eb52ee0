"""The book as page and paper: self-contained, accessible, escaped, in the reader's words, reproducible."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from html.parser import HTMLParser
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree as ET
from zoneinfo import ZoneInfo

import pytest

from pairwright.base.words import Words, text
from pairwright.render import book_html, book_pdf
from pairwright.render.compose import book_document
from pairwright.reports import BookData, Comparison, Moved
from pairwright.works import load_works
from tests.unit.audit.small import TEXTS
from tests.unit.reports.test_book import book

WORDS = Words(zone=ZoneInfo("Europe/Amsterdam"))
CHANGE = Comparison(
    (("products/tern.shell.layup.plies", "5"),), (text("the shell is pressed longer"),),
    (Moved(text("shell: form"), 600.0, 720.0),), (Moved(text("Press"), 0.5, 0.625),),
    (Moved(text("order T1"), 1_803_000_000.0, 1_803_086_400.0),), (), (), 1000.0, 1012.5,
)  # fmt: skip


@cache
def data() -> BookData:
    return book(comparison=CHANGE)


@cache
def page() -> str:
    return book_html(data(), WORDS)


class Reader(HTMLParser):
    """Tags with their attributes, in order, and the text between them."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.said: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in ("meta", "path", "rect", "line", "circle", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag not in ("path", "rect", "line", "circle"):
            assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.said.append(data)


@cache
def read() -> Reader:
    reader = Reader()
    reader.feed(page())
    return reader


def test_the_page_calls_nobody() -> None:
    addresses = set(re.findall(r"https?://[^\s\"'<)]+", page()))

    assert addresses == {"http://www.w3.org/2000/svg"}  # the name of SVG, not a request
    assert not any(tag in ("script", "link", "img", "iframe", "object") for tag, _ in read().tags)
    assert "@import" not in page()
    assert "default-src 'none'" in page()


def test_every_tag_is_closed_and_no_name_is_used_twice() -> None:
    ids = [a["id"] for _, a in read().tags if "id" in a]

    assert read().open == []
    assert len(ids) == len(set(ids))


def test_every_link_leads_somewhere() -> None:
    ids = {a["id"] for _, a in read().tags if "id" in a}
    targets = {str(a["href"]).removeprefix("#") for tag, a in read().tags if tag == "a"}

    assert targets - ids == set()


def test_headings_go_down_one_level_at_a_time() -> None:
    levels = [int(tag[1]) for tag, _ in read().tags if re.fullmatch("h[1-6]", tag)]

    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b <= a + 1 for a, b in pairwise(levels))


def test_every_head_of_a_table_says_what_it_heads() -> None:
    assert all(a.get("scope") in ("col", "row") for tag, a in read().tags if tag == "th")


def test_every_figure_has_its_sentence_and_its_table() -> None:
    figures = book_document(data(), WORDS).figures()

    assert len(figures) >= 6
    for figure in figures:
        assert figure.sentence
        assert figure.table.rows
        assert all(len(row) == len(figure.table.head) for row in figure.table.rows)
        assert all(0 <= n < len(figure.table.head) for n in figure.table.numeric)
        assert ET.fromstring(figure.svg).get("aria-label") == figure.sentence
    assert page().count("<figcaption>") == page().count("<details>") == len(figures)


def test_a_figure_stays_within_its_field() -> None:
    for figure in book_document(data(), WORDS).figures():
        for element in ET.fromstring(figure.svg).iter():
            if element.tag.endswith("rect"):
                assert float(element.get("x", "0")) >= -1.0
                assert float(element.get("x", "0")) + float(element.get("width", "0")) <= figure.width + 1.0
            assert not any(v in ("nan", "inf") for v in element.attrib.values())


def test_the_first_page_answers_the_week_s_questions() -> None:
    said = " ".join(read().said)

    for answer in ("At risk, and why", "Order this week", "Needs a decision", "The bottleneck"):
        assert answer in said
    assert "Who does what by when" in said
    assert "W1 · Wren" in said
    assert "late" in said


def test_the_change_is_told_from_cause_to_effect() -> None:
    said = " ".join(read().said)

    assert "The shell is pressed longer" in said
    assert "The order book costs 1\u202f012 EUR instead of 1\u202f000 EUR, 12 EUR more." in said


def test_nothing_says_that_anything_is_safe() -> None:
    found = re.findall(r"[^.]*\bsafe\b[^.]*\.", " ".join(read().said))

    assert all("nothing here says" in sentence for sentence in found)


def test_names_from_the_works_are_only_ever_text() -> None:
    sharp = '<script>alert("x")</script> & #set page(fill: red)'
    named = replace(data(), works=sharp)

    made = book_html(named, WORDS)

    assert "<script" not in made
    assert "&lt;script&gt;" in made
    assert book_pdf(named, WORDS).startswith(b"%PDF")


def test_numbers_follow_the_reader() -> None:
    words = Words(language="de", decimal=",", lengths="inch", zone=ZoneInfo("Europe/Amsterdam"),
                  catalogue={"The week's decisions": "Was diese Woche zu entscheiden ist"})  # fmt: skip

    made = book_html(data(), words)

    assert '<html lang="de">' in made
    assert "Was diese Woche zu entscheiden ist" in made
    assert "1,5 h" in made


def test_same_data_same_bytes() -> None:
    assert book_html(data(), WORDS) == page()
    assert book_pdf(data(), WORDS) == book_pdf(data(), WORDS)


def test_light_dark_and_print_are_all_in_the_page() -> None:
    style = page().partition("<style>")[2].partition("</style>")[0]

    for query in ("prefers-color-scheme:dark", "@media print", "prefers-reduced-motion"):
        assert query in style


def test_the_paper_carries_its_fonts_and_is_tagged() -> None:
    made = book_pdf(data(), WORDS)

    assert b"/StructTreeRoot" in made or b"/MarkInfo" in made
    assert b"Libertinus" in made


def test_an_empty_week_still_makes_a_book() -> None:
    works = load_works(TEXTS)
    from tests.unit.reports.hand import schedule

    empty: Any = schedule(works, status="unknown", operations=(), orders=())

    made = book_html(book(schedule=empty, forecast=None), WORDS)

    assert "There is no plan" in made


@pytest.mark.parametrize("section", ["week", "change", "promises", "pairs", "stations", "recipes", "purchases", "costs",
                                     "cautions", "origins"])  # fmt: skip
def test_the_contents_name_every_section(section: str) -> None:
    assert f'href="#{section}"' in page()
    assert f'<section id="{section}"' in page()
