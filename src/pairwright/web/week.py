"""The first page: the week's decisions, from a plan that is made in the background and kept."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from pairwright.app.serving import Progress
from pairwright.base.words import Amount, Text, text
from pairwright.render.compose import book_document
from pairwright.render.document import Document, Section
from pairwright.web.forms import read_form
from pairwright.web.looks import page
from pairwright.web.served import Served, served_of

router = APIRouter()


@dataclass(frozen=True, slots=True)
class WeekPage:
    """The first page.

    `section` is the week as the book has it, `origins` where its numbers come from; None until there is a
    plan. `behind` says how many events are younger than the plan.
    """

    lead: str
    section: Section | None
    origins: Section | None
    document: Document | None
    progress: Progress
    as_of: int | None
    behind: int
    title: str


@router.get("/")
def week_page(request: Request) -> Response:
    """What ships, what is at risk and why, the bottleneck, what to buy, who does what."""
    served = served_of(request)
    basis = served.basis()
    if served.weekly.progress().stand == "none":
        served.weekly.start(basis, now=served.now())
    found, made = served.weekly.progress(), served.weekly.made()
    words = served.words
    title = text("This week")
    if made is None:
        content = WeekPage("", None, None, None, found, None, 0, words.say(title))
    else:
        document = _document(served)
        week, origins = document.sections[0], document.sections[-1]
        day = text("The week from {day}", day=Amount(float(made.data.week.days[0]), "date"))
        content = WeekPage(
            week.lead, week, origins, document, found, made.data.now,
            basis.sequence - made.basis.sequence, words.say(day),
        )  # fmt: skip
    refresh = 3 if found.stand == "working" else 0
    return page(
        request, "week.html.j2", content, title=title, here="week", modules=("week.js",), refresh=refresh
    )


_KEPT: dict[int, tuple[object, Document]] = {}


def _document(served: Served) -> Document:
    """The made plan as a document; laid out once."""
    made = served.weekly.made()
    kept = _KEPT.get(id(served))
    if kept is None or kept[0] is not made:
        if made is None:
            raise LookupError("there is no plan")
        kept = _KEPT[id(served)] = made, book_document(made.data, served.words)
    return kept[1]


@dataclass(frozen=True, slots=True)
class BookPage:
    """The whole book of the plan; None until there is one."""

    document: Document | None
    as_of: int | None


@router.get("/book")
def book_page(request: Request) -> Response:
    """Everything behind the week: promises, pairs, stations, recipes, purchases, costs, cautions, origins."""
    served = served_of(request)
    made = served.weekly.made()
    content = BookPage(None if made is None else _document(served), None if made is None else made.data.now)
    return page(request, "book-page.html.j2", content, title=text("The book"), here="week")


@router.post("/plan")
async def plan_now(request: Request) -> Response:
    """Make a new plan, or stop the one that is being made."""
    form = await read_form(request)
    served = served_of(request)
    if form.get("act") == "cancel":
        served.weekly.cancel()
    else:
        served.weekly.start(served.basis(), now=served.now())
    return RedirectResponse("/", 303)


def lead_of(served: Served) -> Text | None:
    """The week in one sentence; None until there is a plan."""
    if served.weekly.made() is None:
        return None
    return text("{lead}", lead=_document(served).sections[0].lead)
