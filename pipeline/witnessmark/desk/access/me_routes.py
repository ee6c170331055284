"""The page on which people look after their own password and tokens."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Form, Path, Query, Request
from fastapi.responses import RedirectResponse, Response

from witnessmark.desk.access import journal, people, tokens, waits
from witnessmark.desk.access.guard import may
from witnessmark.desk.access.people import May, Person, Role
from witnessmark.desk.problems import Refused
from witnessmark.desk.web import Desk, desk_of, page

router = APIRouter(include_in_schema=False)
Here = Annotated[Desk, Depends(desk_of)]
Me = Annotated[Person, Depends(may(May.READ, programs=False))]


@router.get("/me")
def me(
    request: Request,
    desk: Here,
    person: Me,
    done: bool = False,
    ended: Annotated[int, Query(ge=0, le=tokens.MOST)] = 0,
) -> Response:
    """Who one is here, with the forms."""
    return _page(request, desk, person, done=done, ended=ended)


@router.post("/me/password")
def change_password(
    request: Request,
    desk: Here,
    person: Me,
    old: Annotated[str, Form()],
    new: Annotated[str, Form()],
    again: Annotated[str, Form()],
    end_tokens: Annotated[bool, Form()] = False,
) -> Response:
    """Choose a new password; every other sign-in of this person ends, and the tokens if that is wished."""
    try:
        changed, ended = _changed(desk, person, old, new, again, end_tokens)
    except Refused as refused:
        return _page(request, desk, person, refused=refused)
    answer = RedirectResponse(f"/me?done=true&ended={ended}", 303)
    desk.seats.begin(answer, changed)
    return answer


@router.post("/me/tokens")
def make_token(
    request: Request,
    desk: Here,
    person: Me,
    name: Annotated[str, Form()],
    role: Annotated[Role, Form()],
    days: Annotated[int, Form()],
) -> Response:
    """Make a token; it is shown this once."""
    try:
        with desk.own.writing() as db:
            made = tokens.make(db, person, name, role, days)
    except Refused as refused:
        return _page(request, desk, person, refused=refused)
    return _page(request, desk, person, made=made)


@router.post("/me/tokens/{id}/end")
def end_token(desk: Here, person: Me, id: Annotated[str, Path(max_length=64)]) -> Response:
    """Make a token of no use."""
    with desk.own.writing() as db:
        tokens.end(db, person, id)
    return RedirectResponse("/me", 303)


def _changed(
    desk: Desk, person: Person, old: str, new: str, again: str, end_tokens: bool
) -> tuple[Person, int]:
    """The person with the new password, and how many tokens ended.

    The old one cannot be guessed at here either.
    """
    counted = waits.keys(person.name, "", f"{person.id} at their own page", desk.seats.key)
    with desk.own.writing() as db:
        left = waits.begin(db, counted)
    if left:
        raise Refused(429, "too many attempts failed.", f"Wait {left} seconds, then try again.")
    with desk.own.reading() as db:
        known = people.matching(db, person.name, old)
    if known is None:
        raise Refused(403, "the old password is not right.", "Nothing was changed.")
    with desk.own.writing() as db:
        waits.succeeded(db, counted)
        if new != again:
            raise Refused(422, "the two new passwords differ.", "Write the same one twice.")
        changed = people.set_password(db, known, new)
        gone = tokens.end_all(db, person) if end_tokens else 0
        journal.note(db, person.name, f"chose a new password{tokens.ended(gone)}")
    return changed, gone


def _page(
    request: Request,
    desk: Desk,
    person: Person,
    *,
    done: bool = False,
    ended: int = 0,
    made: str | None = None,
    refused: Refused | None = None,
) -> Response:
    with desk.own.reading() as db:
        own = tokens.of(db, person)
    return page(
        request,
        "me.html",
        person,
        status=refused.status if refused else 201 if made else 200,
        roles=people.within(person.role),
        tokens=own,
        longest=tokens.LONGEST,
        done=done,
        ended=ended,
        made=made,
        refused=refused,
    )
