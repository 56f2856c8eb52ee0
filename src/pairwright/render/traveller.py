"""The traveller on paper, A5 or A6: readable in grey, and of use while no screen is near."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any, Final

from pairwright.base.errors import InputError, MachineryError, Problem, shown
from pairwright.base.words import Amount, Text, Words, text
from pairwright.render.codes import symbol
from pairwright.render.page import template
from pairwright.reports.labels import side_word
from pairwright.reports.traveller import Row, Traveller

PAPERS: Final[Mapping[str, tuple[float, float]]] = {"a5": (148.0, 210.0), "a6": (105.0, 148.0)}  # mm, ISO 216
MODULE: Final[Mapping[str, float]] = {"a5": 0.75, "a6": 0.625}  # mm
WIDEST: Final[Mapping[str, float]] = {"a5": 30.0, "a6": 24.0}  # of the code with its margin, mm
_DOT: Final = 0.125  # mm
_HARD: Final = "\u00a0"  # a blank at which no line ends

# Words of the sheet itself, by the names that the template has for them.
_FIXED: Final[Mapping[str, Text]] = {
    "day": text("day"), "start": text("start"), "finish": text("finish"), "who": text("initials"),
    "written": text("written down"), "mate": text("mate"), "cautions": text("Cautions"),
    "caution": text("caution"), "together": text("with its mate"), "notes": text("Notes"),
    "rule": text("Server down? Write day, start, finish, initials; the written times are entered later."),
}  # fmt: skip


def paper_named(name: str) -> str:
    """A paper by its name, lower case.

    Parameters
    ----------
    name : str
        ``A5`` or ``A6``.

    Raises
    ------
    InputError
        When it is another.
    """
    if name.lower() not in PAPERS:
        raise InputError(
            Problem("traveller", "paper", text("A5 or A6"), shown(name), text("choose one of the two"))
        )
    return name.lower()


def travellers_pdf(
    sheets: Sequence[Traveller], *, paper: str, words: Words, works: str, timestamp: int = 0
) -> bytes:
    """Travellers as a PDF, each on pages of its own.

    Parameters
    ----------
    sheets : Sequence[Traveller]
        What they say.
    paper : str
        ``a5`` or ``a6``.
    words : Words
        The reader's language, with the works' time zone.
    works : str
        Name of the works.
    timestamp : int
        The moment written into the file, in UTC seconds. [s]
    """
    return bytes(_set(_files(sheets, paper=paper, words=words, works=works), timestamp=timestamp))


def travellers_png(
    sheets: Sequence[Traveller], *, paper: str, words: Words, works: str, dots: float = 203.2
) -> list[bytes]:
    """Travellers as pictures, one a page.

    Parameters
    ----------
    sheets : Sequence[Traveller]
        What they say.
    paper : str
        ``a5`` or ``a6``.
    words : Words
        The reader's language, with the works' time zone.
    works : str
        Name of the works.
    dots : float
        An inch. [-]
    """
    made = _set(_files(sheets, paper=paper, words=words, works=works), format="png", ppi=dots)
    return [bytes(one) for one in made] if isinstance(made, list) else [bytes(made)]


def _set(files: Mapping[str, bytes], **options: Any) -> Any:
    import typst

    try:
        return typst.compile(dict(files), ignore_system_fonts=True, **options)
    except typst.TypstError as error:
        raise MachineryError(text("the paper could not be set: {why}", why=error.message)) from error


def _files(sheets: Sequence[Traveller], *, paper: str, words: Words, works: str) -> dict[str, bytes]:
    width, height = PAPERS[paper]
    files: dict[str, bytes] = {}
    data = {
        "width": width, "height": height, "narrow": paper == "a6", "works": works, "language": words.language,
        "words": {name: words.say(one) for name, one in _FIXED.items()},
        "sheets": [_sheet(one, paper=paper, words=words, files=files) for one in sheets],
    }  # fmt: skip
    files["main.typ"] = template("traveller.typ").encode()
    files["traveller.json"] = json.dumps(data, ensure_ascii=False, sort_keys=True).encode()
    return files


def _sheet(sheet: Traveller, *, paper: str, words: Words, files: dict[str, bytes]) -> dict[str, Any]:
    drawn = symbol("qr", sheet.code.text)
    side = side_word(sheet.side)
    module = min(MODULE[paper], int(WIDEST[paper] / drawn.across / _DOT) * _DOT)
    name = f"code-{len(files)}.svg"
    files[name] = drawn.svg().encode()
    return {
        "file": name, "code": module * drawn.across, "quiet": module * drawn.quiet,
        "id": sheet.code.id, "mark": sheet.code.mark, "title": words.say(sheet.title), "part": sheet.part,
        "side": "" if side is None else words.say(side),
        "turned": sheet.side in ("right", "b"),
        "mate": "" if sheet.mate is None else sheet.mate.readable,
        "facts": [[words.say(what), value] for what, value in sheet.facts],
        "rows": [_row(row, words) for row in sheet.rows], "cautions": list(sheet.cautions),
    }  # fmt: skip


def _row(row: Row, words: Words) -> dict[str, Any]:
    values = [
        f"{words.say(one.name)} {words.value(one.value)}".replace(" ", _HARD) if isinstance(one.value, Amount)
        else words.say(text("{name} {value}", name=one.name, value=one.value))
        for one in row.values
    ]  # fmt: skip
    more = [*values, *([] if row.programme is None else [words.say(row.programme)])]
    return {
        "number": row.number, "name": row.name, "stations": " / ".join(row.stations), "wait": row.wait,
        "more": f"{_HARD}· ".join(more), "handling": row.handling, "cautions": f",{_HARD}".join(map(str, row.cautions)),
        "limits": [words.say(one) for one in row.limits], "write": [words.say(one) for one in row.write],
        "together": row.together, "done": _done(row, words),
    }  # fmt: skip


def _done(row: Row, words: Words) -> dict[str, str] | None:
    if row.done is None:
        return None
    end = float(row.done.end)
    start = row.done.start
    return {
        "day": words.amount(Amount(end, "date")),
        "start": "" if start is None else words.moment(start, "%H:%M"),
        "finish": words.moment(end, "%H:%M"),
        "who": row.done.actor,
    }
