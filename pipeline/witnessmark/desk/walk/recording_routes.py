"""The API for programs that send a whole recording at once, and what a walkround came with."""

from __future__ import annotations

from contextlib import suppress
from datetime import UTC, datetime
from typing import Annotated
from uuid import uuid4

from fastapi import APIRouter, Depends, Path, Query, Request, Response
from starlette.concurrency import run_in_threadpool

from witnessmark.desk.access.guard import may
from witnessmark.desk.access.people import May, Person
from witnessmark.desk.problems import Refused
from witnessmark.desk.there import there
from witnessmark.desk.walk.bodies import Arrived, arriving, body_of, digest, raw_body
from witnessmark.desk.walk.chosen import Beginning, beginning
from witnessmark.desk.walk.forms import Country, Day, Finish, Line, Start, Walk
from witnessmark.desk.walk.media import RECORDINGS, kind_of
from witnessmark.desk.walk.walks import Walks, walks_of
from witnessmark.desk.web import Desk, desk_of
from witnessmark.errors import WitnessmarkError

Id = Annotated[str, Path(max_length=80, description="Of the walkround: `w-` and twelve digits.")]

router = APIRouter(prefix="/api", tags=["walks"])


@router.post(
    "/recordings",
    status_code=201,
    dependencies=[Depends(raw_body)],
    openapi_extra=body_of("application/octet-stream", *RECORDINGS),
)
async def send(
    request: Request,
    response: Response,
    person: Annotated[Person, Depends(may(May.RECORD))],
    walks: Annotated[Walks, Depends(walks_of)],
    name: Annotated[Line, Query(min_length=1)],
    jurisdiction: Annotated[Country | None, Query()] = None,
    on: Annotated[Day | None, Query()] = None,
    machine: Annotated[Line | None, Query()] = None,
) -> Walk:
    """Queue a recording that was made elsewhere; the body is the file.

    Its kind is told by ``Content-Type``, or by the ending of its name. The same recording twice is one
    walkround. ``Location`` tells where to ask how far it has come.
    """
    wanted = digest(request)
    media_type = request.headers.get("content-type", "").partition(";")[0].strip()
    kind_of(media_type, name)
    start = Start(
        machine=machine,
        jurisdiction=jurisdiction,
        on=on,
        media_type=media_type,
        name=name,
        started_at=datetime.now(UTC),
    )

    def queue(arrived: Arrived) -> Walk:
        return _queue(walks, person, start, arrived)

    limit = desk_of(request).settings.largest_upload
    async with arriving(request, walks.incoming.parts.arriving, limit) as arrived:
        if wanted not in (None, arrived.sha256):
            raise Refused(422, "the bytes are not those of the Content-Digest.", "Send it again.")
        if not arrived.size:
            raise Refused(422, "the file is empty.", "Look for the original on the recorder.")
        shown = await run_in_threadpool(queue, arrived)
    response.headers["Location"] = f"/api/walks/{shown.id}"
    return shown


def _queue(walks: Walks, person: Person, start: Start, arrived: Arrived) -> Walk:
    walk = str(uuid4())
    walks.incoming.begin(walk, person, start)
    try:
        walks.incoming.keep(walk, 0, arrived)
        row = walks.ending.end(walk, person, Finish(chunks=1))
    except BaseException:
        with suppress(WitnessmarkError):  # the program got no id under which it could go on
            walks.incoming.drop(walk, person)
        raise
    walks.worker.wake()
    return walks.shown(row)


@router.get("/walkrounds/{id}/beginning")
def began(
    id: Id, person: Annotated[Person, Depends(may(May.READ))], desk: Annotated[Desk, Depends(desk_of)]
) -> Beginning:
    """How the recording of a walkround came in: the machine chosen, the clocks, what is missing of it."""
    with desk.record() as record:
        there(record, id)
        found = beginning(desk, record.walkround(id))
    if found is None:
        raise Refused(404, "this walkround did not come in through the desk.", None)
    return found
