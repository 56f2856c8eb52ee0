"""Looking a surface over: zones drawn on its faces; touch one, say what is there, show it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from fastapi import APIRouter
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from pairwright.app.acting_case import Act
from pairwright.app.inspecting import inspection, judged
from pairwright.app.stationing import scanned
from pairwright.base.errors import InputError
from pairwright.base.words import Text, text
from pairwright.reports.cosmetic import FaceShown, InspectionShown, Judged, ZoneShown
from pairwright.web.acts import Answered, act_of, answered, do
from pairwright.web.forms import picture_type, read_form, wrong
from pairwright.web.looks import address, page, person_of
from pairwright.web.served import Served, served_of
from pairwright.web.stations import new_key, remember

router = APIRouter()

DRAWN: Final = 400.0  # the longer side of a face as drawn [-]
STATES: Final = {"not looked at": "", "clear": "fine", "to be decided": "broken", "decided": "watch"}
STATE_WORDS: Final[dict[str, Text]] = {
    "not looked at": text("not looked at"),
    "clear": text("clear"),
    "to be decided": text("to be decided"),
    "decided": text("decided"),
}


@dataclass(frozen=True, slots=True)
class DrawnZone:
    """A zone as it is drawn: its corners and where its words stand."""

    number: int
    zone: ZoneShown
    points: str
    x: float
    y: float
    state: str


@dataclass(frozen=True, slots=True)
class DrawnFace:
    """A face laid flat, in the units of its drawing."""

    name: str
    width: float
    height: float
    zones: tuple[DrawnZone, ...]


@dataclass(frozen=True, slots=True)
class InspectPage:
    """The inspection of one thing; `zone` is the one that was touched."""

    id: str
    says: Text
    side: str | None
    whole: bool
    shown: InspectionShown | None
    faces: tuple[DrawnFace, ...]
    zone: ZoneShown | None
    station: str
    key: str
    answered: Answered | None
    judged: Judged | None
    state_words: dict[str, Text]
    here: str


@router.get("/inspect/{id}")
def inspect_page(request: Request, id: str) -> Response:
    """The faces of a thing with their zones, and the form of the zone that was touched."""
    served = served_of(request)
    asked = request.query_params
    station = asked.get("station", "")
    station = station if station in served.works.factory.stations else ""
    found = scanned(served.floor, id, now=served.now(), station=station or None)
    try:
        shown = inspection(served.floor, id)
    except InputError:
        shown = None
    if shown is None and found.kind not in ("item", "set", "lot"):
        from pairwright.web.things import unknown

        return unknown(request, id)
    zones = [] if shown is None else [z for face in shown.faces for z in face.zones]
    zone = next((z for z in zones if z.id == asked.get("zone")), None)
    task = found.task
    content = InspectPage(
        id, found.says, task.side if task is not None else None, found.kind == "set", shown,
        () if shown is None else _faces(shown), zone, station, new_key(),
        answered(served, asked.get("done"), asked.get("refused")),
        _verdict(served, id, zone), STATE_WORDS, address(f"/inspect/{id}", station=station),
    )  # fmt: skip
    return page(request, "inspect.html.j2", content, title=text("Looking over {id}", id=id), station=station or "any",
                modules=("station.js",))  # fmt: skip


def _verdict(served: Served, id: str, zone: ZoneShown | None) -> Judged | None:
    """Whether the defect that was found in the zone may stay."""
    if zone is None or zone.defect is None:
        return None
    return judged(served.floor, id, zone=zone.id, defect=zone.defect, size=zone.size)


def _faces(shown: InspectionShown) -> tuple[DrawnFace, ...]:
    """All faces to one scale, their zones numbered through."""
    scale = DRAWN / max((max(face.width, face.height) for face in shown.faces), default=1.0)
    found: list[DrawnFace] = []
    for face in shown.faces:
        found.append(_drawn(face, scale=scale, first=1 + sum(len(one.zones) for one in found)))
    return tuple(found)


def _drawn(face: FaceShown, *, scale: float, first: int) -> DrawnFace:
    zones: list[DrawnZone] = []
    for zone in face.zones:
        corners = [(x * scale, (face.height - y) * scale) for x, y in zone.corners]
        x, y = (sum(values) / len(corners) for values in zip(*corners, strict=True))
        points = " ".join(f"{a:.1f},{b:.1f}" for a, b in corners)
        zones.append(
            DrawnZone(first + len(zones), zone, points, round(x, 1), round(y, 1), STATES[zone.state])
        )
    return DrawnFace(face.name, round(face.width * scale, 1), round(face.height * scale, 1), tuple(zones))


@router.post("/inspect/{id}")
async def post_inspection(request: Request, id: str) -> Response:
    """A zone is clear, or has a defect: kind, size, photograph."""
    form = await read_form(request, many=("also",))
    served = served_of(request)
    station = form.get("station")
    if station and station not in served.works.factory.stations:
        raise wrong("station", text("a station of the works"), station, text("scan its label"))
    person = form.get("person") or person_of(request)

    def done() -> str:
        wanted = act_of(form, station=station, actor=person, keep=served.floor.keep)
        if "size" in wanted.data:  # the page asks in millimetres
            wanted = _in_metres(wanted)
        answer = do(served, wanted)
        return address(
            f"/inspect/{id}", station=station or None, **{"done" if answer["done"] else "refused": wanted.key}
        )

    answer = RedirectResponse(await run_in_threadpool(done), 303)
    if person:
        remember(answer, person)
    return answer


def _in_metres(wanted: Act) -> Act:
    return replace(wanted, data={**wanted.data, "size": round(float(wanted.data["size"]) / 1000.0, 9)})


@router.get("/photographs/{digest}")
def photograph(request: Request, digest: str) -> Response:
    """A photograph by its digest, checked against it."""
    from starlette.exceptions import HTTPException

    if len(digest) != 64 or not all(c in "0123456789abcdef" for c in digest):
        raise HTTPException(404)
    served = served_of(request)
    from pairwright.archive.attachments import place

    if not place(served.floor.folder, digest).is_file():
        raise HTTPException(404)
    content = served.floor.fetch(digest)
    try:
        kind = picture_type(content)
    except InputError:
        raise HTTPException(404) from None
    headers = {"Cache-Control": "private, max-age=31536000, immutable", "Content-Disposition": "inline"}
    return Response(content, media_type=kind, headers=headers)
