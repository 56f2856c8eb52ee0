"""What does not conform and waits for somebody, what is held, what is to be known, who does what by when."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from fastapi import APIRouter
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from pairwright.app.inspecting import Pareto, pareto
from pairwright.app.telling import acknowledge, notices_of
from pairwright.app.troubles import actions, handover, holds, open_troubles
from pairwright.base.words import Text, text
from pairwright.reports.handover import Handover
from pairwright.reports.notices import Notice
from pairwright.reports.trouble import ActionRow, HoldRow, TroubleRow
from pairwright.web.acts import Answered, act_of, answered, do
from pairwright.web.forms import read_form, wrong
from pairwright.web.looks import address, page, person_of
from pairwright.web.served import Served, served_of
from pairwright.web.stations import new_key
from pairwright.web.wording import ACT_WORDS

router = APIRouter()

ORDER: Final = {"hold": 0, "nonconformance": 1, "cure": 2, "late order": 3}
ACTS: Final = ("rework", "repair", "concession", "scrap", "hold", "free", "note", "assign", "settle")
SHIFT: Final = 8 * 3600  # how far a handover looks back [s]
SHIFTS: Final = (4, 8, 12, 24)


@dataclass(frozen=True, slots=True)
class TroublePage:
    """Everything that waits for somebody."""

    open: tuple[TroubleRow, ...]
    held: tuple[HoldRow, ...]
    others: tuple[Notice, ...]
    actions: tuple[ActionRow, ...]
    paretos: tuple[Pareto, ...]
    answered: Answered | None
    key: str
    words_of_acts: Mapping[str, Text]
    names: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class HandoverPage:
    """What one shift leaves to the next."""

    found: Handover
    hours: int
    choices: tuple[int, ...]
    key: str
    names: Mapping[str, str]


def notices(served: Served) -> tuple[Notice, ...]:
    """What there is to know now, the plan's slipping orders among it; what weighs most comes first."""
    made = served.weekly.made()
    late: dict[str, int] = {}
    if made is not None:
        late = {risk.order: int(risk.late) for risk in made.data.week.risks if risk.late > 0}
    found = notices_of(served.floor, late=late, now=served.now())
    return tuple(
        sorted(found, key=lambda n: (not n.open, ORDER.get(n.of, 9), -late.get(n.about, 0), -n.since, n.key))
    )


@router.get("/trouble")
def trouble_page(request: Request) -> Response:
    """What is to be decided, what is held, what is to be known."""
    served = served_of(request)
    asked = request.query_params
    content = TroublePage(
        open_troubles(served.floor), holds(served.floor),
        tuple(one for one in notices(served) if one.of not in ("hold", "nonconformance")),
        actions(served.floor, now=served.now()),
        (pareto(served.floor, "kind"), pareto(served.floor, "face"), pareto(served.floor, "station"),
         pareto(served.floor, "batch")),
        answered(served, asked.get("done"), asked.get("refused")), new_key(), ACT_WORDS, names_of(served),
    )  # fmt: skip
    return page(request, "trouble.html.j2", content, title=text("Trouble"), here="trouble")


def names_of(served: Served) -> dict[str, str]:
    """People's names by id, as far as they are kept."""
    with served.floor.record.reading() as reading:
        return reading.names()


@router.get("/handover")
def handover_page(request: Request) -> Response:
    """What was done, what is in work, what waits, what to know: for the shift that comes."""
    served = served_of(request)
    given = request.query_params.get("hours", "8")
    hours = int(given) if given in {str(n) for n in SHIFTS} else SHIFT // 3600
    now = served.now()
    found = handover(served.floor, since=now - hours * 3600, now=now)
    content = HandoverPage(found, hours, SHIFTS, new_key(), names_of(served))
    return page(request, "handover.html.j2", content, title=text("Handover"), here="trouble")


@router.post("/trouble")
async def post_trouble(request: Request) -> Response:
    """Decide, hand over, give somebody something to do, say that it is done."""
    form = await read_form(request, many=("also",))
    served = served_of(request)
    act, _, to_step = form.get("act").partition(" ")
    if act not in ACTS:
        raise wrong("act", text("an act of this page"), act or "nothing", text("use its buttons"))
    given = replace(form, fields={**form.fields, "act": act, **({"to_step": to_step} if to_step else {})})

    def done() -> str:
        wanted = act_of(given, station="", actor=person_of(request), keep=served.floor.keep)
        wanted = replace(wanted, station=None)
        if form.get("person"):
            wanted = replace(wanted, data={**wanted.data, "person": form.get("person")})
        answer = do(served, wanted)
        return address("/trouble", **{"done" if answer["done"] else "refused": wanted.key})

    return RedirectResponse(await run_in_threadpool(done), 303)


@router.post("/notices")
async def post_notice(request: Request) -> Response:
    """Somebody took notice."""
    form = await read_form(request)
    served = served_of(request)
    person = person_of(request)
    if not person:
        raise wrong("person", text("who took notice"), "nobody", text("sign on first"))
    key = form.need("about", text("a notice of the page"))

    def done() -> None:
        acknowledge(served.floor, key, actor=person, now=served.now(), now_of=notices(served))

    await run_in_threadpool(done)
    return RedirectResponse("/trouble", 303)
