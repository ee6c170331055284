"""The page on which administrators look after the people."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from fastapi import APIRouter, Depends, Form, Path, Query, Request
from fastapi.responses import RedirectResponse, Response

from witnessmark.desk.access import invites, journal, people, tokens
from witnessmark.desk.access.addresses import only_here, outward
from witnessmark.desk.access.guard import may
from witnessmark.desk.access.people import May, Person, Role
from witnessmark.desk.problems import Refused
from witnessmark.desk.web import Desk, desk_of, page

if TYPE_CHECKING:
    from sqlite_utils import Database

router = APIRouter(include_in_schema=False)
Here = Annotated[Desk, Depends(desk_of)]
Administrator = Annotated[Person, Depends(may(May.ADMINISTER, programs=False))]
Id = Annotated[str, Path(max_length=64)]
BACK = "/people"


@router.get("/people")
def list_page(
    request: Request,
    desk: Here,
    person: Administrator,
    changed: Annotated[str, Query(max_length=64)] = "",
    ended: Annotated[int, Query(ge=0, le=tokens.MOST)] = 0,
) -> Response:
    """Everybody, the links that wait, and what was changed; first of all what was changed just now."""
    return _page(request, desk, person, changed=changed, ended=ended)


@router.post("/people/links")
def invite(request: Request, desk: Here, person: Administrator, role: Annotated[Role, Form()]) -> Response:
    """Make a link for somebody new; it is shown this once."""
    with desk.own.writing() as db:
        secret = invites.make(db, person, role)
    return _page(request, desk, person, secret, f"Give this link to the new {role}")


@router.post("/people/links/{id}/end")
def end_link(desk: Here, person: Administrator, id: Id) -> Response:
    """Make a link of no use."""
    with desk.own.writing() as db:
        invites.end(db, person, id)
    return RedirectResponse(BACK, 303)


@router.post("/people/{id}/role")
def change_role(desk: Here, person: Administrator, id: Id, role: Annotated[Role, Form()]) -> Response:
    """Give somebody another role. Where that takes something away, their tokens end."""
    with desk.own.writing() as db:
        other = _one(db, id)
        if other.role is role:
            return RedirectResponse(BACK, 303)
        people.set_role(db, other, role)
        gone = 0 if other.role in people.within(role) else tokens.end_all(db, other)
        what = f"made {other.name} {role.one} who was {other.role.one}{tokens.ended(gone)}"
        journal.note(db, person.name, what)
    return RedirectResponse(f"{BACK}?changed={id}&ended={gone}", 303)


@router.post("/people/{id}/leave")
def shut_out(desk: Here, person: Administrator, id: Id) -> Response:
    """End somebody's sign-ins and tokens and let them in no more. What they decided stays."""
    with desk.own.writing() as db:
        other = _one(db, id)
        people.set_active(db, other, False)
        invites.end_for(db, other)
        gone = tokens.end_all(db, other)
        journal.note(db, person.name, f"let {other.name} in no more{tokens.ended(gone)}")
    return RedirectResponse(f"{BACK}?changed={id}&ended={gone}", 303)


@router.post("/people/{id}/return")
def let_in(desk: Here, person: Administrator, id: Id) -> Response:
    """Let somebody in again, with the password they had."""
    with desk.own.writing() as db:
        other = _one(db, id)
        people.set_active(db, other, True)
        journal.note(db, person.name, f"let {other.name} in again")
    return RedirectResponse(BACK, 303)


@router.post("/people/{id}/link")
def new_password(request: Request, desk: Here, person: Administrator, id: Id) -> Response:
    """Make a link by which somebody chooses a new password; it is shown this once."""
    with desk.own.writing() as db:
        other = _one(db, id)
        secret = invites.make_for(db, person, other)
    return _page(request, desk, person, secret, f"Give this link to {other.name}")


def _one(db: Database, identity: str) -> Person:
    found = people.anyone(db, identity)
    if found is None:
        raise Refused(404, "there is nobody of that id.")
    return found


def _page(
    request: Request,
    desk: Desk,
    person: Person,
    secret: str | None = None,
    made_for: str = "",
    changed: str = "",
    ended: int = 0,
) -> Response:
    link = outward(request, f"/welcome/{secret}") if secret else None
    with desk.own.reading() as db:
        everyone, links, entries = people.everyone(db), invites.waiting(db), journal.latest(db)
        working = tokens.working(db)
    names = {one.id: one.name for one in everyone}
    return page(
        request,
        "people.html",
        person,
        status=201 if link else 200,
        everyone=everyone,
        tokens=working,
        changed=next((one for one in everyone if one.id == changed), None),
        ended=ended,
        roles=tuple(Role),
        links=links,
        names=names,
        entries=entries,
        link=link,
        made_for=made_for,
        only_here=bool(link and only_here(link)),
    )
