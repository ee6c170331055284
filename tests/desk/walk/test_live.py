"""What is understood while somebody still talks; and that it never harms the recording."""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from tests.capture.clips import encode
from tests.desk.conftest import PASSWORD, key_of
from tests.desk.walk.conftest import Said
from tests.desk.walk.sending import Phone, tone
from tests.desk.walk.test_reading import until

from witnessmark.capture import capture
from witnessmark.desk.access import people
from witnessmark.desk.access.people import Role
from witnessmark.desk.app import create
from witnessmark.desk.settings import Settings
from witnessmark.desk.walk import listening
from witnessmark.desk.walk.listening import Growing
from witnessmark.desk.walk.parts import Parts
from witnessmark.transcribe import Live, Transcriber

ROOT = Path(__file__).parents[3]
IN_FRAGMENTS = {"movflags": "frag_keyframe+empty_moov+default_base_moof", "frag_duration": "500000"}
RECORDERS = {
    "audio/webm;codecs=opus": ("a.webm", {"live": "1"}),
    "audio/mp4": ("a.m4a", IN_FRAGMENTS),
}
"""What browsers make: media type → file and how it is written."""


def pieces(content: bytes, count: int, seed: int = 1) -> list[bytes]:
    """The bytes cut at arbitrary places."""
    cuts = sorted(random.Random(seed).sample(range(1, len(content)), count - 1))
    return [content[a:b] for a, b in zip([0, *cuts], [*cuts, len(content)], strict=True)]


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Callable[..., Phone]]:
    """A phone at a running desk with that speech model."""

    def make(transcriber: Transcriber, media_type: str = "audio/webm;codecs=opus", **more: Any) -> Phone:
        app = create(Settings(record=tmp_path / "shop.sqlite", jurisdiction="GB", **more), transcriber)
        with app.state.desk.own.writing() as db:
            people.add(db, "Robin", Role.TECHNICIAN, PASSWORD)
        client = TestClient(app, base_url="http://localhost")
        client.post("/sign-in", data={"name": "Robin", "password": PASSWORD})
        client.headers["X-Form-Key"] = key_of(client)
        made.append(app)
        return Phone(client, media_type=media_type, machine="AB12 CDE", on="2026-05-04")

    made: list[FastAPI] = []
    yield make
    for app in made:
        app.state.walks.listening.stop(5)


def text_of(phone: Phone) -> str:
    understood = phone.look()["understood"]
    return understood["text"] if understood else ""


def app_of(phone: Phone) -> FastAPI:
    return phone.client.app


@pytest.fixture(scope="module")
def tiny(tmp_path_factory: pytest.TempPathFactory) -> Transcriber:
    return Transcriber("tiny.en", cache=tmp_path_factory.mktemp("weights"))


@pytest.mark.speech
@pytest.mark.parametrize("media_type", list(RECORDERS))
def test_findings_appear_while_somebody_talks(
    desk: Callable[..., Phone], tiny: Transcriber, tmp_path: Path, media_type: str, monkeypatch: Any
) -> None:
    monkeypatch.setattr(listening, "BEHIND", 60.0)  # so that a slow computer hears the end too
    said = capture(ROOT / "tests" / "transcribe" / "sounds" / "talk.opus").samples
    name, options = RECORDERS[media_type]
    samples = np.interp(np.arange(said.size * 3) / 3, np.arange(said.size), said).astype(np.float32)
    path = encode(samples, tmp_path / name, **options)
    parts = pieces(path.read_bytes(), 17)
    phone = desk(tiny, media_type)
    phone.begin()
    for number, part in enumerate(parts[:12]):
        phone.put(number, part)
    until(lambda: text_of(phone) != "", 60)
    early = phone.look()["understood"]
    assert "2.5" in early["text"]
    assert "spongy" not in early["text"]
    assert early["last"][-1]["says"] == "front tyre: tread depth 2.5 mm"
    assert "tread depth" in early["last"][-1]["heard"].lower()
    assert early["machine"] == "AB12 CDE (chosen at the start)"
    assert "rear brake pads" in early["not_mentioned"] or "brake pads" in early["not_mentioned"]
    for number, part in enumerate(parts[12:], 12):
        phone.put(number, part)
    phone.end(len(parts))
    (ear,) = app_of(phone).state.walks.listening._ears.values()
    ear.join(60)
    late = phone.look()["understood"]
    assert late["count"] > early["count"]
    assert late["text"].startswith(early["text"])
    assert late["last"][0]["says"] != early["last"][0]["says"]
    assert not any("brake pads" in name and "front" not in name for name in late["not_mentioned"])

    live = Live(tiny)
    heard = capture(path).samples
    for at in range(0, heard.size, 16_000):
        live.feed(heard[at : at + 16_000])
    assert " ".join(live.finish().text.split()[-40:]) == late["text"]


class Deaf(Said):
    """A speech model that fails as soon as it listens."""

    def listen(self, samples: Any) -> Any:
        raise RuntimeError("no ear")


def test_a_fault_of_listening_leaves_the_recording_alone(
    desk: Callable[..., Phone], tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    phone = desk(Deaf())
    phone.send(tone(tmp_path / "a.webm", 4))
    until(lambda: "cannot be listened to" in caplog.text)
    assert app_of(phone).state.walks.worker.read_one()
    assert phone.look()["state"] == "read"
    assert phone.look()["understood"] is None


def test_at_the_beginning_nothing_is_mentioned_yet(desk: Callable[..., Phone], tmp_path: Path) -> None:
    phone = desk(Slow())
    phone.begin()
    phone.put(0, tone(tmp_path / "a.webm", 3))
    until(lambda: phone.look()["understood"] is not None)
    told = phone.look()["understood"]
    assert (told["text"], told["last"], told["count"]) == ("", [], 0)
    assert len(told["not_mentioned"]) > 10
    assert told["machine"] == "AB12 CDE (chosen at the start)"


@pytest.mark.parametrize("content", [b"MZ" + bytes(40_000), b"", bytes(range(256)) * 100])
def test_what_is_no_sound_is_listened_to_in_vain(desk: Callable[..., Phone], content: bytes) -> None:
    phone = desk(Said())
    phone.begin()
    assert phone.put(0, content).status_code == 201
    assert phone.put(1, content).status_code == 201
    assert phone.end(2).status_code == 200


class Slow(Said):
    """Hears the talk in every second, and counts who listens."""

    def listen(self, samples: Any) -> Any:
        time.sleep(0.01)
        return []


def test_only_so_many_are_listened_to(desk: Callable[..., Phone], tmp_path: Path) -> None:
    phone = desk(Slow(), live_walks=2)
    content = tone(tmp_path / "a.webm", 3)
    phones = [Phone(phone.client) for _ in range(3)]
    for one in phones:
        one.begin()
        assert one.put(0, content[:3000]).status_code == 201
    ears = app_of(phone).state.walks.listening._ears
    assert list(ears) == [phones[0].id, phones[1].id]
    phones[0].client.delete(phones[0].path)
    until(lambda: sum(ear.awake for ear in ears.values()) == 1)
    phones[2].put(1, content[3000:])
    assert list(ears) == [phones[1].id, phones[2].id]


def test_switched_off_nobody_listens(desk: Callable[..., Phone], tmp_path: Path) -> None:
    phone = desk(Slow(), live=False)
    phone.send(tone(tmp_path / "a.webm", 3))
    assert app_of(phone).state.walks.listening._ears == {}


def test_listening_ends_with_the_desk(desk: Callable[..., Phone], tmp_path: Path) -> None:
    phone = desk(Slow())
    with app_of(phone).state.walks.running():
        phone.begin()
        phone.put(0, tone(tmp_path / "a.webm", 3))
        (ear,) = app_of(phone).state.walks.listening._ears.values()
        before = time.monotonic()
    assert time.monotonic() - before < 3
    assert not ear.awake


def test_bytes_come_in_order_over_chunks_and_the_joined_file(tmp_path: Path) -> None:
    parts = Parts(tmp_path)
    content = [b"one", b"", b"three", b"four"]
    (tmp_path / "w").mkdir()
    for number, piece in enumerate(content):
        parts.chunk("w", number).write_bytes(piece)
    file = Growing(parts, "w")
    file.grow(2)
    assert file.read(2) == b"on"
    assert file.read(9) == b"e"
    file.grow(4)
    assert file.read(2) == b"th"
    (tmp_path / "w" / "whole").mkdir()
    (tmp_path / "w" / "whole" / "a.webm").write_bytes(b"".join(content))
    parts.drop_chunks("w")
    assert file.read(9) == b"ree"
    assert file.read(9) == b"four"
    file.end()
    assert file.read(9) == b""
    file.close()


def test_who_gives_up_reads_no_further(tmp_path: Path) -> None:
    parts = Parts(tmp_path)
    (tmp_path / "w").mkdir()
    parts.chunk("w", 0).write_bytes(b"one")
    file = Growing(parts, "w")
    file.grow(1)
    assert file.read(1) == b"o"
    file.end(give_up=True)
    assert file.read(1) == b""
    file.close()
