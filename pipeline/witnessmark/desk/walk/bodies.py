"""Receives the body of a request into a file while it is hashed; never more than a block of it in memory."""

from __future__ import annotations

import base64
import hashlib
import os
from collections.abc import AsyncIterator
from contextlib import ExitStack, asynccontextmanager
from pathlib import Path
from typing import IO, Any, NamedTuple

from fastapi import Request
from starlette.concurrency import run_in_threadpool
from starlette.requests import ClientDisconnect

from witnessmark.desk.problems import Refused
from witnessmark.desk.walk.parts import new_file

_BLOCK = 1 << 18


class Arrived(NamedTuple):
    """A body that is here."""

    size: int
    sha256: str
    path: Path | None
    """A file whose bytes are on the disk and that has no name yet; None where none was wanted."""


def raw_body(request: Request) -> None:
    """A dependency that refuses forms before anybody reads them into memory."""
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind in ("application/x-www-form-urlencoded", "multipart/form-data"):
        raise Refused(415, "the bytes themselves are wanted, not a form.", "Send the file as the body.")


def digest(request: Request) -> str | None:
    """SHA-256 of the body by its header ``Content-Digest`` (RFC 9530); None where there is none.

    Raises:
        Refused: 400, the header cannot be read.
    """
    import http_sf

    try:
        header = request.headers.get("content-digest", "").encode("latin-1")
        found: Any = http_sf.parse(header, tltype="dictionary")
        value, _ = found.get("sha-256", (None, None))
    except ValueError:
        value = b""
    if value is None:
        return None
    if not isinstance(value, bytes) or len(value) != 32:
        raise _unreadable()
    return value.hex()


def wanted_digest(request: Request) -> str:
    """As `digest`, where it must be there.

    Raises:
        Refused: 400.
    """
    found = digest(request)
    if found is None:
        raise _unreadable()
    return found


def _unreadable() -> Refused:
    example = base64.b64encode(bytes(32)).decode()
    return Refused(
        400,
        "the request needs a Content-Digest that can be read (RFC 9530).",
        f"Send Content-Digest: sha-256=:{example}: with the SHA-256 of the body.",
    )


DIGEST = {
    "name": "Content-Digest",
    "in": "header",
    "required": True,
    "schema": {"type": "string", "pattern": "^sha-256=:[A-Za-z0-9+/]{43}=:$"},
    "description": "SHA-256 of the body (RFC 9530).",
}
"""For the OpenAPI document."""


def announced(request: Request) -> int:
    """Bytes of the body, as far as the request says."""
    length = request.headers.get("content-length", "0")
    return int(length) if length.isascii() and length.isdigit() and len(length) < 20 else 0


def too_large(limit: int) -> Refused:
    """The refusal of a body that is too large."""
    return Refused(
        413,
        f"this is larger than the {limit:,} bytes allowed here.",
        "Send it in smaller pieces, or less of it.",
    )


def body_of(*media_types: str) -> dict[str, Any]:
    """For the OpenAPI document: a body that is read as it comes."""
    schema = {"schema": {"type": "string", "format": "binary"}}
    return {"requestBody": {"required": True, "content": dict.fromkeys(media_types, schema)}}


@asynccontextmanager
async def arriving(request: Request, folder: Path | None, limit: int) -> AsyncIterator[Arrived]:
    """The body of a request in a new file of the folder, removed at the end unless it was given its place.

    Args:
        request: its body has not been read.
        folder: None to read it without keeping it.
        limit: bytes. What is announced to be larger is refused before anything is read.

    Raises:
        Refused: 400 the sender went away, 413 too large, 507 the disk is full.
    """
    if announced(request) > limit:
        raise too_large(limit)
    with ExitStack() as stack:
        path = stack.enter_context(new_file(folder)) if folder else None
        try:
            arrived = await _received(request, path, limit)
        except ClientDisconnect:
            raise Refused(400, "the sender went away.", "Send it again.") from None
        yield arrived
        if path:
            path.unlink(missing_ok=True)


async def _received(request: Request, path: Path | None, limit: int) -> Arrived:
    hashed, size, block = hashlib.sha256(), 0, bytearray()
    with ExitStack() as stack:
        file = stack.enter_context(path.open("xb")) if path else None
        async for piece in request.stream():
            size += len(piece)
            if size > limit:
                raise too_large(limit)
            hashed.update(piece)
            block += piece
            if len(block) >= _BLOCK:
                await _write(file, block)
                block.clear()
        await _write(file, block, last=True)
    return Arrived(size, hashed.hexdigest(), path)


async def _write(file: IO[bytes] | None, block: bytearray, last: bool = False) -> None:
    def write() -> None:
        assert file is not None
        file.write(block)
        if last:
            file.flush()
            os.fsync(file.fileno())

    if file is not None:
        await run_in_threadpool(write)
