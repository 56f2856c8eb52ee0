"""Labels on rolls: one page a label, the code as large as the size allows, mates mirror each other.

The sizes are those of rolls as commonly sold, in millimetres, from memory; ours are the names. Modules are
whole multiples of 0.125 mm, a dot of a printer of 203 dots an inch, and never less than three of them.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final

from pairwright.base.errors import InputError, MachineryError, Problem, shown
from pairwright.base.words import Text, Words, text
from pairwright.render.codes import Symbol, SymbolKind, symbol
from pairwright.render.page import template
from pairwright.reports.labels import Label, side_word

DOT: Final = 0.125  # mm
SMALLEST_MODULE: Final = 0.375  # mm
MOST_LINES: Final = 3  # that an identity may take


@dataclass(frozen=True, slots=True)
class LabelSize:
    """A size of label, in mm, and what it is for.

    `field` is the width that the code takes with its margin, `head` the height of a title above it, `text`
    the height of a line of text at most, `least` that of an identity at least.
    """

    width: float
    height: float
    field: float
    symbol: SymbolKind
    used_for: Text
    text: float = 4.2
    least: float = 2.1
    head: float = 0.0
    carton: bool = False

    @property
    def code(self) -> float:
        """Room for the code with its margin. [mm]"""
        return min(self.field, self.height - self.head - 0.5)

    @property
    def axis(self) -> float:
        """Width of the axis on the inner edge. [mm]"""
        return 0.5 if self.height < 15 else 1.0

    @property
    def gap(self) -> float:
        """Between the words and the axis. [mm]"""
        return 0.4 if self.height < 15 else 1.25

    @property
    def room(self) -> float:
        """Width of the words. [mm]"""
        return self.width - self.field - self.gap - self.axis - self.edge

    @property
    def edge(self) -> float:
        """Left blank at the inner edge, where a printer may miss. [mm]"""
        return 0.4 if self.height < 15 else 0.75


SIZES: Final[Mapping[str, LabelSize]] = MappingProxyType(
    {
        "basket": LabelSize(
            22, 12, 11.5, "datamatrix", text("baskets of drive units, small parts"), text=2.4, least=1.7
        ),
        "part": LabelSize(38, 19, 18.5, "qr", text("parts, leaves, boards"), text=3.2),
        "cabinet": LabelSize(57, 32, 30, "qr", text("cabinets, carriers, moulds, instruments")),
        "shelf": LabelSize(76, 38, 37, "qr", text("lots, orders, sets"), text=5),
        "station": LabelSize(
            102, 76, 60, "qr", text("stations, programmes, people"), text=6.5, least=4, head=15
        ),
        "carton": LabelSize(102, 152, 60, "qr", text("both boxes of a pair"), carton=True),
    }
)
WIDE: Final = 0.602  # of a letter of the typeface of identities, in its height
SET_CODE: Final = LabelSize(30, 30.5, 30, "qr", text("the set of a box"))


def size_named(name: str) -> LabelSize:
    """A size by its name.

    Parameters
    ----------
    name : str
        One of `SIZES`.

    Raises
    ------
    InputError
        When there is none.
    """
    if name not in SIZES:
        raise InputError(
            Problem("labels", "size", text("one of {names}", names=", ".join(SIZES)), shown(name),
                    text("choose the size of your roll"))
        )  # fmt: skip
    return SIZES[name]


def module_of(drawn: Symbol, size: LabelSize, *, content: str) -> float:
    """The width of a module on a label. [mm]

    Parameters
    ----------
    drawn : Symbol
        The code.
    size : LabelSize
        The label.
    content : str
        What the code holds, for messages.

    Raises
    ------
    InputError
        When it would be too small to be read.
    """
    module = int(size.code / drawn.across / DOT + 1e-9) * DOT
    if module < SMALLEST_MODULE:
        raise _too_small(size, content)
    return module


def _too_small(size: LabelSize, content: str) -> InputError:
    return InputError(
        Problem("labels", "size", text("large enough for {code}", code=content),
                f"{size.width:g} x {size.height:g} mm", text("take a larger label, or a shorter identity"))
    )  # fmt: skip


def labels_pdf(
    labels: Sequence[Label], size: LabelSize, *, words: Words, works: str, timestamp: int = 0
) -> bytes:
    """Labels as a PDF, one a page.

    Parameters
    ----------
    labels : Sequence[Label]
        What they say.
    size : LabelSize
        Of the roll.
    words : Words
        The reader's language.
    works : str
        Name of the works.
    timestamp : int
        The moment written into the file, in UTC seconds. [s]
    """
    files = _files(labels, size, words=words, works=works)
    return bytes(_set(files, timestamp=timestamp))


def labels_png(
    labels: Sequence[Label], size: LabelSize, *, words: Words, works: str, dots: float = 203.2
) -> list[bytes]:
    """Labels as pictures, one each, as a printer of so many dots an inch has them.

    Parameters
    ----------
    labels : Sequence[Label]
        What they say.
    size : LabelSize
        Of the roll.
    words : Words
        The reader's language.
    works : str
        Name of the works.
    dots : float
        An inch. [-]
    """
    made = _set(_files(labels, size, words=words, works=works), format="png", ppi=dots)
    return [bytes(one) for one in made] if isinstance(made, list) else [bytes(made)]


def _set(files: Mapping[str, bytes], **options: Any) -> Any:
    import typst

    try:
        return typst.compile(dict(files), ignore_system_fonts=True, **options)
    except typst.TypstError as error:
        raise MachineryError(text("the labels could not be set: {why}", why=error.message)) from error


def _files(labels: Sequence[Label], size: LabelSize, *, words: Words, works: str) -> dict[str, bytes]:
    pictures: dict[str, bytes] = {}
    faces = [_face(label, size, words=words, pictures=pictures) for label in labels]
    data = {
        "width": size.width, "height": size.height, "field": size.field, "head": size.head, "text": size.text,
        "axis": size.axis, "gap": size.gap, "edge": size.edge, "room": size.room, "works": works,
        "language": words.language, "faces": faces,
    }  # fmt: skip
    return {
        "main.typ": template("carton.typ" if size.carton else "label.typ").encode(),
        "labels.json": json.dumps(data, ensure_ascii=False, sort_keys=True).encode(),
        **pictures,
    }


def _face(label: Label, size: LabelSize, *, words: Words, pictures: dict[str, bytes]) -> dict[str, Any]:
    file, code, quiet = _code(label.code.text, size, pictures=pictures)
    side = side_word(label.side)
    lines = label.lines[: 1 if size.carton or size.height < 15 else 3]
    face: dict[str, Any] = {
        "file": file, "code": code, "quiet": quiet, "id": label.code.id, "mark": label.code.mark,
        "title": words.say(label.title), "lines": [words.say(line) for line in lines],
        "word": "" if side is None else words.say(side),
        "turned": label.side in ("right", "b"),
    }  # fmt: skip
    if size.carton:
        return face | _carton(label, words=words, pictures=pictures)
    face |= {"identity": _identity(label, size)}
    if size.height < 15:  # no room for more than what it is
        face |= {"lines": [], "title": (face["lines"] or [face["title"]])[0]}
    return face


def _code(content: str, size: LabelSize, *, pictures: dict[str, bytes]) -> tuple[str, float, float]:
    """The file of a code's drawing, its width and that of its margin in mm."""
    drawn = symbol(size.symbol, content)
    module = module_of(drawn, size, content=content)
    name = f"code-{len(pictures)}.svg"
    pictures[name] = drawn.svg().encode()
    return name, module * drawn.across, module * drawn.quiet


def _identity(label: Label, size: LabelSize) -> list[dict[str, str]]:
    """The identity with its two characters, on as few lines as it takes to stay legible."""
    most = int(size.room / (WIDE * size.least))
    rest, mark = label.code.id, label.code.mark
    if len(rest) + 3 <= most:
        return [{"id": rest, "mark": mark}]
    lines: list[dict[str, str]] = []
    while len(rest) > most:
        cut = max(rest.rfind(sign, 0, most) for sign in "-._") + 1 or most
        lines.append({"id": rest[:cut], "mark": ""})
        rest = rest[cut:]
    if len(rest) + 3 <= most:
        lines.append({"id": rest, "mark": mark})
    else:
        lines += [{"id": rest, "mark": ""}, {"id": "", "mark": mark}]
    if len(lines) > MOST_LINES:
        raise _too_small(size, label.code.text)
    return lines


def _carton(label: Label, *, words: Words, pictures: dict[str, bytes]) -> dict[str, Any]:
    carton = label.carton
    if carton is None:
        raise InputError(
            Problem("labels", "size", text("a size for single things, as {id} is one", id=label.code.id), "carton",
                    text("name the set for labels of its boxes"))
        )  # fmt: skip
    mate: list[str] = []
    if carton.mate is not None:
        mate = [
            words.say(text("its mate, in box {other}:", other=3 - carton.number)),
            carton.mate.readable,
        ]
    file, code, quiet = _code(carton.set.text, SET_CODE, pictures=pictures)
    return {
        "box": words.say(text("box {n} of {count}", n=carton.number, count=carton.of)),
        "number": carton.number, "of": carton.of, "mate": mate, "set-file": file, "set-code": code,
        "set-quiet": quiet, "set": words.say(text("set {set}", set=carton.set.readable)),
    }  # fmt: skip
