"""What is to be done next on every machine, as a calendar: looking again, and work that is still wanted."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, NamedTuple

from witnessmark.cli.exchange_files import missing

if TYPE_CHECKING:
    from witnessmark.record import Entered, History, MachineRow, Store, Visit
    from witnessmark.record.calendars import Entry


class FollowUp(NamedTuple):
    """One entry of the calendar."""

    uid: str
    """The same for the same matter each time, so that a calendar does not double it."""
    on: date | None
    """None for work without a day."""
    title: str
    text: str
    told: datetime
    """When what it rests on was decided."""
    walkround: str
    """On which it rests."""
    about: str
    """``look``, or the key of the item that is wanted."""
    revision: int
    """Grows with every decision on the machine."""


def calendar(store: Store, since: datetime | None = None) -> bytes:
    """An iCalendar (RFC 5545) of all machines: a day's event to look again, a to-do for wanted work.

    Args:
        store: the record.
        since: only machines on which something was decided from then on.

    Raises:
        WitnessmarkError: icalendar is not installed.
    """
    try:
        from icalendar import Calendar, Event, Todo
    except ImportError as error:
        raise missing("icalendar", "exchange") from error
    from witnessmark.record import Calendars

    whole = Calendar()
    whole.add("prodid", "-//Witnessmark//follow-ups//EN")
    whole.add("version", "2.0")
    accepted = {one.uid: one for one in Calendars(store).entries() if one.accepted}
    for one in follow_ups(store, since):
        entry = Event() if one.on else Todo()
        for key, value in (_properties(one) | _followed(one, accepted.get(one.uid))).items():
            entry.add(key, value)
        whole.add_component(entry)
    return bytes(whole.to_ical())


def _properties(one: FollowUp) -> dict[str, object]:
    """By their names in RFC 5545. A higher SEQUENCE has a calendar take the newer state."""
    told = {"uid": one.uid, "dtstamp": one.told, "sequence": one.revision}
    said = {"summary": one.title, "description": one.text}
    return {**told, **said, **({"dtstart": one.on} if one.on else {})}


def _followed(one: FollowUp, said: Entry | None) -> dict[str, object]:
    """What an accepted change in a calendar makes of an entry, until its day is reckoned anew."""
    if said is None or said.reckoned != one.on:
        return {}
    on = f" on {said.day}" if said.day else ""
    match said.says:
        case "moved":
            key, text = "dtstart" if one.on else "due", f"Moved to {said.day} by {said.who}."
            return {key: said.day, "description": f"{text} {one.text}"}
        case "done":
            text = f"Ticked off in a calendar{on}, accepted by {said.who}; no walkround has confirmed it."
            return {"status": "COMPLETED", "description": f"{text} {one.text}"}
        case "dropped":
            text = f"Dropped in a calendar, accepted by {said.who}; the record is unchanged."
            return {"status": "CANCELLED", "description": f"{text} {one.text}"}


def follow_ups(store: Store, since: datetime | None = None) -> Iterator[FollowUp]:
    """Every machine's, the one seen last first."""
    from witnessmark.errors import StoreError

    for row in store.machines():
        try:
            found = store.history(row.vin or row.registration or "")
        except StoreError:
            continue  # a registration of several machines: each comes under its VIN
        last = max((_told(visit) for visit in found.visits), default=None)
        if last is not None and (since is None or last >= since):
            yield from _of_machine(row, found, last)


def _of_machine(row: MachineRow, found: History, last: datetime) -> Iterator[FollowUp]:
    from witnessmark import run

    name = row.registration or row.vin or ""
    known = run.outlook(found, found.visits[-1].on)
    if known is not None and (known.look.on or known.look.now):
        on = found.visits[-1].on if known.look.now else known.look.on
        because = ", ".join(known.look.because)
        text = f"Estimated from confirmed readings ({because}). The maker's manual and the law come first."
        uid = f"look-{row.vin or name}@witnessmark".replace(" ", "")
        look = found.visits[-1].walkround, "look", row.revision[0]
        yield FollowUp(uid, on, f"{name}: look again", text, last, *look)
    for visit, entered in _wanted(found):
        yield FollowUp(
            f"{visit.walkround}-{entered.decision.item}@witnessmark",
            None,
            f"{name}: {_said(entered)}",
            f"Wanted on {visit.on}; confirmed by {entered.decision.who}. Heard: {entered.heard}",
            entered.decision.when.astimezone(UTC),
            visit.walkround,
            entered.decision.item,
            row.revision[0],
        )


def _wanted(found: History) -> Iterator[tuple[Visit, Entered]]:
    """Work that was wanted and not confirmed as done on a part since, that day included."""
    from witnessmark.types import Action

    for number, visit in enumerate(found.visits):
        later = [one.item for after in found.visits[number:] for one in after.entered]
        done = {(one.kind, *one.place) for one in later if isinstance(one, Action) and one.status == "done"}
        for entered in visit.entered:
            item = entered.item
            if isinstance(item, Action) and item.status == "wanted" and (item.kind, *item.place) not in done:
                yield visit, entered


def _said(entered: Entered) -> str:
    from witnessmark.review.wording import says

    return says(entered.item)


def _told(visit: Visit) -> datetime:
    moments = (visit.decision.when, *(entered.decision.when for entered in visit.entered))
    return max(moment.astimezone(UTC) for moment in moments)
