"""Codes on labels: built, read, typed, damaged by keyboards, refused with one sentence."""

from __future__ import annotations

import contextlib
import itertools
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pairwright.base.codes import (
    KINDS,
    LETTERS,
    Code,
    CodeError,
    address_of,
    check_character,
    is_clear,
    is_code,
    make_code,
    read_code,
)
from pairwright.base.keyboards import LAYOUTS, as_keyed

IDS = ("C-0231L", "0", "hot-press", "L.2027_03-B", "a" * 80, "QI-O0", "M-6-8")
PAIRS = [(s, h) for s, h in itertools.product(LAYOUTS, LAYOUTS) if s != h]
idents = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9._-]{0,19}", fullmatch=True)


def why(given: str) -> tuple[str, str]:
    with pytest.raises(CodeError) as caught:
        read_code(given)
    return caught.value.code, str(caught.value.reason)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("identity", IDS)
def test_what_is_built_is_read_back(kind: str, identity: str) -> None:
    code = make_code(kind, identity)

    assert read_code(code.text) == code
    assert read_code(code.readable) == Code(kind, identity, typed=True)


def test_every_kind_has_a_letter_of_its_own_that_no_figure_looks_like() -> None:
    assert len(set(LETTERS.values())) == len(LETTERS)
    assert not set(LETTERS.values()) & set("IOQ")


@given(idents, st.sampled_from(KINDS), st.sampled_from(PAIRS))
@settings(max_examples=300, derandomize=True, deadline=None)
def test_a_scanner_set_to_another_keyboard_is_understood(
    identity: str, kind: str, pair: tuple[str, str]
) -> None:
    code = make_code(kind, identity)
    arrived = as_keyed(code.text, scanner=pair[0], host=pair[1])

    found = read_code(arrived)

    assert is_code(arrived)
    assert (found.kind, found.id, found.repaired) == (kind, identity, True)


def test_the_keyboards_differ_as_they_do_on_the_bench() -> None:
    assert as_keyed("PW1:Y-7", scanner="us", host="german") == "PW1ÖZß7"
    assert as_keyed("PW1:A-6", scanner="us", host="french") == "PZ&MQ)-"


def test_a_code_typed_or_scanned_with_the_capitals_key_down_is_read() -> None:
    assert read_code(make_code("station", "hot-press").text.swapcase()).id == "hot-press"


@pytest.mark.parametrize("around", ["{}\r\n", "  {}\t", "]Q1{}", "]d2{}\n"])
def test_what_scanners_put_around_a_code_is_taken_off(around: str) -> None:
    assert read_code(around.format("PW1:C-0231L:TD")).id == "C-0231L"


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ("C-0231L", "check_missing"),
        ("C-0231L TX", "check_wrong"),
        ("C-0213L TD", "check_wrong"),
        ("PW1:C-0231L:TX", "check_wrong"),
        ("PW1:C-0231L:XD", "check_wrong"),
        ("PW1:C-0231L", "code_damaged"),
        ("PW1:", "code_damaged"),
        ("PW1:C-0231L:TD:TD", "code_damaged"),
        ("PW1ÖCß0231LÖTX", "keyboard_differs"),
        ("PW1éC'0231LéTD", "code_foreign"),
        ("", "code_foreign"),
        ("4012345678901 ", "check_missing"),
        ("https://example.org/C-0231L", "code_foreign"),
        ("PW2:C-0231L:TD", "code_foreign"),
        ("С-0231L TD", "code_foreign"),  # a Cyrillic capital at the front
        ("PW1:С-0231L:TD", "code_damaged"),
        ("C-0231L\u200b TD", "code_foreign"),
        ("x" * 5000, "code_foreign"),
        ("PW1:" + "x" * 5000, "code_foreign"),
        ("\ud800", "code_foreign"),
        ("]", "code_foreign"),
    ],
)
def test_what_is_no_code_is_refused_with_one_sentence(given: str, code: str) -> None:
    found, sentence = why(given)

    assert found == code
    assert 20 < len(sentence) < 220
    assert "\n" not in sentence


def test_a_typed_identity_needs_its_check_character() -> None:
    assert "two characters" in why("C-0231L")[1]


def test_every_single_slip_of_a_typed_identity_is_found() -> None:
    right = "C-0231L TD"
    signs = "0123456789ABCDEFGHJKLMNPRSTUVWXYZ"

    for place, sign in itertools.product(range(len(right)), signs):
        wrong = right[:place] + sign + right[place + 1 :]
        if wrong != right and right[place] not in "- ":
            with pytest.raises(CodeError):
                read_code(wrong)


@given(st.text(max_size=60))
@settings(max_examples=300, derandomize=True, deadline=None)
def test_any_text_is_read_or_refused_and_nothing_else_happens(given: str) -> None:
    for one in (given, f"PW1:{given}", f"PZ&M{given}", f"C-0231L {given}"):
        with contextlib.suppress(CodeError):
            code = read_code(one)
            assert check_character(code.id + LETTERS[code.kind]) == code.mark[1]


def test_random_text_is_hardly_ever_taken_for_a_code() -> None:
    dice = random.Random(7)
    taken = 0
    for _ in range(3600):
        body = "".join(dice.choices("ABCDEFGH0123456789-", k=6))
        try:
            read_code(f"C{body} T{dice.choice('0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ')}")
            taken += 1
        except CodeError:
            pass

    assert 60 <= taken <= 145  # one in 36, four standard deviations to each side


def test_identities_that_can_be_misread_are_told_from_clear_ones() -> None:
    assert [is_clear(one) for one in ("C-0231L", "C-O231L", "c-0231l", "C--1", "-C1", "C1-", "X" * 21)] == [
        True, False, False, True, False, False, False,
    ]  # fmt: skip


def test_hyphens_do_not_count() -> None:
    assert check_character("C-0231-L") == check_character("C0231L")


@pytest.mark.parametrize("kind", KINDS)
def test_every_code_has_an_address(kind: str) -> None:
    page = {"station": "/stations/x-1", "person": "/people/x-1"}.get(kind, "/things/x-1")

    assert address_of(make_code(kind, "x-1")) == page


def test_a_kind_or_identity_that_no_code_can_hold_is_refused() -> None:
    for kind, identity in (("robot", "R1"), ("item", ""), ("item", "a b"), ("item", "ä"), ("item", "x" * 81)):
        with pytest.raises(CodeError):
            make_code(kind, identity)
