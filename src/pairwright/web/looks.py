"""From a page's data to HTML: templates, the frame around them, the style sheet of colours, small drawings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import datetime
from functools import cache
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import quote

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse

from pairwright.base.codes import BEGINNING
from pairwright.base.keyboards import LAYOUTS, as_keyed
from pairwright.base.words import Amount, Text, Words, text
from pairwright.render import marks
from pairwright.render.page import FONT
from pairwright.render.palette import DARK, LIGHT, PRINT, VARIABLES, figure_rules, variables
from pairwright.web.guard import TOKEN, token_of
from pairwright.web.served import Served, served_of
from pairwright.web.signs import act_glyph, defect_picture, glyph, half, shape
from pairwright.web.wording import MORE, WORDING

if TYPE_CHECKING:
    from jinja2 import Environment

LOOK: Final = "pw_look"
GLOVES: Final = "pw_gloves"
PERSON: Final = "pw_person"
LOOKS: Final = ("as-set", "light", "dark")
A_YEAR: Final = 365 * 86400
SHIFT: Final = 12 * 3600  # how long a tablet remembers whose badge was scanned [s]

# Text at stations keeps 7:1 to every ground it stands on; tests/web measures it.
STATION_LIGHT: Final = {"soft": "#47423a", "edge": "#6b6357"}
STATION_DARK: Final = {"soft": "#cdc6ba", "edge": "#a59c8d"}

NAVIGATION: Final[tuple[tuple[str, str, Text], ...]] = (
    ("week", "/", text("This week")),
    ("stations", "/stations", text("Stations")),
    ("trouble", "/trouble", text("Trouble")),
    ("wall", "/wall", text("Wall")),
)


@dataclass(frozen=True, slots=True)
class Frame:
    """What stands around every page.

    `here` names the entry of the navigation, `station` is set on the pages of a station.
    """

    title: str
    here: str
    works: str
    language: str
    look: str
    gloves: bool
    token: str
    person: str
    now: str
    clock: int
    beginnings: str
    path: str
    navigation: tuple[tuple[str, str, str], ...]
    simulated: bool
    station: str = ""
    modules: tuple[str, ...] = ()
    refresh: int = 0  # without script: load again after so many seconds


class Said:
    """The page's own words by name, in the reader's language."""

    def __init__(self, words: Words) -> None:
        self._words = words

    def __getattr__(self, name: str) -> str:
        return self._words.say(WORDING[name])

    def __getitem__(self, name: str) -> str:
        return self._words.say(WORDING.get(name) or MORE.get(name) or text("{word}", word=name))


@cache
def environment() -> Environment:
    """The templates of pages, and those that the book uses too."""
    from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined

    made = Environment(
        loader=ChoiceLoader([PackageLoader("pairwright.web"), PackageLoader("pairwright.render")]),
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    made.globals.update(
        letters=marks.STATE_LETTERS,
        glyph=glyph,
        half=half,
        act_glyph=act_glyph,
        shape=shape,
        address=address,
        length=length,
        defect_picture=defect_picture,
    )
    made.filters["seg"] = lambda value: quote(str(value), safe="")
    return made


def page(
    request: Request, template: str, content: Any, *, title: Text, here: str = "", station: str = "",
    modules: tuple[str, ...] = (), status: int = 200, refresh: int = 0,
) -> HTMLResponse:  # fmt: skip
    """A page: its template filled with the fields of its content, within the frame.

    Parameters
    ----------
    request : Request
        Who asks, with which habits.
    template : str
        Name of the template.
    content : Any
        A dataclass; each field is a name in the template.
    title : Text
        Of the page.
    here : str
        Entry of the navigation that it belongs to.
    station : str
        Id of the station whose page it is: large targets and strong contrast.
    modules : tuple[str, ...]
        Scripts of the page, by file name; the page is whole without them.
    status : int
        HTTP status.
    refresh : int
        Seconds after which a reader without script gets it anew; 0 for never. [s]
    """
    served = served_of(request)
    words, now = served.words, served.now()
    frame = Frame(
        words.say(title), here, served.works.factory.name, words.language, look_of(request),
        request.cookies.get(GLOVES) == "1", token_of(request), person_of(request),
        words.amount(Amount(now, "instant")), now, beginnings(), request.url.path,
        tuple((name, where, words.say(said)) for name, where, said in NAVIGATION), served.simulated(),
        station, modules, refresh,
    )  # fmt: skip
    body = (
        environment()
        .get_template(template)
        .render(frame=frame, w=Said(words), words=words, **tongue(served), **contents(content))
    )
    answer = HTMLResponse(body, status)
    if request.cookies.get(TOKEN) != frame.token:
        answer.set_cookie(TOKEN, frame.token, max_age=A_YEAR, httponly=True, samesite="strict", path="/")
    return answer


def contents(content: Any) -> dict[str, Any]:
    """The fields of a dataclass by name, not copied."""
    return {one.name: getattr(content, one.name) for one in fields(content)}


def tongue(served: Served) -> Mapping[str, Any]:
    """How a template says texts, amounts and times."""
    words = served.words

    def at(moment: float | None) -> Markup:
        """A local time, with the zone and UTC for whoever asks."""
        if moment is None:
            return Markup("")
        local = datetime.fromtimestamp(int(moment), tz=words.zone)
        exact = local.isoformat()
        return Markup('<time datetime="{}" title="{} {}">{}</time>').format(
            exact, exact, local.tzname() or "", words.amount(Amount(moment, "instant"))
        )

    def clock(moment: float | None) -> str:
        return "" if moment is None else words.moment(moment, "%H:%M")

    def span(seconds: float) -> str:
        return words.amount(Amount(seconds, "duration", 2))

    return {"say": words.say, "at": at, "clock": clock, "span": span}


def look_of(request: Request) -> str:
    """Light, dark, or as the reader's system is set."""
    found = request.cookies.get(LOOK, LOOKS[0])
    return found if found in LOOKS else LOOKS[0]


def person_of(request: Request) -> str:
    """Whose badge was scanned at this tablet; empty where nobody's was."""
    found = request.cookies.get(PERSON, "")
    return found if found.isascii() and found.isprintable() and len(found) <= 60 else ""


def address(path: str, **asked: str | None) -> str:
    """An address with what is asked; empty parts are left out."""
    query = "&".join(f"{name}={quote(value, safe='')}" for name, value in asked.items() if value)
    return f"{path}?{query}" if query else path


def length(metres: float) -> Amount:
    """A length as an amount. [m]"""
    return Amount(metres, "length")


@cache
def beginnings() -> str:
    """How a code may begin, whatever two keyboards make of it; the scripts of the pages look for these."""
    made = {
        as_keyed(one, scanner=a, host=b)
        for one in (BEGINNING, BEGINNING.lower())
        for a in LAYOUTS
        for b in LAYOUTS
    }
    return " ".join(sorted(made))


@cache
def colours() -> str:
    """The style sheet of colours and of figures, from the palette that page and paper share."""
    dark = f"{variables(DARK)}color-scheme:dark"
    light = f"{variables(LIGHT)}color-scheme:light"
    near, far = (
        "".join(f"--{name}:{value};" for name, value in one.items()) for one in (STATION_LIGHT, STATION_DARK)
    )
    return (
        f":root{{{light}}}\n"
        f"@media (prefers-color-scheme:dark){{:root:not([data-look=light]){{{dark}}}}}\n"
        f":root[data-look=dark]{{{dark}}}\n"
        f".at-station{{{near}}}\n"
        f"@media (prefers-color-scheme:dark){{:root:not([data-look=light]) .at-station{{{far}}}}}\n"
        f":root[data-look=dark] .at-station{{{far}}}\n"
        f"@media print{{:root,:root[data-look]{{{variables(PRINT)}color-scheme:light}}"
        f":root[data-look] .at-station,.at-station{{{near}}}}}\n"
        f"{figure_rules(VARIABLES, FONT)}\n"
    )
