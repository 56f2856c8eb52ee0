"""Every page: a document first, with nothing in it that a content policy would have to allow."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from fastapi.routing import APIRoute
from starlette.testclient import TestClient

from pairwright.render.palette import DARK, LIGHT, contrast
from pairwright.web import api
from pairwright.web.frame import PAGES
from pairwright.web.looks import STATION_DARK, STATION_LIGHT
from tests.web.pages import addresses

ROOT = Path(__file__).resolve().parents[2]
NAMES = list(addresses(dict.fromkeys(("left", "troubled", "lot", "refused", "finished", "look"), "x")))


@pytest.mark.parametrize("name", NAMES)
def test_a_page_is_whole_without_script(name: str, client: TestClient, made: dict[str, str]) -> None:
    answer = client.get(addresses(made)[name])
    body = answer.text

    assert answer.status_code == (404 if name in ("unknown", "not-found") else 200), body[:2000]
    assert answer.headers["content-security-policy"].startswith("default-src 'none'; script-src 'self'")
    assert len(re.findall(r"<h1[ >]", body)) == 1 or name in ("inspect", "inspect-zone")
    assert '<main id="main"' in body
    assert re.findall(r"<script(?![^>]*\ssrc=\"/static/)", body) == []
    assert re.findall(r"\sstyle=|<style|\son[a-z]+=|javascript:", body) == []
    assert re.findall(r"(?:src|href|action)=\"(?:[a-z]+:)?//", body) == []
    assert "Traceback" not in body


def test_paper_is_printed_from_the_page_of_a_thing(client: TestClient, made: dict[str, str]) -> None:
    for where in (f"/labels/{made['left']}", f"/travellers/{made['left']}", "/labels/M000-1?size=carton",
                  "/travellers/M000-1?paper=A6", f"/labels/{made['lot']}"):  # fmt: skip
        answer = client.get(where)
        assert answer.content.startswith(b"%PDF"), where
        assert answer.headers["content-type"] == "application/pdf"
    for where in (
        "/labels/NOBODY",
        "/travellers/NOBODY",
        f"/labels/{made['left']}?size=huge",
        "/labels/x?paper=A5",
    ):
        assert client.get(where).status_code == 400, where


def test_text_at_a_station_keeps_seven_to_one_on_every_ground() -> None:
    for palette, near in ((LIGHT, STATION_LIGHT), (DARK, STATION_DARK)):
        grounds = ["paper", "panel", "body", *(name for name in palette if name.endswith("-tint"))]
        for ground in grounds:
            assert contrast(palette["ink"], palette[ground]) >= 7.0
            assert contrast(near["soft"], palette[ground]) >= 7.0


def test_text_elsewhere_keeps_four_and_a_half_to_one() -> None:
    for palette in (LIGHT, DARK):
        for name in ("ink", "soft", "fine", "watch", "broken", "waiting", "simulated"):
            for ground in ("paper", "panel"):
                assert contrast(palette[name], palette[ground]) >= 4.5, (name, ground)
        for state in ("fine", "watch", "broken", "waiting", "simulated"):
            assert contrast(palette[state], palette[f"{state}-tint"]) >= 4.5


def test_every_address_is_in_the_handbook() -> None:
    page = (ROOT / "docs" / "how-to" / "serve.md").read_text(encoding="utf-8")
    paths = {r.path for router in (api.router, *PAGES) for r in router.routes if isinstance(r, APIRoute)}

    assert len(paths) > 20
    assert [path for path in sorted(paths) if f"`{path}`" not in page] == []


def test_what_is_recorded_is_shown_as_text_and_never_as_markup(
    client: TestClient, made: dict[str, str]
) -> None:
    evil = "<script>alert(1)</script><img src=x onerror=alert(2)>"
    client.post(
        "/api/events",
        json={"key": "evil-1", "kind": "reported", "event_time": "2027-03-01T12:00:00+01:00", "actor": "P-14",
              "item": made["right"], "data": {"text": evil}},
    )  # fmt: skip

    for where in (
        f"/things/{made['right']}",
        "/trouble",
        "/wall",
        f"/stations/hot-press?subject={made['right']}",
    ):
        body = client.get(where).text
        assert "<script>alert" not in body
        assert "<img src=x" not in body
    assert "&lt;script&gt;alert" in client.get("/trouble").text


@pytest.mark.parametrize(
    ("where", "status"),
    [
        ("/stations/moon", 400), ("/stations/hot-press/acts/explode", 400), ("/photographs/zz", 404),
        ("/photographs/" + "0" * 64, 404), ("/scan?code=" + "A" * 300, 400), ("/inspect/NOBODY", 404),
        ("/things/" + "A" * 300, 404), ("/things/%00", 404), ("/static/../frame.py", 404),
        ("/scan?code=%F0%9F%92%A9", 400),
        ("/stations/hot-press?subject=%00%00", 200), ("/stations/hot-press?done=nothing&refused=nothing", 200),
    ],
)  # fmt: skip
def test_a_wrong_address_is_answered_with_what_to_do(where: str, status: int, client: TestClient) -> None:
    answer = client.get(where)

    assert answer.status_code == status
    assert "Traceback" not in answer.text


def test_a_form_of_another_page_is_not_taken(client: TestClient) -> None:
    client.get("/")

    for data in ({}, {"pw_token": "A" * 32}, {"pw_token": ""}):
        answer = client.post("/habits", data={"look": "dark", **data})
        assert answer.status_code == 400
    assert client.cookies.get("pw_look") is None


def test_a_reader_chooses_light_or_dark_without_script(client: TestClient) -> None:
    client.get("/keys")
    answer = client.post(
        "/habits", data={"look": "dark", "back": "/keys", "pw_token": client.cookies["pw_token"]}
    )

    assert answer.url.path == "/keys"
    assert 'data-look="dark"' in answer.text


@pytest.mark.parametrize("back", ["//elsewhere.example/", "https://elsewhere.example/", "/\\elsewhere", ""])
def test_a_form_never_leads_away_from_this_server(back: str, client: TestClient) -> None:
    client.get("/keys")
    answer = client.post(
        "/habits",
        data={"gloves": "1", "back": back, "pw_token": client.cookies["pw_token"]},
        follow_redirects=False,
    )

    assert answer.headers["location"] == "/"
