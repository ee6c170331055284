"""Sign-in and sign-out."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import RedirectResponse, Response

from witnessmark.desk.access import link_routes, me_routes, people, people_routes, waits, welcome_routes
from witnessmark.desk.access.guard import check_key
from witnessmark.desk.access.people import Person
from witnessmark.desk.problems import Refused
from witnessmark.desk.web import Desk, desk_of, page

router = APIRouter(include_in_schema=False)


@router.get("/sign-in")
def sign_in_page(request: Request, to: str = "/") -> Response:
    """The form."""
    return page(request, "sign_in.html", to=_inside(to), wrong=None, name="")


@router.post("/sign-in")
def sign_in(
    request: Request,
    desk: Annotated[Desk, Depends(desk_of)],
    name: Annotated[str, Form()],
    password: Annotated[str, Form()],
    to: Annotated[str, Form()] = "/",
) -> Response:
    """Begin a seat for who signs in."""
    found = _tried(request, desk, name, password)
    if isinstance(found, Person):
        answer = RedirectResponse(_inside(to), 303)
        desk.seats.begin(answer, found)
        return answer
    if not found:
        return _form(request, 401, "Name and password do not go together.", to, name)
    refused = _form(
        request, 429, f"Too many attempts failed. Wait {_spoken(found)}, then try again.", to, name
    )
    refused.headers["Retry-After"] = str(found)
    return refused


def _form(request: Request, status: int, wrong: str, to: str, name: str) -> Response:
    return page(request, "sign_in.html", status=status, wrong=wrong, to=_inside(to), name=name[:80])


@router.post("/sign-out")
def sign_out(
    request: Request, desk: Annotated[Desk, Depends(desk_of)], form_key: Annotated[str, Form()] = ""
) -> Response:
    """End the seat on this device."""
    try:
        check_key(request, form_key)
    except Refused:
        return RedirectResponse("/", 303)
    answer = RedirectResponse("/sign-in", 303)
    desk.seats.end(answer)
    return answer


def _tried(request: Request, desk: Desk, name: str, password: str) -> Person | int:
    """Who it is, or the seconds to wait before the next attempt; 0 where name and password do not fit."""
    address = request.client.host if request.client else ""
    with desk.own.writing() as db:
        device = desk.seats.device(request, people.named(db, name))
        counted = waits.keys(people.written(name), address, device, desk.seats.key)
        left = waits.begin(db, counted)
    if left:
        return left
    with desk.own.reading() as db:
        person = people.matching(db, name, password)
    if person is None:
        return 0
    with desk.own.writing() as db:
        waits.succeeded(db, counted)
    return person


def _spoken(seconds: int) -> str:
    if seconds < 90:
        return f"{seconds} seconds" if seconds > 1 else "a second"
    return f"{-(-seconds // 60)} minutes"


def _inside(to: str) -> str:
    """A path of this desk; never another site."""
    return to if to.startswith("/") and not to.startswith(("//", "/\\")) else "/"


routers = (router, welcome_routes.router, people_routes.router, me_routes.router, *link_routes.routers)
