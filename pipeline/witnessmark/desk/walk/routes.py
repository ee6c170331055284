"""The API of recordings on their way in."""

from __future__ import annotations

from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Query, Request, Response
from starlette.concurrency import run_in_threadpool

from witnessmark.desk.access.guard import may
from witnessmark.desk.access.people import May, Person
from witnessmark.desk.problems import Refused
from witnessmark.desk.walk import photo_routes, recording_routes
from witnessmark.desk.walk.bodies import DIGEST, arriving, body_of, raw_body, wanted_digest
from witnessmark.desk.walk.forms import Finish, Number, Start, Walk
from witnessmark.desk.walk.known import same_chunk
from witnessmark.desk.walk.walks import Walks, walks_of
from witnessmark.desk.web import desk_of

Recorder = Annotated[Person, Depends(may(May.RECORD))]
Walking = Annotated[Walks, Depends(walks_of)]

router = APIRouter(prefix="/api/walks", tags=["walks"])


@router.put("/{walk}", status_code=200, responses={201: {"model": Walk}})
def begin(walk: UUID, start: Start, response: Response, person: Recorder, walks: Walking) -> Walk:
    """Begin a recording under an id that the recorder makes; the same again changes nothing."""
    row, new = walks.incoming.begin(str(walk), person, start)
    if new:
        response.status_code = 201
        response.headers["Location"] = f"/api/walks/{walk}"
    return walks.shown(row)


@router.put(
    "/{walk}/chunks/{number}",
    status_code=200,
    responses={201: {"model": Walk}},
    dependencies=[Depends(raw_body)],
    openapi_extra={**body_of("application/octet-stream"), "parameters": [DIGEST]},
)
async def put_chunk(
    walk: UUID, number: Number, request: Request, response: Response, person: Recorder, walks: Walking
) -> Walk:
    """One piece of a recording, in any order; the same again changes nothing.

    The header ``Content-Digest`` (RFC 9530) carries the SHA-256 of the body.
    """
    wanted, id = wanted_digest(request), str(walk)
    known, room = await run_in_threadpool(walks.incoming.expect, id, person, number)
    largest = desk_of(request).settings.largest_chunk
    folder = None if known else walks.incoming.parts.arriving
    async with arriving(request, folder, largest if known else min(largest, room)) as arrived:
        if arrived.sha256 != wanted:
            raise Refused(422, "the bytes are not those of the Content-Digest.", "Send the chunk again.")
        if known:
            same_chunk(known, arrived.sha256)
        elif await run_in_threadpool(walks.incoming.keep, id, number, arrived):
            response.status_code = 201
            await run_in_threadpool(walks.came, id)
    return await run_in_threadpool(lambda: walks.shown(walks.incoming.row(id, person)))


@router.post("/{walk}/end")
def end(walk: UUID, finish: Finish, person: Recorder, walks: Walking) -> Walk:
    """Say that a recording is over: its chunks are joined and it is queued for reading."""
    row = walks.ending.end(str(walk), person, finish)
    walks.listening.over(row.id)
    walks.worker.wake()
    return walks.shown(row)


@router.post("/{walk}/end-early")
def end_early(walk: UUID, person: Recorder, walks: Walking) -> Walk:
    """End a recording whose recorder does not come back, with what is here without a gap from the front.

    It is queued and read even where it is cut off. What is missing stands in its notes.
    """
    row = walks.ending.end_early(str(walk), person)
    walks.listening.over(row.id)
    walks.worker.wake()
    return walks.shown(row)


@router.get("/{walk}")
def look(walk: UUID, person: Recorder, walks: Walking) -> Walk:
    """How far a recording has come, and what has been understood of it."""
    return walks.shown(walks.incoming.row(str(walk), person))


@router.get("")
def under_way(person: Recorder, walks: Walking) -> list[Walk]:
    """One's own recordings on their way in, newest first; who reviews sees everybody's."""
    return walks.under_way(person)


@router.post("/{walk}/again")
def again(
    walk: UUID,
    person: Recorder,
    walks: Walking,
    damaged: Annotated[bool, Query(description="Take in what is left of one that is cut off.")] = False,
) -> Walk:
    """Try to read a recording once more that could not be read."""
    row = walks.incoming.again(str(walk), person, damaged)
    walks.worker.wake()
    return walks.shown(row)


@router.delete("/{walk}")
def drop(walk: UUID, person: Recorder, walks: Walking) -> Walk:
    """Throw a recording away that has not been read."""
    row = walks.incoming.drop(str(walk), person)
    walks.listening.over(row.id, give_up=True)
    return walks.shown(row)


routers = (router, recording_routes.router, photo_routes.router)
