"""The desk is killed in the middle of things (SIGKILL). Nothing is lost then, and nothing is there twice."""

from __future__ import annotations

import hashlib
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from tests.desk.conftest import PASSWORD
from tests.desk.walk.sending import Phone, digest, tone

from witnessmark.desk.access import people
from witnessmark.desk.access.people import Role
from witnessmark.desk.own import Own
from witnessmark.desk.settings import Settings
from witnessmark.intake import sound_file
from witnessmark.record import Store

ROOT = Path(__file__).parents[3]
TALK_SOUND = ROOT / "tests" / "transcribe" / "sounds" / "talk.opus"


class Desk:
    """A desk that can be killed and started again, and somebody signed in at it."""

    def __init__(self, record: Path) -> None:
        self.settings = Settings(record=record)
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        with Own(self.settings.own_file).writing() as db:
            people.add(db, "Robin", Role.TECHNICIAN, PASSWORD)
        self.client = httpx.Client(base_url=f"http://localhost:{self.port}", timeout=60)

    def start(self, where: str) -> None:
        record = str(self.settings.record)
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.desk.walk.mortal", record, str(self.port), where],
            stdout=subprocess.PIPE,
            text=True,
            cwd=ROOT,
        )
        while True:
            try:
                socket.create_connection(("127.0.0.1", self.port), 1).close()
                break
            except OSError:
                assert self.process.poll() is None
                time.sleep(0.05)
        if "X-Form-Key" not in self.client.headers:
            self.client.post("/sign-in", data={"name": "Robin", "password": PASSWORD})
            page = self.client.get("/sign-in").text
            self.client.headers["X-Form-Key"] = page.partition('name="form-key" content="')[2].partition('"')[
                0
            ]

    def wait_for(self, step: str) -> list[str]:
        """Until it says that it is there; returns the steps it took before."""
        assert self.process.stdout
        taken: list[str] = []
        while (line := self.process.stdout.readline().strip()) != step:
            assert line, f"it ended after {taken}"
            taken.append(line)
        return taken

    def kill(self) -> None:
        self.process.kill()
        self.process.wait()
        assert self.process.stdout
        self.process.stdout.close()

    def walkrounds(self) -> list[Any]:
        with Store.open(self.settings.record) as store:
            assert store.check() == []
            found = [store.walkround(row.id) for row in store.walkrounds()]
        assert all(sound_file(self.settings.record, one.id).is_file() for one in found)
        return found

    def files(self) -> set[str]:
        return {path.name for path in self.settings.uploads.rglob("*") if path.is_file()}


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    made = Desk(tmp_path / "shop.sqlite")
    yield made
    made.client.close()
    made.kill()


def until_read(phone: Phone) -> dict[str, Any]:
    end = time.monotonic() + 90
    while (told := phone.look())["state"] != "read":
        assert told["problem"] is None
        assert time.monotonic() < end
        time.sleep(0.1)
    return told


def half_a_chunk(desk: Desk, phone: Phone, number: int, content: bytes) -> socket.socket:
    """A connection over which half of a chunk was sent."""
    cookie = "; ".join(f"{name}={value}" for name, value in desk.client.cookies.items())
    head = (
        f"PUT {phone.path}/chunks/{number} HTTP/1.1\r\nHost: localhost:{desk.port}\r\nCookie: {cookie}\r\n"
        f"X-Form-Key: {desk.client.headers['X-Form-Key']}\r\nContent-Digest: {digest(content)}\r\n"
        f"Content-Length: {len(content)}\r\n\r\n"
    )
    connection = socket.create_connection(("127.0.0.1", desk.port))
    connection.sendall(head.encode() + content[: len(content) // 2])
    return connection


def test_in_the_middle_of_a_chunk(desk: Desk, tmp_path: Path) -> None:
    desk.start("none")
    content = tone(tmp_path / "a.webm", 3) + bytes(3_000_000)
    first, second = content[:5_000], content[5_000:]
    phone = Phone(desk.client)
    phone.begin()
    phone.put(0, first)
    connection = half_a_chunk(desk, phone, 1, second)
    folder = desk.settings.uploads / "arriving"
    while not any(path.stat().st_size for path in folder.iterdir()):
        time.sleep(0.02)
    desk.kill()
    connection.close()
    desk.start("none")
    told = phone.look()
    assert (told["chunks"], told["bytes"]) == (1, 5_000)
    assert phone.put(0, first).status_code == 200
    assert phone.put(1, second).status_code == 201
    assert phone.end(2, hashlib.sha256(content).hexdigest()).status_code == 200
    until_read(phone)
    assert len(desk.walkrounds()) == 1
    assert not (desk.settings.uploads / phone.id).exists()


def test_in_the_middle_of_the_end(desk: Desk, tmp_path: Path) -> None:
    content = tone(tmp_path / "a.webm", 3)
    desk.start("join")
    phone = Phone(desk.client)
    phone.begin()
    for number in range(3):
        phone.put(number, content[number * 6_000 : (number + 1) * 6_000 if number < 2 else None])
    with pytest.raises(httpx.ReadTimeout):
        desk.client.post(f"{phone.path}/end", json={"chunks": 3}, timeout=2)
    desk.wait_for("join")
    desk.kill()
    desk.start("none")
    assert phone.look()["state"] == "coming"
    assert phone.look()["chunks"] == 3
    assert phone.end(3, hashlib.sha256(content).hexdigest()).status_code == 200
    assert phone.end(3, hashlib.sha256(content).hexdigest()).status_code == 200
    until_read(phone)
    (walkround,) = desk.walkrounds()
    assert walkround.transcript.recording.sha256 == hashlib.sha256(content).hexdigest()


def test_in_the_middle_of_a_reading_and_before_it_is_noted(desk: Desk, tmp_path: Path) -> None:
    desk.start("read")
    phone = Phone(desk.client)
    phone.send(tone(tmp_path / "a.webm", 3))
    desk.wait_for("read")
    assert phone.look()["state"] == "reading"
    desk.kill()
    assert desk.walkrounds() == []
    desk.start("settle")
    desk.wait_for("read")
    desk.wait_for("settle")
    assert len(desk.walkrounds()) == 1
    desk.kill()
    desk.start("none")
    told = until_read(phone)
    assert desk.wait_for("settle") == []  # it was not read once more: the record had it
    (walkround,) = desk.walkrounds()
    assert told["walkround"] == walkround.id
    assert not any(name.endswith((".part", ".webm")) for name in desk.files())


@pytest.mark.speech
def test_an_orderly_end_in_the_middle_of_a_reading_is_soon(desk: Desk) -> None:
    desk.start("tiny")
    phone = Phone(desk.client, media_type="audio/ogg")
    phone.send(TALK_SOUND.read_bytes())
    while phone.look()["state"] != "reading":
        time.sleep(0.02)
    desk.client.close()
    desk.process.terminate()
    assert desk.process.wait(15) in (0, -15)
    with Own(desk.settings.own_file).reading() as db:
        assert db.execute("SELECT state, ends FROM walks").fetchall() == [("waiting", 0)]
    desk.client = httpx.Client(base_url=desk.client.base_url, timeout=60)


@pytest.mark.speech
def test_in_the_middle_of_a_reading_by_the_speech_model(desk: Desk) -> None:
    desk.start("tiny")
    phone = Phone(desk.client, media_type="audio/ogg")
    phone.send(TALK_SOUND.read_bytes())
    while phone.look()["state"] != "reading":
        time.sleep(0.02)
    time.sleep(0.5)
    desk.kill()
    desk.start("tiny")
    until_read(phone)
    (walkround,) = desk.walkrounds()
    assert "2.5" in walkround.transcript.text
    assert {item.component for item in walkround.draft.items} >= {"tyre", "brake_pads"}
