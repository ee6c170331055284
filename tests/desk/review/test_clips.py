"""The sound of a moment is that moment, to the sample."""

from __future__ import annotations

import io
import wave

import av
import numpy as np
import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from witnessmark.intake import sound_file
from witnessmark.record.keeping import Keeping
from witnessmark.types import SAMPLE_RATE


def whole(app: FastAPI, id: str) -> np.ndarray:
    """Every sample of the kept sound, decoded from its beginning."""
    with av.open(str(sound_file(app.state.desk.settings.record, id))) as container:
        return np.concatenate([frame.to_ndarray()[0] for frame in container.decode(audio=0)])


def samples(content: bytes) -> np.ndarray:
    with wave.open(io.BytesIO(content)) as sound:
        assert (sound.getframerate(), sound.getnchannels(), sound.getsampwidth()) == (SAMPLE_RATE, 1, 2)
        return np.frombuffer(sound.readframes(sound.getnframes()), "<i2")


@pytest.mark.parametrize(("start", "end"), [(0, 1), (0.1, 0.3), (7.321, 9.876), (20, 31.5), (30.5, 90)])
def test_a_clip_has_the_samples_of_the_sound(
    app: FastAPI, ada: TestClient, id: str, start: float, end: float
) -> None:
    answer = ada.get(f"/api/walkrounds/{id}/clip?start={start}&end={end}")
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "audio/wav"
    first, last = max(0, round((start - 0.4) * SAMPLE_RATE)), round((end + 0.4) * SAMPLE_RATE)
    expected = whole(app, id)[first:last]
    assert expected.size
    np.testing.assert_array_equal(samples(answer.content), expected)


@pytest.mark.parametrize(
    "asked",
    ["start=5&end=4", "start=0&end=61", "start=-1&end=1", "start=nan&end=1", "start=1", "start=x&end=2"],
)
def test_what_is_no_stretch_is_refused(ada: TestClient, id: str, asked: str) -> None:
    assert ada.get(f"/api/walkrounds/{id}/clip?{asked}").status_code == 422


def test_a_walkround_without_sound_says_so(app: FastAPI, ada: TestClient, id: str) -> None:
    sound_file(app.state.desk.settings.record, id).unlink()
    answer = ada.get(f"/api/walkrounds/{id}/clip?start=1&end=2")
    assert answer.status_code == 404
    assert "no sound" in answer.json()["detail"]
    assert ada.get(f"/api/walkrounds/{id}").json()["sound"] is False


@pytest.mark.parametrize("content", [b"no sound at all", b"", b"fLaC" + bytes(200)])
def test_a_damaged_sound_is_said_to_be_damaged(
    app: FastAPI, ada: TestClient, id: str, content: bytes
) -> None:
    sound_file(app.state.desk.settings.record, id).write_bytes(content)
    answer = ada.get(f"/api/walkrounds/{id}/clip?start=1&end=2")
    assert answer.status_code == 503
    assert answer.json()["remedy"].startswith("Bring it back from a backup")
    assert "/" not in answer.json()["detail"], "no path of the desk's computer"


def test_a_moment_beyond_the_sound_is_said_to_be_none(ada: TestClient, id: str) -> None:
    answer = ada.get(f"/api/walkrounds/{id}/clip?start=4000&end=4001")
    assert answer.status_code == 503
    assert "nothing at that moment" in answer.json()["detail"]


def test_a_sound_that_was_removed_is_said_to_be_removed(app: FastAPI, ada: TestClient, id: str) -> None:
    with app.state.desk.record() as store:
        store.know_sound(id)
        Keeping(store, "Robin").remove_sound(id)
    answer = ada.get(f"/api/walkrounds/{id}/clip?start=1&end=2")
    assert answer.status_code == 404
    assert "removed for good" in answer.json()["detail"]
    assert "removed for good" in ada.get(f"/api/walkrounds/{id}").json()["soundless"]
