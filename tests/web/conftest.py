"""One works for all tests of the pages, on which a few hours have been played; each test may add to it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from pairwright.app.language import words_of
from pairwright.app.recording import open_floor
from pairwright.app.serving import Clock, Weekly
from pairwright.cli.main import status_of
from pairwright.web import Served, make_app
from tests.web.played import play

ROOT = "http://127.0.0.1"


@pytest.fixture(scope="session")
def laid_out(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, str]]:
    """The works, and names of what was made on it."""
    folder = tmp_path_factory.mktemp("web") / "works"
    assert status_of(["demo", str(folder), "--layout-only"]) == 0
    return folder, play(folder)


@pytest.fixture(scope="session")
def made(laid_out: tuple[Path, dict[str, str]]) -> dict[str, str]:
    return laid_out[1]


@pytest.fixture(scope="module")
def served(
    laid_out: tuple[Path, dict[str, str]], tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("served") / "works"
    shutil.copytree(laid_out[0], folder)
    with open_floor(folder) as floor:
        weekly = Weekly(str(folder), runs=2, effort=1)
        yield Served(floor, words_of(floor.opened.works), weekly, Clock(floor.now()))
        weekly.close()


@pytest.fixture
def client(served: Served) -> Iterator[TestClient]:
    with TestClient(make_app(served), base_url=ROOT, raise_server_exceptions=False) as client:
        yield client


class Tablet:
    """A browser without script: it follows links and sends the forms that it was given."""

    def __init__(self, client: TestClient) -> None:
        self.client = client

    def fields(self, where: str, act: str | None = None) -> tuple[str, dict[str, str]]:
        """Where a form of a page is sent to, and its hidden fields; the one with a button of that act."""
        from html.parser import HTMLParser

        found: list[tuple[str, dict[str, str], set[str]]] = []

        class Forms(HTMLParser):
            def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
                given = {k: v or "" for k, v in attrs}
                if tag == "form":
                    found.append((given.get("action", ""), {}, set()))
                elif tag == "input" and found and given.get("type") == "hidden":
                    found[-1][1][given["name"]] = given.get("value", "")
                elif tag == "button" and found:
                    found[-1][2].add(given.get("value", ""))

        Forms().feed(self.client.get(where).text)
        for action, fields, buttons in found:
            if act is None or act in buttons:
                return action, fields
        raise AssertionError(f"{where} has no form with a button {act}")

    def press(self, where: str, act: str, files: object = None, **more: str) -> object:
        """Press a button of a page and follow to the answer."""
        action, fields = self.fields(where, act)
        return self.client.post(action, data={**fields, "act": act, **more}, files=files)  # type: ignore[arg-type]


@pytest.fixture
def tablet(client: TestClient) -> Tablet:
    client.cookies.set("pw_person", "P-14")
    return Tablet(client)
