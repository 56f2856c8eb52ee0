"""The chain of hashes sees every change of an entry, a gap, and a lost end."""

from __future__ import annotations

import hashlib
from dataclasses import replace

import rfc8785

from pairwright.floor import BEGINNING, Link, canonical, check_chain, read_event, seal
from tests.unit.floor.events import event


def chain(count: int) -> list[Link]:
    links: list[Link] = []
    head = BEGINNING
    for n in range(1, count + 1):
        one = event("noted", f"item C-{n}", text=f"note {n} – é")
        body = canonical(one)
        head = seal(body, sequence=n, record_time=1000 + n, previous=head)
        links.append(Link(n, one.key, 1000 + n, body, head))
    return links


def test_the_hash_is_that_of_the_canonical_document() -> None:
    one = event("measured", "item C-1", characteristic="level", value=1e-7, unit="-")

    whole = {"event": one.as_json(), "previous": BEGINNING, "record_time": 7, "sequence": 1}
    wanted = hashlib.sha256(rfc8785.dumps(whole)).hexdigest()

    assert seal(canonical(one), sequence=1, record_time=7, previous=BEGINNING) == wanted


def test_equal_content_has_one_canonical_form() -> None:
    text = (
        '{"data":{"text":"x"},"item":"C-1","actor":"P1","event_time":"2027-03-01T06:00:00Z",'
        '"kind":"noted","key":"k"}'
    )
    one = read_event(text)

    assert canonical(read_event(canonical(one))) == canonical(one)
    assert canonical(event("measured", "item C", key="m", characteristic="x", value=2.0)) == canonical(
        event("measured", "item C", key="m", characteristic="x", value=2)
    )


def test_a_whole_chain_has_no_problem() -> None:
    links = chain(5)

    assert check_chain(links) == ()
    assert check_chain(links, head=links[-1].hash) == ()


def test_every_field_is_covered() -> None:
    links = chain(5)
    other = canonical(event("noted", "item C-3", text="another note"))
    changes = [
        replace(links[2], body=other),
        replace(links[2], record_time=1),
        replace(links[2], hash="0" * 64),
        replace(links[2], sequence=9),
    ]

    for changed in changes:
        assert "record_changed" in [f.code for f in check_chain([*links[:2], changed, *links[3:]])]


def test_a_missing_entry_and_a_lost_end_are_noticed() -> None:
    links = chain(5)

    assert "record_gap" in [f.code for f in check_chain([*links[:2], *links[3:]])]
    assert check_chain(links[:3]) == ()
    assert [f.code for f in check_chain(links[:3], head=links[-1].hash)] == ["record_end_differs"]
