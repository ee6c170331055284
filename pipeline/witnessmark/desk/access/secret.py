"""Secrets that stand in links and headers, and the clock by which they expire."""

from __future__ import annotations

import hashlib
import secrets
from datetime import UTC, datetime, timedelta


def make() -> str:
    """A new secret of 256 random bits, fit for a URL."""
    return secrets.token_urlsafe(32)


def digest(secret: str) -> str:
    """What is kept of a secret. It is random and long, so a fast hash does."""
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()


def now() -> datetime:
    """The server's clock, whole seconds; no visitor's clock counts anywhere."""
    return datetime.now(UTC).replace(microsecond=0)


def stamp(after: timedelta = timedelta()) -> str:
    """Now, or a while after it, as the desk's own file writes times: UTC, so that text sorts as time does."""
    return (now() + after).isoformat()
