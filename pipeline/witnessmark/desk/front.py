"""What every request passes first, and the headers of every answer."""

from __future__ import annotations

import ipaddress
import re
import socket
from urllib.parse import urlsplit

from fastapi import Request
from starlette.datastructures import MutableHeaders
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from witnessmark.desk import problems
from witnessmark.desk.settings import EVERYWHERE, LOCAL, Settings

HEADERS = {
    "Content-Security-Policy": "default-src 'self'; img-src 'self' blob: data:; media-src 'self' blob:; "
    "object-src 'none'; base-uri 'none'; frame-ancestors 'none'; form-action 'self'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "microphone=(self), camera=(self), geolocation=()",
}
"""On every answer that does not set its own."""
ONLY_ENCRYPTED = "max-age=2592000"
"""Strict-Transport-Security: thirty days, so that a name given to another computer is not lost for long."""
LARGEST_FORM = 256 << 10
"""Bytes of a request that is neither sound nor a photograph."""
CHUNK, PHOTO = re.compile(r"/api/walks/[^/]+/chunks/[^/]+"), re.compile(r"/api/walks/[^/]+/photos/[^/]+")
RECORDING = "/api/recordings"
"""Takes a whole one, made elsewhere."""
FAULT = ("the desk failed at this.", "Load the page again to see how things stand, and please report it.")
SAFE = ("GET", "HEAD", "OPTIONS")


class Front:
    """ASGI middleware.

    Args:
        app: what it stands before.
        settings: with the desk's names and the sizes allowed.
    """

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self._app, self._settings = app, settings
        machine = socket.gethostname().lower()
        known = (*LOCAL, settings.host, *settings.names, machine, f"{machine.partition('.')[0]}.local")
        self._names = {name.lower() for name in known} - set(EVERYWHERE)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse, or pass on."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        request = Request(scope)
        largest = self._largest(request.url.path)

        begun = False

        async def sent(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                self._add_headers(request, MutableHeaders(scope=message))
            await send(message)

        refused = self._refusal(request, largest)
        if refused:
            await problems.told(request, *refused)(scope, receive, sent)
            return
        try:
            await self._app(scope, _bounded(receive, largest), sent)
        except Exception:
            if not begun:
                await problems.told(request, 500, *FAULT)(scope, receive, sent)
            raise  # for the log

    def _refusal(self, request: Request, largest: int) -> tuple[int, str, str] | None:
        """Status, what is wrong, and what to do."""
        if not self._knows(request):
            remedy = "Use the address that the desk printed when it was started."
            return 400, "this desk is not known by that name.", remedy
        if request.method not in SAFE and not _from_here(request):
            return 403, "this was sent by a page of another site.", "Do it on the desk's own page."
        length = request.headers.get("content-length", "0")
        if length.isdecimal() and int(length) > largest:
            return 413, f"at most {largest} bytes can be sent here.", "Send less at a time."
        return None

    def _knows(self, request: Request) -> bool:
        """Whether the request names this desk: without this a foreign name could be made to lead here."""
        try:
            host = (urlsplit(f"//{request.headers.get('host', '')}").hostname or "").rstrip(".")
        except ValueError:
            return False
        return host in self._names or host == _own_address(request)

    def _largest(self, path: str) -> int:
        if path == RECORDING:
            return self._settings.largest_upload
        if CHUNK.fullmatch(path):
            return self._settings.largest_chunk
        return self._settings.largest_photo if PHOTO.fullmatch(path) else LARGEST_FORM

    def _add_headers(self, request: Request, headers: MutableHeaders) -> None:
        for name, value in HEADERS.items():
            headers.setdefault(name, value)
        static = request.url.path.startswith("/static/")
        headers.setdefault("Cache-Control", "no-cache" if static else "no-store")
        if self._settings.secure and request.url.hostname not in LOCAL:
            headers.setdefault("Strict-Transport-Security", ONLY_ENCRYPTED)


def _own_address(request: Request) -> str | None:
    """The numeric address of this computer at which the request came in."""
    address = (request.scope.get("server") or ("",))[0]
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return None
    return str(getattr(found, "ipv4_mapped", None) or found)


def _from_here(request: Request) -> bool:
    """Whether a browser says that it sends this from a page of the desk. Programs say nothing."""
    if request.headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
        return False
    origin = request.headers.get("origin")
    return origin is None or origin.partition("://")[2] == request.headers.get("host")


def _bounded(receive: Receive, largest: int) -> Receive:
    """Counts what comes in, as a request need not say how long it is."""
    taken = 0

    async def bounded() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > largest:
            raise HTTPException(413, f"at most {largest} bytes can be sent here.")
        return message

    return bounded
