"""The way in for programs: one event at a time, the record's own refusals, and no traceback ever."""

from __future__ import annotations

import json

import pytest
from starlette.testclient import TestClient

from pairwright.web import Served
from pairwright.web.guard import MOST_JSON

JSON = {"content-type": "application/json"}


def note(key: str, text: str = "seen", **more: object) -> dict[str, object]:
    return {
        "key": key, "kind": "noted", "event_time": "2027-03-01T12:00:00+01:00", "actor": "P-14",
        "item": "MH-0231L", "data": {"text": text}, **more,
    }  # fmt: skip


def head(client: TestClient) -> tuple[int, str]:
    found = client.get("/health").json()
    return found["events"], found["head"]


def test_an_event_is_recorded_once_however_often_it_is_sent(client: TestClient) -> None:
    before = head(client)[0]

    first = client.post("/api/events", json=note("api-1"))
    again = client.post("/api/events", json=note("api-1"))

    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json() == again.json()
    assert set(first.json()) == {"key", "sequence", "hash"}
    assert head(client)[0] == before + 1


def test_the_same_key_with_other_content_is_refused(client: TestClient) -> None:
    client.post("/api/events", json=note("api-2"))
    before = head(client)

    answer = client.post("/api/events", json=note("api-2", "something else"))

    assert answer.status_code == 409
    assert answer.json()["field"] == "key_used"
    assert set(answer.json()) >= {"where", "field", "must_be", "got", "do"}
    assert head(client) == before


def test_what_the_record_refuses_is_refused_here_too(client: TestClient, made: dict[str, str]) -> None:
    before = head(client)

    answer = client.post(
        "/api/events",
        json={"key": "api-3", "kind": "shipped", "event_time": "2027-03-01T12:00:00+01:00", "actor": "P-14",
              "set": "M003-1", "data": {}},
    )  # fmt: skip

    assert answer.status_code == 409
    assert answer.json()["do"]
    assert head(client) == before


def raw(odd: str) -> bytes:
    """An event written by hand, with something odd in it."""
    start = '{"key":"k","kind":"noted","event_time":"2027-03-01T12:00:00Z","actor":"P","item":"A",'
    return f"{start}{odd}}}".encode()


DEEP = b'{"a":' * 20000 + b"1" + b"}" * 20000
BAD = {
    "not json": b"{",
    "a list": b"[1, 2]",
    "two events": json.dumps([note("x1"), note("x2")]).encode(),
    "nothing": b"",
    "NaN": b'{"key":"k","kind":"noted","event_time":NaN,"actor":"P","data":{}}',
    "infinity": raw('"data":{"quantity":1e999}'),
    "a field twice": b'{"key":"k","key":"k2","kind":"noted"}',
    "a lone surrogate": raw(r'"data":{"text":"\ud800"}'),
    "NUL": raw(r'"data":{"text":"\u0000"}'),
    "without end": DEEP,
    "UTF-16": json.dumps(note("u16")).encode("utf-16"),
    "Latin-1": '{"key":"é"}'.encode("latin-1"),
    "a huge number": b'{"key":"k","counter":' + b"9" * 5000 + b"}",
    "true as a number": raw('"data":{},"counter":true'),
    "an unknown kind": json.dumps({**note("k"), "kind": "guessed"}).encode(),
    "an unknown field": json.dumps({**note("k"), "colour": "red"}).encode(),
    "a naive time": json.dumps({**note("k"), "event_time": "2027-03-01T12:00:00"}).encode(),
    "an unknown station": json.dumps({**note("k"), "station": "moon"}).encode(),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
def test_a_bad_body_is_told_in_five_parts_and_records_nothing(name: str, client: TestClient) -> None:
    before = head(client)

    answer = client.post("/api/events", content=BAD[name], headers=JSON)

    assert answer.status_code == 400
    assert {"where", "field", "must_be", "got", "do"} <= set(answer.json())
    assert "Traceback" not in answer.text
    assert head(client) == before


def test_a_body_without_its_type_is_not_read(client: TestClient) -> None:
    answer = client.post(
        "/api/events", content=json.dumps(note("t")).encode(), headers={"content-type": "text/plain"}
    )

    assert answer.status_code == 400
    assert answer.json()["field"] == "content-type"


@pytest.mark.parametrize(("size", "status"), [(MOST_JSON + 1, 413), (60 << 20, 413)])
def test_a_body_that_is_too_large_is_refused_before_it_is_parsed(
    size: int, status: int, client: TestClient
) -> None:
    answer = client.post("/api/events", content=b" " * size, headers=JSON)

    assert answer.status_code == status
    assert answer.json()["do"]


def test_a_body_whose_length_is_not_told_is_counted(client: TestClient) -> None:
    answer = client.post("/api/events", content=iter([b" " * (1 << 20)] * 3), headers=JSON)

    assert answer.status_code == 413


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"origin": "http://elsewhere.example"}, 403),
        ({"origin": "http://127.0.0.1:9999"}, 403),
        ({"origin": "null"}, 403),
        ({"sec-fetch-site": "cross-site"}, 403),
        ({"sec-fetch-site": "same-site"}, 403),
        ({"host": "elsewhere.example"}, 421),
        ({"content-encoding": "gzip"}, 415),
        ({"origin": "http://127.0.0.1"}, 201),
    ],
)
def test_only_this_servers_own_pages_and_programs_may_send(
    headers: dict[str, str], status: int, client: TestClient
) -> None:
    key = f"origin-{abs(hash(frozenset(headers.items()))) % 10**8}"

    answer = client.post("/api/events", json=note(key), headers=headers)

    assert answer.status_code == status


def test_a_thing_is_told_with_all_that_is_known_of_it(client: TestClient, made: dict[str, str]) -> None:
    found = client.get(f"/api/items/{made['left']}").json()

    assert set(found) == {"id", "kind", "made_of", "where_used", "history", "holds"}
    assert found["history"][0]["kind"] == "registered"
    assert client.get("/api/items/NOBODY").status_code == 404
    assert client.get("/api/items/NOBODY").json()["got"] == "'NOBODY'"


def test_an_act_that_is_refused_is_an_answer_with_one_sentence(
    client: TestClient, made: dict[str, str]
) -> None:
    wanted = {"act": "start", "key": "api-act-1", "actor": "P-14", "scanned": [made["left"]]}

    answer = client.post("/api/stations/trim-machine/acts", json=wanted)

    assert answer.status_code == 200
    assert answer.json()["done"] is False
    assert answer.json()["code"] == "uncured"
    assert answer.json()["text"]


@pytest.mark.parametrize(
    "change",
    [{"act": 1}, {"scanned": "x"}, {"scanned": [1]}, {"at": True}, {"data": []}, {"begun": {"x": "y"}}, {"extra": 1},
     {"counter": "1"}, {"simulated": 1}],
)  # fmt: skip
def test_an_act_of_a_wrong_shape_is_told_what_it_must_be(
    change: dict[str, object], client: TestClient
) -> None:
    wanted = {"act": "note", "key": "api-act-2", "actor": "P-14", "data": {"text": "x"}, **change}

    answer = client.post("/api/stations/trim-machine/acts", json=wanted)

    assert answer.status_code == 400
    assert answer.json()["must_be"]


def test_the_ways_in_are_described(client: TestClient, served: Served) -> None:
    found = client.get("/api/openapi.json").json()

    assert set(found["paths"]) == {
        "/health",
        "/api/events",
        "/api/items/{id}",
        "/api/plan",
        "/api/stations/{id}/acts",
    }
    assert found["paths"]["/api/events"]["post"]["responses"].keys() >= {"200", "201", "400", "409", "413"}
