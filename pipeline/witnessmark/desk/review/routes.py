"""The review page, and its API: what waits, the sound behind it, decisions."""

from __future__ import annotations

import json
from typing import Annotated

from fastapi import APIRouter, Depends, Path, Query, Request, Response

from witnessmark.desk.access.guard import may
from witnessmark.desk.access.people import May, Person
from witnessmark.desk.problems import Refused
from witnessmark.desk.review import choices, clips, deciding, listing
from witnessmark.desk.review.earlier import earlier
from witnessmark.desk.review.shapes import (
    Decided,
    Earlier,
    Judged,
    Live,
    Unchanged,
    WaitingList,
    WalkroundView,
    Words,
)
from witnessmark.desk.review.views import live_view, one_item, present, walkround_view
from witnessmark.desk.there import there
from witnessmark.desk.walk.chosen import beginning, doubted
from witnessmark.desk.web import Desk, desk_of, page
from witnessmark.errors import StoreError
from witnessmark.intake import sound_file
from witnessmark.record import Store
from witnessmark.review import queue
from witnessmark.types import DecisionKind

pages = APIRouter(include_in_schema=False)
api = APIRouter(prefix="/api", tags=["review"])

Here = Annotated[Desk, Depends(desk_of)]
Reader = Annotated[Person, Depends(may(May.READ))]
Reviewer = Annotated[Person, Depends(may(May.REVIEW))]
Id = Annotated[str, Path(max_length=80, description="Of the walkround: `w-` and twelve digits.")]
Seconds = Annotated[float, Query(ge=0, le=86_400, allow_inf_nan=False)]


@pages.get("/review")
def list_page(request: Request, desk: Here, person: Reader) -> Response:
    """What waits, the longest waiting first."""
    with desk.record() as store:
        found = listing.waiting(store)
    return page(request, "review_list.html", person, found=found)


@pages.get("/review/{id}")
def review_page(request: Request, desk: Here, person: Reader, id: Id) -> Response:
    """One walkround to decide on."""
    view = walkround(desk, person, id)
    # A browser would take "</script>" in the talk for the end of the data.
    data = json.dumps(view.model_dump(mode="json")).replace("<", "\\u003c")
    with desk.record() as store:
        came = beginning(desk, store.walkround(id))
    return page(request, "review.html", person, view=view, data=data, came=came)


@api.get("/walkrounds")
def walkrounds(desk: Here, person: Reader) -> WaitingList:
    """Walkrounds that wait for a review, the one that has waited longest first."""
    with desk.record() as store:
        return listing.waiting(store)


@api.get("/walkrounds/{id}")
def walkround(desk: Here, person: Reader, id: Id) -> WalkroundView:
    """One walkround with its items, what was heard, its verdicts and its trail."""
    with desk.record() as store:
        there(store, id)
        now = present(doubted(desk, store.walkround(id)))
        return walkround_view(now, store.photos(id), _soundless(store, id))


@api.get("/walkrounds/{id}/live")
def live(
    desk: Here, person: Reader, id: Id, after: Annotated[int, Query(ge=0, le=1_000_000)] = 0
) -> Live | Unchanged:
    """What changes while a walkround is reviewed; only its count where that is still ``after``."""
    with desk.record() as store:
        there(store, id)
        found = store.walkround(id)
    if len(found.decisions) == after:
        return Unchanged(count=after)
    return live_view(present(doubted(desk, found)))


@api.get(
    "/walkrounds/{id}/clip",
    response_class=Response,
    responses={200: {"content": {"audio/wav": {}}, "description": "WAV, 16 kHz, mono."}},
)
def clip(desk: Here, person: Reader, id: Id, start: Seconds, end: Seconds) -> Response:
    """The sound from ``start`` to ``end`` (seconds), with 0.4 s before and after."""
    if not start <= end <= start + clips.LONGEST:
        remedy = f"Ask for up to {clips.LONGEST:.0f} seconds, the end after the start."
        raise Refused(422, "there is no such stretch.", remedy)
    with desk.record() as store:
        there(store, id)
        file, why = sound_file(store.path, id), _soundless(store, id)
    if why:
        raise Refused(404, why, "Decide by its words.")
    return Response(
        clips.clip(file, start, end),
        media_type="audio/wav",
        headers={"Cache-Control": "private, max-age=3600"},
    )


def _soundless(store: Store, id: str) -> str:
    """Why a walkround has no sound to play; empty where it has."""
    if store.sound_removed(id):
        return "the sound of this walkround was removed for good."
    return "" if sound_file(store.path, id).is_file() else "this walkround has no sound."


@api.get("/walkrounds/{id}/earlier")
def earlier_of(desk: Here, person: Reader, id: Id, item: Annotated[str, Query(max_length=120)]) -> Earlier:
    """Earlier figures of the part that an item is about; of the machine, its odometer."""
    with desk.record() as store:
        there(store, id)
        now = present(store.walkround(id))
        if item not in now.stands:
            raise Refused(404, "there is no such item in this walkround.")
        return earlier(store, now, item)


@api.get("/walkrounds/{id}/photos/{sha256}", response_class=Response)
def photo(
    desk: Here, person: Reader, id: Id, sha256: Annotated[str, Path(pattern="^[0-9a-f]{64}$")]
) -> Response:
    """One picture of a walkround."""
    with desk.record() as store:
        there(store, id)
        kept = next((one for one in store.photos(id) if one.sha256 == sha256), None)
        if kept is None:
            raise Refused(404, "there is no such picture.")
        content = store.photo_bytes(sha256)
    return Response(content, media_type=kept.media_type, headers={"Cache-Control": "private, max-age=86400"})


@api.post("/walkrounds/{id}/decisions", status_code=201, responses={200: {"model": Decided}})
def decide(desk: Here, person: Reviewer, id: Id, wanted: deciding.Wanted, response: Response) -> Decided:
    """Decide on one item.

    200 instead of 201 where the same decision by the same person stands already. 409 with ``standing`` where
    somebody else decided since the sender last looked; nothing is kept then.
    """
    with desk.record() as store:
        there(store, id)
        done = deciding.decide(store, id, person.name, wanted)
    if not done.new:
        response.status_code = 200
    elif wanted.kind is DecisionKind.REJECT:
        _note_reason(desk, wanted.why)
    now = present(doubted(desk, done.walkround))
    return Decided(
        item=one_item(now, wanted.item), queue=queue(now.walkround), count=len(done.walkround.decisions)
    )


def _note_reason(desk: Desk, reason: str) -> None:
    """The decision stands, whether or not its reason can be offered again."""
    try:
        with desk.own.writing() as db:
            choices.note_reason(db, reason)
    except StoreError:
        return


@api.post("/walkrounds/{id}/judged")
def judged(desk: Here, person: Reviewer, id: Id, asked: deciding.Asked) -> Judged:
    """How an item would be judged if it read so, and what else would change. Keeps nothing."""
    with desk.record() as store:
        there(store, id)
        return deciding.judged(store.walkround(id), person.name, asked)


@api.get("/words")
def words(desk: Here, person: Reader) -> Words:
    """What may be chosen in a correction: ids, names, and what people say for them."""
    with desk.own.reading() as db:
        used = choices.reasons_used(db)
    return choices.words(used)


routers = (pages, api)
