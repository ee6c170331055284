"""What the desk is started with."""

from __future__ import annotations

from pathlib import Path

from witnessmark.types import Frozen

LOCAL = ("localhost", "127.0.0.1", "::1")
"""Names of this computer, which no other reaches."""
EVERYWHERE = ("0.0.0.0", "::", "")
"""Hosts that stand for all addresses of this computer; no browser calls it so."""


class Settings(Frozen):
    """How the desk runs; ``cli.desk`` fills it from its options."""

    record: Path
    """The record's file. The desk's own file, uploads and photographs lie beside it."""
    jurisdiction: str | None = None
    """Country (and state) whose limits apply where a walk names none."""
    model: str | None = None
    """Speech model, as the commands take it."""
    host: str = "localhost"
    port: int = 8700
    certificate: Path | None = None
    key: Path | None = None
    """The certificate's private key."""
    names: tuple[str, ...] = ()
    """Further names and addresses by which browsers reach this desk, the one for others to use first."""
    largest_upload: int = 1 << 30
    """Bytes of one recording."""
    largest_chunk: int = 8 << 20
    """Bytes of one request's body."""
    largest_photo: int = 16 << 20
    """Bytes of one photograph."""
    live: bool = True
    """Whether recordings are read while they come in."""
    live_walks: int = 4
    """How many at once; more are not read before they are over."""

    @property
    def secure(self) -> bool:
        """Whether pages go out encrypted."""
        return self.certificate is not None

    @property
    def own_file(self) -> Path:
        """People, links and uploads under way: the desk's own, never part of the record."""
        return self.record.with_suffix(".desk.sqlite")

    @property
    def uploads(self) -> Path:
        """Folder of the recordings that come in."""
        return self.record.with_suffix(".uploads")
