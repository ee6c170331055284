"""Signed cookies that say who is signed in, and the keys that forms carry against forgery."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from typing import TYPE_CHECKING

from fastapi import Request, Response

from witnessmark.desk.access import people
from witnessmark.desk.access.people import Person

if TYPE_CHECKING:
    from itsdangerous import URLSafeTimedSerializer

    from witnessmark.desk.own import Own

COOKIE = "witnessmark_seat"
LASTS = 12 * 3600
"""Seconds after which somebody signs in again: one working day."""


class Seats:
    """Makes and reads the cookie.

    Args:
        own: the desk's own file; it holds the signing key.
        secure: whether the cookie goes out only over TLS.
    """

    def __init__(self, own: Own, *, secure: bool) -> None:
        self._own, self._secure = own, secure
        self._key = _signing_key(own)

    def begin(self, response: Response, person: Person) -> None:
        """Sign somebody in."""
        value = self._signer().dumps([person.id, person.epoch, secrets.token_urlsafe(12)])
        assert isinstance(value, str)
        response.set_cookie(
            COOKIE, value, max_age=LASTS, httponly=True, samesite="strict", secure=self._secure, path="/"
        )

    def end(self, response: Response) -> None:
        """Sign out on this device."""
        response.delete_cookie(COOKIE, path="/", httponly=True, samesite="strict", secure=self._secure)

    def person(self, request: Request) -> Person | None:
        """Who is signed in; None for a cookie that is missing, forged, too old, or ended meanwhile."""
        content = self._content(request)
        if content is None:
            return None
        with self._own.reading() as db:
            person = people.by_id(db, str(content[0]))
        return person if person and person.epoch == content[1] else None

    def form_key(self, request: Request) -> str:
        """What a form must send along; another site cannot know it. Empty where nobody is signed in."""
        content = self._content(request)
        if content is None:
            return ""
        return hmac.new(self._key.encode(), f"form {content[2]}".encode(), hashlib.sha256).hexdigest()

    def _content(self, request: Request) -> tuple[str, int, str] | None:
        from itsdangerous import BadData

        try:
            one, epoch, nonce = self._signer().loads(request.cookies.get(COOKIE, ""), max_age=LASTS)
        except (BadData, ValueError, TypeError):
            return None
        return one, epoch, nonce

    def _signer(self) -> URLSafeTimedSerializer:
        from itsdangerous import URLSafeTimedSerializer

        return URLSafeTimedSerializer(self._key, salt="seat")


def _signing_key(own: Own) -> str:
    with own.writing() as db:
        db.execute("INSERT OR IGNORE INTO facts VALUES ('signing_key', ?)", [secrets.token_hex(32)])
        (key,) = db.execute("SELECT value FROM facts WHERE key = 'signing_key'").fetchone()
    return str(key)
