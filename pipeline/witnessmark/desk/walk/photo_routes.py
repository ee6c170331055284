"""The API of photographs."""

from __future__ import annotations

from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Path, Query, Request, Response
from starlette.concurrency import run_in_threadpool

from witnessmark.desk.access.guard import may
from witnessmark.desk.access.people import May, Person
from witnessmark.desk.problems import Refused
from witnessmark.desk.walk import photos
from witnessmark.desk.walk.bodies import Arrived, arriving, body_of, raw_body
from witnessmark.desk.walk.forms import HASH, Picture
from witnessmark.desk.walk.journal import Row
from witnessmark.desk.walk.media import PICTURES
from witnessmark.desk.walk.walks import Walks, walks_of
from witnessmark.desk.web import Desk, desk_of

Sha256 = Annotated[str, Path(pattern=HASH)]
Moment = Annotated[float | None, Query(ge=0, le=86_400, allow_inf_nan=False)]

router = APIRouter(prefix="/api", tags=["photographs"])


@router.put(
    "/walks/{walk}/photos/{sha256}",
    status_code=200,
    responses={201: {"model": Picture}},
    dependencies=[Depends(raw_body)],
    openapi_extra=body_of(*PICTURES),
)
async def put_photo(
    walk: UUID,
    sha256: Sha256,
    request: Request,
    response: Response,
    person: Annotated[Person, Depends(may(May.RECORD))],
    walks: Annotated[Walks, Depends(walks_of)],
    at: Moment = None,
) -> Picture:
    """A photograph to a recording, at a moment of it; the same again changes nothing.

    JPEG, PNG or WebP. Until the recording is read it is kept beside it, then with the walkround.
    """
    desk = desk_of(request)
    row = await run_in_threadpool(walks.incoming.row, str(walk), person)

    def keep(arrived: Arrived) -> tuple[Picture, bool]:
        return _kept(desk, walks, row, arrived, at)

    async with arriving(request, walks.incoming.parts.arriving, desk.settings.largest_photo) as arrived:
        if arrived.sha256 != sha256:
            raise Refused(422, "the bytes are not those of the hash in the address.", "Send it again.")
        shown, new = await run_in_threadpool(keep, arrived)
    response.status_code = 201 if new else 200
    return shown


def _kept(desk: Desk, walks: Walks, row: Row, arrived: Arrived, at: float | None) -> tuple[Picture, bool]:
    with desk.record() as record:
        kind, new = photos.keep(walks.incoming, record, row, arrived, at)
    return Picture(sha256=arrived.sha256, at=at, media_type=kind, bytes=arrived.size), new
