"""The doorkeeper: host names we answer to, posts from our own pages only, strict headers on every answer."""

from __future__ import annotations

import secrets
from collections.abc import Iterable
from typing import Final
from urllib.parse import urlsplit

from itsdangerous import BadSignature, URLSafeTimedSerializer
from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LOOPBACK: Final = frozenset({"127.0.0.1", "localhost", "::1"})
COOKIE: Final = "tideover_page"
TOKEN_SECONDS: Final = 3 * 24 * 3600
MAX_POST_BYTES: Final = 64 * 1024 * 1024

HEADERS: Final = {
    "content-security-policy": (
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; "
        "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=()",
}


def host_name(host: str) -> str:
    """The name in a Host header, without port and brackets."""
    return (urlsplit(f"//{host}").hostname or "").lower()


class Guard:
    """ASGI middleware that refuses strangers and puts the strict headers on."""

    def __init__(self, app: ASGIApp, hosts: Iterable[str] = ()) -> None:
        self.app = app
        self.hosts = LOOPBACK | {h.lower() for h in hosts}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or answer it with a refusal in one sentence."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        refusal = self._refusal(scope["method"], headers)
        if refusal is not None:
            await PlainTextResponse(refusal[1], status_code=refusal[0])(scope, receive, self._with_headers(send))
            return
        await self.app(scope, receive, self._with_headers(send))

    def _refusal(self, method: str, headers: Headers) -> tuple[int, str] | None:
        host = headers.get("host", "")
        try:
            known = host_name(host) in self.hosts
        except ValueError:
            known = False
        if not known:
            wanted = ", ".join(sorted(self.hosts))
            return 400, f"These pages answer to {wanted}, not to {host!r}; open them by one of those names."
        if method in ("GET", "HEAD", "OPTIONS"):
            return None
        site = headers.get("sec-fetch-site")
        origin = headers.get("origin")
        if site not in (None, "same-origin") or (origin is not None and urlsplit(origin).netloc != host):
            return 403, "This was sent from another site; nothing was written. Write it from our own page."
        length = headers.get("content-length", "0")
        if length.isdigit() and int(length) > MAX_POST_BYTES:
            return 413, f"This is over {MAX_POST_BYTES // 2**20} MB; nothing was written. Send fewer files at once."
        return None

    @staticmethod
    def _with_headers(send: Send) -> Send:
        async def wrapped(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers[name] = value
                headers.setdefault("cache-control", "no-cache")
            await send(message)

        return wrapped


class Tokens:
    """Signed form tokens, bound to a cookie of the reader's browser."""

    def __init__(self, secret: str | None = None) -> None:
        self._signer = URLSafeTimedSerializer(secret or secrets.token_hex(32), salt="tideover form")

    @staticmethod
    def reader(request: Request) -> str:
        """The browser's own mark: from its cookie, or a new one made once for this request."""
        mark = request.cookies.get(COOKIE) or getattr(request.state, "mark", None)
        if not mark:
            mark = secrets.token_urlsafe(16)
            request.state.mark = mark
        return str(mark)

    def make(self, request: Request) -> str:
        """A token for a form on this page."""
        return str(self._signer.dumps(self.reader(request)))

    def good(self, request: Request, token: str | None) -> bool:
        """Whether a token sent back is ours, fresh, and this browser's."""
        mark = request.cookies.get(COOKIE)
        if not token or not mark:
            return False
        try:
            signed = self._signer.loads(token, max_age=TOKEN_SECONDS)
        except BadSignature:
            return False
        return secrets.compare_digest(str(signed).encode(), mark.encode())
