"""A form as a browser sends it, read strictly: each field once, texts clean, a photograph a photograph."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import Text, text
from pairwright.web.guard import TOKEN, own_form

MOST_FIELDS: Final = 60
LONGEST: Final = 2000  # characters of a field
MOST_PIXELS: Final = 50_000_000
PICTURES: Final = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}


@dataclass(frozen=True, slots=True)
class Form:
    """The fields of a form by name; empty ones are left out. `many` are fields that may be given often."""

    fields: Mapping[str, str]
    many: Mapping[str, tuple[str, ...]]
    photograph: bytes | None = None

    def get(self, name: str, otherwise: str = "") -> str:
        """One field, or what stands for it."""
        return self.fields.get(name, otherwise)

    def need(self, name: str, must_be: Text) -> str:
        """A field that must be filled in; raises `InputError`."""
        found = self.fields.get(name)
        if found is None:
            raise wrong(name, must_be, "nothing", text("fill it in"))
        return found


def wrong(field: str, must_be: Text, got: object, do: Text) -> InputError:
    """A form's field that is not what it must be."""
    return InputError(Problem("form", field, must_be, got if isinstance(got, str) else shown(got), do))


async def read_form(request: Request, *, many: tuple[str, ...] = ()) -> Form:
    """The form of a request; raises `InputError` where it is not ours or not clean.

    Parameters
    ----------
    request : Request
        A POST whose body was let in already.
    many : tuple[str, ...]
        Fields that may come more than once.
    """
    from starlette.exceptions import HTTPException

    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind not in ("application/x-www-form-urlencoded", "multipart/form-data"):
        raise wrong("content-type", text("a form"), kind or "nothing", text("send it from its page"))
    try:
        given = await request.form(max_files=1, max_fields=MOST_FIELDS, max_part_size=1 << 20)
    except HTTPException as error:
        raise wrong(
            "form", text("a form as its page makes it"), str(error.detail), text("send it again")
        ) from None
    try:
        fields, often, photograph = await _sorted(given, many)
    finally:
        await given.close()
    if not own_form(request, fields.pop(TOKEN, None)):
        raise wrong(
            TOKEN, text("the one this page was given"), "another", text("load the page again, then send")
        )
    kept = {name: value for name, value in fields.items() if value}
    return Form(kept, {name: tuple(values) for name, values in often.items()}, photograph)


async def _sorted(
    given: FormData, many: tuple[str, ...]
) -> tuple[dict[str, str], dict[str, list[str]], bytes | None]:
    """Fields given once, fields that may come often, and the photograph."""
    fields: dict[str, str] = {}
    often: dict[str, list[str]] = {}
    photograph: bytes | None = None
    for name, value in given.multi_items():
        if isinstance(value, UploadFile):
            photograph = _photograph(await value.read()) or photograph
        elif name in many:
            often.setdefault(name, []).extend(x for x in [_clean(name, value)] if x)
        elif name in fields:
            raise wrong(name, text("given once"), "twice", text("send the form from its page"))
        else:
            fields[name] = _clean(name, value)
    return fields, often, photograph


def _clean(name: str, value: str) -> str:
    """A text in composed form without hidden signs; raises `InputError`."""
    if len(value) > LONGEST:
        raise wrong(name, text("at most {n} characters", n=LONGEST), f"{len(value)}", text("make it shorter"))
    found = unicodedata.normalize("NFC", value).replace("\r\n", "\n").strip()
    for sign in found:
        if unicodedata.category(sign) in ("Cc", "Cf", "Cs", "Co") and sign not in "\n\t":
            raise wrong(name, text("text without hidden signs"), f"U+{ord(sign):04X}", text("type it again"))
    return found


def _photograph(content: bytes) -> bytes | None:
    """What was uploaded, when it is a picture; None where nothing was chosen."""
    if not content:
        return None
    picture_type(content)
    return content


def picture_type(content: bytes) -> str:
    """The media type of a picture, found in its content; raises `InputError` for anything else.

    Parameters
    ----------
    content : bytes
        The file.
    """
    import io
    import warnings

    from PIL import Image, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(content), formats=tuple(PICTURES)) as picture:
                size, kind = picture.width * picture.height, picture.format or ""
                if size > MOST_PIXELS:
                    raise wrong(
                        "photograph", text("at most 50 million pixels"), f"{size}", text("take a smaller one")
                    )
                picture.verify()
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, EOFError, Image.DecompressionBombWarning,
            Image.DecompressionBombError):  # fmt: skip
        raise wrong(
            "photograph", text("a picture in JPEG, PNG or WebP"), f"{len(content)} bytes of something else",
            text("take the photograph again"),
        ) from None  # fmt: skip
    return PICTURES[kind]
