"""The helper that puts walkrounds into a record for other tests."""

from __future__ import annotations

from datetime import date

from fastapi import FastAPI
from tests.desk.walk.making import take_in_text

from witnessmark.capture import capture
from witnessmark.intake import sound_file

TALK = "Front tyre tread depth two point five millimetres. Rear brake pads worn right down."


def test_a_talk_becomes_a_walkround_with_its_sound(app: FastAPI) -> None:
    made = take_in_text(app, TALK, date(2026, 5, 4), "GB", seconds=9)
    assert take_in_text(app, TALK, date(2026, 5, 4), "GB", seconds=9) == made
    with app.state.desk.record() as store:
        (only,) = store.walkrounds()
        walkround = store.walkround(only.id)
        sound = capture(sound_file(store.path, made))
    assert only.id == made
    assert {item.component for item in walkround.draft.items} == {"tyre", "brake_pads"}
    assert all(piece.start is not None for item in walkround.draft.items for piece in item.evidence)
    assert sound.recording.duration == 9
