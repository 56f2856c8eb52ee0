"""What stands before every page: who may ask, how much may be sent, what a browser may do with the answer.

The body of a request is taken in whole, counted and timed, before anything reads it.
"""

from __future__ import annotations

import asyncio
import hmac
import secrets
from collections.abc import Iterable
from typing import Any, Final
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from pairwright.base.errors import Problem
from pairwright.base.words import Text, text
from pairwright.web.answers import problem_answer

MOST_JSON: Final = 1 << 20  # bytes of an event or a form
MOST_FILE: Final = 8 << 20  # bytes of a form with a photograph
PATIENCE: Final = 30.0  # until a body is there [s]
LARGE_AT_ONCE: Final = 4  # bodies above MOST_JSON held at one time
TOKEN: Final = "pw_token"
SAFE: Final = ("GET", "HEAD", "OPTIONS")

POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; "
    "font-src 'none'; worker-src 'self'; manifest-src 'self'; form-action 'self'; frame-ancestors 'none'; "
    "base-uri 'none'; object-src 'none'"
)
HEADERS: Final = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), microphone=(), payment=(), usb=()",
}


class Guard:
    """The first and last thing that sees a request."""

    def __init__(self, app: ASGIApp, *, hosts: Iterable[str]) -> None:
        self._app = app
        self._hosts = frozenset(hosts)
        self._large = asyncio.Semaphore(LARGE_AT_ONCE)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request in, or say why not."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        answer = _with_headers(send)
        headers = Headers(scope=scope)
        refused = self._stranger(scope, headers)
        if refused is not None:
            await problem_answer(*refused, json=_wants_json(scope))(scope, receive, answer)
            return
        if scope["method"] in SAFE:
            await self._app(scope, receive, answer)
            return
        most = MOST_FILE if headers.get("content-type", "").startswith("multipart/form-data") else MOST_JSON
        if most > MOST_JSON:
            async with self._large:
                await self._taken_in(scope, receive, answer, most=most)
        else:
            await self._taken_in(scope, receive, answer, most=most)

    def _stranger(self, scope: Scope, headers: Headers) -> tuple[int, Problem] | None:
        """Why a request is not let in: a strange host, another page's form, a body that is packed."""
        host = headers.get("host", "")
        if (urlsplit(f"//{host}").hostname or "") not in self._hosts:
            return 421, _slip(
                "host", text("an address of this server"), host, text("open the address it printed")
            )
        if scope["method"] in SAFE:
            return None
        origin = headers.get("origin")
        if origin is not None and urlsplit(origin).netloc != host:
            return 403, _slip(
                "origin", text("this server's own page"), origin, text("send it from a page of this server")
            )
        if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
            site = headers["sec-fetch-site"]
            return 403, _slip(
                "origin", text("this server's own page"), site, text("send it from a page of this server")
            )
        packed = headers.get("content-encoding", "identity")
        if packed != "identity":
            return 415, _slip(
                "content-encoding", text("none: the body as it is"), packed, text("send it unpacked")
            )
        return None

    async def _taken_in(self, scope: Scope, receive: Receive, send: Send, *, most: int) -> None:
        body = await _body(receive, Headers(scope=scope), most=most)
        if isinstance(body, tuple):
            await problem_answer(*body, json=_wants_json(scope))(scope, receive, send)
            return
        given = False

        async def replay() -> Message:
            nonlocal given
            if given:
                return await receive()
            given = True
            return {"type": "http.request", "body": body, "more_body": False}

        await self._app(scope, replay, send)


async def _body(receive: Receive, headers: Headers, *, most: int) -> bytes | tuple[int, Problem]:
    """The whole body, or why it is not taken."""
    stated = headers.get("content-length", "")
    if stated.isascii() and stated.isdigit() and int(stated[:20]) > most:
        return _too_large(f"{stated[:20]} bytes", most)
    parts: list[bytes] = []
    size = 0
    try:
        async with asyncio.timeout(PATIENCE):
            while True:
                message = await receive()
                if message["type"] == "http.disconnect":
                    return 400, _slip("body", text("sent to its end"), f"{size} bytes", text("send it again"))
                parts.append(message.get("body", b""))
                size += len(parts[-1])
                if size > most:
                    return _too_large(f"more than {most} bytes", most)
                if not message.get("more_body", False):
                    return b"".join(parts)
    except TimeoutError:
        return 408, _slip("body", text("sent within 30 s"), f"{size} bytes", text("send it again"))


def _too_large(got: str, most: int) -> tuple[int, Problem]:
    return 413, _slip("body", text("at most {n} bytes", n=most), got, text("send less at a time"))


def _foreign(got: str) -> Problem:
    return _slip("origin", text("this server's own page"), got, text("send it from a page of this server"))


def _slip(field: str, must_be: Text, got: str, do: Text) -> Problem:
    return Problem("request", field, must_be, got[:80] or "nothing", do)


def _wants_json(scope: Scope) -> bool:
    return str(scope["path"]).startswith("/api") or scope["path"] == "/health"


def _with_headers(send: Send) -> Send:
    async def answer(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
            headers.setdefault("Cache-Control", "no-store")
            if "server" in headers:
                del headers["server"]
        await send(message)

    return answer


# forms carry what only this browser has


def token_of(request: Request) -> str:
    """The browser's own token, made where it has none yet."""
    found = request.cookies.get(TOKEN, "")
    return found if _plausible(found) else secrets.token_urlsafe(24)


def _plausible(token: str) -> bool:
    return len(token) == 32 and all(c.isascii() and (c.isalnum() or c in "-_") for c in token)


def own_form(request: Request, given: Any) -> bool:
    """Whether a form was sent from a page that this browser got from us."""
    kept = request.cookies.get(TOKEN, "")
    return isinstance(given, str) and _plausible(kept) and hmac.compare_digest(kept, given)
