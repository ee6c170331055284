"""Where a link leads that is good once: choose a name and a password."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Form, Path, Request
from fastapi.responses import RedirectResponse, Response

from witnessmark.desk.access import invites, people
from witnessmark.desk.access.invites import Invite
from witnessmark.desk.problems import Refused
from witnessmark.desk.web import Desk, desk_of, page

router = APIRouter(include_in_schema=False)
Secret = Annotated[str, Path(max_length=100)]
Here = Annotated[Desk, Depends(desk_of)]


@router.get("/welcome/{secret}")
def welcome(request: Request, desk: Here, secret: Secret) -> Response:
    """The form; to look at it does not use the link."""
    return _form(request, desk, _found(desk, secret))


@router.post("/welcome/{secret}")
def come_in(
    request: Request,
    desk: Here,
    secret: Secret,
    password: Annotated[str, Form()],
    again: Annotated[str, Form()],
    name: Annotated[str, Form()] = "",
) -> Response:
    """Use the link, and sign in who used it."""
    invite = _found(desk, secret)
    try:
        if password != again:
            raise Refused(422, "the two passwords differ.", "Write the same one twice.")
        with desk.own.writing() as db:
            person = invites.accept(db, secret, name, password)
    except Refused as refused:
        if refused.status == 404:
            raise
        return _form(request, desk, invite, refused, name)
    answer = RedirectResponse("/", 303)
    desk.seats.begin(answer, person)
    return answer


def _found(desk: Desk, secret: str) -> Invite:
    with desk.own.reading() as db:
        return invites.found(db, secret)


def _form(
    request: Request, desk: Desk, invite: Invite, refused: Refused | None = None, name: str = ""
) -> Response:
    with desk.own.reading() as db:
        known = people.anyone(db, invite.person) if invite.person else None
        empty = not people.everyone(db)
    return page(
        request,
        "welcome.html",
        status=refused.status if refused else 200,
        invite=invite,
        known=known,
        empty=empty,
        refused=refused,
        name=name[:80],
    )
