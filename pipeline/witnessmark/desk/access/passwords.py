"""Passwords: what one has to be, and how it is kept."""

from __future__ import annotations

import threading
import unicodedata
from functools import cache
from typing import TYPE_CHECKING
from uuid import uuid4

from witnessmark.desk.problems import Refused

if TYPE_CHECKING:
    from argon2 import PasswordHasher

SHORTEST = 10
"""Characters of a password."""
LONGEST = 200
FEWEST_DIFFERENT = 5
"""Different characters in it."""
_ROOM = threading.BoundedSemaphore(4)
"""Each check takes 64 MiB, so that many at once would use up the computer's memory."""


def hashed(password: str) -> str:
    """Argon2id hash with its parameters and salt.

    Raises:
        Refused: the password is too short, too long or too uniform.
    """
    remedy = "Three or four words do well."
    if not SHORTEST <= len(password) <= LONGEST:
        raise Refused(422, f"a password has {SHORTEST} to {LONGEST} characters.", remedy)
    if len(set(password.lower())) < FEWEST_DIFFERENT:
        raise Refused(422, "these are the same few characters again and again.", remedy)
    with _ROOM:
        return _hasher().hash(_plain(password))


def fits(kept: str | None, password: str) -> bool:
    """Whether it is the password of that hash. Takes as long where there is no hash to compare with."""
    from argon2.exceptions import VerificationError

    nobodys = _nobodys()
    with _ROOM:
        try:
            right = _hasher().verify(kept or nobodys, _plain(password[: LONGEST + 1]))
        except VerificationError:
            return False
    return right and kept is not None


def _plain(password: str) -> str:
    """Keyboards write one letter in several ways."""
    return unicodedata.normalize("NFKC", password)


@cache
def _hasher() -> PasswordHasher:
    """As RFC 9106, 4 has it for computers of little memory."""
    from argon2 import PasswordHasher
    from argon2.profiles import RFC_9106_LOW_MEMORY

    return PasswordHasher.from_parameters(RFC_9106_LOW_MEMORY)


@cache
def _nobodys() -> str:
    return _hasher().hash(uuid4().hex)
