"""Sign-in and sign-out."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import RedirectResponse, Response

from witnessmark.desk.access import people
from witnessmark.desk.access.guard import check_key
from witnessmark.desk.problems import Refused
from witnessmark.desk.web import Desk, desk_of, page

router = APIRouter(include_in_schema=False)


@router.get("/sign-in")
def sign_in_page(request: Request, to: str = "/") -> Response:
    """The form."""
    return page(request, "sign_in.html", to=_inside(to), wrong=None)


@router.post("/sign-in")
def sign_in(
    request: Request,
    desk: Annotated[Desk, Depends(desk_of)],
    name: Annotated[str, Form()],
    password: Annotated[str, Form()],
    to: Annotated[str, Form()] = "/",
) -> Response:
    """Begin a seat for who signs in."""
    with desk.own.reading() as db:
        person = people.matching(db, name, password)
    if person is None:
        wrong = "Name and password do not go together."
        return page(request, "sign_in.html", status=401, to=_inside(to), wrong=wrong)
    answer = RedirectResponse(_inside(to), 303)
    desk.seats.begin(answer, person)
    return answer


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


def _inside(to: str) -> str:
    """A path of this desk; never another site."""
    return to if to.startswith("/") and not to.startswith(("//", "/\\")) else "/"


routers = (router,)
