"""Who may talk to the workroom: one maker on one machine, through pages of its own.

Other pages in the same browser can send requests to this machine too. So the Host must be one of ours (a
stranger's name may be made to point here), whatever writes must come from our own page and carry its token,
and every request carries a cookie that only the address opened by the command sets. Practice after OWASP's
cheat sheets on cross-site request forgery and content security policy, from memory.
"""

from __future__ import annotations

import hmac
import ipaddress
import secrets
from collections.abc import Iterable
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qs, urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

COOKIE = "layfigure_workroom"
TOKEN_HEADER = "x-workroom-token"  # noqa: S105 - the name of a header
MOST_BYTES = 40_000_000
"""Largest request: a photograph of 40 megabytes is larger than any reference needs."""

READING = frozenset({"GET", "HEAD", "OPTIONS"})

CONTENT_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; "
    "connect-src 'self'; font-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": CONTENT_POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=()",
    "cache-control": "no-store",
}


class Keys:
    """The two secrets of one running workroom, and the password where others may come in.

    door : opens the workroom in a browser. token : what pages send with whatever they write. password : asked
    for at the door of a workroom that is open to the network; None keeps it to this machine.
    """

    def __init__(self, *, password: str | None = None) -> None:
        self.door = secrets.token_urlsafe(24)
        self.token = secrets.token_urlsafe(24)
        self.password = password

    def opens(self, key: str) -> bool:
        """Whether a key from an address or a cookie is the door's."""
        return hmac.compare_digest(key.encode(), self.door.encode())

    def knows(self, password: str) -> bool:
        """Whether a typed password is the one set."""
        return self.password is not None and hmac.compare_digest(password.encode(), self.password.encode())


class Guard:
    """The checks around an application; none of its code runs before they pass."""

    def __init__(self, app: ASGIApp, keys: Keys, *, open_paths: Iterable[str] = ()) -> None:
        self.app, self.keys, self.open_paths = app, keys, frozenset(open_paths)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008})
            return
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        refused = self._refusal(scope)
        if refused is not None:
            await refused(scope, receive, guarded)
            return
        await self.app(scope, _Counted(receive), guarded)

    def _refusal(self, scope: Scope) -> Response | None:
        """What to answer instead of the application, or None where the request may go on."""
        headers = Headers(scope=scope)
        host = headers.get("host", "")
        if not self._our_host(host):
            return _answer(403, "This address does not belong to the workroom.")
        length = headers.get("content-length", "0")
        if not length.isdigit():
            return _answer(400, "The request does not say how long it is.")
        if int(length) > MOST_BYTES:
            return _answer(413, TOO_LARGE)
        reading = scope["method"] in READING
        origin = headers.get("origin")
        if origin is not None and urlsplit(origin).netloc != host:
            return _answer(403, "Another page may not talk to the workroom.")
        if headers.get("sec-fetch-site", "none") == "cross-site" and not (reading and self._opening(scope)):
            return _answer(403, "Another page may not talk to the workroom.")
        if scope["path"] in self.open_paths:
            return None
        if not self.keys.opens(_cookie(headers)):
            return self._at_the_door(scope)
        if not reading and not hmac.compare_digest(
            headers.get(TOKEN_HEADER, "").encode(), self.keys.token.encode()
        ):
            return _answer(403, "The page is from an earlier start of the workroom: load it again.")
        return None

    def _our_host(self, host: str) -> bool:
        """Loopback by name or number; open to the network, any number, for a number cannot be redirected."""
        name = urlsplit(f"//{host}").hostname or ""
        if name == "localhost":
            return True
        try:
            address = ipaddress.ip_address(name)
        except ValueError:
            return False
        return address.is_loopback or self.keys.password is not None

    def _opening(self, scope: Scope) -> bool:
        return b"key=" in scope.get("query_string", b"")

    def _at_the_door(self, scope: Scope) -> Response:
        key = parse_qs(scope.get("query_string", b"").decode("latin-1")).get("key", [""])[0]
        if scope["method"] == "GET" and key and self.keys.opens(key):
            response: Response = RedirectResponse(scope["path"], status_code=303)
            let_in(response, self.keys)
            return response
        if self.keys.password is not None and scope["method"] == "GET":
            return RedirectResponse("/enter", status_code=303)
        if scope["path"].startswith("/api/"):
            return _answer(401, "Open the workroom with the address that its command printed.")
        return PlainTextResponse(
            "Open the workroom with the address that its command printed.\n", status_code=401
        )


def let_in(response: Response, keys: Keys) -> None:
    """Give a browser the cookie that opens the door."""
    response.set_cookie(COOKIE, keys.door, httponly=True, samesite="strict", path="/")


TOO_LARGE = "That is larger than 40 MB; a smaller copy will do."


class _Counted:
    """A request's body, counted as it comes, whatever it was announced to be."""

    def __init__(self, receive: Receive) -> None:
        self._receive, self._seen = receive, 0

    async def __call__(self) -> Message:
        message = await self._receive()
        if message["type"] == "http.request":
            self._seen += len(message.get("body", b""))
            if self._seen > MOST_BYTES:
                raise HTTPException(413, TOO_LARGE)
        return message


def _answer(status: int, what: str) -> Response:
    return JSONResponse({"what": what, "where": "", "advice": ""}, status_code=status)


def _cookie(headers: Headers) -> str:
    try:
        found = SimpleCookie(headers.get("cookie", "")).get(COOKIE)
    except CookieError:
        return ""
    return "" if found is None else found.value
