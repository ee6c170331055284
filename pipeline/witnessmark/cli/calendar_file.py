"""Reads a calendar (RFC 5545) back: what it says of follow-ups that were exported; the rest is counted."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from witnessmark.cli.exchange_files import missing
from witnessmark.errors import BadInputError

if TYPE_CHECKING:
    from collections.abc import Iterator

OURS = "@witnessmark"
"""How the UID of each of our entries ends."""


class Seen(NamedTuple):
    """One of our entries, as a calendar has it."""

    uid: str
    sequence: int
    stamp: datetime
    """When it was made or last changed: LAST-MODIFIED or DTSTAMP, the later one. UTC."""
    says: Literal["done", "dropped", "on"]
    """Ticked off, cancelled, or standing on a day."""
    day: date | None
    """Of the event or the to-do, or when it was ticked off."""


class Calendar(NamedTuple):
    """What was read of a file."""

    entries: tuple[Seen, ...]
    """The newest of each UID."""
    passed_over: Counter[str]
    """Why → how many entries."""


def read(path: Path) -> Calendar:
    """Our entries in a calendar.

    Raises:
        BadInputError: it cannot be read, or is no calendar.
        WitnessmarkError: icalendar is not installed.
    """
    newest: dict[str, Seen] = {}
    passed_over: Counter[str] = Counter()
    for entry, withdrawn in _components(path):
        found = _seen(entry, withdrawn)
        if isinstance(found, str):
            passed_over[found] += 1
            continue
        before = newest.get(found.uid)
        if before is None or before[1:3] < found[1:3]:
            newest[found.uid] = found
        passed_over["an older state of another entry"] += before is not None
    return Calendar(tuple(newest.values()), +passed_over)


def _components(path: Path) -> Iterator[tuple[Any, bool]]:
    """Events and to-dos, and whether their calendar withdraws what it holds (METHOD:CANCEL, RFC 5546)."""
    try:
        from icalendar import Calendar as Parsed
    except ImportError as error:
        raise missing("icalendar", "exchange") from error
    try:
        content = path.read_bytes()
    except OSError as error:
        what = f"cannot be read ({error.strerror})"
        raise BadInputError(what, str(path), "Check its name and its permissions.") from error
    try:
        calendars = Parsed.from_ical(content, multiple=True)
    except (ValueError, IndexError, KeyError) as error:
        told = (str(error).splitlines() or [type(error).__name__])[0]
        raise BadInputError(f"is no calendar ({told})", str(path), "Save it as iCalendar (.ics).") from error
    if not calendars or any(one.name != "VCALENDAR" for one in calendars):
        raise BadInputError("is no calendar", str(path), "Save it as iCalendar (.ics).")
    for one in calendars:
        withdrawn = str(one.get("METHOD", "")).upper() == "CANCEL"
        yield from ((entry, withdrawn) for entry in one.walk() if entry.name in ("VEVENT", "VTODO"))


def _seen(entry: Any, withdrawn: bool) -> Seen | str:
    """An entry of ours, or why it is passed over."""
    uid = str(entry.get("UID", ""))
    if not uid.endswith(OURS):
        return "not of a record"
    if entry.errors:
        return "unreadable"
    if any(name in entry for name in ("RRULE", "RDATE", "RECURRENCE-ID")):
        return "made to recur"
    try:
        stamps = [_moment(entry[name]) for name in ("DTSTAMP", "LAST-MODIFIED") if name in entry]
        sequence = int(entry.get("SEQUENCE", 0))
        says, day = _says(entry, withdrawn)
    except (ValueError, AttributeError, TypeError, OverflowError):
        return "unreadable"
    if not stamps:
        return "unreadable"  # RFC 5545, 3.6.1 and 3.6.2: DTSTAMP is required
    return Seen(uid, sequence, max(stamps), says, day)


def _says(entry: Any, withdrawn: bool) -> tuple[Literal["done", "dropped", "on"], date | None]:
    status = str(entry.get("STATUS", "")).upper()
    if withdrawn or status == "CANCELLED":
        return "dropped", None
    if entry.name == "VTODO" and (status == "COMPLETED" or "COMPLETED" in entry):
        return "done", _day(entry["COMPLETED"]) if "COMPLETED" in entry else None
    name = next((name for name in ("DUE", "DTSTART") if name in entry), None)
    return "on", _day(entry[name]) if name else None


def _moment(value: Any) -> datetime:
    moment: datetime = value.dt
    return moment.astimezone(UTC) if moment.tzinfo else moment.replace(tzinfo=UTC)


def _day(value: Any) -> date:
    """The day that a person saw: in the entry's own time zone, of a time in UTC in that of this machine."""
    when: date | datetime = value.dt
    if not isinstance(when, datetime):
        return when
    if when.tzinfo is None or "TZID" in value.params:  # RFC 5545, 3.3.5, forms 1 and 3
        return when.date()
    return when.astimezone().date()
