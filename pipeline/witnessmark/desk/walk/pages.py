"""The page on which a walk is spoken, and the worker that lets it open without a network."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import FileResponse, Response

from witnessmark.desk.access.guard import may
from witnessmark.desk.access.people import May, Person
from witnessmark.desk.web import Desk, desk_of, page
from witnessmark.knowledge.limits import jurisdictions

LARGEST_SLICE = 4 << 20
"""Bytes of a file that are sent at once: little enough to send again over a poor network."""
_WORKER = Path(__file__).parents[1] / "static" / "walk" / "worker.js"

router = APIRouter(include_in_schema=False)


@router.get("/walk")
def walk_page(
    request: Request,
    person: Annotated[Person, Depends(may(May.RECORD))],
    desk: Annotated[Desk, Depends(desk_of)],
) -> Response:
    """Record, upload, and see how far each walk has come."""
    settings = desk.settings
    return page(
        request,
        "walk.html",
        person,
        countries=_countries(),
        country=settings.jurisdiction or "",
        slice=min(LARGEST_SLICE, settings.largest_chunk),
        largest=settings.largest_upload,
        largest_photo=settings.largest_photo,
    )


@router.get("/walk-worker.js")
def worker() -> Response:
    """Served from the root, for a worker reaches no further than its own folder."""
    return FileResponse(_WORKER, media_type="text/javascript", headers={"Cache-Control": "no-cache"})


def _countries() -> list[tuple[str, str]]:
    """Code and name of each country and state, by name."""
    named = [(one.id, one.name.removeprefix("the ")) for one in jurisdictions().values() if one.parent]
    return sorted(named, key=lambda pair: pair[1])


routers = (router,)
