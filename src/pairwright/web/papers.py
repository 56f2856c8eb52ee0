"""Paper from the browser: the label of a thing, the traveller that follows it, the labels of a pair's cartons."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from pairwright.app.labelling import Desk, labels_for, travellers_for
from pairwright.floor import State
from pairwright.render.labels import labels_pdf, size_named
from pairwright.render.traveller import paper_named, travellers_pdf
from pairwright.web.served import Served, served_of

router = APIRouter()


@router.get("/labels/{id}")
def label(request: Request, id: str) -> Response:
    """The label of a thing as PDF; `?size=carton` gives those of a pair's boxes."""
    served = served_of(request)
    size = request.query_params.get("size")
    if size is not None:
        size_named(size)
    with served.floor.looking() as state:
        found, name = labels_for(_desk(served, state), [id], size=size)
    made = labels_pdf(found, size_named(name), words=served.words, works=served.works.factory.name)
    return _pdf(made, f"label-{id}")


@router.get("/travellers/{id}")
def traveller(request: Request, id: str) -> Response:
    """The sheet that follows an item, or the sheets of a set, as PDF; `?paper=A6` for the small one."""
    served = served_of(request)
    paper = paper_named(request.query_params.get("paper", "A5"))
    with served.floor.looking() as state:
        sheets = travellers_for(_desk(served, state), id)
    made = travellers_pdf(sheets, paper=paper, words=served.words, works=served.works.factory.name)
    return _pdf(made, f"traveller-{id}")


def _desk(served: Served, state: State) -> Desk:
    with served.floor.record.reading() as reading:
        people = reading.names()
    return Desk(served.floor.opened, state, people)


def _pdf(content: bytes, name: str) -> Response:
    plain = "".join(c for c in name if c.isascii() and (c.isalnum() or c in "-_"))
    headers = {"Content-Disposition": f'inline; filename="{plain}.pdf"'}
    return Response(content, media_type="application/pdf", headers=headers)
