"""Sends recordings as a phone does."""

from __future__ import annotations

import base64
import hashlib
import io
from typing import Any
from uuid import uuid4

from fastapi.testclient import TestClient
from httpx import Response
from PIL import Image
from tests.capture.clips import encode, sweep

STARTED = "2026-05-04T09:00:00Z"


def digest(content: bytes) -> str:
    """The header of RFC 9530."""
    return f"sha-256=:{base64.b64encode(hashlib.sha256(content).digest()).decode()}:"


class Phone:
    """One recording of one person.

    Args:
        client: who is signed in.
        details: other details of the start.
    """

    def __init__(self, client: TestClient, **details: Any) -> None:
        self.client, self.id = client, str(uuid4())
        self.details = {"media_type": "audio/webm;codecs=opus", "name": "monday", "started_at": STARTED}
        self.details |= details

    @property
    def path(self) -> str:
        return f"/api/walks/{self.id}"

    def begin(self) -> Response:
        return self.client.put(self.path, json=self.details)

    def put(self, number: int, content: bytes, told: str | None = None) -> Response:
        headers = {"Content-Digest": told or digest(content), "Content-Type": "application/octet-stream"}
        return self.client.put(f"{self.path}/chunks/{number}", content=content, headers=headers)

    def end(self, chunks: int, sha256: str | None = None) -> Response:
        return self.client.post(f"{self.path}/end", json={"chunks": chunks, "sha256": sha256})

    def look(self) -> dict[str, Any]:
        answer = self.client.get(self.path)
        assert answer.status_code == 200
        return answer.json()

    def send(self, content: bytes, size: int = 4000) -> None:
        """All of it, in pieces."""
        assert self.begin().status_code == 201
        pieces = [content[at : at + size] for at in range(0, len(content), size)]
        for number, piece in enumerate(pieces):
            assert self.put(number, piece).status_code == 201
        assert self.end(len(pieces), hashlib.sha256(content).hexdigest()).status_code == 200


def tone(path: Any, seconds: float = 2.0) -> bytes:
    """A recording in which nobody speaks, in the format of the path's suffix."""
    return encode(sweep(seconds), path).read_bytes()


def picture(kind: str = "PNG", shade: int = 0) -> bytes:
    """A small picture of one grey."""
    out = io.BytesIO()
    Image.new("RGB", (16, 16), (shade, shade, shade)).save(out, kind)
    return out.getvalue()
