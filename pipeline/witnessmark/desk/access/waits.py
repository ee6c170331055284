"""Growing waits after failed sign-ins, kept in the desk's own file so that a restart does not forget.

Failures count by name and by address. A device on which that name has signed in before counts by itself and
does not wait for what strangers do: so nobody can shut the others out by guessing at their names or from
their network. A failure is counted before the password is looked at and taken back when it is right; many
requests at the same moment gain nothing.
"""

from __future__ import annotations

import hashlib
import hmac
import ipaddress
import time
from collections.abc import Iterable
from math import ceil
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from sqlite_utils import Database

FORGOTTEN = 24 * 3600
"""Seconds after the last failure."""


class Kind(NamedTuple):
    """How failures of one kind are borne."""

    free: int
    """Failures without a wait."""
    longest: int
    """Seconds of the longest wait."""


NAME = Kind(free=4, longest=900)
ADDRESS = Kind(free=20, longest=300)
DEVICE = Kind(free=4, longest=900)


class Key(NamedTuple):
    """What failures are counted by."""

    text: str
    kind: Kind


def keys(name: str, address: str, device: str | None, pepper: str) -> tuple[Key, ...]:
    """What an attempt counts by.

    Args:
        name: as typed. People type passwords there by mistake, so it is kept as a keyed hash only.
        address: of the visitor; of IPv6 the network, as one computer may use all of its addresses.
        device: mark of a device that has signed in with this name before; then it counts alone.
        pepper: key of the hash.
    """
    if device:
        return (Key(_hashed(pepper, "device", device), DEVICE),)
    return (
        Key(_hashed(pepper, "name", name.casefold()), NAME),
        Key(_hashed(pepper, "address", _network(address)), ADDRESS),
    )


def begin(db: Database, counted: Iterable[Key]) -> int:
    """Count an attempt as failed, unless one has to wait first.

    Returns:
        Whole seconds still to wait; 0 when the attempt may go on.
    """
    db.execute("DELETE FROM waits WHERE at < ?", [now() - FORGOTTEN])
    counted = tuple(counted)
    left = max(_left(db, key) for key in counted)
    if left <= 0:
        for key in counted:
            db.execute(
                "INSERT INTO waits VALUES (?, 1, ?) ON CONFLICT (key) "
                "DO UPDATE SET failures = failures + 1, at = excluded.at",
                [key.text, now()],
            )
    return ceil(max(left, 0))


def succeeded(db: Database, counted: Iterable[Key]) -> None:
    """Take an attempt back: its name or device begins anew, its address has one failure fewer.

    An address does not begin anew, or somebody with an account could guess at other names for ever.
    """
    for key in counted:
        if key.kind is ADDRESS:
            db.execute("UPDATE waits SET failures = failures - 1 WHERE key = ?", [key.text])
        else:
            db.execute("DELETE FROM waits WHERE key = ?", [key.text])


def wait_after(failures: int, kind: Kind) -> int:
    """Seconds to wait after so many failures: none at first, then doubled with each."""
    over = failures - kind.free
    return 0 if over < 0 else min(2 ** min(over, 20), kind.longest)


def now() -> float:
    """Seconds since 1970 by the server's clock."""
    return time.time()


def _left(db: Database, key: Key) -> float:
    row = db.execute("SELECT failures, at FROM waits WHERE key = ?", [key.text]).fetchone()
    if row is None:
        return 0
    failures, at = row
    wait = wait_after(int(failures), key.kind)
    return min(wait, float(at) + wait - now())  # no longer than the wait, though the clock was set back


def _hashed(pepper: str, kind: str, value: str) -> str:
    return hmac.new(pepper.encode(), f"{kind} {value}".encode("utf-8", "replace"), hashlib.sha256).hexdigest()


def _network(address: str) -> str:
    try:
        found = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return address
    if found.version == 4:
        return str(found)
    return str(found.ipv4_mapped or ipaddress.ip_network((found, 64), strict=False))
