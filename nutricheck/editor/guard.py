"""What stands between the plan and everything else on this machine and in its browser.

A web page of anyone's, another program's page on another port, or a name that was pointed at this
machine can make a browser send requests here. Each request must therefore carry this address as its
host, no other origin, and the cookie that only the window opened by us was given; each change must
besides carry a token in a header, which a page of another origin cannot read nor send. Nothing may
frame the page, and the page may load and run nothing but our own files.

References
----------
OWASP Cheat Sheet Series, Cross-Site Request Forgery Prevention, HTTP Headers (memory); RFC 6265bis,
SameSite; RFC 9110, section 7.2 (Host).
"""

from __future__ import annotations

import hmac
import secrets
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from starlette.datastructures import Headers
from starlette.requests import Request
from starlette.responses import PlainTextResponse

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = ["HEADER", "LARGEST_BODY", "LARGEST_PLAN", "Guard", "Secrets", "TooLarge"]

#: The header that carries the token of a change.
HEADER = "x-plan-token"
#: Path of the one request that comes without a cookie and brings the first token.
START = "/start"
#: Paths of a plan's file as it is sent in; everything else is a change of a field or two.
PLAN_PATHS = frozenset({"/load"})
LARGEST_BODY = 200_000
LARGEST_PLAN = 8_000_000
_LONGEST_QUERY = 2_000
_LARGEST_HEAD = 16_000

_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "connect-src 'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
)
_SAFE_HEADERS = {
    "content-security-policy": _POLICY,
    "x-frame-options": "DENY",
    "referrer-policy": "no-referrer",
    "x-content-type-options": "nosniff",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=()",
    "cache-control": "no-store",
}


class TooLarge(ValueError):
    """A body that is longer than its path may have."""


def _token() -> str:
    return secrets.token_urlsafe(32)


@dataclass
class Secrets:
    """The tokens of one run: ``start`` is spent on its first use."""

    start: str = field(default_factory=_token)
    cookie: str = field(default_factory=_token)
    change: str = field(default_factory=_token)

    def spend(self, token: str) -> bool:
        """Whether the token opens the door; it does so once."""
        is_right = bool(self.start) and hmac.compare_digest(token.encode(), self.start.encode())
        if is_right:
            self.start = ""
        return is_right


class Guard:
    """Lets through what our own window asks for, and adds to each answer what a browser obeys."""

    def __init__(self, app: ASGIApp, keys: Secrets, port: int) -> None:
        self.app = app
        self.keys = keys
        self.host = f"127.0.0.1:{port}"
        self.cookie_name = f"nutricheck-{port}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return

        async def send_safe(message: Message) -> None:
            if message["type"] == "http.response.start":
                kept = [
                    (name, value)
                    for name, value in message["headers"]
                    if name.decode("latin-1").lower() not in _SAFE_HEADERS
                ]
                ours = [(name.encode(), value.encode()) for name, value in _SAFE_HEADERS.items()]
                message = {**message, "headers": [*kept, *ours]}
            await send(message)

        if scope["type"] != "http":
            return
        refusal = self._refusal(Request(scope))
        if refusal is not None:
            status, text = refusal
            await PlainTextResponse(text, status)(scope, receive, send_safe)
            return
        most = LARGEST_PLAN if scope["path"] in PLAN_PATHS else LARGEST_BODY
        await self.app(scope, _bounded(receive, most), send_safe)

    def _refusal(self, request: Request) -> tuple[int, str] | None:
        """Status and words for what is not let through; None for what is."""
        headers = request.headers
        if headers.getlist("host") != [self.host]:
            return 421, "This address does not belong to this program."
        if sum(len(name) + len(value) for name, value in headers.raw) > _LARGEST_HEAD:
            return 431, "The browser sent too much at once."
        origin = headers.get("origin")
        ours = f"http://{self.host}"
        if origin is not None and origin != ours:
            return 403, "Another page tried to use this program. It was not let in."
        if len(request.url.query) > _LONGEST_QUERY:
            return 414, "The address is too long."
        if request.url.path == START:
            return None if request.method == "GET" else (405, "Open this address in a browser.")
        if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
            return 403, "Another site tried to use this program. It was not let in."
        if not self._has_cookie(request):
            return 403, "Open this window from the program: nutricheck open"
        if request.method in ("GET", "HEAD"):
            return None
        if request.method != "POST":
            return 405, "only GET and POST are known here"
        if origin != ours:
            return 403, "a change says where it comes from"
        if not _same(headers.get(HEADER, ""), self.keys.change):
            return 403, "a change carries its token"
        return _size_refusal(headers, request.url.path)

    def _has_cookie(self, request: Request) -> bool:
        return _same(request.cookies.get(self.cookie_name, ""), self.keys.cookie)


def _same(given: str, expected: str) -> bool:
    return hmac.compare_digest(given.encode(), expected.encode())


def _size_refusal(headers: Headers, path: str) -> tuple[int, str] | None:
    most = LARGEST_PLAN if path in PLAN_PATHS else LARGEST_BODY
    length = headers.get("content-length")
    if length is not None and (not length.isdecimal() or int(length) > most):
        return 413, f"That is too large: at most {most:,} bytes."
    return None


def _bounded(receive: Receive, most: int) -> Receive:
    """The body, up to so many bytes: a length that is not said is counted."""
    taken = 0

    async def receive_bounded() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > most:
            raise TooLarge
        return message

    return receive_bounded
