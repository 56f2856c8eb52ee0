"""What is answered when the answer is no: five parts, as JSON for programs and as a page for people."""

from __future__ import annotations

import html
from collections.abc import Sequence
from typing import Any

from starlette.responses import HTMLResponse, JSONResponse, Response

from pairwright.base.errors import Problem
from pairwright.base.words import ENGLISH, Words, text


def problems_json(problems: Sequence[Problem], words: Words = ENGLISH) -> dict[str, Any]:
    """The public shape of an error; all of them under ``errors``."""
    rows = [one.as_json(words) for one in problems]
    return {**rows[0], "errors": rows}


def problem_answer(status: int, problem: Problem, *, json: bool, words: Words = ENGLISH) -> Response:
    """A refusal before any page is made: nothing of the works is shown."""
    if json:
        return JSONResponse(problems_json((problem,), words), status)
    said = html.escape(problem.line(words))
    title = html.escape(words.say(text("Not taken")))
    body = (
        f'<!DOCTYPE html><html lang="{html.escape(words.language)}"><head><meta charset="utf-8">'
        f'<meta name="viewport" content="width=device-width, initial-scale=1"><title>{title}</title></head>'
        f"<body><main><h1>{title}</h1><p>{said}</p></main></body></html>"
    )
    return HTMLResponse(body, status)
