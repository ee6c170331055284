"""Links to summaries: made and ended by reviewers, opened by the owners of machines."""

from __future__ import annotations

import logging
from datetime import datetime
from itertools import islice
from typing import Annotated

from fastapi import APIRouter, Depends, Form, Path, Request
from fastapi.responses import RedirectResponse, Response
from pydantic import Field

from witnessmark.desk.access import links
from witnessmark.desk.access.addresses import only_here, outward
from witnessmark.desk.access.guard import may
from witnessmark.desk.access.links import Link
from witnessmark.desk.access.people import May, Person
from witnessmark.desk.sheet import sheet
from witnessmark.desk.there import there
from witnessmark.desk.web import Desk, desk_of, page
from witnessmark.errors import StoreError
from witnessmark.pages import page_of
from witnessmark.types import Frozen

_log = logging.getLogger(__name__)

api = APIRouter(prefix="/api", tags=["summary links"])
pages = APIRouter(include_in_schema=False)
Here = Annotated[Desk, Depends(desk_of)]
Reviewer = Annotated[Person, Depends(may(May.REVIEW))]
Walkround = Annotated[str, Path(max_length=80, description="`w-` and twelve digits.")]
Id = Annotated[str, Path(max_length=64)]
QUIET = {"Referrer-Policy": "no-referrer", "X-Robots-Tag": "noindex, nofollow"}
"""Headers of an address that nobody else is to be told: no site that is visited next, no search engine."""


OFFERED = 200
"""Walkrounds to choose among on the page, the last that came in."""


class Wanted(Frozen):
    """How long a link is to work."""

    days: int = Field(links.USUAL, ge=1, le=links.LONGEST)


class Made(Frozen):
    """A new link. Its address is told this once; the desk keeps only a hash of it."""

    id: str
    walkround: str
    url: str
    expires_at: datetime


@api.post("/walkrounds/{id}/links", status_code=201)
def make(request: Request, desk: Here, person: Reviewer, id: Walkround, wanted: Wanted) -> Made:
    """Make a link by which the owner reads this walkround's summary: what is confirmed, and nothing else."""
    return _made(request, desk, person, id, wanted.days)


@api.get("/links")
def all_links(desk: Here, person: Reviewer) -> list[Link]:
    """The links that work, the newest first."""
    with desk.own.reading() as db:
        return list(links.all_of(db))


@api.delete("/links/{id}", status_code=204)
def end(desk: Here, person: Reviewer, id: Id) -> None:
    """Make a link of no use, at once."""
    with desk.own.writing() as db:
        links.end(db, person, id)


@pages.get("/links")
def links_page(request: Request, desk: Here, person: Reviewer, walkround: str = "") -> Response:
    """The links that work, and a form for another."""
    return _page(request, desk, person, walkround)


@pages.post("/links")
def make_on_page(
    request: Request,
    desk: Here,
    person: Reviewer,
    walkround: Annotated[str, Form(max_length=80)],
    days: Annotated[int, Form(ge=1, le=links.LONGEST)] = links.USUAL,
) -> Response:
    """Make a link; it is shown this once."""
    made = _made(request, desk, person, walkround, days)
    return _page(request, desk, person, walkround, made)


@pages.post("/links/{id}/end")
def end_on_page(desk: Here, person: Reviewer, id: Id) -> Response:
    """Make a link of no use, at once."""
    end(desk, person, id)
    return RedirectResponse("/links", 303)


@pages.get("/s/{secret}")
def summary(request: Request, desk: Here, secret: Annotated[str, Path(max_length=100)]) -> Response:
    """The summary that a link opens, for whoever has the link."""
    answer = _summary(request, desk, secret)
    answer.headers.update(QUIET)
    return answer


def _made(request: Request, desk: Desk, person: Person, walkround: str, days: int) -> Made:
    with desk.record() as store:
        there(store, walkround)
    with desk.own.writing() as db:
        link, secret = links.make(db, person, walkround, days)
    url = outward(request, f"/s/{secret}")
    return Made(id=link.id, walkround=walkround, url=url, expires_at=link.expires_at)


def _summary(request: Request, desk: Desk, secret: str) -> Response:
    """What the link opens, or a page that says no more than that there is nothing."""
    with desk.own.reading() as db:
        walkround = links.opens(db, secret)
    with desk.record() as store:
        try:
            if walkround is None or not store.has(walkround):
                return page(request, "no_summary.html", status=404)
            if store.erased_on(walkround):
                return page(request, "no_summary.html", status=410)
            _, html = page_of(store, walkround)
        except StoreError as error:  # no stranger is told of files and folders
            _log.warning("the summary of %s cannot be shown: %s", walkround, error)
            return page(request, "no_summary.html", status=503)
    with desk.own.writing() as db:
        links.opened(db, secret)
    return sheet(html)


def _page(request: Request, desk: Desk, person: Person, walkround: str, made: Made | None = None) -> Response:
    with desk.own.reading() as db:
        found = links.all_of(db)
    with desk.record() as store:
        known = {row.id: row for row in store.walkrounds()}
    rows = [row for row in islice(known.values(), OFFERED) if row.decided or row.id == walkround]
    if walkround in known and known[walkround] not in rows:
        rows.append(known[walkround])
    return page(
        request,
        "links.html",
        person,
        status=201 if made else 200,
        links=found,
        rows=rows,
        names={id: row.registration for id, row in known.items()},
        chosen=walkround,
        made=made,
        usual=links.USUAL,
        longest=links.LONGEST,
        only_here=bool(made and only_here(made.url)),
    )


routers = (api, pages)
