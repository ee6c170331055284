"""``witnessmark store calendar``: what calendars say of follow-ups, for a person to accept or refuse."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Annotated

import typer

from witnessmark.cli.options import AsJson, StorePath, Why, opened
from witnessmark.cli.output import note, print_json
from witnessmark.errors import BadInputError

if TYPE_CHECKING:
    from witnessmark.cli.calendar_file import Calendar, Seen
    from witnessmark.cli.followups import FollowUp
    from witnessmark.record import Store
    from witnessmark.record.calendars import CameBack, Entry

EPILOG = """\b
Examples:
  witnessmark adopt follow-ups.ics --who "A. Smith"
  witnessmark store calendar
  witnessmark store calendar --accept look-KX21WPT@witnessmark --who "A. Smith" --why "the owner is away"
"""


def calendar(
    accept: Annotated[
        list[str] | None,
        typer.Option("--accept", metavar="UID", help="What the calendar says of this one is to hold."),
    ] = None,
    refuse: Annotated[
        list[str] | None, typer.Option("--refuse", metavar="UID", help="It is not to hold.")
    ] = None,
    who: Annotated[
        str | None, typer.Option("--who", metavar="NAME", help="Who answers; it stands in the trail.")
    ] = None,
    why: Why = "",
    store: StorePath = None,
    as_json: AsJson = False,
) -> None:
    """List what adopted calendars say of follow-ups: ticked off, moved, dropped. Accept or refuse it.

    Nothing of it is confirmed: work that was ticked off stays wanted in the record until a walkround confirms
    it as done. What was accepted holds in the next `export --as ics`; of a day, until another is reckoned.
    """
    from witnessmark.record import Calendars

    with opened(store) as record:
        kept = Calendars(record)
        for uid, accepted in [(one, True) for one in accept or []] + [(one, False) for one in refuse or []]:
            if not (who or "").strip():
                raise BadInputError("nobody is named who answers", remedy="Say --who.")
            kept.answer(uid, accepted, str(who), why)
        entries = kept.entries()
    if as_json:
        print_json([_plain(one) for one in entries])
        return
    for one in entries:
        print(f"{one.uid}: {_line(one)}")
    if not entries:
        note("No calendar says anything that the record did not say itself.")


def _plain(one: Entry) -> dict[str, object]:
    days = {"day": one.day, "reckoned": one.reckoned}
    return one._asdict() | {key: day.isoformat() if day else None for key, day in days.items()}


def _line(one: Entry) -> str:
    """What is said, and what was answered."""
    about = f"{one.registration or one.walkround}, {'look again' if one.about == 'look' else one.about}"
    on = f" on {one.day}" if one.day else ""
    match one.says:
        case "moved":
            before = f" from {one.reckoned}" if one.reckoned else ""
            said = f"moved{before} to {one.day}"
        case "done":
            said = f"ticked off{on}; not confirmed by any walkround"
        case "dropped":
            said = "dropped"
    if one.accepted is None:
        return f"{about}: {said}; waits for an answer"
    return f"{about}: {said}; {'accepted' if one.accepted else 'refused'} by {one.who}"


def came_back(store: Store, read: Calendar) -> tuple[list[CameBack], Counter[str]]:
    """What a calendar says of this record's follow-ups, and what is passed over besides, with the reason."""
    from witnessmark.cli.followups import follow_ups

    known = {one.uid: one for one in follow_ups(store)}
    passed_over, found = Counter(read.passed_over), []
    for seen in read.entries:
        about = known.get(seen.uid)
        if about is None:
            passed_over["no follow-up of this record, or not any longer"] += 1
        elif _moved(seen, about) and seen.sequence < about.revision:
            passed_over["exported before the last decision on its machine; export anew"] += 1
        else:
            found.append(_compared(seen, about))
    return found, passed_over


def _moved(seen: Seen, about: FollowUp) -> bool:
    return seen.says == "on" and seen.day not in (None, about.on)


def _compared(seen: Seen, about: FollowUp) -> CameBack:
    """A day is only news where it is not the day that was reckoned."""
    from witnessmark.record.calendars import CameBack

    says = "moved" if _moved(seen, about) else None if seen.says == "on" else seen.says
    day = seen.day if says else None
    return CameBack(about.uid, about.walkround, about.about, seen.sequence, seen.stamp, says, day, about.on)
