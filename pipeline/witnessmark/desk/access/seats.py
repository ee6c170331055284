"""Signed cookies that say who is signed in, and the keys that forms carry against forgery."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from typing import TYPE_CHECKING, Any

from fastapi import Request, Response

from witnessmark.desk.access import people
from witnessmark.desk.access.people import Person

if TYPE_CHECKING:
    from itsdangerous import URLSafeTimedSerializer

    from witnessmark.desk.own import Own

LASTS = 12 * 3600
"""Seconds after which somebody signs in again: one working day."""
KNOWN = 180 * 24 * 3600
"""Seconds for which a device is remembered on which somebody has signed in."""


class Seats:
    """Makes and reads the cookies.

    Args:
        own: the desk's own file; it holds the signing key.
        secure: whether the cookies go out only over TLS.
    """

    def __init__(self, own: Own, *, secure: bool) -> None:
        self._own, self._secure = own, secure
        self.key = _signing_key(own)
        begin = "__Host-" if secure else ""  # with it no other host of a domain can set or replace them
        self.cookie, self.device_cookie = f"{begin}witnessmark_seat", f"{begin}witnessmark_device"

    def begin(self, response: Response, person: Person) -> None:
        """Sign somebody in, with a mark that no cookie had before."""
        self._set(response, self.cookie, [person.id, person.epoch, secrets.token_urlsafe(12)], LASTS)
        self._set(response, self.device_cookie, [person.id, secrets.token_urlsafe(12)], KNOWN)

    def end(self, response: Response) -> None:
        """Sign out on this device, which stays known."""
        response.delete_cookie(self.cookie, path="/", httponly=True, samesite="strict", secure=self._secure)

    def person(self, request: Request) -> Person | None:
        """Who is signed in; None for a cookie that is missing, forged, too old, or ended meanwhile."""
        content = self._content(request)
        if content is None:
            return None
        with self._own.reading() as db:
            person = people.by_id(db, content[0])
        return person if person and person.epoch == content[1] else None

    def form_key(self, request: Request) -> str:
        """What a form must send along; another site cannot know it. Empty where nobody is signed in."""
        content = self._content(request)
        if content is None:
            return ""
        return hmac.new(self.key.encode(), f"form {content[2]}".encode(), hashlib.sha256).hexdigest()

    def device(self, request: Request, person: Person | None) -> str | None:
        """The mark of a device on which this person has signed in before."""
        match self._read(request, self.device_cookie, KNOWN):
            case [str(identity), str(mark)] if person and identity == person.id:
                return mark
        return None

    def _content(self, request: Request) -> tuple[str, int, str] | None:
        match self._read(request, self.cookie, LASTS):
            case [str(identity), int(epoch), str(mark)]:
                return identity, epoch, mark
        return None

    def _set(self, response: Response, cookie: str, content: list[Any], lasts: int) -> None:
        value = self._signer(cookie).dumps(content)
        assert isinstance(value, str)
        response.set_cookie(
            cookie, value, max_age=lasts, httponly=True, samesite="strict", secure=self._secure, path="/"
        )

    def _read(self, request: Request, cookie: str, lasts: int) -> Any:
        from itsdangerous import BadData

        try:
            return self._signer(cookie).loads(request.cookies.get(cookie, ""), max_age=lasts)
        except (BadData, ValueError):
            return None

    def _signer(self, cookie: str) -> URLSafeTimedSerializer:
        from itsdangerous import URLSafeTimedSerializer

        return URLSafeTimedSerializer(self.key, salt=cookie)


def _signing_key(own: Own) -> str:
    with own.writing() as db:
        db.execute("INSERT OR IGNORE INTO facts VALUES ('signing_key', ?)", [secrets.token_hex(32)])
        (key,) = db.execute("SELECT value FROM facts WHERE key = 'signing_key'").fetchone()
    return str(key)
