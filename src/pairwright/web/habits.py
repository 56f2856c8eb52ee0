"""Small habits of a tablet or a reader, and the pages about the pages: looks, gloves, keys, the language of signs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from pairwright.base.words import Text, text
from pairwright.render.legend import legend
from pairwright.render.marks import FAMILY, FAMILY_WORDS, KIND_WORDS, STATE_WORDS
from pairwright.render.palette import DARK, LIGHT, contrast
from pairwright.web.forms import read_form
from pairwright.web.looks import A_YEAR, GLOVES, LOOK, LOOKS, colours, page
from pairwright.web.served import served_of
from pairwright.web.wording import ACT_WORDS

router = APIRouter()

KEYS: Final[tuple[tuple[str, Text], ...]] = (
    ("/", text("find anything: type or scan a code, then Enter")),
    ("?", text("this page")),
    ("g w", text("go to this week")),
    ("g s", text("go to the stations")),
    ("g t", text("go to trouble")),
    ("g a", text("go to the wall")),
    ("l", text("light, dark, or as the system is set")),
    ("Esc", text("back to the page, away from a field")),
)


@router.get("/static/colours.css")
def colours_css() -> Response:
    """The style sheet of colours."""
    return Response(colours(), media_type="text/css", headers={"Cache-Control": "no-cache"})


@router.get("/sw.js")
def service_worker() -> Response:
    """The script that keeps a station's page at hand while the server is away."""
    from importlib import resources

    body = resources.files("pairwright.web").joinpath("static", "offline.js").read_text("utf-8")
    return Response(body, media_type="text/javascript", headers={"Cache-Control": "no-cache"})


@router.post("/habits")
async def habits(request: Request) -> Response:
    """Light or dark, gloves or bare hands: kept in the browser, not in the record."""
    form = await read_form(request)
    answer = RedirectResponse(own_address(form.get("back", "/")), 303)
    if form.get("look") in LOOKS:
        answer.set_cookie(LOOK, form.get("look"), max_age=A_YEAR, samesite="strict", path="/")
    if form.get("gloves") in ("0", "1"):
        answer.set_cookie(GLOVES, form.get("gloves"), max_age=A_YEAR, samesite="strict", path="/")
    return answer


def own_address(given: str) -> str:
    """An address of this server, or its first page."""
    return (
        given if given.startswith("/") and not given.startswith(("//", "/\\")) and "\n" not in given else "/"
    )


@dataclass(frozen=True, slots=True)
class KeysPage:
    """Every key, with what it does."""

    keys: tuple[tuple[str, Text], ...]


@router.get("/keys")
def keys_page(request: Request) -> Response:
    """All keys."""
    return page(request, "keys.html.j2", KeysPage(KEYS), title=text("Keys"))


@dataclass(frozen=True, slots=True)
class LanguagePage:
    """Every sign of the pages, live.

    `states` are name, word, contrast on paper in light and dark; `kinds` name, word and family.
    """

    states: tuple[tuple[str, Text, str, str], ...]
    kinds: tuple[tuple[str, Text, Text], ...]
    acts: tuple[tuple[str, Text], ...]
    figure: str
    sentence: str


@router.get("/language")
def language_page(request: Request) -> Response:
    """The visual language."""
    words = served_of(request).words
    figure = legend(words, id="legend")
    states = tuple(
        (name, said, words.number(contrast(LIGHT[name], LIGHT["paper"]), 3),
         words.number(contrast(DARK[name], DARK["paper"]), 3))
        for name, said in STATE_WORDS.items()
    )  # fmt: skip
    kinds = tuple((name, said, FAMILY_WORDS[FAMILY[name]]) for name, said in KIND_WORDS.items())
    content = LanguagePage(states, kinds, tuple(ACT_WORDS.items()), figure.svg, figure.sentence)
    return page(request, "language.html.j2", content, title=text("The language of signs"))
