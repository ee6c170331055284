"""A walkround to review: sixteen items, one dangerous, four doubtful. Own scenario."""

from __future__ import annotations

from datetime import date
from typing import Any

from fastapi import FastAPI
from fastapi.testclient import TestClient
from tests.desk.walk.making import take_in_text

from witnessmark import run
from witnessmark.record import Store
from witnessmark.record.keeping import Keeping
from witnessmark.review import apply
from witnessmark.types import Outcome, Recording, Transcript, Word

TALK = (
    "Registration Kilo X-ray two one Whiskey Papa Tango. Eleven thousand miles on the clock. "
    "Front tyre tread is nought point eight millimetres. Rear tyre tread is three millimetres, correction, "
    "two point five. Front tyre pressure is thirty, so I pumped it up to thirty six. The rear brake pads are "
    "worn. The front wheel bearing might have a little play. The left fork seal is leaking. Chain slack is "
    "forty millimetres. The horn works. Dipped beam works. The left mirror is loose and I tightened it. I "
    "could not see the air filter. The battery is at twelve point two volts."
)
DAY = date(2026, 5, 21)
FIRST = ("tyre.front.tread_depth", "tyre.front.pressure")
"""What comes first: the dangerous one, then a doubtful one."""


def take_in(app: FastAPI, text: str = TALK, on: date = DAY) -> str:
    """The talk as a walkround with sound; its id."""
    return take_in_text(app, text, on, "GB")


def outcome(app: FastAPI, id: str) -> Outcome:
    """What the record holds of it now."""
    with app.state.desk.record() as store:
        return apply(store.walkround(id))


def record_is_sound(app: FastAPI) -> bool:
    with Store.open(app.state.desk.settings.record) as store:
        return store.check() == []


def view(client: TestClient, id: str) -> dict[str, Any]:
    answer = client.get(f"/api/walkrounds/{id}")
    assert answer.status_code == 200
    return dict(answer.json())


def item(client: TestClient, id: str, key: str) -> dict[str, Any]:
    return next(one for one in view(client, id)["items"] if one["key"] == key)


def decide(client: TestClient, id: str, key: str, kind: str = "confirm", **more: Any) -> Any:
    body = {"item": key, "kind": kind, "seen": 0, **more}
    return client.post(f"/api/walkrounds/{id}/decisions", json=body)


def take_in_as_printed(app: FastAPI) -> str:
    """A talk in which the recogniser was not sure of one word, and put another in a misread one's place."""
    text = "Rear brake pads are worn. The horn works."
    words, at = [], 0
    for number, printed in enumerate(text.split()):
        start = text.index(printed, at)
        at = start + len(printed)
        words.append(
            Word(
                text=printed,
                char_start=start,
                char_end=at,
                start=number / 2,
                end=(number + 1) / 2,
                probability=0.31 if printed == "worn." else 0.9,
                first_printed="beds" if printed == "pads" else None,
            )
        )
    recording = Recording(sha256="5" * 64, name="talk.wav", duration=4.0)
    transcript = Transcript(recording=recording, text=text, words=tuple(words), model="given")
    walkround = run.walkround(transcript, DAY, "GB", lambda name, result: None)
    with app.state.desk.record() as store:
        store.ingest(walkround)
    return walkround.id


def read_anew(app: FastAPI, id: str, key: str, value: float) -> None:
    """The talk is read anew, and one of its readings is another figure now."""
    with app.state.desk.record() as store:
        assessment = store.walkround(id).assessment
        findings = tuple(
            one.model_copy(update={"value": value}) if one.key == key else one
            for one in assessment.draft.findings
        )
        draft = assessment.draft.model_copy(update={"findings": findings})
        Keeping(store, "Robin").redraft(id, assessment.model_copy(update={"draft": draft}))
