"""The guard before every handler: who asks, whether they may, and whether the request is really theirs."""

from __future__ import annotations

import hmac
from collections.abc import Awaitable, Callable

from fastapi import Request
from starlette.concurrency import run_in_threadpool

from witnessmark.desk.access import tokens
from witnessmark.desk.access.people import May, Person
from witnessmark.desk.problems import Refused
from witnessmark.desk.web import desk_of

SAFE = ("GET", "HEAD", "OPTIONS")
KEY_HEADER = "X-Form-Key"


def may(what: May, *, programs: bool = True) -> Callable[[Request], Awaitable[Person]]:
    """A dependency that lets through only those whose role allows it, and returns who they are.

    A change must carry the form key, in the header ``X-Form-Key`` or in the form's field ``form_key``. A
    request with an API token needs none; cookies it may carry are not looked at.

    Args:
        what: what is asked for.
        programs: whether an API token will do; without, only somebody signed in by password.

    Raises:
        Refused: 401 nobody is signed in, 403 the role does not allow it or the form key is not right.
    """

    async def check(request: Request) -> Person:
        return await _checked(request, what, programs)

    return check


async def _checked(request: Request, what: May, programs: bool) -> Person:
    token = token_of(request)
    if token is None:
        person = await run_in_threadpool(desk_of(request).seats.person, request)
    else:
        person = await run_in_threadpool(_bearer, request, token)
    if person is None:
        raise Refused(401, "nobody is signed in here.", "Sign in and try again.")
    if not person.may(what):
        raise Refused(403, f"{person.role.one} may not do this.", "Ask an administrator for another role.")
    if token is not None and not programs:
        raise Refused(403, "a program may not do this.", "Sign in with name and password.")
    if token is None and request.method not in SAFE:
        check_key(request, await _key(request))
    return person


def token_of(request: Request) -> str | None:
    """The API token of a request, if it carries one."""
    scheme, _, token = request.headers.get("authorization", "").partition(" ")
    return token.strip() if scheme.lower() == "bearer" else None


def check_key(request: Request, key: str) -> None:
    """Refuse a change that another site may have sent.

    Raises:
        Refused: the key is not that of this sign-in.
    """
    expected = desk_of(request).seats.form_key(request)
    if not expected or not hmac.compare_digest(expected.encode(), key.encode("utf-8", "replace")):
        raise Refused(403, "this page is out of date.", "Load it again, then send the form once more.")


def _bearer(request: Request, token: str) -> Person | None:
    own = desk_of(request).own
    with own.reading() as db:
        person, note_use = tokens.bearer(db, token)
    if note_use:
        with own.writing() as db:
            tokens.used(db, token)
    return person


async def _key(request: Request) -> str:
    """A form without a script brings its key in a field; it is never looked for in other bodies."""
    form = request.headers.get("content-type", "").startswith("application/x-www-form-urlencoded")
    if KEY_HEADER in request.headers or not form:
        return request.headers.get(KEY_HEADER, "")
    return str((await request.form()).get("form_key", ""))
